//! Invented charts: the shapes that an output stage makes, with no physics behind them.

use tapwright_page::chart::{
    Along, Also, Axis, Bar, Bars, Chart, Curve, CurveStyle, Mark, Measure, XMark,
};
use tapwright_units::Unit;

const VOLTS: Measure = Measure::Si(Unit::Volt);
const AMPERES: Measure = Measure::Si(Unit::Ampere);
const OHMS: Measure = Measure::Si(Unit::Ohm);
const WATTS: Measure = Measure::Si(Unit::Watt);

fn curve(name: &str, style: CurveStyle, points: Vec<(f64, f64)>) -> Curve {
    Curve {
        name: name.into(),
        style,
        right: false,
        points,
        read: false,
        closed: false,
    }
}

/// Plate current at a grid voltage, rising to a knee and then hardly.
fn plate(grid: f64, volts: f64) -> f64 {
    let most = 0.11 * (1.0 + grid / 34.0).max(0.0).powf(1.5);
    most * (1.0 - (-volts / (12.0 + 120.0 * most)).exp()) * (1.0 + volts / 2_800.0)
}

pub fn plate_curves() -> Chart {
    let volts: Vec<f64> = (0..=100).map(|n| f64::from(n) * 5.0).collect();
    let mut curves: Vec<Curve> = (0..6)
        .map(|n| {
            let grid = f64::from(-5 * n);
            curve(
                &format!("{grid} V").replace('-', "−"),
                CurveStyle::Family,
                volts.iter().map(|v| (*v, plate(grid, *v))).collect(),
            )
        })
        .collect();
    let hyperbola: Vec<(f64, f64)> = (12..=100)
        .map(|n| f64::from(n) * 5.0)
        .map(|v| (v, 12.0 / v))
        .collect();
    let mut beyond = hyperbola.clone();
    beyond.extend([(500.0, 0.2), (60.0, 0.2)]);
    curves.push(curve("12 W plate", CurveStyle::Limit, hyperbola));
    let turns = (0..=96).map(|n| f64::from(n) / 96.0 * std::f64::consts::TAU);
    let (path, grid): (Vec<(f64, f64)>, Vec<f64>) = turns
        .map(|turn| {
            let current = 0.035 + 0.033 * turn.sin() + 0.01 * turn.sin().powi(2);
            let volts = 250.0 - 200.0 * turn.sin() + 14.0 * turn.cos() - 14.0;
            ((volts, current), -15.0 + 15.0 * turn.sin())
        })
        .unzip();
    curves.push(Curve {
        closed: true,
        ..curve("load path", CurveStyle::Main, path)
    });
    Chart {
        id: "plate",
        title: "Each tube along the load".into(),
        summary: "Plate current against plate voltage: the load path runs from 50 V, 78 mA to 436 V, 12 mA, below the 12 W limit at its ends.".into(),
        x: Axis::linear("plate", VOLTS, 0.0, 500.0),
        y: Axis::linear("plate current", AMPERES, 0.0, 0.16),
        right: None,
        curves,
        areas: vec![beyond],
        marks: vec![Mark {
            name: "250 V, 35 mA".into(),
            at: (250.0, 0.035),
        }],
        ticks: Vec::new(),
        along: Along::Path {
            curve: 7,
            rest: 0.0,
            also: Some(Also {
                axis: Axis::linear("grid", VOLTS, -30.0, 0.0),
                values: grid,
            }),
        },
    }
}

pub fn waveform() -> Chart {
    let wave = |top: f64| {
        (0..=120)
            .map(|n| f64::from(n) * 3.0)
            .map(|angle: f64| (angle, (8.9 * angle.to_radians().sin()).clamp(-top, top)))
            .collect::<Vec<_>>()
    };
    Chart {
        id: "wave",
        title: "One cycle at the speaker".into(),
        summary: "The output over one cycle beside a pure sine: its tops are flat at 7 V.".into(),
        x: Axis::linear("part of the cycle", Measure::Degrees, 0.0, 360.0),
        y: Axis::linear("at the speaker", VOLTS, -10.0, 10.0),
        right: None,
        curves: vec![
            Curve {
                read: true,
                ..curve("pure sine", CurveStyle::Other, wave(9.0))
            },
            Curve {
                read: true,
                ..curve("output", CurveStyle::Main, wave(7.0))
            },
        ],
        areas: Vec::new(),
        marks: Vec::new(),
        ticks: Vec::new(),
        along: Along::Axis,
    }
}

pub fn power() -> Chart {
    let ohms: Vec<f64> = (0..=90)
        .map(|n| 1_250.0 * 64_f64.powf(f64::from(n) / 90.0))
        .collect();
    let watts = |z: f64| 40.0 / (z / 10_500.0 + 2.0 + 10_500.0 / z);
    let share = |z: f64| 0.01 + 0.4 / (1.0 + (22_000.0 / z).powi(3));
    let ticks = [
        (1_600.0, "8 kΩ, 15 Ω"),
        (2_000.0, "10 kΩ, 15 Ω"),
        (2_133.0, "8 kΩ, 15 Ω"),
        (2_667.0, "10 kΩ, 15 Ω"),
        (4_000.0, "8 kΩ, 8 Ω"),
        (5_000.0, "10 kΩ, 8 Ω"),
        (8_000.0, "8 kΩ, 3 Ω"),
        (10_667.0, "brown 8 kΩ, white 3 Ω"),
        (13_333.0, "10 kΩ, 3 Ω"),
        (40_000.0, "8 kΩ, 3 Ω"),
    ];
    Chart {
        id: "power",
        title: "Power and distortion against load".into(),
        summary: "Power peaks at 10.1 W near 10.5 kΩ; distortion rises with the load.".into(),
        x: Axis::log("plate to plate", OHMS, 1_250.0, 80_000.0),
        y: Axis::linear("power", WATTS, 0.0, 12.0),
        right: Some(Axis::linear("distortion", Measure::Percent, 0.0, 0.42)),
        curves: vec![
            Curve {
                right: true,
                read: true,
                ..curve(
                    "distortion",
                    CurveStyle::Other,
                    ohms.iter().map(|z| (*z, share(*z))).collect(),
                )
            },
            Curve {
                read: true,
                ..curve(
                    "power",
                    CurveStyle::Main,
                    ohms.iter().map(|z| (*z, watts(*z))).collect(),
                )
            },
        ],
        areas: Vec::new(),
        marks: Vec::new(),
        ticks: ticks
            .into_iter()
            .map(|(at, name)| XMark {
                name: name.into(),
                at,
                chosen: at == 10_667.0,
            })
            .collect(),
        along: Along::Axis,
    }
}

pub fn stress() -> Bars {
    let bar = |name: &str, value, limit, measure, when: &str| Bar {
        name: name.into(),
        value,
        limit,
        measure,
        when: when.into(),
        from: if name == "Screen dissipation" {
            "from 70 % of full drive on".into()
        } else {
            String::new()
        },
        now: limit.map(|_| 0.5 * value),
    };
    Bars {
        now: "at half drive".into(),
        id: "stress",
        title: "What the tube bears".into(),
        bars: vec![
            bar("Plate dissipation", 8.75, Some(12.0), WATTS, "at rest"),
            bar(
                "Screen dissipation",
                2.31,
                Some(2.0),
                WATTS,
                "at full power",
            ),
            bar("Plate peak", 436.0, None, VOLTS, "at full power"),
            bar(
                "Cathode current",
                0.0352,
                Some(0.05),
                AMPERES,
                "mean, at full power",
            ),
        ],
    }
}
