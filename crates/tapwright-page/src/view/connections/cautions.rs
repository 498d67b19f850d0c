//! The cautions that every page of this job carries, and what is not counted.

use maud::{Markup, html};
use tapwright_iron::iron::Imperfection;

use super::iron;
use crate::view::Scene;
use crate::words;
use crate::words::say::say;

/// The first of them.
pub(super) fn in_brief(_: &Scene) -> Markup {
    html! { "several hundred volts, enough to kill" }
}

pub(super) fn cautions(scene: &Scene) -> Markup {
    html! {
        ul {
            li { b { "Several hundred volts are in there, enough to kill, with the power off too." } " " "Discharge the filter capacitors and measure that they are empty. One hand. Never alone." }
            li { "Test a transformer at low AC voltage, off the amplifier. Feeding a secondary steps up: the primary can reach hundreds of volts." }
            li { "Never run an output stage without a load. Never join two taps." }
            li { "Insulate the unused primary lead and taps: they carry full swing." }
            li { "A selector that breaks before it makes opens the load: switch with the amplifier off or quiet, use a shorting type, or leave a bleeder resistor across the secondary." }
            li { "Fuse value and mains wiring as the transformer’s maker and local codes say; licensed practice where the law asks for it." }
        }
        h3 { "Not counted here" }
        p { (not_counted(scene)) }
    }
}

/// What the numbers leave out, with this set-up.
fn not_counted(scene: &Scene) -> Markup {
    let report = scene.report;
    let mut left_out = iron::left_out(&report.solved.iron);
    let mut also = |words: &str| left_out.push(words.to_owned());
    let typed = &scene.values.stage;
    if typed.frequency.is_none() {
        also("the speakers’ rise at resonance and in the treble (no frequency is typed)");
    } else if !report
        .solved
        .iron
        .not_counted
        .contains(&Imperfection::Capacitance)
    {
        also("the winding’s capacitance along the path at a frequency");
    }
    match report.solved.stage() {
        Some(stage) => {
            if stage.stage.plate_supply.ohms == 0.0 {
                also("the supply’s resistance (none is typed)");
            }
            also("grid current and blocking");
        }
        None => also("what the tube’s own curves make of a load"),
    }
    let left_out = words::sentence_case(&words::in_a_row(&left_out));
    match report.solved.measured {
        Some(_) => say!(
            "{left_out}. Ratios follow from the readings; tubes are average new ones.",
            left_out = left_out,
        ),
        None => say!(
            "{left_out}. Ratios follow from rated impedances; tubes are average new ones.",
            left_out = left_out,
        ),
    }
}
