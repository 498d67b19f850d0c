//! How long ngspice and the solver take for the same work, and whether they agree on it.

use std::hint::black_box;
use std::time::Instant;

use anyhow::{Context, Result};
use tapwright_core::spice::Netlist;
use tapwright_stage::{Drive, Imbalance, ScreenFeed, Solver, Stage, Stoppers, Supply};
use tapwright_tube::{Bias, Topology, find};

use super::{Pair, pairs, simulate};

/// Loads for each stage, Ω: from half of what suits it to twice that, as the connections of
/// one transformer follow each other.
const LOADS: [f64; 7] = [
    2_500.0, 3_200.0, 4_000.0, 5_000.0, 6_400.0, 8_000.0, 10_000.0,
];

/// How often the solver does all of it, so that the clock can tell.
const TURNS: u32 = 50;

/// The outcome.
#[derive(Debug, Clone)]
pub struct Race {
    /// Stages times loads, each solved at idle and at full signal with its harmonics.
    pub solves: usize,
    /// What ngspice took for each, with its start, ms.
    pub spice_ms: f64,
    /// What the solver took for each, ms.
    pub own_ms: f64,
    /// Where they are furthest apart, by their limits.
    pub furthest: Option<Pair>,
}

/// Runs both, one after the other.
///
/// # Errors
/// When either finds no solution.
pub fn race() -> Result<Race> {
    let drive = Drive::OfGridCurrent(1.0);
    let stages = [stage(Topology::SingleEnded)?, stage(Topology::PushPull)?];
    let mut found = Vec::new();
    let began = Instant::now();
    for stage in stages {
        for load in LOADS {
            found.push((stage, load, simulate(Netlist::new(stage, load, drive)?)?));
        }
    }
    let spice = began.elapsed();

    let began = Instant::now();
    for _ in 0..TURNS {
        for stage in stages {
            let mut still = Solver::new(black_box(stage));
            let mut driven = still.clone();
            for load in LOADS {
                black_box(still.idle()?);
                black_box(driven.cycle(load, drive)?);
            }
        }
    }
    let own = began.elapsed() / TURNS;

    let mut furthest: Option<Pair> = None;
    for (stage, load, printed) in &found {
        for pair in pairs(printed, *stage, *load, drive)? {
            if furthest
                .as_ref()
                .is_none_or(|far| pair.excess() > far.excess())
            {
                furthest = Some(pair);
            }
        }
    }
    let each = 1e3 / found.len() as f64;
    Ok(Race {
        solves: found.len(),
        spice_ms: spice.as_secs_f64() * each,
        own_ms: own.as_secs_f64() * each,
        furthest,
    })
}

/// Cathode bias, a dropper for the screens, and resistance everywhere: all that has to settle.
fn stage(topology: Topology) -> Result<Stage> {
    Ok(Stage {
        model: find("6AQ5").context("no tube 6AQ5 is in the table")?.model,
        topology,
        tubes_per_side: 1,
        plate_supply: Supply {
            volts: 265.0,
            ohms: 100.0,
        },
        screen: ScreenFeed::Dropper(470.0),
        bias: Bias::Cathode(match topology {
            Topology::SingleEnded => 270.0,
            Topology::PushPull => 250.0,
        }),
        stoppers: Stoppers::default(),
        primary_ohms: 300.0,
        imbalance: Imbalance::default(),
    })
}
