//! The charts of the hookup over frequency.

use tapwright_core::report::{HookupReport, Report};
use tapwright_core::sweep::{SPAN, Sweep};
use tapwright_core::units::{Ohms, Unit};

use super::super::chart::{Along, Axis, Chart, Curve, CurveStyle, Measure, XMark};
use super::{driver_name, swept};
use crate::{number, words};

/// The ids of these charts.
pub(super) const IDS: [&str; 3] = ["impedance", "load", "shares"];

/// Drivers of which each has a curve of its own; of more, no chart can be read.
const MOST_DRIVERS: usize = 8;

/// Impedance, load, and with several drivers their shares of the power.
pub(in crate::view) fn charts(report: &Report) -> Vec<Chart> {
    let Some((hookup, sweep)) = swept(report) else {
        return Vec::new();
    };
    let mut charts = vec![impedance(hookup, sweep)];
    charts.extend(load(report, sweep));
    if (2..=MOST_DRIVERS).contains(&hookup.drivers.len()) {
        charts.push(shares(hookup, sweep));
    }
    charts
}

/// A chart over frequency with nothing on it yet.
fn chart(id: &'static str, title: &str, summary: String, y: Axis, sweep: &Sweep) -> Chart {
    Chart {
        id,
        title: title.into(),
        summary,
        x: Axis::log("frequency", Measure::Si(Unit::Hertz), SPAN.0, SPAN.1),
        y,
        right: None,
        curves: Vec::new(),
        areas: Vec::new(),
        marks: Vec::new(),
        ticks: (sweep.at.iter())
            .map(|at| XMark {
                name: number::given(at.hertz, Unit::Hertz),
                at: at.hertz,
                chosen: true,
            })
            .collect(),
        along: Along::Axis,
    }
}

fn curve(name: &str, style: CurveStyle, points: Vec<(f64, f64)>) -> Curve {
    Curve {
        name: name.into(),
        style,
        right: false,
        points,
        read: true,
        closed: false,
    }
}

/// A level that does not change with frequency.
fn level(name: String, value: f64) -> Curve {
    Curve {
        read: false,
        ..curve(
            &name,
            CurveStyle::Limit,
            vec![(SPAN.0, value), (SPAN.1, value)],
        )
    }
}

/// An axis of ohms with room for these curves.
fn ohms(name: &'static str, curves: &[Curve]) -> Axis {
    let values = || {
        curves
            .iter()
            .flat_map(|curve| &curve.points)
            .map(|point| point.1)
    };
    let least = values().fold(f64::INFINITY, f64::min) / 1.3;
    let most = values().fold(0.0, f64::max) * 1.3;
    Axis::log(name, Measure::Si(Unit::Ohm), least.min(most / 8.0), most)
}

fn impedance(hookup: &HookupReport, sweep: &Sweep) -> Chart {
    let modulus = sweep.points.iter().map(|point| (point.hertz, point.ohms));
    let phase = sweep
        .points
        .iter()
        .map(|point| (point.hertz, point.degrees));
    let mut curves = vec![
        level(
            format!("nominal {}", words::about(hookup.impedance)),
            hookup.impedance.0,
        ),
        curve("impedance", CurveStyle::Main, modulus.collect()),
    ];
    let y = ohms("impedance", &curves);
    let phase = curve("phase", CurveStyle::Other, phase.collect());
    curves.insert(
        1,
        Curve {
            right: true,
            ..phase
        },
    );
    Chart {
        right: Some(Axis::linear("phase", Measure::Degrees, -90.0, 90.0)),
        curves,
        ..chart(
            "impedance",
            "Impedance of the hookup",
            format!(
                "Impedance and phase of the hookup from 20 Hz to 20 kHz; nominal {}.",
                words::about(hookup.impedance)
            ),
            y,
            sweep,
        )
    }
}

fn load(report: &Report, sweep: &Sweep) -> Option<Chart> {
    let target = report.followed()?.load.target;
    let curves = vec![
        level(format!("target {}", words::rated(target)), target.0),
        curve(
            "load",
            CurveStyle::Main,
            sweep
                .points
                .iter()
                .map(|point| (point.hertz, point.load_ohms))
                .collect(),
        ),
    ];
    let y = ohms("load on the primary", &curves);
    Some(Chart {
        curves,
        ..chart(
            "load",
            "The load that the tube sees",
            format!(
                "Load on the primary from 20 Hz to 20 kHz; the target is {}.",
                words::rated(Ohms(target.0))
            ),
            y,
            sweep,
        )
    })
}

fn shares(hookup: &HookupReport, sweep: &Sweep) -> Chart {
    let of = |place: usize| {
        let points = sweep.points.iter();
        let points = points.filter_map(|point| Some((point.hertz, *point.power.get(place)?)));
        // Those that are alike lie on one another, and the first one's name is enough.
        let style = if place == 0 {
            CurveStyle::Main
        } else {
            CurveStyle::Other
        };
        curve(&driver_name(hookup, place), style, points.collect())
    };
    let curves: Vec<Curve> = (0..hookup.drivers.len()).rev().map(of).collect();
    let most = curves.iter().flat_map(|curve| &curve.points);
    let most = most.fold(0.0, |most: f64, point| most.max(point.1)) * 1.1;
    Chart {
        curves,
        ..chart(
            "shares",
            "Who gets what of the power",
            "Share of the power in each speaker from 20 Hz to 20 kHz.".into(),
            Axis::linear("share of the power", Measure::Percent, 0.0, most.max(1.0)),
            sweep,
        )
    }
}
