//! The two charts of the iron: the response with the load on the tubes, and the largest power
//! against frequency.

use tapwright_core::iron::{Passage, ResponsePoint};
use tapwright_core::report::Report;
use tapwright_units::Unit;

use crate::chart::{Along, Axis, Chart, Curve, CurveStyle, Mark, Measure};
use crate::{number, words};

const RESPONSE: &str = "response";
const FLUX: &str = "flux";

/// The ids of these charts.
pub(super) const IDS: [&str; 2] = [RESPONSE, FLUX];

/// The charts of a report.
pub(in crate::view) fn charts(report: &Report) -> Vec<Chart> {
    let losses = &report.solved.iron;
    let followed = report.solved.followed.as_ref();
    let Some(passage) = followed.and_then(|followed| losses.passages.get(followed.place)) else {
        return Vec::new();
    };
    let points = losses.response.as_slice();
    let mut charts = Vec::new();
    if losses.has_response() && !points.is_empty() {
        charts.push(response(points, passage));
    }
    charts.extend(
        losses
            .known
            .flux_limit()
            .map(|rated| flux(points, passage, rated.watts)),
    );
    charts
}

fn ends(points: &[ResponsePoint]) -> (f64, f64) {
    let at = |point: Option<&ResponsePoint>| point.map_or(1.0, |point| point.hertz);
    (at(points.first()), at(points.last()))
}

fn response(points: &[ResponsePoint], passage: &Passage) -> Chart {
    let decibels: Vec<_> = points.iter().map(|at| (at.hertz, at.decibels)).collect();
    let seen: Vec<_> = points.iter().map(|at| (at.hertz, at.input)).collect();
    let most = decibels
        .iter()
        .fold(3.0, |most: f64, at| most.max(at.1 + 1.0));
    let least = seen.iter().fold(f64::INFINITY, |least, at| least.min(at.1));
    let highest = seen.iter().fold(0.0, |most: f64, at| most.max(at.1));
    let edge = |hertz: f64| Mark {
        name: number::computed(hertz, Unit::Hertz),
        at: (hertz, -10.0 * 2_f64.log10()),
    };
    let (from, to) = ends(points);
    let edges = passage.band.map(|band| [band.low, band.high]);
    let edges = edges.into_iter().flatten().flatten();
    Chart {
        id: RESPONSE,
        title: "Response of the transformer, and the load on the tubes".into(),
        summary: format!(
            "Volts at the speakers against mid band, and the load at the plate, from {} of source into the rated speakers.",
            words::ohms(passage.source)
        ),
        x: Axis::log("frequency", Measure::Si(Unit::Hertz), from, to),
        y: Axis::linear(
            "response",
            Measure::Si(Unit::Decibel),
            -15.0,
            most.min(15.0),
        ),
        right: Some(Axis::log(
            "load",
            Measure::Si(Unit::Ohm),
            least.max(1e-3 * highest) / 1.2,
            1.2 * highest,
        )),
        curves: vec![
            Curve {
                right: true,
                ..Curve::new("load", CurveStyle::Other, seen, true)
            },
            Curve::new("response", CurveStyle::Main, decibels, true),
        ],
        areas: Vec::new(),
        marks: edges
            .filter(|hertz| (from..=to).contains(hertz))
            .map(edge)
            .collect(),
        ticks: Vec::new(),
        along: Along::Axis,
    }
}

fn flux(points: &[ResponsePoint], passage: &Passage, rated: f64) -> Chart {
    // Bass is what saturates a core.
    let low = points.iter().filter(|at| at.hertz < 1_050.0);
    let most: Vec<_> = low
        .filter_map(|at| Some((at.hertz, at.largest_power?)))
        .collect();
    let (from, to) = (
        most.first().map_or(10.0, |at| at.0),
        most.last().map_or(1_000.0, |at| at.0),
    );
    let full = passage.full_power.map_or(rated, |watts| watts.0);
    let (least, highest) = (0.05 * full.min(rated), 10.0 * full.max(rated));
    let level = |watts: f64| vec![(from, watts), (to, watts)];
    let mut area = most.clone();
    area.extend([(to, 1e3 * highest), (from, 1e3 * highest)]);
    let mut curves = vec![Curve::new(
        format!("rated {}", number::given(rated, Unit::Watt)),
        CurveStyle::Limit,
        level(rated),
        false,
    )];
    if (full / rated - 1.0).abs() > 1e-9 {
        curves.push(Curve::new(
            format!("full power {}", number::computed(full, Unit::Watt)),
            CurveStyle::Other,
            level(full),
            false,
        ));
    }
    curves.push(Curve::new("the core’s limit", CurveStyle::Main, most, true));
    Chart {
        id: FLUX,
        title: "The largest power against frequency".into(),
        summary: format!(
            "The power in the speakers at which the core has the flux that it is rated for; {} pass down to {}.",
            number::computed(full, Unit::Watt),
            number::computed(passage.lowest_hertz.unwrap_or_default(), Unit::Hertz)
        ),
        x: Axis::log("frequency", Measure::Si(Unit::Hertz), from, to),
        y: Axis::log("power", Measure::Si(Unit::Watt), least, highest),
        right: None,
        curves,
        areas: vec![area],
        marks: Vec::new(),
        ticks: Vec::new(),
        along: Along::Axis,
    }
}
