//! The answer in two lines, for a narrow page: the connection that is followed, the load, the
//! power, the verdict.

use maud::{Markup, html};
use tapwright_core::caution::supply::live;
use tapwright_core::judged::{Because, Judged};
use tapwright_core::matching::Verdict;
use tapwright_core::setup::Topology;
use tapwright_core::target::Target;
use tapwright_iron::transformer::{Secondary, Transformer};
use tapwright_units::Unit;

use super::Scene;
use crate::words::say::say;
use crate::{number, words};

pub(super) fn brief(scene: &Scene, transformer: &Transformer, recommended: &Judged) -> Markup {
    let solved = &scene.report.solved;
    let judged = solved.followed().unwrap_or(recommended);
    let is_other = judged.connection.choice != recommended.connection.choice;
    let load = words::ohms(judged.connection.load.reflected);
    html! {
        p .brief {
            (first(scene))
            (named(scene, judged, is_other, wiring(transformer, judged)))
            " "
            @match (solved.target, solved.topology) {
                (Target::AsRated, _) => (say!("primary sees <b>{load}</b>", load = load)),
                (_, Topology::PushPull) => (say!("tubes see <b>{load}</b>", load = load)),
                (_, Topology::SingleEnded) => (say!("tube sees <b>{load}</b>", load = load)),
            }
            @if let Some(output) = &judged.output {
                ", " b { (number::computed(output.watts.0, Unit::Watt)) }
            }
            " "
            span .whole {
                span class={ "mark " (words::verdict(judged.verdict())) } { (words::mark(judged.verdict())) }
                " " (words::verdict(judged.verdict()))
            }
        }
    }
}

/// What comes before all else.
fn first(scene: &Scene) -> Markup {
    let health = &scene.report.solved.health;
    html! {
        @if let Some(live) = live(&scene.report.solved) {
            b .bad { (words::sentence_case(words::supply::caution_in_brief(&live))) "." } " "
        }
        @if health.hot_at_idle().is_some() { b .bad { "Do not run it like this." } " " }
        @else if health.has_odd_point() { b .bad { "Set the bias first." } " " }
    }
}

/// The connection, and how it comes to be here.
fn named(scene: &Scene, judged: &Judged, is_other: bool, wiring: Markup) -> Markup {
    let health = &scene.report.solved.health;
    let is_mended_first = health.hot_at_idle().is_some() || health.has_odd_point();
    let much = judged.because() == Some(Because::SpeakersTakeLess);
    if is_mended_first {
        say!("{wiring}:", wiring = wiring)
    } else if is_other {
        say!(
            "<span class=\"yours\">You chose </span>{wiring}:",
            wiring = wiring
        )
    } else if judged.verdict() != Verdict::Avoid {
        say!("{wiring}:", wiring = wiring)
    } else if much {
        say!("<b>Too much power for it.</b> {wiring}:", wiring = wiring)
    } else {
        say!("Nothing suits. Nearest {wiring}:", wiring = wiring)
    }
}

/// The lead and the tap, underlined in their own colours.
fn wiring(transformer: &Transformer, judged: &Judged) -> Markup {
    let choice = judged.connection.choice;
    let tap = |at: usize| {
        html! {
            @if let Some(tap) = transformer.taps.get(at) {
                b class=(words::wire(&tap.name)) { (words::tap(tap)) }
            }
        }
    };
    html! {
        @if let Some(lead) = transformer.leads.get(choice.lead) {
            b class=(words::wire(&lead.name)) { (words::lead(lead)) }
        }
        " + "
        @match choice.secondary {
            Secondary::Tap(at) => (tap(at)),
            Secondary::Pair(pair) => {
                (say!("{from} to {to}", from = tap(pair.taps().0), to = tap(pair.taps().1)))
            }
        }
    }
}
