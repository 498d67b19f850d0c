//! Whole stages, at idle and driven.

use anyhow::{Context, bail, ensure};
use tapwright_core::spice::Netlist;
use tapwright_stage::{Drive, Stage};
use tapwright_tests::circuit::{self, Pair, compare};
use tapwright_tube::Model;

use crate::Outcome;
use crate::parts::{self, Case};

/// Both agree on a stage at each of its loads.
pub fn agrees(case: &Case) -> Outcome {
    let mut loads = case.loads.iter();
    loads.try_for_each(|load| agree(case.stage, *load, case.drive))
}

/// Both agree on a stage at one load.
pub fn agree(stage: Stage, load: f64, drive: Drive) -> Outcome {
    let pairs = compare(stage, load, drive)?;
    ensure!(
        pairs.iter().all(|pair| pair.excess() <= 1.0),
        "into {load} ohms:\n{}",
        table(&pairs)
    );
    Ok(())
}

fn table(pairs: &[Pair]) -> String {
    let lines: Vec<String> = pairs.iter().map(Pair::to_string).collect();
    lines.join("\n")
}

/// A part two per cent off in the netlist alone is noticed, so an agreement says something.
pub fn altered_part_is_noticed() -> Outcome {
    let case = parts::cases()
        .into_iter()
        .find(|case| case.name == "stages::single_ended_pentode_cathode_bias_dropper")
        .context("the case is gone")?;
    let (stage, drive, load) = (case.stage, case.drive, case.loads[1]);
    let text = Netlist::new(stage, load, drive)?.to_string();
    let Model::Pentode(tube) = stage.model else {
        bail!("the case has another tube");
    };
    for (part, value) in [
        ("mu=", tube.mu),
        (" p=", tube.perveance),
        ("Rcathode k 0 ", 150.0),
        ("Vsupply b0 0 ", 270.0),
        ("Rload load 0 ", 5_200.0),
    ] {
        let right = format!("{part}{value}");
        let altered = format!("{part}{}", 1.02 * value);
        ensure!(text.contains(&right), "{right} is not in\n{text}");
        let printed = circuit::run(&text.replace(&right, &altered))?;
        let pairs = circuit::pairs(&printed, stage, load, drive)?;
        ensure!(
            pairs.iter().any(|pair| pair.excess() > 1.0),
            "{altered} instead of {right} went unnoticed:\n{}",
            table(&pairs)
        );
    }
    // And what is noticed is the part, not a netlist that does not work.
    let loads = vec![load];
    agrees(&Case { loads, ..case })
}
