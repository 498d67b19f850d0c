//! The charts of the hookup over frequency.

use tapwright_core::report::{HookupReport, Report};
use tapwright_core::sweep::{SPAN, Sweep};
use tapwright_core::units::{Ohms, Unit};

use super::super::chart::{Along, Axis, Chart, Curve, CurveStyle, Measure, XMark};
use super::{driver_name, swept};
use crate::words;

/// The ids of these charts.
pub(super) const IDS: [&str; 3] = ["impedance", "load", "shares"];

/// Drivers of which each has a curve of its own; of more, no chart can be read.
const MOST_DRIVERS: usize = 8;

/// Impedance, load, and with several drivers their shares of the power.
pub(in crate::view) fn charts(report: &Report) -> Vec<Chart> {
    let Some((hookup, sweep)) = swept(report) else {
        return Vec::new();
    };
    let at = report.frequency;
    let mut charts = vec![impedance(hookup, sweep, at)];
    if let Some(chosen) = report.followed() {
        charts.push(load(chosen.load.target, sweep, at));
    }
    if (2..=MOST_DRIVERS).contains(&hookup.drivers.len()) {
        charts.push(shares(hookup, sweep, at));
    }
    charts
}

/// A chart over frequency with nothing on it yet.
fn chart(id: &'static str, title: &str, summary: String, y: Axis, at: Option<f64>) -> Chart {
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
        ticks: match at {
            Some(at) => vec![XMark {
                name: "as typed".into(),
                at,
                chosen: true,
            }],
            None => Vec::new(),
        },
        along: Along::Axis,
    }
}

fn curve(name: &str, style: CurveStyle, points: &[(f64, f64)]) -> Curve {
    Curve {
        name: name.into(),
        style,
        right: false,
        points: points.to_vec(),
        read: true,
        closed: false,
    }
}

/// The lowest and the highest value of a curve.
fn range(curve: &Curve) -> (f64, f64) {
    let start = (f64::INFINITY, 0.0_f64);
    let points = curve.points.iter();
    points.fold(start, |(low, high), point| {
        (low.min(point.1), high.max(point.1))
    })
}

/// A level that does not change with frequency.
fn level(name: String, value: f64) -> Curve {
    Curve {
        read: false,
        ..curve(
            &name,
            CurveStyle::Limit,
            &[(SPAN.0, value), (SPAN.1, value)],
        )
    }
}

/// An axis of ohms with room for a curve and a level.
fn ohms(name: &'static str, curve: &Curve, level: f64) -> Axis {
    let (low, high) = range(curve);
    let most = high.max(level) * 1.3;
    let least = (low.min(level) / 1.3).min(most / 8.0);
    Axis::log(name, Measure::Si(Unit::Ohm), least, most)
}

fn impedance(hookup: &HookupReport, sweep: &Sweep, at: Option<f64>) -> Chart {
    let nominal = words::about(hookup.impedance);
    let modulus = curve("impedance", CurveStyle::Main, &sweep.ohms);
    let phase = curve("phase", CurveStyle::Other, &sweep.degrees);
    let y = ohms("impedance", &modulus, hookup.impedance.0);
    Chart {
        right: Some(Axis::linear("phase", Measure::Degrees, -90.0, 90.0)),
        curves: vec![
            level(format!("nominal {nominal}"), hookup.impedance.0),
            Curve {
                right: true,
                ..phase
            },
            modulus,
        ],
        ..chart(
            "impedance",
            "Impedance of the hookup",
            format!("Impedance and phase from 20 Hz to 20 kHz; nominal {nominal}."),
            y,
            at,
        )
    }
}

fn load(target: Ohms, sweep: &Sweep, at: Option<f64>) -> Chart {
    let load = curve("load", CurveStyle::Main, &sweep.load_ohms);
    let wanted = words::rated(target);
    let y = ohms("load on the primary", &load, target.0);
    Chart {
        curves: vec![level(format!("target {wanted}"), target.0), load],
        ..chart(
            "load",
            "The load that the tube sees",
            format!("Load from 20 Hz to 20 kHz; the target is {wanted}."),
            y,
            at,
        )
    }
}

fn shares(hookup: &HookupReport, sweep: &Sweep, at: Option<f64>) -> Chart {
    let mut curves = Vec::new();
    let mut most = 1.0_f64;
    for (place, power) in sweep.power.iter().enumerate().rev() {
        let style = if place == 0 {
            CurveStyle::Main
        } else {
            CurveStyle::Other
        };
        let share = curve(&driver_name(hookup, place), style, power);
        most = most.max(range(&share).1);
        curves.push(share);
    }
    Chart {
        curves,
        ..chart(
            "shares",
            "Who gets what of the power",
            "Share of the power in each speaker from 20 Hz to 20 kHz.".into(),
            Axis::linear("share of the power", Measure::Percent, 0.0, most),
            at,
        )
    }
}
