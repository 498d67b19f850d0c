//! The heaters in numbers.

use maud::{Markup, html};
use tapwright_core::heaters::{Cathode, HeaterReport, Raised, Tie, Tied};
use tapwright_units::Unit;

use super::bewares::role;
use crate::number;
use crate::view::Scene;
use crate::words;
use crate::words::say::say;

/// The load and the volts in a few words.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let report = &scene.heaters().report;
    if report.tubes.is_empty() {
        return html! { "no tube is typed yet" };
    }
    let amps = number::computed(report.load_amps, Unit::Ampere);
    let volts = number::computed(report.present.volts, Unit::AcVolt);
    match report.winding.rated_amps {
        Some(rated) => say!(
            "{amps} of {rated}, {volts}",
            amps = amps,
            rated = number::given(rated, Unit::Ampere),
            volts = volts,
        ),
        None => html! { (amps) ", " (volts) },
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
                td { (load(report)) }
            }
            tr {
                th scope="row" { @if present.is_read { "volts, as read" } @else { "volts at the heaters" } }
                td { (number::computed(present.volts, Unit::AcVolt)) ", " (off) }
            }
        } }
        @if !present.is_read { p .hint { (counted_at(report)) } }
    }
}

fn load(report: &HeaterReport) -> Markup {
    let amps = number::computed(report.load_amps, Unit::Ampere);
    match report.winding.rated_amps {
        Some(rated) => say!(
            "{amps}, {share} of its rating",
            amps = amps,
            share = number::percent_short(report.load_amps / rated),
        ),
        None => html! { (amps) },
    }
}

/// What the volts at the heaters rest on.
fn counted_at(report: &HeaterReport) -> Markup {
    html! {
        @match report.present.mains {
            Some(mains) => (say!(
                "The mains stands at {off} against the volts of its tap.",
                off = number::percent_off(mains - 1.0),
            )),
            None => "The mains stands at its rated volts.",
        }
        " "
        @if report.winding.rated_amps.is_none() { "The stamped volts are taken for those at this load." " " }
        "Tubes want their volts within 10\u{a0}%, for a long life within 5\u{a0}% (common practice, no source)."
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
            @if let Some(level) = report.level.filter(|level| *level > 0.0) {
                (say!("The heaters stand at {volts}.", volts = number::computed(level, Unit::Volt))) " "
            }
            @if let Some([low, high]) = report.window.filter(|[_, high]| high.is_finite()) {
                (say!(
                    "From {low} to {high} would suit every tube here.",
                    low = number::computed(low, Unit::Volt),
                    high = number::computed(high, Unit::Volt),
                ))
                " "
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
            th scope="row" { (say!("{tube} of {role}", tube = cathode.tube, role = role(cathode.role))) }
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
                Some(trimmer) => (say!(
                    "A trimmer of {ohms} between the two, its wiper to ground, takes up their tolerance: {left} left instead \
                     of {worst}, set by ear.",
                    ohms = number::given(trimmer.ohms, Unit::Ohm),
                    left = number::computed(trimmer.leaves, Unit::AcVolt),
                    worst = number::computed(tied.worst, Unit::AcVolt),
                )),
                None => "The two are too unlike for a trimmer.",
            }
        }
    }
}

fn divider(raised: &Raised) -> Markup {
    let (Some(divider), Some(volts), Some([upper, lower])) =
        (raised.divider, raised.volts, raised.watts)
    else {
        return html! {};
    };
    html! {
        p .standing {
            (say!(
                "Raised: <b>{upper}</b> from B+ and <b>{lower}</b> to ground give <b>{volts}</b>, with {upper_watts} and \
                 {lower_watts} in them. The heaters’ tap goes to their joint, and 10\u{a0}µF or more from there to ground. \
                 If the lower one opens, that capacitor and every heater see {supply}.",
                upper = number::given(divider.upper, Unit::Ohm),
                lower = number::given(divider.lower, Unit::Ohm),
                volts = number::computed(volts, Unit::Volt),
                upper_watts = number::computed(upper, Unit::Watt),
                lower_watts = number::computed(lower, Unit::Watt),
                supply = number::given(divider.supply, Unit::Volt),
            ))
        }
    }
}
