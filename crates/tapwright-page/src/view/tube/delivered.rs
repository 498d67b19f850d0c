//! What the tube delivers there, in a sentence.

use maud::{Markup, html};
use tapwright_core::output::{ChosenOutput, SolvedStage};
use tapwright_tube::{Bias, Topology};
use tapwright_units::Unit;

use super::{solved, stale};
use crate::number;
use crate::view::Scene;

pub(super) fn stage(scene: &Scene) -> Markup {
    match solved(scene.report) {
        Some((stage, output)) => stale(scene, delivered(stage, output)),
        None => unsolved(scene),
    }
}

/// Why there is nothing, or what would bring it.
fn unsolved(scene: &Scene) -> Markup {
    let report = scene.report;
    let failed = match (
        &report.solved.stage,
        report
            .solved
            .followed
            .as_ref()
            .and_then(|followed| followed.output.as_ref()),
    ) {
        (Some(Err(why)), _) | (_, Some(Err(why))) => Some(why),
        _ => None,
    };
    html! {
        @if let Some(why) = failed {
            p { "This could not be computed: " (why) "." }
        } @else if report.chosen.is_some() && report.solved.stage.is_none() {
            p .hint { "Choose the tube and its B+: load line, watts, distortion and heat for every connection." }
        }
    }
}

/// The numbers at the drive that was typed, in a sentence.
fn delivered(stage: &SolvedStage, output: &ChosenOutput) -> Markup {
    let (onset, full) = (&output.onset, &output.at_full);
    html! {
        p .standing {
            b { (number::computed(full.watts, Unit::Watt)) } " in the speakers at full drive, "
            (number::percent(onset.thd)) " distortion, with "
            (number::computed(onset.drive_peak, Unit::Volt)) " peak on " (grids(stage)) ", where grid current starts."
            @if let Some(clean) = &output.clean {
                " " b { (number::computed(clean.delivered.watts, Unit::Watt)) } " at "
                (number::percent_short(clean.delivered.thd)) " distortion, with "
                (number::computed(clean.drive_peak, Unit::Volt)) " peak."
            }
            @if (output.drive - 1.0).abs() > 1e-9 || output.reactive.is_some() {
                " At " (number::percent(output.drive)) " of full drive"
                @if let Some(found) = output.with_reactance() {
                    " and " (number::given(found.hertz, Unit::Hertz)) " the load "
                    @if stage.stage.primary_ohms > 0.0 { "behind the primary’s wire " } "is "
                    (number::computed(found.load_ohms, Unit::Ohm)) " at "
                    (degrees(found.load_phase)) ": "
                } @else { ": " }
                b { (number::computed(output.delivered.watts, Unit::Watt)) } ", "
                (number::percent(output.delivered.thd)) "."
            }
        }
        @if let Some(Err(why)) = &output.reactive {
            p .warning { "With the speakers’ reactance nothing could be computed: " (why) "." }
        }
        @if stage.stage.plate_supply.ohms == 0.0 {
            p .hint { "B+ is taken not to sag under load: type the supply’s resistance to count it." }
        }
        @if matches!(stage.stage.bias, Bias::Cathode(_)) || stage.stage.plate_supply.ohms > 0.0 {
            p .hint { "Drive moves the averages: cathode, screens and B+ shift, so the idle point stands off the path." }
        }
    }
}

fn grids(stage: &SolvedStage) -> &'static str {
    match stage.stage.topology {
        Topology::PushPull => "each grid",
        Topology::SingleEnded => "the grid",
    }
}

fn degrees(radians: f64) -> String {
    number::degrees(radians.to_degrees())
}
