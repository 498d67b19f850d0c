//! The wave at the speakers, and its harmonics.

use maud::{Markup, html};
use tapwright_core::output::ChosenOutput;
use tapwright_units::Unit;

use super::{numbers, solved, stale};
use crate::number;
use crate::view::Scene;

/// The distortion, and the harmonic that is most of it.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let Some((_, output)) = solved(scene.report) else {
        return Markup::default();
    };
    let shares = output.harmonics.iter().enumerate();
    let most = shares.max_by(|a, b| a.1.total_cmp(b.1));
    html! {
        (number::percent_short(output.delivered.thd))
        @if let Some((m, share)) = most { ", most of it H" (m + 2) " with " (number::percent_short(*share)) }
    }
}

pub(super) fn wave(scene: &Scene) -> Markup {
    let Some((_, output)) = solved(scene.report) else {
        return Markup::default();
    };
    stale(
        scene,
        html! { div .charts { (scene.drawn("wave")) (harmonics(output)) } },
    )
}

fn harmonics(output: &ChosenOutput) -> Markup {
    let shares = output.harmonics.iter().enumerate();
    let rows = shares.map(|(m, share)| (format!("H{}", m + 2), number::percent(*share)));
    let at = (output.with_reactance()).map_or(String::new(), |found| {
        format!(" and {}", number::given(found.hertz, Unit::Hertz))
    });
    let title = format!(
        "Harmonics at the speakers over the first, at {} of full drive{at}",
        number::percent(output.drive)
    );
    numbers(&title, rows)
}
