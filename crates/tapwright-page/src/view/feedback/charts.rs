//! The charts of the feedback.

use tapwright_core::feedback::LoopReport;
use tapwright_core::report::Report;
use tapwright_speaker::sweep::SPAN;
use tapwright_units::Unit;

use crate::chart::{Along, Axis, Chart, Curve, CurveStyle, Mark, Measure, XMark, range};
use crate::{number, words};

const DECIBELS: Measure = Measure::Si(Unit::Decibel);

/// The charts of what the feedback does.
pub(in crate::view) fn charts(report: &Report, looped: &LoopReport) -> Vec<Chart> {
    let mut charts = Vec::new();
    charts.extend(along(report, looped));
    charts.extend(response(looped));
    charts.extend(source(looped));
    charts.extend(loop_gain(looped));
    charts
}

fn frequency(from: f64, to: f64) -> Axis {
    Axis::log("frequency", Measure::Si(Unit::Hertz), from, to)
}

fn chart(
    id: &'static str,
    title: &str,
    summary: String,
    x: Axis,
    y: Axis,
    curves: Vec<Curve>,
) -> Chart {
    Chart {
        id,
        title: title.into(),
        summary,
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

fn along(report: &Report, looped: &LoopReport) -> Option<Chart> {
    let now = looped.now?;
    let taps = &report.solved.transformer.as_ref()?.taps;
    let in_use = looped.fixed_tap;
    let curves: Vec<Curve> = (looped.along.iter())
        .map(|along| {
            let name = taps.get(along.tap).map(words::tap).unwrap_or_default();
            let style = if along.tap == in_use {
                CurveStyle::Main
            } else {
                CurveStyle::Other
            };
            Curve::new(name, style, along.points.clone(), true)
        })
        .collect();
    if curves.is_empty() {
        return None;
    }
    let (least, most) = range(&curves);
    let decibels = now.headline.decibels?;
    Some(Chart {
        marks: vec![Mark {
            name: format!("now {}", number::decibels_one_place(decibels)),
            at: (now.position?, decibels),
        }],
        ..chart(
            "along",
            "The control, end to end",
            format!(
                "Feedback in decibels against the position of the control, for {} taps.",
                curves.len()
            ),
            Axis::linear("position of the control", Measure::Percent, 0.0, 1.0),
            Axis::linear(
                "feedback at 1 kHz",
                DECIBELS,
                (least - 1.0).min(0.0),
                most + 1.0,
            ),
            curves,
        )
    })
}

fn response(looped: &LoopReport) -> Option<Chart> {
    let now = looped.now.map(|now| now.ohms);
    let curves: Vec<Curve> = (looped.responses.iter())
        .filter(|response| !response.oscillates)
        .map(|response| {
            let name = match response.ohms {
                None => "no feedback".into(),
                Some(ohms) if Some(ohms) == now => {
                    format!("{}, now", number::about(ohms, Unit::Ohm))
                }
                Some(ohms) => number::about(ohms, Unit::Ohm),
            };
            let style = if response.ohms == now {
                CurveStyle::Main
            } else {
                CurveStyle::Other
            };
            Curve::new(name, style, response.points.clone(), true)
        })
        .collect();
    if curves.is_empty() {
        return None;
    }
    let (least, most) = range(&curves);
    let (least, most) = (least - 2.0, most + 2.0);
    Some(chart(
        "at-speaker",
        "At the speaker",
        "Level at the speaker from 20 Hz to 20 kHz; the setting typed at 1 kHz is zero.".into(),
        frequency(SPAN.0, SPAN.1),
        Axis::linear(
            "level at the speaker",
            DECIBELS,
            least.max(most - 60.0),
            most,
        ),
        curves,
    ))
}

fn source(looped: &LoopReport) -> Option<Chart> {
    if looped.source.is_empty() {
        return None;
    }
    let rated = Curve::new(
        format!("rated {}", number::about(looped.rated, Unit::Ohm)),
        CurveStyle::Limit,
        vec![(SPAN.0, looped.rated), (SPAN.1, looped.rated)],
        false,
    );
    let source = Curve::new("source", CurveStyle::Main, looped.source.clone(), true);
    let (least, most) = range([&rated, &source]);
    Some(chart(
        "speaker-sees",
        "What the speaker sees",
        "Source impedance at the jack from 20 Hz to 20 kHz.".into(),
        frequency(SPAN.0, SPAN.1),
        Axis::log(
            "source impedance",
            Measure::Si(Unit::Ohm),
            (least / 1.5).max(1e-3),
            most * 1.5,
        ),
        vec![rated, source],
    ))
}

fn loop_gain(looped: &LoopReport) -> Option<Chart> {
    if looped.loop_gain.is_empty() {
        return None;
    }
    let gain = looped.loop_gain.iter().map(|at| (at.0, at.1)).collect();
    let phase: Vec<(f64, f64)> = looped.loop_gain.iter().map(|at| (at.0, at.2)).collect();
    let gain = Curve::new("loop gain", CurveStyle::Main, gain, true);
    let phase = Curve {
        right: true,
        ..Curve::new("phase", CurveStyle::Other, phase, true)
    };
    let (least, most) = range([&gain]);
    let (low, high) = range([&phase]);
    let unity = Curve::new("", CurveStyle::Limit, vec![(10.0, 0.0), (1e5, 0.0)], false);
    let first = looped
        .stability
        .first()
        .and_then(|judged| judged.phase_hertz);
    let crossing = first
        .filter(|_| looped.high_end_known)
        .filter(|hertz| (10.0..1e5).contains(hertz));
    Some(Chart {
        right: Some(Axis::linear(
            "phase",
            Measure::Degrees,
            low - 20.0,
            high + 20.0,
        )),
        ticks: crossing
            .map(|at| XMark {
                name: "least margin".into(),
                at,
                chosen: true,
            })
            .into_iter()
            .collect(),
        ..chart(
            "loop-gain",
            "Around the loop",
            "Loop gain and its phase from 10 Hz to 100 kHz.".into(),
            frequency(10.0, 1e5),
            Axis::linear("loop gain", DECIBELS, (least - 3.0).max(-60.0), most + 3.0),
            vec![unity, phase, gain],
        )
    })
}
