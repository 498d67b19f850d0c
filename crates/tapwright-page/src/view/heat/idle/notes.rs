//! What to beware of at idle.

use maud::{Markup, html};
use tapwright_core::idle::{Doubt, IdleReport, Note, Read, Which};
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words;
use crate::words::say::say;

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
        Note::PlateOverLimit(share) => say!(
            "<b>The plate is over its limit: {share}.</b> \
             More resistance at the cathode, or a more negative grid, before the amplifier runs on.",
            share = number::percent_short(share),
        ),
        Note::ScreenOverLimit(share) => say!(
            "<b>The screen is over its limit: {share}.</b> \
             A resistor at the screen, or less screen voltage, mends it.",
            share = number::percent_short(share),
        ),
        Note::HotPair(share) => say!(
            "<b>Hot for a fixed-bias pair: {share} at idle.</b> \
             In class AB a signal adds to it; up to 70 % is common practice, no source.",
            share = number::percent_short(share),
        ),
        Note::WantedOverLimit(share) => say!(
            "<b>More than the tube’s limit is wanted: {share} of {limit}.</b> \
             It shortens the tube’s life, and may make the plate glow.",
            share = number::percent_short(share),
            limit = number::given(limit, Unit::Watt),
        ),
        Note::WantedHotPair(share) => say!(
            "<b>That is hot for a fixed-bias pair: {share} of the limit at idle.</b> \
             In class AB a signal adds to it; up to 70 % is common practice, no source.",
            share = number::percent_short(share),
        ),
        Note::LimitUnknown => say!(
            "<b>The plate’s limit is not known.</b> \
             Type the dissipation in watts, or the limit of your own tube."
        ),
        Note::CathodeResistorBurns(over) => say!(
            "<b>The cathode resistor would dissipate {watts}.</b> \
             Are its ohms typed right? So much burns most resistors.",
            watts = watts(over),
        ),
        Note::ScreenResistorBurns(over) => say!(
            "<b>The screen resistor would dissipate {watts}.</b> \
             Are its ohms typed right? So much burns most resistors.",
            watts = watts(over),
        ),
        Note::PositiveGrid => positive_grid(report),
        Note::Contradiction => contradiction(report),
        Note::OtherSettingOdd => say!(
            "<b>The second setting does not belong to this tube.</b> \
             No shift of a few volts at its grid gives both readings; it is left out."
        ),
        Note::NotScaled => say!(
            "<b>The tube’s model cannot be brought to these readings.</b> \
             What is said of other settings is for a new tube."
        ),
    }
}

fn positive_grid(report: &IdleReport) -> Markup {
    let Some(leak) = report.leak else {
        return html! {};
    };
    let amps = number::computed(leak.amps, Unit::Ampere);
    html! {
        b {
            (say!(
                "The grid stands {volts} above ground: the coupling capacitor leaks, or the tube is gassy.",
                volts = number::computed(leak.grid_volts, Unit::Volt),
            ))
        }
        " "
        @match leak.insulation_ohms {
            Some(ohms) => (say!(
                "{amps} flows through the grid leak, an insulation of some {ohms} if the capacitor is to blame.",
                amps = amps,
                ohms = number::about(ohms, Unit::Ohm),
            )),
            None => (say!("{amps} flows through the grid leak.", amps = amps)),
        }
        " "
        "Switch off, discharge, take the tube out and read again: what stays comes through the capacitor. \
         Mend that before anything is set: what is wanted is answered when the grid is back where it belongs."
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
                [] => "The readings contradict each other, and more than one is wrong.",
                [one] => (say!("The readings contradict each other: all but {one} agree.", one = one)),
                _ => "The readings contradict each other.",
            }
        }
        @if let [one, other] = found.ways.as_slice() {
            " "
            (say!(
                "By the cathode the plates draw {one}, by the primary {other}.",
                one = number::with_doubt(one.plate_amps, Unit::Ampere),
                other = number::with_doubt(other.plate_amps, Unit::Ampere),
            ))
        }
        @if names.len() > 1 {
            " "
            (say!(
                "One of these does not belong: {names}. Read them again.",
                names = words::in_a_row(&names),
            ))
        }
    }
}

fn name(which: Which, sides: usize) -> String {
    let of = |side: usize, what: &str| match (sides, side) {
        (1, _) => what.to_owned(),
        (_, 0) => format!("{what} of the first tube"),
        _ => format!("{what} of the second tube"),
    };
    match which {
        Which::Supply => "B+ by the meter".into(),
        Which::Plate(side) => of(side, "the plate volts"),
        Which::Screen(side) => of(side, "the screen volts"),
        Which::Cathode(side) => of(side, "the cathode volts"),
        Which::PrimaryDrop(side) => of(side, "the drop over the primary"),
        Which::ScreenDrop(side) => of(side, "the drop over the screen resistor"),
        Which::CathodeResistor => "the cathode resistor’s ohms".into(),
        Which::Winding => "the primary’s ohms".into(),
    }
}
