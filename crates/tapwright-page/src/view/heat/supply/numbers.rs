//! The supply in numbers: each capacitor, and what flows.

use maud::{Markup, html};
use tapwright_core::supply::{Node, SupplyReport};
use tapwright_units::Unit;

use super::{answered, duration};
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

fn volts(volts: f64) -> String {
    number::computed(volts, Unit::Volt)
}

pub(super) fn capacitors(report: &SupplyReport) -> Markup {
    let seconds = |seconds: Option<f64>| seconds.map_or_else(|| "never".into(), duration);
    type Row = (&'static str, fn(&Node) -> Option<String>);
    let rows: [Row; 6] = [
        ("at idle", |node| Some(volts(node.volts))),
        ("at full drive", |node| node.full.map(volts)),
        ("ripple, peak to peak", |node| Some(volts(node.ripple))),
        ("tubes pulled out", |node| Some(volts(node.open))),
        ("cold start, mains 10 % high", |node| Some(volts(node.cold))),
        ("rated", |node| {
            node.rated.map(|rated| number::given(rated, Unit::Volt))
        }),
    ];
    html! {
        h3 { "Each capacitor" }
        table .shares {
            caption .unseen { "Volts at each capacitor" }
            thead { tr {
                th scope="col" { "capacitor" }
                @for at in 0..report.nodes.len() {
                    th scope="col" { (at + 1) }
                }
            } }
            tbody {
                tr {
                    th scope="row" { "capacitance" }
                    @for node in &report.nodes { td .number { (number::given(node.farads, Unit::Farad)) } }
                }
                tr {
                    th scope="row" { "feeds" }
                    @for at in 0..report.nodes.len() { td .number { (feeds(report, at)) } }
                }
                @for (what, of) in rows {
                    @if report.nodes.iter().any(|node| of(node).is_some()) {
                        tr {
                            th scope="row" { (what) }
                            @for node in &report.nodes {
                                td .number { (of(node).unwrap_or_else(|| "–".into())) }
                            }
                        }
                    }
                }
                tr {
                    th scope="row" { "below 60 V, tubes hot" }
                    @for node in &report.nodes { td .number { (seconds(node.safe_with_tubes)) } }
                }
                tr {
                    th scope="row" { "below 60 V, tubes out" }
                    @for node in &report.nodes { td .number { (seconds(node.safe_without)) } }
                }
            }
        }
        @if report.is_fast {
            p .hint {
                "This rectifier gives its volts before the tubes conduct: every switching on is a cold start."
            }
        }
    }
}

/// What hangs at a capacitor.
fn feeds(report: &SupplyReport, at: usize) -> String {
    let places = report.places;
    let named = [
        (places.plates, "plates"),
        (places.screens, "screens"),
        (places.drivers, "drivers"),
    ];
    let here: Vec<&str> = (named.iter())
        .filter(|(place, _)| *place == at)
        .map(|(_, name)| *name)
        .collect();
    match here.is_empty() {
        true => "–".into(),
        false => here.join(", "),
    }
}

/// What the winding gives, and what the mains does.
pub(super) fn currents_in_brief(scene: &Scene) -> Markup {
    html! {
        @if let Some(report) = answered(scene) {
            (say!(
                "{peak} peak, {mains} from the mains",
                peak = number::computed(report.rectifier.peak, Unit::Ampere),
                mains = number::computed(report.mains.amps, Unit::Ampere),
            ))
        }
    }
}

pub(super) fn currents(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    let amps = |amps: f64| number::computed(amps, Unit::Ampere);
    let watts = |watts: f64| number::computed(watts, Unit::Watt);
    let rectifier = report.rectifier;
    html! {
        table .shares {
            caption .unseen { "What flows in the supply at idle" }
            thead { tr {
                th scope="col" { "at idle" }
                th scope="col" { "rms" }
                th scope="col" { "peak" }
                th scope="col" { "heat" }
            } }
            tbody {
                tr {
                    th scope="row" { "each rectifier, or plate" }
                    td .number { (amps(rectifier.rms)) }
                    td .number { (amps(rectifier.peak)) }
                    td .number { (say!("{watts} in all", watts = watts(report.rectifier_watts))) }
                }
                tr {
                    th scope="row" { "winding, or each half" }
                    td .number { (amps(report.winding.rms)) }
                    td .number { (amps(report.winding.peak)) }
                    td .number {}
                }
                @for (at, part) in report.parts.iter().enumerate() {
                    tr {
                        th scope="row" {
                            @match part.henries {
                                Some(henries) => (say!(
                                    "choke {henries} before capacitor {number}",
                                    henries = number::given(henries, Unit::Henry),
                                    number = at + 2,
                                )),
                                None => (say!(
                                    "resistor {ohms} before capacitor {number}",
                                    ohms = number::given(part.ohms, Unit::Ohm),
                                    number = at + 2,
                                )),
                            }
                        }
                        td .number { (amps(part.current.rms)) }
                        td .number { (amps(part.current.peak)) }
                        td .number { (watts(part.watts)) }
                    }
                }
            }
        }
        p .hint {
            (say!(
                "From the mains about {amps}: {for_b_plus} for B+ and {for_heaters} for the heaters that are known, without \
                 what magnetises the core. The fuse is what the transformer’s maker and the rules where you live ask for. \
                 A resistor is rated for twice its heat or more (common practice, no source).",
                amps = amps(report.mains.amps),
                for_b_plus = watts(report.mains.high_tension_watts),
                for_heaters = watts(report.mains.heater_watts),
            ))
        }
    }
}
