//! Stages to hold the solver against ngspice with: too many to run with every change.
//!
//! `cargo xtask study` runs all of them and writes down how far apart the two are; the suite
//! runs a fixed tenth, and one case drawn by the date.

use std::time::{SystemTime, UNIX_EPOCH};

use anyhow::{Context, Result};
use fastrand::Rng;
use tapwright_stage::{Drive, Imbalance, ScreenFeed, Stage, Stoppers, Supply};
use tapwright_tube::{Kind, OperatingExample, Topology, Tube, TubeConnection, tubes};

/// A stage at one drive into one load.
#[derive(Debug, Clone)]
pub struct Case {
    /// What is particular about it.
    pub name: String,
    /// The stage.
    pub stage: Stage,
    /// Its drive.
    pub drive: Drive,
    /// Its load, Ω.
    pub load: f64,
}

/// Parts of the published load.
const LOADS: [f64; 3] = [0.5, 1.0, 2.0];
/// Parts of the drive at which grid current starts.
const DRIVES: [f64; 3] = [0.4, 0.7, 1.0];
/// How many cases are drawn for the study.
const DRAWN: u64 = 300;
/// The suite runs one case of so many.
const TENTH: usize = 10;

/// Every published operating example, with loads about its own and drives up to full.
pub fn published() -> Vec<Case> {
    let mut cases = Vec::new();
    for (tube, at, example) in examples() {
        for load in LOADS {
            for drive in DRIVES {
                cases.push(Case {
                    name: format!(
                        "published::{}_example_{}_load_{load}_drive_{drive}",
                        tube.designation,
                        at + 1
                    ),
                    stage: as_published(tube, example),
                    drive: Drive::OfGridCurrent(drive),
                    load: load * example.load_ohms,
                });
            }
        }
    }
    cases
}

/// Stages drawn at random, the same every time.
///
/// # Errors
/// When there is no published example to start from.
pub fn all_drawn() -> Result<Vec<Case>> {
    (0..DRAWN).map(drawn).collect()
}

/// The part of a grid that the suite runs.
pub fn tenth(grid: Vec<Case>) -> impl Iterator<Item = Case> {
    grid.into_iter().step_by(TENTH)
}

/// The number that today draws a case by: days since 1970, in UTC.
pub fn today() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |since| since.as_secs() / 86_400)
}

/// The stage that a number draws: a published example with another supply, other feeds of
/// the screens, real resistances, and in push-pull two sides that are unlike.
///
/// # Errors
/// When there is no published example to start from.
pub fn drawn(seed: u64) -> Result<Case> {
    let mut rng = Rng::with_seed(seed);
    let examples: Vec<_> = examples().collect();
    let (tube, _, example) = rng.choice(examples).context("no published example")?;
    let mut stage = as_published(tube, example);
    stage.plate_supply.volts *= 0.85 + 0.3 * rng.f64();
    stage.plate_supply.ohms = sometimes(&mut rng, 300.0);
    stage.primary_ohms = sometimes(&mut rng, 0.08 * example.load_ohms);
    stage.tubes_per_side = rng.u32(1..=2);
    if tube.kind == Kind::Triode {
        stage.screen = ScreenFeed::Tap(1.0);
        stage.stoppers = Stoppers::default();
    } else {
        stage.screen = match rng.u32(0..4) {
            0 => ScreenFeed::Tap(rng.f64()),
            1 => ScreenFeed::Tap(1.0),
            2 => ScreenFeed::Dropper(sometimes(&mut rng, 2_000.0)),
            _ => ScreenFeed::Own(Supply {
                volts: example.screen_volts().min(stage.plate_supply.volts),
                ohms: sometimes(&mut rng, 2_000.0),
            }),
        };
        stage.stoppers = Stoppers {
            each: sometimes(&mut rng, 1_500.0),
            common: match stage.screen {
                ScreenFeed::Tap(_) => 0.0,
                _ => sometimes(&mut rng, 1_500.0),
            },
        };
    }
    if stage.topology == Topology::PushPull {
        stage.imbalance = Imbalance {
            current: sometimes(&mut rng, 0.2),
            drive: sometimes(&mut rng, 0.15),
            turns: sometimes(&mut rng, 0.05),
        };
    }
    Ok(Case {
        name: format!("drawn::{seed}_{}", tube.designation),
        stage,
        drive: Drive::OfGridCurrent(0.1 + 0.9 * rng.f64()),
        load: example.load_ohms / f64::from(stage.tubes_per_side) * 5_f64.powf(rng.f64() - 0.5),
    })
}

/// Nothing, every other time, else anything up to the most.
fn sometimes(rng: &mut Rng, most: f64) -> f64 {
    if rng.bool() { most * rng.f64() } else { 0.0 }
}

fn examples() -> impl Iterator<Item = (&'static Tube, usize, &'static OperatingExample)> {
    tubes().iter().flat_map(|tube| {
        let examples = tube.examples.iter().enumerate();
        examples.map(move |(at, example)| (tube, at, example))
    })
}

/// One tube a side on stiff supplies, without winding resistance.
fn as_published(tube: &Tube, example: &OperatingExample) -> Stage {
    let strapped = tube.kind == Kind::Triode || example.connection == TubeConnection::Triode;
    Stage {
        model: tube.model,
        topology: example.topology,
        tubes_per_side: 1,
        plate_supply: Supply {
            volts: example.plate_volts,
            ohms: 0.0,
        },
        screen: if strapped {
            ScreenFeed::Tap(1.0)
        } else {
            ScreenFeed::Own(Supply {
                volts: example.screen_volts(),
                ohms: 0.0,
            })
        },
        bias: example.bias,
        stoppers: Stoppers {
            each: 0.0,
            common: example.screen_ohms,
        },
        primary_ohms: 0.0,
        imbalance: Imbalance::default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_draws_the_same_case_every_time() {
        let of = |seed| drawn(seed).expect("a case");
        assert_eq!(of(7).stage, of(7).stage);
        assert_ne!(of(7).stage, of(8).stage);
    }

    #[test]
    fn a_tenth_is_a_tenth() {
        let grid = published();
        let whole = grid.len();
        assert_eq!(tenth(grid).count(), whole.div_ceil(10));
    }
}
