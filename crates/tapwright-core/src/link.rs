//! The link: a whole [`Setup`] in a URL fragment that a person can read and edit.
//!
//! `v=1&primary=brown%208k,%20blue%2010k&taps=3,8,15&hookup=Pair:8//8@15`
//!
//! Percent-decoding is RFC 3986's, so `+` stays `+`. What is at its default is left
//! out. What no key takes is kept as it stood there and reported.

use serde::{Deserialize, Serialize};

use crate::setup::Setup;

mod percent;
mod read;
pub mod saved;
mod write;

pub use read::parse;
pub use write::encode;

/// The version that this program writes.
pub const VERSION: &str = "1";

/// Something in a link that could not be read as it stood.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Trouble {
    /// The key at fault, as it stood in the link.
    pub key: String,
    /// What is wrong, in one sentence without a full stop.
    pub why: String,
}

/// A link, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Parsed {
    /// Everything that could be read.
    pub setup: Setup,
    /// What could not.
    pub troubles: Vec<Trouble>,
    /// How many pieces of the link were understood: none means that it is no link of ours.
    pub understood: usize,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::{HookupEntry, List, OwnKind, PointEntry};

    #[test]
    fn delimiters_that_were_typed_come_back() {
        let setup = Setup {
            name: "A&B = 100% #1 + “Ω”".into(),
            hookups: vec![HookupEntry {
                name: "a:b@c".into(),
                speakers: "8@8:8".into(),
                rating: "3@:".into(),
            }],
            ..Setup::default()
        };
        let parsed = parse(&encode(&setup));
        assert_eq!(parsed.setup, setup);
        assert!(parsed.troubles.is_empty());
    }

    #[test]
    fn a_tube_of_ones_own_travels() {
        let point = |grid: &str, mu: &str| PointEntry {
            plate: "250".into(),
            grid: grid.into(),
            mu: mu.into(),
            ..PointEntry::default()
        };
        let mut setup = Setup {
            tube: "own".into(),
            ..Setup::default()
        };
        setup.own.kind = OwnKind::Triode;
        setup.own.limits.own_plate_watts = "12".into();
        setup.own.points = vec![point("-12,5", "8&9"), PointEntry::default(), point("", "")];
        let link = encode(&setup);
        assert_eq!(
            link,
            "v=1&tube=own&own=triode&own_plate_watts=12&point=250,,-12%2C5,,,,,8%269&point=&point=250"
        );
        assert_eq!(parse(&link).setup, setup);
        let many = "&point=1".repeat(20);
        let parsed = parse(&many);
        assert_eq!(parsed.setup.own.points.len(), List::Point.about().most);
        assert_eq!(parsed.troubles.len(), 1);
    }

    /// RFC 3986: `+` is itself in a fragment.
    #[test]
    fn plus_stays_plus() {
        assert_eq!(parse("#hookup=8+8").setup.hookups[0].speakers, "8+8");
    }

    #[test]
    fn what_is_damaged_is_kept_and_named() {
        for (link, key, why) in [
            ("v=1&taps=4%ZZ&primary=8k", "taps", "no escape"),
            ("v=1&taps=4%2&primary=8k", "taps", "no escape"),
            ("v=1&taps=4%FF&primary=8k", "taps", "no escape"),
            ("v=7&primary=8k", "v", "does not know"),
            ("v=1&stage=sideways&primary=8k", "stage", "neither"),
            (
                "v=1&selected=9,9&primary=8k",
                "selected",
                "is neither a hookup",
            ),
            ("v=1&leaf=oak&primary=8k", "leaf", "is not a leaf"),
            ("v=1&sort=colour&primary=8k", "sort", "is not an order"),
            ("v=1&primary=8k&primary=9k", "primary", "twice"),
            ("v=1&colour=red&primary=8k", "colour", "is not a key"),
        ] {
            let parsed = parse(link);
            assert_eq!(parsed.setup.primary, "8k", "{link}");
            assert_eq!(parsed.troubles.len(), 1, "{link}: {:?}", parsed.troubles);
            assert_eq!(parsed.troubles[0].key, key, "{link}");
            assert!(
                parsed.troubles[0].why.contains(why),
                "{link}: {}",
                parsed.troubles[0].why
            );
        }
        assert_eq!(parse("taps=4%ZZ").setup.taps, "4%ZZ");
    }

    #[test]
    fn unknown_keys_travel_on() {
        for link in [
            "v=1&taps=8&colour=red&mood=%zz",
            "v=1&primary=8k&supp#y=250",
            "v=1&taps=8&#&a#b#c",
        ] {
            assert_eq!(encode(&parse(link).setup), link);
            let address = format!("file:///tapwright.html?now=1#{link}");
            assert_eq!(parse(&address), parse(link), "{link}");
        }
    }

    #[test]
    fn text_that_is_no_link_is_understood_nowhere() {
        for text in ["", "hello", "http://example.org/#top", "=", "&&&"] {
            assert_eq!(parse(text).understood, 0, "{text}");
        }
        assert_eq!(parse("v=1").understood, 1);
    }

    #[test]
    fn a_megabyte_and_ten_thousand_hookups_are_kept_whole() {
        let long = format!("v=1&taps={}", "8".repeat(1_000_000));
        assert_eq!(encode(&parse(&long).setup), long);
        let many = format!("v=1{}", "&hookup=8".repeat(10_000));
        let parsed = parse(&many);
        assert_eq!(parsed.setup.hookups.len(), List::Hookup.about().most);
        assert_eq!(parsed.troubles.len(), 1);
        assert_eq!(encode(&parsed.setup), many);
    }
}
