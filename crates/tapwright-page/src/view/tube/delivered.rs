//! What the tube delivers there, in a sentence.

use maud::{Markup, html};
use tapwright_core::output::{ChosenOutput, SolvedStage};
use tapwright_tube::{Bias, Topology};
use tapwright_units::Unit;

use super::{solved, stale};
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

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
            p { (say!("This could not be computed: {why}.", why = why)) }
        } @else if report.chosen.is_some() && report.solved.stage.is_none() {
            p .hint { "Choose the tube and its B+: load line, watts, distortion and heat for every connection." }
        }
    }
}

/// The numbers at the drive that was typed, in a sentence.
fn delivered(stage: &SolvedStage, output: &ChosenOutput) -> Markup {
    html! {
        p .standing {
            (at_full_drive(stage, output))
            @if let Some(clean) = &output.clean {
                " "
                (say!(
                    "<b>{watts}</b> at {distortion} distortion, with {volts} peak.",
                    watts = number::computed(clean.delivered.watts, Unit::Watt),
                    distortion = number::percent_short(clean.delivered.thd),
                    volts = number::computed(clean.drive_peak, Unit::Volt),
                ))
            }
            @if (output.drive - 1.0).abs() > 1e-9 || output.reactive.is_some() {
                " " (as_driven(stage, output))
            }
        }
        @if let Some(Err(why)) = &output.reactive {
            p .warning { (say!("With the speakers’ reactance nothing could be computed: {why}.", why = why)) }
        }
        @if stage.stage.plate_supply.ohms == 0.0 {
            p .hint { "B+ is taken not to sag under load: type the supply’s resistance to count it." }
        }
        @if matches!(stage.stage.bias, Bias::Cathode(_)) || stage.stage.plate_supply.ohms > 0.0 {
            p .hint { "Drive moves the averages: cathode, screens and B+ shift, so the idle point stands off the path." }
        }
    }
}

fn at_full_drive(stage: &SolvedStage, output: &ChosenOutput) -> Markup {
    let watts = number::computed(output.at_full.watts, Unit::Watt);
    let distortion = number::percent(output.onset.thd);
    let volts = number::computed(output.onset.drive_peak, Unit::Volt);
    match stage.stage.topology {
        Topology::PushPull => say!(
            "<b>{watts}</b> in the speakers at full drive, {distortion} distortion, with {volts} peak on each grid, where grid \
             current starts.",
            watts = watts,
            distortion = distortion,
            volts = volts,
        ),
        Topology::SingleEnded => say!(
            "<b>{watts}</b> in the speakers at full drive, {distortion} distortion, with {volts} peak on the grid, where grid \
             current starts.",
            watts = watts,
            distortion = distortion,
            volts = volts,
        ),
    }
}

/// The drive that was typed, into the speakers as they are.
fn as_driven(stage: &SolvedStage, output: &ChosenOutput) -> Markup {
    let drive = number::percent(output.drive);
    let watts = number::computed(output.delivered.watts, Unit::Watt);
    let distortion = number::percent(output.delivered.thd);
    let Some(found) = output.with_reactance() else {
        return say!(
            "At {drive} of full drive: <b>{watts}</b>, {distortion}.",
            drive = drive,
            watts = watts,
            distortion = distortion,
        );
    };
    let hertz = number::given(found.hertz, Unit::Hertz);
    let ohms = number::computed(found.load_ohms, Unit::Ohm);
    let phase = degrees(found.load_phase);
    match stage.stage.primary_ohms > 0.0 {
        true => say!(
            "At {drive} of full drive and {hertz} the load behind the primary’s wire is {ohms} at {phase}: <b>{watts}</b>, \
             {distortion}.",
            drive = drive,
            hertz = hertz,
            ohms = ohms,
            phase = phase,
            watts = watts,
            distortion = distortion,
        ),
        false => say!(
            "At {drive} of full drive and {hertz} the load is {ohms} at {phase}: <b>{watts}</b>, {distortion}.",
            drive = drive,
            hertz = hertz,
            ohms = ohms,
            phase = phase,
            watts = watts,
            distortion = distortion,
        ),
    }
}

fn degrees(radians: f64) -> String {
    number::degrees(radians.to_degrees())
}
