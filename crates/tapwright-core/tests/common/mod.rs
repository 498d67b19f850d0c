//! What several tests of whole set-ups share.

use tapwright_core::report::Report;
use tapwright_core::{link, solve};

/// The report of a link that can be read without trouble.
pub fn report(link: &str) -> Report {
    let parsed = link::parse(link);
    assert!(parsed.troubles.is_empty(), "{link}: {:?}", parsed.troubles);
    solve(&parsed.setup)
}
