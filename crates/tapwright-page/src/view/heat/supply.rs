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
use crate::words::say::say;
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
            Some(Err(why)) => p .leaf-answer { (say!("<b>This cannot be computed:</b> {why}.", why = why)) },
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
                "Describe the mains transformer, the rectifier and the first capacitor under Supply: then B+, its ripple and sag, \
                 the mains tap and the volts on each capacitor stand here."
            }
        } @else {
            p .leaf-answer { (say!("Still unknown: <b>{fields}</b>.", fields = words::in_a_row(&wants))) }
        }
    }
}

/// B+ and what matters most about it.
fn sentence(scene: &Scene, report: &SupplyReport) -> Markup {
    html! {
        p .leaf-answer {
            @if let Some(caution) = live(&scene.report.solved) {
                b .bad { (words::sentence_case(words::supply::caution_in_brief(&caution))) "." }
                " "
            }
            (b_plus(scene, report)) " " (discharge(report))
        }
        @if let Some(bleeder) = report.bleeder {
            p .reason {
                (say!(
                    "A bleeder of {ohms} across the first capacitor brings all below 60 V within 30 s without tubes \
                     (30 s: common practice, no source). It turns {heat} into heat then: fit one rated for {rating}, \
                     and for the volts.",
                    ohms = number::given(bleeder.ohms, Unit::Ohm),
                    heat = number::computed(bleeder.watts, Unit::Watt),
                    rating = number::given((2.0 * bleeder.watts).ceil(), Unit::Watt),
                ))
            }
        }
    }
}

fn b_plus(scene: &Scene, report: &SupplyReport) -> Markup {
    let node = &report.nodes[report.places.plates];
    let volts = number::computed(report.volts, Unit::Volt);
    let ripple = number::computed(node.ripple, Unit::Volt);
    let full = node.full.map(|full| number::computed(full, Unit::Volt));
    match (scene.report.solved.stage(), full) {
        (None, _) => say!(
            "B+ comes to <b>{volts}</b> without the output tubes, with {ripple} of ripple.",
            volts = volts,
            ripple = ripple,
        ),
        (Some(_), None) => say!(
            "B+ comes to <b>{volts}</b> at idle, with {ripple} of ripple.",
            volts = volts,
            ripple = ripple,
        ),
        (Some(_), Some(full)) => say!(
            "B+ comes to <b>{volts}</b> at idle, with {ripple} of ripple; at full drive {full}.",
            volts = volts,
            ripple = ripple,
            full = full,
        ),
    }
}

/// How long the capacitors stay charged.
fn discharge(report: &SupplyReport) -> Markup {
    let with = slowest(report, |node| node.safe_with_tubes).map(duration);
    let without = slowest(report, |node| node.safe_without).map(duration);
    match (with, without) {
        (Some(with), Some(without)) => say!(
            "Switched off, every capacitor is below 60 V after {with} while the tubes are hot; without them {without}.",
            with = with,
            without = without,
        ),
        (Some(with), None) => say!(
            "Switched off, every capacitor is below 60 V after {with} while the tubes are hot; without them \
             <b>they stay charged</b>.",
            with = with,
        ),
        (None, _) => say!(
            "Switched off, capacitors stay charged for more than an hour, <b>even with the tubes in</b>."
        ),
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
                (say!(
                    "{ohms} more at each plate of the rectifier keep it within its limits. They turn about {heat} each into heat.",
                    ohms = number::given(ohms.ceil(), Unit::Ohm),
                    heat = number::computed(ohms * report.rectifier.rms.powi(2), Unit::Watt),
                ))
            }
        }
    }
}

/// How near the typed B+ and the computed one agree when nothing need be said. Common practice, no
/// source.
const WITHIN: f64 = 0.03;

/// B+ as typed beside the computed one, and what the difference suggests. Common practice, no
/// source.
fn difference(report: &SupplyReport) -> Markup {
    let Some(typed) = report.typed else {
        return html! {};
    };
    let off = report.volts / typed - 1.0;
    html! {
        p .reason {
            (say!(
                "Everything else is computed with the {volts} that is typed.",
                volts = number::given(typed, Unit::Volt),
            ))
            " "
            @if off.abs() < WITHIN {
                (say!("The computed B+ is within {share} of it.", share = number::percent_short(WITHIN)))
            } @else if off > 0.0 {
                (say!(
                    "The computed B+ is {share} higher: a worn rectifier, a dried-out first capacitor (look at its ripple), \
                     more current than computed or less mains would explain it.",
                    share = number::percent_short(off),
                ))
            } @else {
                (say!(
                    "The computed B+ is {share} lower: less current than computed, more mains, or wire of less resistance \
                     than taken would explain it.",
                    share = number::percent_short(-off),
                ))
            }
        }
    }
}

fn sag_in_brief(scene: &Scene) -> Markup {
    html! {
        @if let Some(report) = answered(scene) {
            (say!("falls by {volts} for 10\u{a0}mA more", volts = number::computed(0.01 * report.ohms, Unit::Volt)))
        }
    }
}

fn in_brief(scene: &Scene) -> Markup {
    let count = answered(scene).map_or(0, |report| report.workings.len());
    html! { (words::formulas(count)) }
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
