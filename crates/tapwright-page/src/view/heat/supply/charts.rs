//! The charts of the supply.

use tapwright_core::supply::SupplyReport;
use tapwright_units::Unit;

use crate::chart::{Along, Axis, Chart, Curve, CurveStyle, Mark, Measure, range};
use crate::number;

/// B+ over two cycles of the mains, and against load.
pub(in crate::view) fn charts(report: &SupplyReport) -> Vec<Chart> {
    vec![wave(report), against_load(report)]
}

fn chart(
    id: &'static str,
    title: &str,
    summary: &str,
    axes: [Axis; 2],
    curves: Vec<Curve>,
) -> Chart {
    let [x, y] = axes;
    Chart {
        id,
        title: title.into(),
        summary: summary.into(),
        x,
        y,
        right: None,
        curves,
        areas: Vec::new(),
        marks: Vec::new(),
        ticks: Vec::new(),
        along: Along::Axis,
    }
}

/// Volts at the first capacitor and at the plates', and the current of the rectifiers.
fn wave(report: &SupplyReport) -> Chart {
    let wave = &report.wave;
    let end = wave.seconds.last().copied().unwrap_or(1.0);
    let points = |values: &[f64]| -> Vec<(f64, f64)> {
        let turns = wave.seconds.iter().map(|seconds| 720.0 * seconds / end);
        turns.zip(values.iter().copied()).collect()
    };
    let mut curves = Vec::new();
    let plates = report.places.plates;
    if plates > 0 {
        let first = points(&wave.volts[0]);
        curves.push(Curve::new(
            "first capacitor",
            CurveStyle::Other,
            first,
            true,
        ));
    }
    let at_plates = points(&wave.volts[plates]);
    curves.push(Curve::new("B+", CurveStyle::Main, at_plates, true));
    let (least, most) = range(&curves);
    let room = (most - least).max(0.01 * most);
    let amps = Curve {
        right: true,
        ..Curve::new("rectifier", CurveStyle::Family, points(&wave.amps), true)
    };
    let peak = range([&amps]).1.max(1e-6);
    curves.push(amps);
    Chart {
        right: Some(Axis::linear(
            "current of the rectifiers",
            Measure::Si(Unit::Ampere),
            0.0,
            2.5 * peak,
        )),
        ..chart(
            "supply-wave",
            "B+ and its ripple",
            "Volts at the capacitors and the current of the rectifiers over two cycles of the mains.",
            [
                Axis::linear("angle of the mains", Measure::Degrees, 0.0, 720.0),
                Axis::linear(
                    "volts",
                    Measure::Si(Unit::Volt),
                    least - room,
                    most + 0.3 * room,
                ),
            ],
            curves,
        )
    }
}

fn against_load(report: &SupplyReport) -> Chart {
    let points = report.against_load.clone();
    let most_amps = points.last().map_or(0.1, |point| point.0).max(1e-4);
    let curve = Curve::new("B+", CurveStyle::Main, points, true);
    let (least, most) = range([&curve]);
    let room = 0.1 * (most - least).max(1.0);
    Chart {
        marks: vec![Mark {
            name: format!("idle {}", number::computed(report.volts, Unit::Volt)),
            at: (report.loads.amps(), report.volts),
        }],
        ..chart(
            "supply-load",
            "B+ against load",
            "B+ at the plates against all the direct current drawn, from none to twice that of idle.",
            [
                Axis::linear(
                    "direct current drawn",
                    Measure::Si(Unit::Ampere),
                    0.0,
                    most_amps,
                ),
                Axis::linear(
                    "B+",
                    Measure::Si(Unit::Volt),
                    (least - room).max(0.0),
                    most + room,
                ),
            ],
            vec![curve],
        )
    }
}
