//! One hookup's grid: taps down, primary leads across, tap pairs folded below.

use maud::{Markup, html};
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::judged::Judged;
use tapwright_iron::transformer::{Secondary, Transformer};

use super::cell::cell;
use crate::action::Action;
use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

pub(super) fn grid(scene: &Scene, hookup: &SolvedHookup) -> Markup {
    let Some(transformer) = &scene.report.solved.transformer else {
        return html! {};
    };
    let all: Vec<&Judged> = (scene.report.solved.connections.iter())
        .filter(|judged| judged.connection.choice.hookup == hookup.place)
        .collect();
    let row = |secondary: Secondary| {
        all.iter()
            .filter(move |c| c.connection.choice.secondary == secondary)
            .copied()
    };
    let (taps, pairs): (Vec<_>, Vec<_>) = transformer
        .secondaries()
        .partition(|secondary| matches!(secondary, Secondary::Tap(_)));
    let fold = format!("pairs.{}", hookup.place + 1);
    let open = scene.is_open(&fold);
    let name = words::hookup(scene.good, hookup.place);
    let expression = scene
        .good
        .hookups
        .get(hookup.place)
        .map_or("", |h| h.speakers.trim());
    html! {
        h3 {
            (name)
            @if name != expression { " " code { (expression) } }
            " " span .muted { (words::about(hookup.impedance)) }
        }
        div .scroller .stale[scene.is_stale(hookup.place)] {
            table class=(if transformer.leads.len() > 2 { "cells many" } else { "cells" }) {
                thead {
                    tr {
                        th scope="col" { "tap" }
                        @for lead in &transformer.leads {
                            th scope="col" {
                                (words::lead_rating(lead))
                                @if lead.power_tap.is_some() { span .muted { (words::rated(lead.rated)) } }
                                @if !lead.name.is_empty() { span .muted { (lead.name) } }
                            }
                        }
                    }
                }
                tbody {
                    @for secondary in taps { (tap_row(scene, transformer, secondary, row(secondary))) }
                    @if open {
                        @for secondary in &pairs { (tap_row(scene, transformer, *secondary, row(*secondary))) }
                    }
                }
            }
        }
        @if !pairs.is_empty() {
            button type="button" .plain id={ "fold-pairs-" (hookup.place + 1) } data-do=(Action::Fold(fold)) aria-expanded=(open) {
                (pairs_in_brief(&all, transformer, pairs.len(), open))
            }
        }
    }
}

/// What the fold of tap pairs would add.
fn pairs_in_brief(all: &[&Judged], transformer: &Transformer, count: usize, open: bool) -> String {
    let pairs = match count {
        1 => "1 tap pair".into(),
        _ => format!("{count} tap pairs"),
    };
    if open {
        return format!("Fold {pairs} away");
    }
    let is_pair = |c: &Judged| matches!(c.connection.choice.secondary, Secondary::Pair(_));
    let nearest = |pairs: bool| {
        all.iter()
            .filter(|c| is_pair(c) == pairs && c.connection.degenerate.is_none())
            .min_by(|a, b| {
                a.connection
                    .load
                    .distance()
                    .total_cmp(&b.connection.load.distance())
            })
    };
    match (nearest(true), nearest(false)) {
        (Some(pair), Some(tap))
            if pair.connection.load.distance() < tap.connection.load.distance() =>
        {
            format!(
                "{pairs}: {} is nearer, {} the target",
                words::secondary(transformer, pair.connection.choice.secondary),
                number::times(pair.connection.ratio)
            )
        }
        _ => format!("{pairs}, none nearer"),
    }
}

fn tap_row<'a>(
    scene: &Scene,
    transformer: &Transformer,
    secondary: Secondary,
    cells: impl Iterator<Item = &'a Judged>,
) -> Markup {
    let degenerate = transformer.degenerate(secondary).is_some();
    html! {
        tr {
            th scope="row" {
                @match secondary {
                    Secondary::Tap(at) => {
                        @if let Some(tap) = transformer.taps.get(at) {
                            (words::tap_rating(tap))
                            @if !tap.name.is_empty() { span .muted { (tap.name) } }
                        }
                    }
                    Secondary::Pair(_) => {
                        (words::secondary(transformer, secondary))
                        @if let Some(rated) = transformer.rated(secondary) {
                            span .muted {
                                @if degenerate { (say!("{ohms}, too few turns", ohms = words::ohms(rated))) }
                                @else { (words::ohms(rated)) }
                            }
                        }
                    }
                }
            }
            @for judged in cells { (cell(scene, transformer, judged)) }
        }
    }
}
