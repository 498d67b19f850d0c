//! What holds for every transformer with losses, tried on random ones.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use proptest::prelude::*;

/// From one value to another, equal ratios equally often.
fn between(from: f64, to: f64) -> impl Strategy<Value = f64> {
    (from.ln()..to.ln()).prop_map(f64::exp)
}

/// Everything that can be typed about the iron, within its range and often left out.
fn typed() -> impl Strategy<Value = String> {
    let field = |key: &'static str, value: BoxedStrategy<String>| {
        prop::option::of(value)
            .prop_map(move |text| text.map_or(String::new(), |text| format!("&{key}={text}")))
    };
    let number = |from: f64, to: f64| {
        between(from, to)
            .prop_map(|value| format!("{value:.12}"))
            .boxed()
    };
    let meter = |least: f64, most: f64| {
        (
            between(0.1, 300.0),
            between(least, most),
            between(20.0, 5e3),
        )
            .prop_map(|(volts, amps, hertz)| {
                format!("{volts}%20V,%20{amps:.9}%20A,%20{hertz}%20Hz")
            })
            .boxed()
    };
    let core = prop::sample::select(vec!["gapped", "ungapped", "unknown"]);
    (
        field("winding", number(0.01, 2e3)),
        field("tap_winding", number(0.01, 50.0)),
        field("core_ohms", number(200.0, 1e7)),
        field(
            "inductance",
            prop_oneof![number(0.05, 5e3), meter(1e-3, 0.1)].boxed(),
        ),
        field(
            "leakage",
            prop_oneof![number(1e-5, 50.0), meter(1e-3, 1.0)].boxed(),
        ),
        field("capacitance", number(1e-11, 1e-6)),
        field("rated_watts", number(0.1, 1e3)),
        field("rated_hertz", number(6.0, 1e3)),
        (
            field("direct_ma", number(0.1, 1e3)),
            field("plate_ohms", number(20.0, 1e6)),
        ),
        core.prop_map(|core| format!("&core={core}")),
    )
        .prop_map(|(a, b, c, d, e, f, g, h, (i, j), k)| [a, b, c, d, e, f, g, h, i, j, k].concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Every number of the report is one: JSON has no other.
    #[test]
    fn every_number_of_the_report_is_a_number(
        typed in typed(), rated in between(500.0, 40e3), tap in between(1.0, 30.0),
        speaker in between(1.0, 60.0),
        tube in prop::sample::select(vec!["", "&tube=EL84&supply=250"]),
    ) {
        let link = format!(
            "v=1&stage=single-ended&primary={rated}&taps={tap},%20{}&hookup={speaker}{tube}{typed}",
            2.0 * tap
        );
        let report = tapwright_core::solve(&tapwright_core::link::parse(&link).setup);
        prop_assert_eq!(report.solved.connections.len(), 3, "{}", link);
        let losses = serde_json::to_value(&report.solved.iron).expect("JSON");
        let passages = losses["passages"].as_array().expect("a list");
        let known = !report.solved.iron.known.is_empty();
        prop_assert_eq!(passages.len() == report.solved.connections.len(), known);
        for passage in passages {
            for key in ["input", "efficiency", "insertion_loss", "source"] {
                prop_assert!(passage[key].is_f64(), "{key} of {passage}: {link}");
            }
        }
        for passage in &report.solved.iron.passages {
            prop_assert!((0.0..=1.0 + 1e-12).contains(&passage.efficiency));
            prop_assert_eq!(passage.lowest_hertz.is_some(), report.solved.iron.known.flux_limit().is_some());
            prop_assert!(passage.lowest_hertz.is_none_or(f64::is_finite));
        }
        for point in losses["response"].as_array().expect("a list") {
            for key in ["hertz", "decibels", "degrees", "input", "input_degrees"] {
                prop_assert!(point[key].is_f64(), "{key} of {point}: {link}");
            }
        }
        if let Some(chosen) = &report.chosen {
            for working in &chosen.workings {
                prop_assert!(working.result.is_finite(), "{}: {link}", working.quantity);
            }
            for solved in &chosen.solutions {
                prop_assert!(solved.residual.is_finite(), "{}: {link}", solved.quantity);
            }
        }
    }
}
