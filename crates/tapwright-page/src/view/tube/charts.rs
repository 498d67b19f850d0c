//! The three charts of the stage: plate curves, the wave at the speakers, power and
//! distortion against load.

use std::ops::RangeInclusive;

use tapwright_core::judged::Judged;
use tapwright_core::output::{ChosenOutput, SolvedStage};
use tapwright_core::report::Report;
use tapwright_core::setup::Setup;
use tapwright_tube::Topology;
use tapwright_units::{Ohms, Unit};

use super::solved;
use crate::chart::{Along, Also, Axis, Chart, Curve, CurveStyle, Mark, Measure, XMark};
use crate::{number, words};

/// Ratio to the target at either end of the scale of loads.
const SPAN: f64 = 8.0;

/// More connections than this are marked for the chosen hookup only.
const MOST_MARKS: usize = 60;

/// The charts of a report; `setup` has the names of the hookups.
pub(in crate::view) fn charts(report: &Report, setup: &Setup) -> Vec<Chart> {
    let Some((stage, output)) = solved(report) else {
        return Vec::new();
    };
    vec![
        plates(stage, output),
        power(report, setup, stage),
        wave(output),
    ]
}

fn si(unit: Unit) -> Measure {
    Measure::Si(unit)
}

fn plates(stage: &SolvedStage, output: &ChosenOutput) -> Chart {
    let idle = &stage.idle;
    let line: Vec<(f64, f64)> = (output.load_line.iter())
        .map(|at| (at.plate_volts, at.plate_amps))
        .collect();
    let most_volts = output.family.first().and_then(|curve| curve.points.last());
    let most_volts = most_volts.map_or(500.0, |point| point.0);
    let highest = |points: &[(f64, f64)]| points.iter().fold(0.0, |most: f64, at| most.max(at.1));
    let used = highest(&line).max(1.2 * idle.plate_amps);
    let family = output.family.iter().map(|curve| highest(&curve.points));
    // Curves far above the load line are cut off, so that it fills the chart.
    let most_amps = family.fold(0.0, f64::max).clamp(1.05 * used, 1.5 * used);
    let least_volts = line.iter().fold(0.0, |least: f64, at| least.min(at.0));
    let mut curves: Vec<Curve> = (output.family.iter())
        .map(|curve_of| {
            Curve::new(
                number::given(curve_of.grid_volts, Unit::Volt),
                CurveStyle::Family,
                curve_of.points.clone(),
                false,
            )
        })
        .collect();
    let mut areas = Vec::new();
    if let (Some(watts), Some(first), Some(last)) = (
        stage.tube.bounds.plate_watts,
        output.hyperbola.first(),
        output.hyperbola.last(),
    ) {
        let mut area = output.hyperbola.clone();
        area.extend([(last.0, 2.0 * most_amps), (first.0, 2.0 * most_amps)]);
        areas.push(area);
        curves.push(Curve::new(
            format!("{} plate", number::given(watts, Unit::Watt)),
            CurveStyle::Limit,
            output.hyperbola.clone(),
            false,
        ));
    }
    let path = curves.len();
    let closed = output.with_reactance().is_some();
    let grids: Vec<f64> = output.load_line.iter().map(|at| at.grid_volts).collect();
    let lowest_grid = grids.iter().copied().fold(-1.0, f64::min);
    let path_name = match output.with_reactance() {
        Some(found) => format!("path at {}", number::given(found.hertz, Unit::Hertz)),
        None => "load line".into(),
    };
    curves.push(Curve {
        closed,
        ..Curve::new(path_name, CurveStyle::Main, line, true)
    });
    let each = match stage.stage.topology {
        Topology::PushPull => "Each tube along the load",
        Topology::SingleEnded => "The tube along the load",
    };
    let operating = format!(
        "{}, {}",
        number::computed(idle.plate_volts, Unit::Volt),
        number::computed(idle.plate_amps, Unit::Ampere)
    );
    Chart {
        id: "plates",
        title: each.into(),
        summary: format!(
            "Plate current against plate voltage at {} grid voltages, with the load line of {} and the operating point at {operating}.",
            output.family.len(),
            words::ohms(Ohms(output.load))
        ),
        x: Axis::linear("plate voltage", si(Unit::Volt), least_volts, most_volts),
        y: Axis::linear("plate current", si(Unit::Ampere), 0.0, most_amps),
        right: None,
        curves,
        areas,
        marks: vec![Mark {
            // The volts stand on the axis below; with them the text fits nowhere.
            name: format!("idle {}", number::computed(idle.plate_amps, Unit::Ampere)),
            at: (idle.plate_volts, idle.plate_amps),
        }],
        ticks: Vec::new(),
        along: Along::Path {
            curve: path,
            rest: 0.0,
            also: Some(Also {
                axis: Axis::linear("grid", si(Unit::Volt), lowest_grid, 0.0),
                values: grids,
            }),
        },
    }
}

fn power(report: &Report, setup: &Setup, stage: &SolvedStage) -> Chart {
    let (least, most) = (stage.target.0 / SPAN, stage.target.0 * SPAN);
    let lossy = marked_lossy(report);
    let marked = marked(report, least..=most);
    // The curve goes through every mark, so that what is read there is what the table says.
    let mut points: Vec<(f64, f64, f64)> = (stage.curve.iter())
        .map(|at| (at.load, at.watts, at.thd))
        .chain(
            marked
                .iter()
                .filter(|c| is_on_curve(report, stage, c))
                .filter_map(|c| {
                    let output = c.output?;
                    Some((output.load.0, output.into_load.0, output.thd))
                }),
        )
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let watts: Vec<_> = points
        .iter()
        .map(|(load, watts, _)| (*load, *watts))
        .collect();
    let thd: Vec<_> = points.iter().map(|(load, _, thd)| (*load, *thd)).collect();
    let most_watts = watts.iter().fold(1e-3, |most: f64, at| most.max(at.1)) * 1.12;
    let most_thd = thd.iter().fold(0.05, |most: f64, at| most.max(at.1)) * 1.05;
    Chart {
        id: "power",
        title: match lossy {
            true => "Power and distortion at full drive, against load, before the secondary",
            false => "Power and distortion at full drive, against load",
        }
        .into(),
        summary: format!(
            "Power at full drive and its distortion for loads from {} to {}; the target is {}.",
            words::ohms(Ohms(least)),
            words::ohms(Ohms(most)),
            words::rated(stage.target)
        ),
        x: Axis::log("load on the primary", si(Unit::Ohm), least, most),
        y: Axis::linear("power", si(Unit::Watt), 0.0, most_watts),
        right: Some(Axis::linear("distortion", Measure::Percent, 0.0, most_thd)),
        curves: vec![
            Curve {
                right: true,
                ..Curve::new("distortion", CurveStyle::Other, thd, true)
            },
            Curve::new("power", CurveStyle::Main, watts, true),
        ],
        areas: Vec::new(),
        marks: Vec::new(),
        ticks: ticks(report, setup, &marked),
        along: Along::Axis,
    }
}

/// Whether something is lost behind the primary, so that the speakers get less than the load.
fn marked_lossy(report: &Report) -> bool {
    let output = report.solved.followed().and_then(|chosen| chosen.output);
    output.is_some_and(|output| output.watts < output.into_load)
}

/// Whether a connection has the winding resistance that the curve was solved with.
fn is_on_curve(report: &Report, stage: &SolvedStage, judged: &Judged) -> bool {
    let at = (report.solved.connections.iter())
        .position(|other| other.connection.choice == judged.connection.choice);
    let passage = at.and_then(|at| report.solved.iron.passages.get(at));
    passage.is_none_or(|passage| passage.network.primary_ohms == stage.stage.primary_ohms)
}

/// Every connection on the scale; of very many, those of the chosen hookup.
fn marked(report: &Report, scale: RangeInclusive<f64>) -> Vec<&Judged> {
    let Some(chosen) = report.solved.followed() else {
        return Vec::new();
    };
    let many = report.solved.connections.len() > MOST_MARKS;
    (report.solved.connections.iter())
        .filter(|c| !many || c.connection.choice.hookup == chosen.connection.choice.hookup)
        .filter(|c| scale.contains(&c.connection.load.reflected.0))
        .collect()
}

fn ticks(report: &Report, setup: &Setup, marked: &[&Judged]) -> Vec<XMark> {
    let (Some(transformer), Some(chosen)) = (&report.solved.transformer, report.solved.followed())
    else {
        return Vec::new();
    };
    let first = marked.first().map(|c| c.connection.choice.hookup);
    let several = marked
        .iter()
        .any(|c| Some(c.connection.choice.hookup) != first);
    (marked.iter())
        .map(|c| {
            let is_chosen = c.connection.choice == chosen.connection.choice;
            let mut name = words::connection(transformer, c);
            if several {
                name = format!(
                    "{}: {name}",
                    words::hookup(setup, c.connection.choice.hookup)
                );
            }
            XMark {
                name,
                at: c
                    .output
                    .map_or(c.connection.load.reflected.0, |output| output.load.0),
                chosen: is_chosen,
            }
        })
        .collect()
}

fn wave(output: &ChosenOutput) -> Chart {
    let volts: Vec<_> = output
        .wave
        .iter()
        .map(|at| (at.degrees, at.volts))
        .collect();
    let fundamental: Vec<_> = (output.wave.iter())
        .map(|at| (at.degrees, at.fundamental))
        .collect();
    let most =
        (volts.iter().chain(&fundamental)).fold(1e-3, |most: f64, at| most.max(at.1.abs())) * 1.1;
    Chart {
        id: "wave",
        title: format!(
            "The wave at the speakers, at {} of full drive",
            number::percent(output.drive)
        ),
        summary: format!(
            "One cycle of the volts at the speakers: {} with {} distortion.",
            number::computed(output.delivered.watts, Unit::Watt),
            number::percent(output.delivered.thd)
        ),
        x: Axis::linear("angle of the drive", Measure::Degrees, 0.0, 360.0),
        y: Axis::linear("speaker voltage", si(Unit::Volt), -most, most),
        right: None,
        curves: vec![
            Curve::new("fundamental", CurveStyle::Other, fundamental, true),
            Curve::new("wave", CurveStyle::Main, volts, true),
        ],
        areas: Vec::new(),
        marks: Vec::new(),
        ticks: Vec::new(),
        along: Along::Axis,
    }
}
