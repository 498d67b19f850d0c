//! The charts of the hookup over frequency.

use tapwright_core::report::Report;
use tapwright_speaker::sweep::SPAN;
use tapwright_units::{Ohms, Unit};

use super::{driver_name, swept};
use crate::chart::{Along, Axis, Chart, Curve, CurveStyle, Measure, XMark, range};
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
    let mut ticks = Vec::new();
    if let Some(at) = report.solved.frequency {
        ticks.push(XMark {
            name: "as typed".into(),
            at,
            chosen: true,
        });
    }
    let mut charts = Vec::new();
    let mut put = |id, title: &str, y, right, curves: Vec<Curve>| {
        let mut names = String::new();
        for curve in &curves {
            names.push_str(if names.is_empty() { "" } else { ", " });
            names.push_str(&curve.name);
        }
        charts.push(Chart {
            id,
            title: title.into(),
            summary: format!("From 20 Hz to 20 kHz: {names}."),
            x: Axis::log("frequency", Measure::Si(Unit::Hertz), SPAN.0, SPAN.1),
            y,
            right,
            curves,
            areas: Vec::new(),
            marks: Vec::new(),
            ticks: ticks.clone(),
            along: Along::Axis,
        });
    };
    let nominal = level("nominal", hookup.impedance);
    let curve =
        |name: &str, style, points: &[(f64, f64)]| Curve::new(name, style, points.to_vec(), true);
    let modulus = curve("impedance", CurveStyle::Main, &sweep.ohms);
    let mut phase = curve("phase", CurveStyle::Other, &sweep.degrees);
    phase.right = true;
    put(
        "impedance",
        "Impedance of the hookup",
        ohms("impedance", &modulus, hookup.impedance),
        Some(Axis::linear("phase", Measure::Degrees, -90.0, 90.0)),
        vec![nominal, phase, modulus],
    );
    if let Some(chosen) = report.solved.followed() {
        let target = chosen.connection.load.target;
        let load = curve("load", CurveStyle::Main, &sweep.load_ohms);
        put(
            "load",
            "The load over frequency",
            ohms("load on the primary", &load, target),
            None,
            vec![level("target", target), load],
        );
    }
    if (2..=MOST_DRIVERS).contains(&hookup.drivers.len()) {
        let mut curves = Vec::new();
        let mut most = 1.0_f64;
        let mut style = CurveStyle::Main;
        for (place, power) in sweep.power.iter().enumerate() {
            let share = curve(&driver_name(hookup, place), style, power);
            most = most.max(range([&share]).1);
            curves.insert(0, share);
            style = CurveStyle::Other;
        }
        put(
            "shares",
            "Who gets what of the power",
            Axis::linear("share of the power", Measure::Percent, 0.0, most),
            None,
            curves,
        );
    }
    charts
}

/// A level that does not change with frequency.
fn level(name: &str, value: Ohms) -> Curve {
    Curve::new(
        format!("{name} {}", words::about(value)),
        CurveStyle::Limit,
        vec![(SPAN.0, value.0), (SPAN.1, value.0)],
        false,
    )
}

/// An axis of ohms with room for a curve and a level.
fn ohms(name: &'static str, curve: &Curve, level: Ohms) -> Axis {
    let (low, high) = range([curve]);
    let most = high.max(level.0) * 1.3;
    let least = (low.min(level.0) / 1.3).min(most / 8.0);
    Axis::log(name, Measure::Si(Unit::Ohm), least, most)
}
