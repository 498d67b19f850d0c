//! What to beware of at idle.

use maud::{Markup, html};
use tapwright_core::idle::{Doubt, IdleReport, Note, Read, Which};
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words;

pub(super) fn notes(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    html! {
        @if !report.notes.is_empty() {
            ul .bewares { @for note in &report.notes { li { (words_of(report, *note)) } } }
        }
    }
}

fn words_of(report: &IdleReport, note: Note) -> Markup {
    let limit = report.limit.map_or(0.0, |limit| limit.plate_watts);
    let watts = |watts: f64| number::computed(watts, Unit::Watt);
    match note {
        Note::PlateOverLimit(share) => html! {
            b { "The plate is over its limit: " (number::percent_short(share)) ". " }
            "More resistance at the cathode, or a more negative grid, before the amplifier runs on."
        },
        Note::ScreenOverLimit(share) => html! {
            b { "The screen is over its limit: " (number::percent_short(share)) ". " }
            "A resistor at the screen, or less screen voltage, mends it."
        },
        Note::HotPair(share) => html! {
            b { "Hot for a fixed-bias pair: " (number::percent_short(share)) " at idle. " }
            "In class AB a signal adds to it; up to 70 % is common practice, no source."
        },
        Note::WantedOverLimit(share) => html! {
            b { "More than the tube’s limit is wanted: " (number::percent_short(share)) " of "
                (number::given(limit, Unit::Watt)) ". " }
            "It shortens the tube’s life, and may make the plate glow."
        },
        Note::WantedHotPair(share) => html! {
            b { "That is hot for a fixed-bias pair: " (number::percent_short(share)) " of the limit at idle. " }
            "In class AB a signal adds to it; up to 70 % is common practice, no source."
        },
        Note::LimitUnknown => html! {
            b { "The plate’s limit is not known. " }
            "Type the dissipation in watts, or the limit of your own tube."
        },
        Note::CathodeResistorBurns(over) => html! {
            b { "The cathode resistor would dissipate " (watts(over)) ". " }
            "Are its ohms typed right? So much burns most resistors."
        },
        Note::ScreenResistorBurns(over) => html! {
            b { "The screen resistor would dissipate " (watts(over)) ". " }
            "Are its ohms typed right? So much burns most resistors."
        },
        Note::PositiveGrid => positive_grid(report),
        Note::Contradiction => contradiction(report),
        Note::OtherSettingOdd => html! {
            b { "The second setting does not belong to this tube. " }
            "No shift of a few volts at its grid gives both readings; it is left out."
        },
        Note::NotScaled => html! {
            b { "The tube’s model cannot be brought to these readings. " }
            "What is said of other settings is for a new tube."
        },
    }
}

fn positive_grid(report: &IdleReport) -> Markup {
    let Some(leak) = report.leak else {
        return html! {};
    };
    html! {
        b { "The grid stands " (number::computed(leak.grid_volts, Unit::Volt)) " above ground: "
            "the coupling capacitor leaks, or the tube is gassy. " }
        (number::computed(leak.amps, Unit::Ampere)) " flows through the grid leak"
        @if let Some(ohms) = leak.insulation_ohms {
            ", an insulation of some " (number::about(ohms, Unit::Ohm)) " if the capacitor is to blame"
        }
        ". Switch off, discharge, take the tube out and read again: what stays comes through the capacitor. "
        "Mend that before anything is set: what is wanted is answered when the grid is back where it belongs."
    }
}

fn contradiction(report: &IdleReport) -> Markup {
    let Read::Found(found) = &report.read else {
        return html! {};
    };
    let Some(Doubt { suspects, .. }) = &found.doubt else {
        return html! {};
    };
    let names: Vec<String> = suspects
        .iter()
        .map(|which| name(*which, found.sides.len()))
        .collect();
    html! {
        b {
            @match names.as_slice() {
                [] => "The readings contradict each other, and more than one is wrong. ",
                [one] => { "The readings contradict each other: all but " (one) " agree. " }
                _ => "The readings contradict each other. ",
            }
        }
        @if let [one, other] = found.ways.as_slice() {
            "By the cathode the plates draw " (number::with_doubt(one.plate_amps, Unit::Ampere))
            ", by the primary " (number::with_doubt(other.plate_amps, Unit::Ampere)) ". "
        }
        @if names.len() > 1 {
            "One of these does not belong: " (words::in_a_row(&names)) ". Read them again."
        }
    }
}

fn name(which: Which, sides: usize) -> String {
    let of = |side: usize, what: &str| match (sides, side) {
        (1, _) => format!("the {what}"),
        (_, 0) => format!("the first tube’s {what}"),
        _ => format!("the second tube’s {what}"),
    };
    match which {
        Which::Supply => "B+ by the meter".into(),
        Which::Plate(side) => of(side, "plate volts"),
        Which::Screen(side) => of(side, "screen volts"),
        Which::Cathode(side) => of(side, "cathode volts"),
        Which::PrimaryDrop(side) => of(side, "drop over the primary"),
        Which::ScreenDrop(side) => of(side, "drop over the screen resistor"),
        Which::CathodeResistor => "the cathode resistor’s ohms".into(),
        Which::Winding => "the primary’s ohms".into(),
    }
}
