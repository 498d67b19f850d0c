//! What the tube does in the chosen connection: charts, stress, the idle point.

use maud::{Markup, html};
use tapwright_core::output::{ChosenOutput, SolvedStage};
use tapwright_core::report::Report;
use tapwright_stage::stress::Burden;
use tapwright_tube::{Bias, Kind, Topology};
use tapwright_units::Unit;

use super::Scene;
use crate::chart::{self, Bar, Bars, Chart, Measure};
use crate::{number, words};

mod charts;

pub(super) use charts::charts;

/// The stage and the chosen connection, when both were solved.
fn solved(report: &Report) -> Option<(&SolvedStage, &ChosenOutput)> {
    let output = report.solved.followed.as_ref()?.exact()?;
    Some((report.solved.stage()?, output))
}

pub(super) fn stage(scene: &Scene) -> Markup {
    let report = scene.report;
    let Some((stage, output)) = solved(report) else {
        return unsolved(scene);
    };
    let stale = (report.solved.followed())
        .is_some_and(|chosen| scene.is_stale(chosen.connection.choice.hookup));
    html! {
        h2 { "What the tube does there" }
        div .stale[stale] {
            (delivered(stage, output))
            div .charts {
                @for chart in scene.charts().iter().take(charts::COUNT) { (draw(scene, chart)) }
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
            h2 { "What the tube does there" }
            p { "This could not be computed: " (why) "." }
        } @else if report.chosen.is_some() && report.solved.stage.is_none() {
            h2 { "What the tube does there" }
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

/// What the tubes bear up to full overdrive, against their limits.
fn stress(scene: &Scene, stage: &SolvedStage, output: &ChosenOutput) -> Markup {
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
        let at = &output.stress;
        (!(of_screen && stage.tube.kind == Kind::Triode)).then(|| Bar {
            name: name.into(),
            value: borne.value,
            limit: borne.limit,
            measure: Measure::Si(unit),
            when: words::when(borne.drive),
            from: borne.over_from.map_or_else(String::new, words::from_drive),
            now: match borne.burden {
                Burden::PlateWatts => Some(at.plate_watts),
                Burden::ScreenWatts => Some(at.screen_watts),
                Burden::CathodeAmps => Some(at.cathode_amps),
                Burden::PeakPlateVolts => Some(at.peak_plate_volts),
                Burden::PlateVolts | Burden::ScreenVolts => None,
            },
        })
    });
    let with = (output.with_reactance()).map_or(String::new(), |found| {
        format!(" at {}", number::given(found.hertz, Unit::Hertz))
    });
    let bars = Bars {
        id: "stress",
        title: format!("The most that one tube bears{with}, from idle to full overdrive"),
        now: format!("at {} of full drive", number::percent(output.drive)),
        bars: bars.collect(),
    };
    html! {
        div {
            (chart::bars(&bars, scene.is_open("table.stress")))
            p .hint {
                @for (watts, which) in output.stopper_watts().into_iter().zip(["at each screen", "of all screens"]) {
                    @if watts > 0.0 {
                        "The resistor " (which) " takes up to " (number::computed(watts, Unit::Watt))
                        ": rate it for twice that. "
                    }
                }
                @if let Some(wanted) = output.stopper_wanted(&stage.stage) {
                    (number::given(wanted.ohms, Unit::Ohm)) " per screen keeps screens to "
                    (number::computed(wanted.screen_watts, Unit::Watt))
                    ", bias and supply as they are; full drive then gives "
                    (number::computed(wanted.watts, Unit::Watt)) ". "
                }
                @match (stage.tube.rating, stage.tube.limits_source) {
                    (Some(rating), Some(source)) => {
                        "Limits: " (rating.name()) ", " (source) ". "
                    }
                    _ => "Limits as typed. ",
                }
                "A limit counts as passed from 2 % beyond it. Full overdrive is four times full drive. Without a speaker the plate peaks have no bound: the insulation breaks."
            }
        }
    }
}

/// One tube at idle, and the magnetising current.
fn idle(stage: &SolvedStage) -> Markup {
    let idle = &stage.idle;
    let per_side = f64::from(stage.stage.tubes_per_side);
    let cooler = idle.all_plate_amps / per_side - idle.plate_amps;
    let volts = |what, value| Some((what, value, Unit::Volt));
    let amps = |what, value| Some((what, value, Unit::Ampere));
    let screened = stage.tube.kind != Kind::Triode;
    let unlike = stage.stage.imbalance.current != 0.0;
    let rows = [
        volts("plate, from the cathode", idle.plate_volts),
        volts("screen, from the cathode", idle.screen_volts).filter(|_| screened),
        volts("grid, from the cathode", idle.grid_volts),
        volts("cathode, from ground", idle.cathode_volts),
        amps("plate current", idle.plate_amps),
        amps("plate current, the cooler side", cooler).filter(|_| unlike),
        amps("screen current", idle.screen_amps).filter(|_| screened),
        Some(("plate dissipation", idle.plate_watts, Unit::Watt)),
        Some((
            "transconductance",
            idle.transconductance * 1e3,
            Unit::Millisiemens,
        )),
        Some(("plate resistance", idle.plate_resistance, Unit::Ohm)),
        amps(
            "magnetises the core, as if in the whole primary",
            idle.magnetising_amps,
        ),
    ];
    let rows = (rows.into_iter().flatten())
        .map(|(what, value, unit)| (what.to_owned(), number::computed(value, unit)));
    let title = match unlike {
        true => "One tube of the hotter side at idle",
        false => "One tube at idle",
    };
    numbers(title, rows)
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

/// Numbers by their names under a heading.
fn numbers(title: &str, rows: impl IntoIterator<Item = (String, String)>) -> Markup {
    html! {
        div {
            h3 { (title) }
            table .shares { tbody {
                @for (what, value) in rows {
                    tr { th scope="row" { (what) } td .number { (value) } }
                }
            } }
        }
    }
}
