//! Plate dissipation against the bias.

use tapwright_core::idle::{AlongBias, IdleReport};
use tapwright_units::Unit;

use crate::chart::{Along, Axis, Chart, Curve, CurveStyle, Mark, Measure, range};
use crate::number;

/// The chart of the idle point.
pub(in crate::view) fn charts(report: &IdleReport) -> Vec<Chart> {
    report.along.iter().filter_map(dissipation).collect()
}

fn dissipation(along: &AlongBias) -> Option<Chart> {
    let (first, last) = (along.points.first()?, along.points.last()?);
    let curve = Curve::new("plate", CurveStyle::Main, along.points.clone(), true);
    let (_, highest) = range([&curve]);
    // Far beyond the limit nothing is of use.
    let most = match along.limit {
        Some(limit) => (1.05 * highest).clamp(1.3 * limit, 1.8 * limit),
        None => 1.05 * highest,
    };
    let (name, unit, title, what) = match along.by_resistor {
        true => (
            "cathode resistor",
            Unit::Ohm,
            "Dissipation against the cathode resistor",
            "the cathode resistor",
        ),
        false => (
            "grid, from the cathode",
            Unit::Volt,
            "Dissipation against the grid’s volts",
            "grid volts",
        ),
    };
    let mut curves = Vec::new();
    let mut areas = Vec::new();
    if let Some(limit) = along.limit {
        areas.push(vec![
            (first.0, limit),
            (last.0, limit),
            (last.0, most),
            (first.0, most),
        ]);
        curves.push(Curve::new(
            format!("limit {}", number::given(limit, Unit::Watt)),
            CurveStyle::Limit,
            vec![(first.0, limit), (last.0, limit)],
            false,
        ));
    }
    curves.push(curve);
    let mark = |what: &str, at: (f64, f64)| Mark {
        name: format!("{what} {}", number::computed(at.1, Unit::Watt)),
        at,
    };
    let marks = [
        along.read.map(|at| mark("read", at)),
        along.wanted.map(|at| mark("wanted", at)),
    ];
    Some(Chart {
        id: "dissipation",
        title: title.into(),
        summary: format!("Plate dissipation of one tube at idle against {what}."),
        x: match along.by_resistor {
            true => Axis::log(name, Measure::Si(unit), first.0, last.0),
            false => Axis::linear(name, Measure::Si(unit), first.0, last.0),
        },
        y: Axis::linear("plate dissipation", Measure::Si(Unit::Watt), 0.0, most),
        right: None,
        curves,
        areas,
        marks: marks.into_iter().flatten().collect(),
        ticks: Vec::new(),
        along: Along::Axis,
    })
}
