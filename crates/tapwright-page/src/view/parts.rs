//! The leaf of parts: what is typed about stage, iron and speakers. Each part is one line that
//! says what it is, and opens to its fields. The texts themselves are put in by the event
//! layer, so that this markup changes only when a field comes or goes.

use maud::{Markup, html};
use tapwright_core::setup::{Fold, List, Marking, Setup};
use tapwright_core::values::Values;

mod control;
mod driver;
mod drivers;
mod echo;
mod folded;
mod holds;
mod iron;
mod measured;
mod result;
mod speakers;
mod stage;
mod supply;

pub(super) use echo::{
    dangers, echoes_of, iron_fields, is_dangerous, measured_fields, next_reading, stage_fields,
};
pub(super) use folded::FoldedFields;
pub use measured::opens_itself;

use crate::action::Action;
use crate::view::{Region, Scene, region};

/// The lines of a fold that stands on a leaf of its own.
pub(super) fn lines(scene: &Scene, fold: Fold) -> Markup {
    control::lines(scene, fold, scene.typed.fields())
}

/// The regions of this leaf, outer ones before those inside them.
pub(super) fn regions(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![
        region("parts", form(scene)),
        region("holds-stage", holds::stage(scene)),
        region("holds-driver", holds::driver(scene)),
        region("holds-iron", holds::iron(scene)),
        region("holds-supply", holds::supply(scene)),
        region("result-idle", result::idle(scene)),
    ];
    for place in 0..scene.typed.hookups.len() {
        let id = format!("holds-hookup-{}", place + 1);
        regions.push(region(&id, holds::hookup(scene, place)));
    }
    regions.extend(echo::echoes(scene));
    regions
}

fn form(scene: &Scene) -> Markup {
    html! {
        h2 .unseen { "What is on the bench" }
        (part("part.stage", "Stage", "holds-stage", stage::stage(scene)))
        (part("part.driver", "Driver", "holds-driver", driver::driver(scene)))
        (part("part.supply", "Supply", "holds-supply", supply::supply(scene)))
        (part("part.iron", "Iron", "holds-iron", iron::iron(scene)))
        (part("losses", "Losses", "echo-losses", iron::losses(scene)))
        @for place in 0..scene.typed.hookups.len() {
            @let number = place + 1;
            (part(&hookup_key(place), "Speakers", &format!("holds-hookup-{number}"), speakers::hookup(scene, place)))
        }
        button type="button" .adds-row #add-hookup data-do=(Action::Add(List::Hookup)) { "Add a hookup" }
        (part("drivers", "Speaker data", "echo-drivers", drivers::drivers(scene)))
    }
}

/// A part: its line, and what it opens to.
fn part(key: &str, what: &str, holds: &str, content: Markup) -> Markup {
    html! {
        details .part data-open=(key) {
            summary {
                span .what { (what) }
                span .holds id=(holds) {}
            }
            div .card { (content) }
        }
    }
}

/// The key of the part of a hookup.
pub fn hookup_key(place: usize) -> String {
    format!("part.hookup.{}", place + 1)
}

/// The keys of the parts of which the first answer still needs something.
pub fn incomplete(typed: &Setup, values: &Values) -> Vec<String> {
    let wants_iron = match typed.marking {
        Marking::Measured => {
            let measured = values.measured.as_ref();
            measured.is_none_or(|findings| findings.transformer.is_none())
        }
        _ => values.leads.is_none() || values.taps.is_none(),
    };
    let has_supply = !typed.supply.trim().is_empty();
    let wants_stage = typed.tube.trim().is_empty() || !has_supply;
    let hookups = (values.hookups.iter().enumerate()).filter(|(_, hookup)| hookup.is_none());
    let mut keys = Vec::new();
    keys.extend(wants_stage.then(|| "part.stage".to_owned()));
    keys.extend(wants_iron.then(|| "part.iron".to_owned()));
    keys.extend(hookups.map(|(place, _)| hookup_key(place)));
    keys
}
