//! Reads and solves one large set-up many times: the work of an edit without a
//! browser around it, so that wasm and native can be timed on exactly the same.

use std::hint::black_box;

use tapwright_core::{link, solve};

/// The largest set-up that the budgets speak of: five primary leads, six taps
/// with all their pairs, ten hookups.
pub const LARGEST: &str = "v=1&primary=a%203k4,%20b%205k,%20c%206k6,%20d%208k,%20e%2010k\
     &taps=2,%204,%206,%208,%2012,%2016&target=8k\
     &hookup=8&hookup=4&hookup=16&hookup=8//8&hookup=8+8&hookup=(8+8)//(8+8)\
     &hookup=15//8&hookup=3&hookup=15&hookup=16";

/// Solves it `times` times and gives the number of connections found in all.
#[unsafe(no_mangle)]
pub extern "C" fn solve_largest(times: u32) -> u32 {
    let mut connections = 0;
    for _ in 0..times {
        let report = solve(&link::parse(black_box(LARGEST)).setup);
        connections += u32::try_from(black_box(&report).connections.len()).unwrap_or(0);
    }
    connections
}
