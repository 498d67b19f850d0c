//! The chosen connection: its numbers, each with its working, and what each speaker gets.

use maud::{Markup, html};
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::judged::Judged;
use tapwright_core::setup::Selection;
use tapwright_core::solved::Followed;
use tapwright_iron::transformer::Transformer;
use tapwright_units::{Unit, Watts};

use super::{scale, speakers};
use crate::action::Action;
use crate::view::Scene;
use crate::view::working::{equations, show};
use crate::words::say::say;
use crate::{number, words};

pub(super) fn chosen(scene: &Scene) -> Markup {
    let report = scene.report;
    let solved = &report.solved;
    let (Some(followed), Some(judged), Some(transformer)) =
        (&solved.followed, solved.followed(), &solved.transformer)
    else {
        return html! {};
    };
    html! {
        h2 {
            (say!(
                "Chosen: {connection}, {hookup}",
                connection = words::connection(transformer, judged),
                hookup = words::hookup(scene.good, judged.connection.choice.hookup),
            ))
        }
        (standing(scene, transformer, followed, judged))
    }
}

/// Its numbers with their workings; beside them, where there is room, what else is said of it.
pub(super) fn numbers(scene: &Scene) -> Markup {
    let (Some(chosen), Some(judged)) = (&scene.report.chosen, scene.report.solved.followed())
    else {
        return html! {};
    };
    let stale = scene.is_stale(judged.connection.choice.hookup);
    html! {
        div .columns .stale[stale] {
            div {
                @if scene.wide { h3 { "The numbers, each with its working" } }
                @for (index, working) in chosen.workings.iter().enumerate() {
                    (show(&format!("working.{index}.{}", working.symbol), working, Markup::default()))
                }
                @for (index, solution) in chosen.solutions.iter().enumerate() { (equations(index, solution)) }
            }
            @if scene.wide {
                div {
                    h3 { "Where the connections of this hookup fall" }
                    (place(scene))
                    h3 { "What each speaker gets" }
                    (speakers_get(scene))
                    h3 { "Beware" }
                    (bewares(scene))
                }
            }
        }
    }
}

/// The main numbers of them.
pub(super) fn numbers_in_brief(scene: &Scene) -> Markup {
    html! {
        @if let Some(judged) = scene.report.solved.followed() {
            (words::ohms(judged.connection.load.reflected))
            @if let Some(output) = &judged.output {
                ", " (number::computed(output.watts.0, Unit::Watt)) ", " (number::percent_short(output.thd))
            }
        }
    }
}

/// Where it falls on the scale of loads.
pub(super) fn place(scene: &Scene) -> Markup {
    let judged = scene.report.solved.followed();
    html! { @if let Some(judged) = judged { (scale::scale(scene, judged)) } }
}

/// Its load against the one that is wanted.
pub(super) fn place_in_brief(scene: &Scene) -> Markup {
    html! {
        @if let Some(judged) = scene.report.solved.followed() {
            (say!(
                "{load}, wanted {target}",
                load = words::ohms(judged.connection.load.reflected),
                target = words::rated(judged.connection.load.target),
            ))
        }
    }
}

/// The hookup that is followed.
fn hookup<'a>(scene: &Scene<'a>) -> Option<&'a SolvedHookup> {
    let solved = &scene.report.solved;
    solved.hookup(solved.followed()?.connection.choice.hookup)
}

/// What each speaker of its hookup gets.
pub(super) fn speakers_get(scene: &Scene) -> Markup {
    html! { @if let Some(hookup) = hookup(scene) { (shares(hookup)) } }
}

/// The most that the hookup takes.
pub(super) fn speakers_get_in_brief(scene: &Scene) -> Markup {
    html! {
        @match hookup(scene).and_then(SolvedHookup::takes) {
            Some(watts) => (say!("takes {watts}", watts = number::given(watts.0, Unit::Watt))),
            None => "no power rating typed",
        }
    }
}

/// Everything to beware of with it.
pub(super) fn bewares(scene: &Scene) -> Markup {
    let report = scene.report;
    html! {
        ul .bewares {
            @for caution in report.chosen.iter().flat_map(|chosen| &chosen.cautions) {
                li { (words::caution(report, caution)) }
            }
        }
    }
}

/// How many things there are to beware of.
pub(super) fn bewares_in_brief(scene: &Scene) -> Markup {
    let chosen = scene.report.chosen.as_ref();
    let count = chosen.map_or(0, |chosen| chosen.cautions.len());
    match count {
        1 => say!("1 thing"),
        _ => say!("{count} things", count = count),
    }
}

/// Whether this is the recommended connection, and the way back to it if not.
fn standing(
    scene: &Scene,
    transformer: &Transformer,
    followed: &Followed,
    judged: &Judged,
) -> Markup {
    let report = scene.report;
    let hookup = Selection::Hookup(judged.connection.choice.hookup);
    let recommended = report
        .answer(hookup.hookup())
        .and_then(|answer| report.solved.connections.get(answer.connection));
    html! {
        @match recommended {
            Some(best) if best.connection.choice != judged.connection.choice => {
                p .standing {
                    (say!(
                        "Your choice, number {rank} for this hookup. Recommended: {connection}.",
                        rank = judged.rank,
                        connection = words::connection(transformer, best),
                    ))
                    " "
                    button type="button" .plain #recommended data-do=(Action::Select(hookup)) { "Go back to it" }
                }
            }
            _ if followed.by_hand => p .standing { "Your choice, and the recommended one." },
            _ => p .standing { "The recommended one. Choose any cell above to follow that instead." },
        }
    }
}

fn shares(hookup: &SolvedHookup) -> Markup {
    html! {
        table .shares {
            thead { tr {
                th scope="col" { "speaker" }
                th scope="col" { "voltage" }
                th scope="col" { "current" }
                th scope="col" { "power" }
                @if hookup.largest_power.is_some() { th scope="col" { "rating" } }
            } }
            tbody {
                @for (place, share) in hookup.shares.iter().enumerate() {
                    tr {
                        th scope="row" { (speakers::called(hookup, place)) }
                        td .number { (number::percent(share.voltage)) }
                        td .number { (number::percent(share.current)) }
                        td .number { (number::percent(share.power)) }
                        @if hookup.largest_power.is_some() {
                            td .number { @if let Some(rating) = share.rating { (number::given(rating.0, Unit::Watt)) } }
                        }
                    }
                }
            }
        }
        @if let Some((watts, first)) = hookup.largest_power {
            p .reason { (largest_power(hookup, watts, first)) }
        } @else {
            p .hint { "Type power ratings under the speakers to see the most that this hookup takes." }
        }
    }
}

/// The most that a hookup takes, and which speaker reaches its rating then.
fn largest_power(hookup: &SolvedHookup, watts: Watts, first: usize) -> Markup {
    let watts = number::given(watts.0, Unit::Watt);
    let speaker = (hookup.shares.len() > 1).then(|| speakers::called(hookup, first));
    let safe = hookup.safe.as_ref();
    let safe = safe.map(|safe| number::computed(safe.watts.0, Unit::Watt));
    match (safe, speaker) {
        (None, None) => say!("Takes <b>{watts}</b> in all.", watts = watts),
        (None, Some(speaker)) => say!(
            "Takes <b>{watts}</b> in all; then the {speaker} speaker reaches its rating.",
            watts = watts,
            speaker = speaker,
        ),
        (Some(safe), None) => say!(
            "Takes <b>{watts}</b> in all at rated ohms, {safe} over frequency.",
            watts = watts,
            safe = safe,
        ),
        (Some(safe), Some(speaker)) => say!(
            "Takes <b>{watts}</b> in all at rated ohms, {safe} over frequency; then the {speaker} speaker reaches its rating.",
            watts = watts,
            safe = safe,
            speaker = speaker,
        ),
    }
}
