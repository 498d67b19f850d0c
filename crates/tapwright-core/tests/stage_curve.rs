//! The load curve against the exact solution at loads between its own.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use tapwright_stage::{
    Drive, Imbalance, LoadCurve, ScreenFeed, Solver, Stage, Stoppers, StressCurve, Supply, stress,
};
use tapwright_tube::{Kind, OperatingExample, Tube, tubes};

/// The stage of a published example, with the resistances of a real supply and winding.
fn stage_of(tube: &Tube, example: &OperatingExample) -> Stage {
    let volts = example.plate_volts;
    Stage {
        model: tube.model,
        topology: example.topology,
        tubes_per_side: 1,
        plate_supply: Supply { volts, ohms: 100.0 },
        screen: if tube.kind == Kind::Triode {
            ScreenFeed::Tap(1.0)
        } else {
            ScreenFeed::Own(Supply {
                volts: example.screen_volts(),
                ohms: 470.0,
            })
        },
        bias: example.bias,
        stoppers: Stoppers::default(),
        primary_ohms: 200.0,
        imbalance: Imbalance::default(),
    }
}

fn examples() -> impl Iterator<Item = (Stage, f64, String)> {
    tubes().iter().flat_map(|tube| {
        tube.examples.iter().map(|example| {
            let name = format!("{} {:.0} Ω", tube.designation, example.load_ohms);
            (stage_of(tube, example), example.load_ohms, name)
        })
    })
}

/// Between the loads of the lattice, from an eighth to eight times the target: power within
/// 0.1 % and 0.05 points of distortion of the exact solution.
#[test]
fn between_its_loads_the_curve_is_exact() {
    let mut worst = (0.0_f64, 0.0_f64);
    for (stage, target, name) in examples() {
        let curve = LoadCurve::solve(stage, target, (target, target)).unwrap();
        let mut solver = Solver::new(stage);
        for step in -20..=20 {
            let load = target * 8_f64.powf(f64::from(step) / 20.3);
            let exact = solver.cycle(load, Drive::OfGridCurrent(1.0)).unwrap();
            let read = curve.at(load).unwrap();
            let watts = (read.watts / exact.watts - 1.0).abs();
            let thd = (read.thd - exact.thd).abs();
            assert!(watts < 1e-3, "{name} at {load:.0} Ω: power off by {watts}");
            assert!(thd < 5e-4, "{name} at {load:.0} Ω: distortion off by {thd}");
            worst = (worst.0.max(watts), worst.1.max(thd));
        }
    }
    println!(
        "worst: {:.4} % of power, {:.4} points of distortion",
        worst.0 * 100.0,
        worst.1 * 100.0
    );
}

/// The same for stress, at three loads to the octave: within 3 % of the exact, or a
/// hundredth of a watt.
#[test]
fn between_its_loads_the_stress_is_right() {
    let mut worst = 0.0_f64;
    for (stage, target, name) in examples() {
        let onsets = LoadCurve::solve(stage, target, (target, target)).unwrap();
        let curve = StressCurve::solve(stage, onsets.every_other());
        let mut solver = Solver::new(stage);
        for step in -10..=10 {
            let load = target * 8_f64.powf(f64::from(step) / 10.3);
            let exact = stress::against_drive(&mut solver, load, &stress::DRIVES).unwrap();
            for (a, b) in curve.at(load).unwrap().iter().zip(&exact) {
                for (a, b) in [
                    (a.plate_watts, b.plate_watts),
                    (a.screen_watts, b.screen_watts),
                    (a.peak_plate_volts, b.peak_plate_volts),
                    (1e3 * a.cathode_amps, 1e3 * b.cathode_amps),
                ] {
                    let off = (a - b).abs() / b.max(1.0);
                    assert!(off < 0.03, "{name} at {load:.0} Ω: {a} against {b}");
                    worst = worst.max(off);
                }
            }
        }
    }
    println!("worst: {:.2} %", worst * 100.0);
}
