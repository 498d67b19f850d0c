//! The heaters in numbers.

use maud::{Markup, html};
use tapwright_core::heaters::{Cathode, HeaterReport, Raised, Tie, Tied};
use tapwright_units::Unit;

use super::bewares::role;
use crate::number;
use crate::view::Scene;
use crate::words;

/// The load and the volts in a few words.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let report = &scene.heaters().report;
    html! {
        @if report.tubes.is_empty() { "no tube is typed yet" }
        @else {
            (number::computed(report.load_amps, Unit::Ampere))
            @if let Some(rated) = report.winding.rated_amps { " of " (number::given(rated, Unit::Ampere)) }
            ", " (number::computed(report.present.volts, Unit::AcVolt))
        }
    }
}

pub(super) fn numbers(report: &HeaterReport) -> Markup {
    html! {
        @if !report.tubes.is_empty() { (winding(report)) }
        @if !report.cathodes.is_empty() && report.level.is_some() { (cathodes(report)) }
        @if let Tie::Resistors(tied) = report.tie { (trimmer(&tied)) }
        @if let Some(raised) = report.raised { (divider(&raised)) }
    }
}

fn winding(report: &HeaterReport) -> Markup {
    let on_it = report.tubes.iter().filter(|tube| tube.is_on_winding);
    let tubes: Vec<String> = on_it
        .map(|tube| {
            let amps = number::given(tube.heater.amps, Unit::Ampere);
            format!("{} {} × {amps}", tube.tube, tube.bottles)
        })
        .collect();
    let present = report.present;
    let off = match present.off.abs() < 5e-4 {
        true => "as it should be".into(),
        false => number::percent_off(present.off),
    };
    html! {
        table .shares { tbody {
            tr { th scope="row" { "tubes on it" } td { (words::in_a_row(&tubes)) } }
            tr {
                th scope="row" { "load, all in all" }
                td {
                    (number::computed(report.load_amps, Unit::Ampere))
                    @if let Some(rated) = report.winding.rated_amps { ", " (number::percent_short(report.load_amps / rated)) " of its rating" }
                }
            }
            tr {
                th scope="row" { @if present.is_read { "volts, as read" } @else { "volts at the heaters" } }
                td { (number::computed(present.volts, Unit::AcVolt)) ", " (off) }
            }
        } }
        @if !present.is_read {
            p .hint {
                @match present.mains {
                    Some(mains) => { "With the mains at " (number::percent_off(mains - 1.0)) " of its tap" },
                    None => "At the rated mains",
                }
                @if report.winding.rated_amps.is_none() { ", and if the stamped volts are those at this load" }
                ". Tubes want their volts within 10\u{a0}%, for a long life within 5\u{a0}% (common practice, no source)."
            }
        }
    }
}

fn cathodes(report: &HeaterReport) -> Markup {
    html! {
        table .shares {
            thead { tr {
                th scope="col" { "from heater to cathode" }
                th scope="col" { "cathode" }
                th scope="col" { "peak" }
                th scope="col" { "limit" }
            } }
            tbody { @for cathode in &report.cathodes { (row(cathode)) } }
        }
        p .hint {
            @if let Some(level) = report.level.filter(|level| *level > 0.0) { "The heaters stand at " (number::computed(level, Unit::Volt)) ". " }
            @match report.window {
                Some([low, high]) if high.is_finite() => {
                    "From " (number::computed(low, Unit::Volt)) " to " (number::computed(high, Unit::Volt)) " would suit every tube here. "
                },
                _ => {},
            }
            "Limits are from memory."
        }
    }
}

fn row(cathode: &Cathode) -> Markup {
    let volts = |volts: Option<f64>, unknown: &str| match volts {
        Some(volts) => number::computed(volts, Unit::Volt),
        None => unknown.to_owned(),
    };
    html! {
        tr {
            th scope="row" { (cathode.tube) " of " (role(cathode.role)) }
            td .number { (volts(cathode.volts, "not known yet")) }
            td .number .bad[cathode.is_over()] { (volts(cathode.peak, "")) }
            td .number { (volts(cathode.limit, "not known")) }
        }
    }
}

fn trimmer(tied: &Tied) -> Markup {
    html! {
        p .standing {
            @match tied.trimmer {
                Some(trimmer) => {
                    "A trimmer of " (number::given(trimmer.ohms, Unit::Ohm)) " between the two, its wiper to ground, takes up their tolerance: "
                    (number::computed(trimmer.leaves, Unit::AcVolt)) " left instead of " (number::computed(tied.worst, Unit::AcVolt)) ", set by ear."
                },
                None => "The two are too unlike for a trimmer.",
            }
        }
    }
}

fn divider(raised: &Raised) -> Markup {
    html! {
        @if let (Some(divider), Some(volts), Some([upper, lower])) = (raised.divider, raised.volts, raised.watts) {
            p .standing {
                "Raised: " b { (number::given(divider.upper, Unit::Ohm)) } " from B+ and " b { (number::given(divider.lower, Unit::Ohm)) }
                " to ground give " b { (number::computed(volts, Unit::Volt)) } ", with "
                (number::computed(upper, Unit::Watt)) " and " (number::computed(lower, Unit::Watt)) " in them. The heaters’ tap goes to their joint, "
                "and 10\u{a0}µF or more from there to ground. If the lower one opens, that capacitor and every heater see "
                (number::given(divider.supply, Unit::Volt)) "."
            }
        }
    }
}
