//! The wave at the speakers, and its harmonics.

use maud::{Markup, html};
use tapwright_core::output::ChosenOutput;
use tapwright_units::Unit;

use super::{numbers, solved, stale};
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

/// The distortion, and the harmonic that is most of it.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let Some((_, output)) = solved(scene.report) else {
        return Markup::default();
    };
    let shares = output.harmonics.iter().enumerate();
    let most = shares.max_by(|a, b| a.1.total_cmp(b.1));
    let distortion = number::percent_short(output.delivered.thd);
    match most {
        Some((m, share)) => say!(
            "{distortion}, most of it H{order} with {share}",
            distortion = distortion,
            order = m + 2,
            share = number::percent_short(*share),
        ),
        None => html! { (distortion) },
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
    let drive = number::percent(output.drive);
    let title = match output.with_reactance() {
        Some(found) => format!(
            "Harmonics at the speakers over the first, at {drive} of full drive and {}",
            number::given(found.hertz, Unit::Hertz)
        ),
        None => format!("Harmonics at the speakers over the first, at {drive} of full drive"),
    };
    numbers(&title, rows)
}
