//! The work of an edit without a browser around it, so that wasm and native can be
//! timed on exactly the same: reads and solves one large set-up, fits a tube.

use std::hint::black_box;

use tapwright_core::{link, solve};
use tapwright_tube::Kind;
use tapwright_tube::fit::{Given, own};

/// The largest set-up that the budgets speak of: five primary leads, six taps
/// with all their pairs, ten hookups, and a stage in which everything moves with
/// the drive.
pub const LARGEST: &str = "v=1&primary=a%203k4,%20b%205k,%20c%206k6,%20d%208k,%20e%2010k\
     &taps=2,%204,%206,%208,%2012,%2016&tube=6V6GT&supply=300&target=8k\
     &cathode=270&winding=300&source=150\
     &hookup=8&hookup=4&hookup=16&hookup=8//8&hookup=8+8&hookup=(8+8)//(8+8)\
     &hookup=15//8&hookup=3&hookup=15&hookup=16";

/// Solves it `times` times and gives the number of connections found in all.
#[unsafe(no_mangle)]
pub extern "C" fn solve_largest(times: u32) -> u32 {
    let mut connections = 0;
    for _ in 0..times {
        let report = solve(&link::parse(black_box(LARGEST)).setup);
        connections += u32::try_from(black_box(&report).solved.connections.len()).unwrap_or(0);
    }
    connections
}

/// Three operating points of an invented beam tetrode.
const TYPED: [Given; 3] = [
    typed(250.0, 250.0, -12.0, 44.0, 4.4, 50.0),
    typed(180.0, 180.0, -8.0, 30.0, 3.0, 52.0),
    typed(320.0, 220.0, -12.5, 35.0, 2.4, 75.0),
];

const fn typed(plate: f64, screen: f64, grid: f64, ma: f64, screen_ma: f64, rp: f64) -> Given {
    Given {
        plate_volts: plate,
        screen_volts: Some(screen),
        grid_volts: grid,
        plate_ma: ma,
        screen_ma: Some(screen_ma),
        gm_ms: Some(0.085 * ma),
        rp_kohm: Some(rp),
        mu: None,
    }
}

/// Fits a tube to them `times` times and gives the number of values fitted in all.
#[unsafe(no_mangle)]
pub extern "C" fn fit_tube(times: u32) -> u32 {
    let mut values = 0;
    for _ in 0..times {
        let fitted = own(Kind::BeamTetrode, black_box(&TYPED)).map_or(0, |f| f.residuals.len());
        values += u32::try_from(black_box(fitted)).unwrap_or(0);
    }
    values
}
