//! What must hold for any stage: it ends, nothing is NaN, and energy is conserved.

use tapwright_stage::{Drive, Imbalance, ScreenFeed, Solver, Stage, Stoppers, Supply};
use tapwright_tube::{Bias, Kind, Topology, tubes};

/// A plain congruential generator (Knuth's MMIX constants): the same run every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.roll())
    }
}

fn any_stage(dice: &mut Dice) -> Stage {
    let tube = &tubes()[(dice.roll() * tubes().len() as f64) as usize % tubes().len()];
    let volts = dice.between(20.0, 800.0);
    let screen = match (tube.kind, (dice.roll() * 4.0) as u32) {
        (Kind::Triode, _) | (_, 0) => ScreenFeed::Tap(1.0),
        (_, 1) => ScreenFeed::Tap(dice.roll()),
        (_, 2) => ScreenFeed::Dropper(dice.between(1.0, 1e4)),
        _ => ScreenFeed::Own(Supply {
            volts: dice.between(20.0, 800.0),
            ohms: dice.between(0.1, 1e4),
        }),
    };
    let steady = !matches!(screen, ScreenFeed::Tap(_));
    let stoppers = match (dice.roll() * 4.0) as u32 {
        0 | 1 => Stoppers::default(),
        2 => Stoppers {
            each: dice.between(1.0, 1e5),
            common: 0.0,
        },
        _ => Stoppers {
            each: if dice.roll() < 0.5 { 0.0 } else { 1e3 },
            common: if steady { dice.between(1.0, 1e5) } else { 0.0 },
        },
    };
    let balanced = dice.roll() < 0.5;
    let mut unlike = || {
        if balanced {
            0.0
        } else {
            2.0 * dice.roll() - 1.0
        }
    };
    let imbalance = Imbalance {
        current: unlike(),
        drive: unlike(),
        turns: unlike(),
    };
    Stage {
        model: tube.model,
        topology: if dice.roll() < 0.5 {
            Topology::SingleEnded
        } else {
            Topology::PushPull
        },
        tubes_per_side: 1 + (dice.roll() * 3.0) as u32,
        plate_supply: Supply {
            volts,
            ohms: if dice.roll() < 0.3 {
                0.0
            } else {
                dice.between(1.0, 2e3)
            },
        },
        screen,
        bias: if dice.roll() < 0.5 {
            Bias::Fixed(-100.0 * dice.roll())
        } else {
            Bias::Cathode(dice.between(10.0, 3e3))
        },
        stoppers,
        primary_ohms: if dice.roll() < 0.3 {
            0.0
        } else {
            dice.between(1.0, 1e3)
        },
        imbalance,
    }
}

/// Random tubes, voltages, loads from 1 Ω to 1 MΩ and drives far beyond grid current. The
/// power supplied comes out again within 0.5 %.
#[test]
fn every_stage_settles_and_conserves_energy() {
    let mut dice = Dice(1);
    let mut failed = Vec::new();
    let mut unsettled = Vec::new();
    for _ in 0..3_000 {
        let stage = any_stage(&mut dice);
        let load = dice.between(1.0, 1e6);
        let drive = match (dice.roll() * 3.0) as u32 {
            0 => Drive::Idle,
            1 => Drive::OfGridCurrent(dice.roll()),
            _ => Drive::Peak(dice.between(0.1, 300.0)),
        };
        match Solver::new(stage).cycle(load, drive) {
            Ok(cycle) => {
                assert!(
                    cycle.watts.is_finite() && cycle.thd.is_finite() && cycle.watts >= 0.0,
                    "{stage:?}"
                );
                let lost = cycle.energy_error().abs();
                if !(lost < 0.005 || cycle.supplied_watts < 1e-6) {
                    failed.push(format!("energy {lost}: {load} {drive:?} {stage:?}"));
                }
            }
            Err(why) => unsettled.push(format!("{why}: {load} {drive:?} {stage:?}")),
        }
    }
    for stage in &unsettled {
        eprintln!("not settled: {stage}");
    }
    assert!(
        failed.is_empty(),
        "{} of 3000 failed, the first: {}",
        failed.len(),
        failed[0]
    );
    assert!(
        unsettled.is_empty(),
        "{} of 3000 did not settle",
        unsettled.len()
    );
}

/// 32 instants in half a cycle give what 512 give.
#[test]
fn more_instants_change_nothing() {
    for tube in tubes().iter().filter(|t| !t.examples.is_empty()) {
        let e = &tube.examples[0];
        let stage = Stage {
            model: tube.model,
            topology: e.topology,
            tubes_per_side: 1,
            plate_supply: Supply {
                volts: e.plate_volts,
                ohms: 0.0,
            },
            screen: ScreenFeed::Own(Supply {
                volts: e.screen_volts(),
                ohms: 0.0,
            }),
            bias: e.bias,
            stoppers: Stoppers::default(),
            primary_ohms: 0.0,
            imbalance: Imbalance::default(),
        };
        for (times, drive) in [(0.125, 1.0), (1.0, 1.0), (8.0, 1.0), (1.0, 4.0), (4.0, 4.0)] {
            let at = |n| {
                let mut solver = Solver::with_instants(stage, n);
                let load = times * e.load_ohms;
                let full = solver.cycle(load, Drive::OfGridCurrent(1.0)).unwrap();
                solver
                    .cycle(load, Drive::Peak(drive * full.drive_peak))
                    .unwrap()
            };
            let (few, many) = (at(Solver::INSTANTS), at(512));
            let name = format!("{} {times} × load, {drive} × drive", tube.designation);
            let (power, thd) = if drive > 1.0 {
                (0.01, 0.01)
            } else {
                (1e-3, 1e-3)
            };
            let off = (few.watts / many.watts - 1.0).abs();
            assert!(off < power, "{name}: power off by {off}");
            let off = (few.thd - many.thd).abs();
            assert!(off < thd, "{name}: distortion off by {off}");
            let heat = many.sides[0].screen_watts;
            let off = (few.sides[0].screen_watts - heat).abs();
            assert!(off < 0.03 * heat.max(1.0), "{name}: {off} W of {heat} W");
        }
    }
}
