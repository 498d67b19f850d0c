//! Static plate and screen currents over a grid of voltages.

use std::fmt::Write;

use anyhow::{Result, ensure};
use tapwright_tests::circuit::{limit, run};
use tapwright_tube::deck::subcircuit;
use tapwright_tube::{Kind, Tube, tubes};

use crate::Outcome;

/// Parts of the tube's highest plate voltage: the knee, the working range, and beyond.
const PLATE: [f64; 7] = [0.01, 0.05, 0.1, 0.25, 0.6, 1.0, 2.0];
/// Parts of the same for the screen.
const SCREEN: [f64; 3] = [0.3, 0.7, 1.0];
/// Parts of the grid voltage that would cut the current off.
const GRID: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 0.95];
/// Currents below this are the simulator's own leakage, A.
const FLOOR: f64 = 1e-9;

/// All tubes with a screen.
pub fn pentodes() -> Outcome {
    let tubes = tubes().iter().filter(|tube| tube.kind != Kind::Triode);
    let points = tubes.map(check).sum::<Result<usize>>()?;
    ensure!(points > 500, "only {points} points");
    Ok(())
}

/// All triodes.
pub fn triodes() -> Outcome {
    let tubes = tubes().iter().filter(|tube| tube.kind == Kind::Triode);
    let points = tubes.map(check).sum::<Result<usize>>()?;
    ensure!(points > 100, "only {points} points");
    Ok(())
}

/// As many tubes side by side as there are points, each with its own sources.
fn check(tube: &Tube) -> Result<usize> {
    let triode = tube.kind == Kind::Triode;
    let (high, mu) = (
        tube.limits.first().map_or(300.0, |l| l.plate_volts),
        match tube.model {
            tapwright_tube::Model::Triode(t) => t.mu,
            tapwright_tube::Model::Pentode(p) => p.mu,
        },
    );
    let mut points = Vec::new();
    for plate in PLATE {
        let screens = if triode { vec![plate] } else { SCREEN.to_vec() };
        for screen in screens {
            for grid in GRID {
                let cut_off = -screen * high / mu;
                points.push([plate * high, screen * high, grid * cut_off]);
            }
        }
    }
    let mut netlist = format!("{} curves\n{}", tube.designation, subcircuit(&tube.model));
    let mut leads = String::new();
    for (n, [plate, screen, grid]) in points.iter().enumerate() {
        writeln!(netlist, "Vp{n} p{n} 0 {plate}\nVg{n} g{n} 0 {grid}")?;
        if triode {
            writeln!(netlist, "X{n} p{n} g{n} 0 tube")?;
            writeln!(leads, "print i(Vp{n})")?;
        } else {
            writeln!(netlist, "Vs{n} s{n} 0 {screen}\nX{n} p{n} s{n} g{n} 0 tube")?;
            writeln!(leads, "print i(Vp{n}) i(Vs{n})")?;
        }
    }
    writeln!(
        netlist,
        ".options reltol=1e-6\n.control\nset numdgt=9\nop\n{leads}quit 0\n.endc\n.end"
    )?;
    let printed = run(&netlist)?;
    for (n, [plate, screen, grid]) in points.iter().enumerate() {
        let flow = tube.model.flow(*plate, *screen, *grid);
        let mut currents = vec![("plate", format!("i(vp{n})"), flow.plate.amps)];
        if !triode {
            currents.push(("screen", format!("i(vs{n})"), flow.screen.amps));
        }
        for (what, name, own) in currents {
            let spice = -printed.value(&name)?;
            ensure!(
                (spice - own).abs() <= limit::DIRECT * own.abs() + FLOOR,
                "{} {what} current at {plate} V, screen {screen} V, grid {grid} V: \
                 ngspice {spice} A, own {own} A",
                tube.designation
            );
        }
    }
    Ok(points.len())
}
