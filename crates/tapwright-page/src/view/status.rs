//! The line under the answer: how hard the tube runs at idle, and what to beware of first.

use maud::{Markup, html};
use tapwright_core::health::Ailment;
use tapwright_core::output::SolvedStage;
use tapwright_tube::Kind;
use tapwright_units::Unit;

use super::{Scene, parts};
use crate::action::Action;
use crate::words::say::say;
use crate::{number, words};
use tapwright_core::setup::Leaf;

pub(super) fn status(scene: &Scene) -> Markup {
    let beware = beware(scene);
    let Some(stage) = scene.report.solved.stage() else {
        return html! { @if let Some(beware) = beware { p { (beware) } } };
    };
    html! {
        button type="button" #at-idle data-do=(Action::Turn(Leaf::Tube)) {
            span .unseen { "At idle:" } " "
            (at_idle(scene, stage))
            @if let Some(beware) = beware { " · " (beware) }
        }
    }
}

/// Plate and screen watts with their limits, and the cathode's current.
fn at_idle(scene: &Scene, stage: &SolvedStage) -> Markup {
    let (idle, bounds) = (&stage.idle, &stage.tube.bounds);
    let plate = words::plate_label(scene.report);
    html! {
        (say!("{plate}\u{a0}{watts}", plate = plate, watts = held(idle.plate_watts, bounds.plate_watts)))
        @if stage.tube.kind != Kind::Triode {
            " · " (say!("screen\u{a0}{watts}", watts = held(idle.screen_watts, bounds.screen_watts)))
        }
        " · " b { (number::computed(idle.plate_amps + idle.screen_amps, Unit::Ampere)) }
    }
}

/// Watts with their limit.
fn held(watts: f64, limit: Option<f64>) -> Markup {
    let watts = number::trimmed_to(watts, 1);
    match limit {
        Some(limit) => say!(
            "<b>{watts}\u{a0}W</b> of {limit}",
            watts = watts,
            limit = number::given(limit, Unit::Watt)
                .trim_end_matches('W')
                .trim_end(),
        ),
        None => say!("<b>{watts}\u{a0}W</b>", watts = watts),
    }
}

/// The most pressing thing, in a few words.
fn beware(scene: &Scene) -> Option<Markup> {
    let report = scene.report;
    if parts::is_dangerous(scene) {
        return Some(html! { span .bad { "this test is dangerous: see the reading" } });
    }
    let health = &report.solved.health;
    if let Some(alarm) = health.alarms.first() {
        return Some(html! { span .bad { (words::health::in_brief(alarm)) } });
    }
    let answer = report.answer(report.solved.followed()?.connection.choice.hookup)?;
    let cautions = answer.cautions.iter();
    let brief = cautions.filter_map(words::caution_in_brief).next();
    let brief = brief.map(str::to_owned);
    let note = || {
        let note = health.notes.first()?;
        let told = words::health::in_brief(note);
        Some(match note {
            Ailment::Overdriven(_) => format!("overdriven, {told}"),
            _ => told,
        })
    };
    Some(html! { span .beware { (brief.or_else(note)?) } })
}
