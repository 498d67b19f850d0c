//! The supply: B+ from the mains transformer, and what it asks of rectifier and capacitors.

use maud::{Markup, html};
use tapwright_core::caution::supply::live;
use tapwright_core::supply::{Node, SupplyReport};
use tapwright_units::Unit;

mod charts;
mod numbers;
mod taps;

use crate::view::fold::Fold;
use crate::view::working::{equations, show};
use crate::view::{Region, Scene, region};
use crate::{number, words};

pub(in crate::view) use charts::charts;

/// What is folded away, in this order.
const FOLDS: [Fold; 5] = [
    Fold {
        id: "supply-taps",
        title: "Every mains tap",
        brief: taps::in_brief,
        content: taps::taps,
    },
    Fold {
        id: "supply-ripple",
        title: "B+ and its ripple",
        brief: |_| html! { "over two cycles of the mains" },
        content: |scene| scene.drawn("supply-wave"),
    },
    Fold {
        id: "supply-sag",
        title: "B+ against load",
        brief: sag_in_brief,
        content: |scene| scene.drawn("supply-load"),
    },
    Fold {
        id: "supply-currents",
        title: "What flows, and the heat",
        brief: numbers::currents_in_brief,
        content: numbers::currents,
    },
    Fold {
        id: "supply-workings",
        title: "By hand, with workings",
        brief: in_brief,
        content: workings,
    },
];

/// The region and those inside it.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![region("heat-supply", supply(scene))];
    if answered(scene).is_some() {
        regions.extend(FOLDS.iter().flat_map(|fold| fold.regions(scene)));
    }
    regions
}

fn answered<'a>(scene: &'a Scene) -> Option<&'a SupplyReport> {
    scene.supply()?.as_ref().ok()
}

fn supply(scene: &Scene) -> Markup {
    html! {
        h3 { "Supply" }
        @match scene.supply() {
            None => (missing(scene)),
            Some(Err(why)) => p .leaf-answer { b { "This cannot be computed: " } (why) "." },
            Some(Ok(report)) => {
                (sentence(scene, report))
                @if !report.cautions.is_empty() {
                    ul .bewares {
                        @for caution in &report.cautions {
                            li { (words::markup_in_sentence_case(words::supply::caution(caution))) }
                        }
                    }
                }
                (mended(report))
                (difference(report))
                (numbers::capacitors(report))
                div .folds { @for fold in FOLDS { (fold.line()) } }
            }
        }
    }
}

/// What is still to be typed.
fn missing(scene: &Scene) -> Markup {
    let solved = &scene.report.solved;
    let wants: Vec<String> = (solved.supply_wants.iter())
        .map(|field| field.row().label.to_lowercase())
        .collect();
    html! {
        @if let Some(caution) = live(solved) {
            p .leaf-answer .bad {
                (words::markup_in_sentence_case(words::supply::caution(&caution)))
            }
        }
        @if wants.is_empty() {
            p .reason {
                "Describe the mains transformer, the rectifier and the first capacitor under Supply: then B+, its ripple and sag, "
                "the mains tap and the volts on each capacitor stand here."
            }
        } @else {
            p .leaf-answer { "Still unknown: " b { (words::in_a_row(&wants)) } "." }
        }
    }
}

/// B+ and what matters most about it.
fn sentence(scene: &Scene, report: &SupplyReport) -> Markup {
    let node = &report.nodes[report.places.plates];
    let has_stage = scene.report.solved.stage().is_some();
    html! {
        p .leaf-answer {
            @if let Some(caution) = live(&scene.report.solved) {
                b .bad { (words::sentence_case(words::supply::caution_in_brief(&caution))) ". " }
            }
            "B+ comes to " b { (number::computed(report.volts, Unit::Volt)) }
            @if has_stage { " at idle" } @else { " without the output tubes" }
            ", with " (number::computed(node.ripple, Unit::Volt)) " of ripple"
            @if let Some(full) = node.full {
                "; at full drive " (number::computed(full, Unit::Volt))
            }
            ". "
            @if let Some(seconds) = slowest(report, |node| node.safe_with_tubes) {
                "Switched off, every capacitor is below 60 V after " (duration(seconds)) " while the tubes are hot"
            } @else {
                "Switched off, capacitors stay charged for more than an hour even with the tubes in"
            }
            "; without them "
            @match slowest(report, |node| node.safe_without) {
                Some(seconds) => (duration(seconds)),
                None => b { "they stay charged" },
            }
            "."
        }
        @if let Some(bleeder) = report.bleeder {
            p .reason {
                "A bleeder of " (number::given(bleeder.ohms, Unit::Ohm)) " across the first capacitor brings all below 60 V within 30 s without tubes "
                "(30 s: common practice, no source). It turns " (number::computed(bleeder.watts, Unit::Watt)) " into heat then: fit one rated for "
                (number::given((2.0 * bleeder.watts).ceil(), Unit::Watt)) ", and for the volts."
            }
        }
    }
}

/// Until the slowest capacitor is safe, s; `None` where one stays charged.
fn slowest(report: &SupplyReport, of: fn(&Node) -> Option<f64>) -> Option<f64> {
    let seconds: Option<Vec<f64>> = report.nodes.iter().map(of).collect();
    seconds?.into_iter().reduce(f64::max)
}

/// Seconds or minutes.
pub(super) fn duration(seconds: f64) -> String {
    match seconds {
        0.0..120.0 => format!("{} s", number::about(seconds, Unit::One).trim_end()),
        _ => format!(
            "{} min",
            number::about(seconds / 60.0, Unit::One).trim_end()
        ),
    }
}

/// The resistor that keeps the rectifier within its limits.
fn mended(report: &SupplyReport) -> Markup {
    html! {
        @if let Some(ohms) = report.plate_ohms {
            p .reason {
                (number::given(ohms.ceil(), Unit::Ohm)) " more at each plate of the rectifier keep it within its limits. "
                "They turn about " (number::computed(ohms * report.rectifier.rms.powi(2), Unit::Watt)) " each into heat."
            }
        }
    }
}

/// B+ as typed beside the computed one, and what the difference suggests. Common practice, no
/// source.
fn difference(report: &SupplyReport) -> Markup {
    let Some(typed) = report.typed else {
        return html! {};
    };
    let off = report.volts / typed - 1.0;
    html! {
        p .reason {
            "Everything else is computed with the " (number::given(typed, Unit::Volt)) " that is typed. "
            @if off.abs() < 0.03 {
                "The computed B+ is within " (number::percent_short(0.03)) " of it."
            } @else if off > 0.0 {
                "The computed B+ is " (number::percent_short(off)) " higher: a worn rectifier, a dried-out first capacitor (look at its ripple), "
                "more current than computed or less mains would explain it."
            } @else {
                "The computed B+ is " (number::percent_short(-off)) " lower: less current than computed, more mains, or wire of less resistance "
                "than taken would explain it."
            }
        }
    }
}

fn sag_in_brief(scene: &Scene) -> Markup {
    html! {
        @if let Some(report) = answered(scene) {
            "falls by " (number::computed(0.01 * report.ohms, Unit::Volt)) " for 10\u{a0}mA more"
        }
    }
}

fn in_brief(scene: &Scene) -> Markup {
    let count = answered(scene).map_or(0, |report| report.workings.len());
    html! { (count) " formulas" }
}

fn workings(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    html! {
        @for working in &report.workings {
            (show(&format!("supply-working.{}", working.symbol), working, html! {}))
        }
        @for (at, solution) in report.solutions.iter().enumerate() {
            (equations(1_000 + at, solution))
        }
    }
}
