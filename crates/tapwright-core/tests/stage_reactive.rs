//! The load with reactance: it is the resistive one where there is no reactance, and it obeys
//! its own circuit where there is.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use num_complex::Complex64;
use tapwright_stage::{Drive, Imbalance, ScreenFeed, Solver, Stage, Stoppers, Supply};
use tapwright_tube::{Bias, Topology, find};

fn stage(tube: &str, topology: Topology, screen: ScreenFeed, bias: Bias) -> Stage {
    Stage {
        model: find(tube).unwrap().model,
        topology,
        tubes_per_side: 1,
        plate_supply: Supply {
            volts: 265.0,
            ohms: 150.0,
        },
        screen,
        bias,
        stoppers: Stoppers::default(),
        primary_ohms: 300.0,
        imbalance: Imbalance::default(),
    }
}

fn stages() -> [(Stage, f64); 7] {
    let own = ScreenFeed::Own(Supply {
        volts: 250.0,
        ohms: 100.0,
    });
    let (single, pair) = (Topology::SingleEnded, Topology::PushPull);
    let stopped = |each, common| {
        let mut stage = stage("EL84", pair, ScreenFeed::Dropper(0.0), Bias::Cathode(130.0));
        stage.stoppers = Stoppers { each, common };
        (stage, 8_000.0)
    };
    [
        stopped(1_000.0, 0.0),
        stopped(470.0, 1_500.0),
        (stage("6V6GT", single, own, Bias::Fixed(-12.5)), 5_000.0),
        (
            stage(
                "EL84",
                single,
                ScreenFeed::Dropper(470.0),
                Bias::Cathode(150.0),
            ),
            5_200.0,
        ),
        (stage("6AQ5", pair, own, Bias::Fixed(-15.0)), 10_000.0),
        (
            stage("EL84", pair, ScreenFeed::Tap(0.2), Bias::Cathode(130.0)),
            8_000.0,
        ),
        (
            stage("2A3", single, ScreenFeed::Tap(1.0), Bias::Fixed(-45.0)),
            2_500.0,
        ),
    ]
}

/// Without reactance every instant is the resistive one, up to full drive and beyond.
#[test]
fn a_resistance_is_a_resistance() {
    for (stage, load) in stages() {
        for drive in [Drive::OfGridCurrent(1.0), Drive::Peak(40.0)] {
            let mut solver = Solver::new(stage);
            let cycle = solver.cycle(load, drive).unwrap();
            let path = solver.path().to_vec();
            let same = Solver::new(stage)
                .reactive(400.0, &|_| Complex64::new(load, 0.0), drive)
                .unwrap();
            assert!((same.watts / cycle.watts - 1.0).abs() < 1e-6, "{stage:?}");
            assert!(
                (same.thd - cycle.thd).abs() < 1e-6,
                "{} {}",
                same.thd,
                cycle.thd
            );
            for (a, b) in same.path.iter().zip(&path) {
                let off = (a.plate_volts[0] - b.plate_volts[0]).abs();
                assert!(off < 2e-3, "{off} V at {}", a.angle);
            }
        }
    }
}

/// A speaker near its resonance and in the treble, `R + jX`: the volts across the load follow
/// from its currents harmonic by harmonic, and the power is that of the resistance.
#[test]
fn the_load_obeys_its_impedance() {
    for (stage, load) in stages() {
        let z = |hertz: f64| {
            let resonance = Complex64::new(5.0 * load, 0.0)
                / Complex64::new(1.0, 4.0 * (hertz / 90.0 - 90.0 / hertz));
            Complex64::new(0.8 * load, load * hertz / 3_000.0) + resonance
        };
        for hertz in [40.0, 80.0, 110.0, 400.0, 5_000.0] {
            for drive in [
                Drive::OfGridCurrent(0.5),
                Drive::OfGridCurrent(1.0),
                Drive::Peak(30.0),
            ] {
                let found = Solver::new(stage).reactive(hertz, &z, drive).unwrap();
                assert!(
                    found.watts > 0.0 && found.thd.is_finite(),
                    "{hertz} {stage:?}"
                );
                let count = found.path.len() as f64;
                let harmonic = |k: f64, pick: &dyn Fn(usize) -> f64| -> Complex64 {
                    (0..found.path.len())
                        .map(|n| {
                            2.0 / count
                                * pick(n)
                                * Complex64::from_polar(1.0, -k * found.path[n].angle)
                        })
                        .sum()
                };
                let tap = match stage.screen {
                    ScreenFeed::Tap(tap) => tap,
                    _ => 0.0,
                };
                // In push-pull the load's current is half the difference of the sides'.
                let amps = |n: usize| {
                    let i = &found.path[n];
                    let w = [0, 1].map(|j| i.plate_amps[j] + tap * i.screen_amps[j]);
                    match stage.topology {
                        Topology::SingleEnded => w[0],
                        Topology::PushPull => 0.5 * (w[0] - w[1]),
                    }
                };
                for k in 1..=7_u8 {
                    let k = f64::from(k);
                    let volts = harmonic(k, &|n| found.path[n].load_volts);
                    let expected = z(k * hertz) * harmonic(k, &amps);
                    let off = (volts - expected).norm();
                    assert!(off < 1e-3, "harmonic {k} at {hertz} Hz: {off} V, {stage:?}");
                }
            }
        }
    }
}
