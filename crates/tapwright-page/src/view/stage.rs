//! What the tube does in the chosen connection: charts, stress, the idle point.

use maud::{Markup, html};
use tapwright_core::output::{ChosenOutput, StageReport};
use tapwright_core::report::Report;
use tapwright_core::setup::Field;
use tapwright_core::stage::stress::Burden;
use tapwright_core::tube::Topology;
use tapwright_core::units::Unit;

use super::chart::{self, Bar, Bars, Chart, Measure};
use super::{Scene, answer};
use crate::{number, words};

mod charts;

pub(super) use charts::charts;

/// The stage and the chosen connection, when both were solved.
fn solved(report: &Report) -> Option<(&StageReport, &ChosenOutput)> {
    let stage = report.stage.as_ref()?.as_ref().ok()?;
    let output = report.chosen.as_ref()?.output.as_ref()?.as_ref().ok()?;
    Some((stage, output))
}

pub(super) fn stage(scene: &Scene) -> Markup {
    let report = scene.report;
    let Some((stage, output)) = solved(report) else {
        return unsolved(scene);
    };
    let stale = (report.followed())
        .is_some_and(|chosen| scene.is_stale(&answer::fields(scene, chosen.choice.hookup)));
    html! {
        h2 { "What the tube does there" }
        div .stale[stale] {
            (delivered(scene, stage, output))
            div .charts {
                @for chart in scene.charts() { (draw(scene, chart)) }
                (stress(scene, stage, output))
                (idle(stage))
                (harmonics(output))
            }
        }
    }
}

fn draw(scene: &Scene, chart: &Chart) -> Markup {
    chart::draw(chart, scene.is_open(&format!("table.{}", chart.id)))
}

/// Why there is nothing, or what would bring it.
fn unsolved(scene: &Scene) -> Markup {
    let report = scene.report;
    let failed = match (
        &report.stage,
        report.chosen.as_ref().and_then(|c| c.output.as_ref()),
    ) {
        (Some(Err(why)), _) | (_, Some(Err(why))) => Some(why),
        _ => None,
    };
    html! {
        @if let Some(why) = failed {
            h2 { "What the tube does there" }
            p { "This could not be computed: " (why) "." }
        } @else if report.chosen.is_some() && report.stage.is_none() {
            h2 { "What the tube does there" }
            p .hint { "Choose the tube and its B+: load line, watts, distortion and heat for every connection." }
        }
    }
}

/// The numbers at the drive that was typed, in a sentence.
fn delivered(scene: &Scene, stage: &StageReport, output: &ChosenOutput) -> Markup {
    let onset = &output.onset;
    html! {
        p .standing {
            b { (number::computed(onset.watts, Unit::Watt)) } " in the speakers before it clips, "
            (number::percent(onset.thd)) " distortion, with "
            (number::computed(onset.drive_peak, Unit::Volt)) " peak on " (grids(stage)) "."
            @if (output.drive - 1.0).abs() > 1e-9 || output.reactive.is_some() {
                " At " (number::percent(output.drive)) " of that drive"
                @if let Some(Ok(found)) = &output.reactive {
                    " and " (number::given(found.hertz, Unit::Hertz)) " the load is "
                    (number::computed(found.load_ohms, Unit::Ohm)) " at "
                    (degrees(found.load_phase)) " (generic speakers): "
                } @else { ": " }
                b { (number::computed(output.delivered.watts, Unit::Watt)) } ", "
                (number::percent(output.delivered.thd)) "."
            }
        }
        @if let Some(Err(why)) = &output.reactive {
            p .warning { "With the speakers’ reactance nothing could be computed: " (why) "." }
        }
        @if scene.problem(Field::Tube).is_none() && stage.stage.plate_supply.ohms == 0.0 {
            p .hint { "B+ is taken as stiff: type the supply’s resistance to see it sag." }
        }
    }
}

fn grids(stage: &StageReport) -> &'static str {
    match stage.stage.topology {
        Topology::PushPull => "each grid",
        Topology::SingleEnded => "the grid",
    }
}

fn degrees(radians: f64) -> String {
    format!("{:.0}°", radians.to_degrees())
}

/// What the tubes bear up to full overdrive, against their limits.
fn stress(scene: &Scene, stage: &StageReport, output: &ChosenOutput) -> Markup {
    let bars = output.burdens.iter().filter_map(|borne| {
        let (name, unit) = match borne.burden {
            Burden::PlateWatts => ("Plate dissipation", Unit::Watt),
            Burden::ScreenWatts => ("Screen dissipation", Unit::Watt),
            Burden::CathodeAmps => ("Cathode current", Unit::Ampere),
            Burden::PlateVolts => ("Plate voltage", Unit::Volt),
            Burden::ScreenVolts => ("Screen voltage", Unit::Volt),
            Burden::PeakPlateVolts => ("Peak plate voltage", Unit::Volt),
        };
        let of_screen = matches!(borne.burden, Burden::ScreenWatts | Burden::ScreenVolts);
        (!(of_screen && stage.tube.kind == tapwright_core::tube::Kind::Triode)).then(|| Bar {
            name: name.into(),
            value: borne.value,
            limit: borne.limit,
            measure: Measure::Si(unit),
            when: words::when(borne.drive),
        })
    });
    let bars = Bars {
        id: "stress",
        title: "The most that one tube bears, from idle to full overdrive".into(),
        bars: bars.collect(),
    };
    html! {
        div {
            (chart::bars(&bars, scene.is_open("table.stress")))
            p .hint {
                @match (stage.tube.rating, stage.tube.limits_source) {
                    (Some(rating), Some(source)) => {
                        "Limits: " (rating.name()) ", " (source) ". "
                    }
                    _ => "Limits as typed. ",
                }
                "Full overdrive is four times the drive that clips. Without a speaker the plate peaks have no bound: the insulation breaks."
            }
        }
    }
}

/// One tube at idle, and the magnetising current.
fn idle(stage: &StageReport) -> Markup {
    let idle = &stage.idle;
    let rows = [
        (
            "plate, from the cathode",
            number::computed(idle.plate_volts, Unit::Volt),
        ),
        (
            "screen, from the cathode",
            number::computed(idle.screen_volts, Unit::Volt),
        ),
        (
            "grid, from the cathode",
            number::computed(idle.grid_volts, Unit::Volt),
        ),
        (
            "cathode, from ground",
            number::computed(idle.cathode_volts, Unit::Volt),
        ),
        (
            "plate current",
            number::computed(idle.plate_amps, Unit::Ampere),
        ),
        (
            "screen current",
            number::computed(idle.screen_amps, Unit::Ampere),
        ),
        (
            "plate dissipation",
            number::computed(idle.plate_watts, Unit::Watt),
        ),
        (
            "transconductance",
            number::computed(idle.transconductance * 1e3, Unit::Millisiemens),
        ),
        (
            "plate resistance",
            number::computed(idle.plate_resistance, Unit::Ohm),
        ),
        (
            "magnetises the core, all tubes",
            number::computed(idle.magnetising_amps, Unit::Ampere),
        ),
    ];
    html! {
        div {
            h3 { "One tube at idle" }
            table .shares { tbody {
                @for (what, value) in rows {
                    tr { th scope="row" { (what) } td .number { (value) } }
                }
            } }
        }
    }
}

fn harmonics(output: &ChosenOutput) -> Markup {
    html! {
        div {
            h3 { "Harmonics at the speakers, over the first" }
            table .shares { tbody {
                @for (m, share) in output.harmonics.iter().enumerate() {
                    tr {
                        th scope="row" { "H" (m + 2) }
                        td .number { (number::percent(*share)) }
                    }
                }
            } }
        }
    }
}
