//! Every published operating example, connected as it is published.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use tapwright_core::matching::Verdict;
use tapwright_core::{link, solve};
use tapwright_tube::*;

/// The link of an example: its tube, volts and bias, and its load as the one primary.
fn as_published(tube: &Tube, example: &OperatingExample) -> String {
    let (plate_volts, load_ohms) = (example.plate_volts, example.load_ohms);
    let screen_volts = example.screen_volts();
    let cathode_ma = example.plate_ma.idle + example.screen_ma.map_or(0.0, |ma| ma.idle);
    let (bias, lifted) = match (example.bias, example.referred_to) {
        (Bias::Fixed(volts), _) => (format!("grid={volts}"), 0.0),
        (Bias::Cathode(ohms), ReferredTo::Cathode) => {
            (format!("cathode={ohms}"), 1e-3 * ohms * cathode_ma)
        }
        (Bias::Cathode(ohms), ReferredTo::Ground) => (format!("cathode={ohms}"), 0.0),
    };
    let screens = match (tube.kind, example.connection) {
        (Kind::Triode, _) => String::new(),
        (_, TubeConnection::Triode) => "&screens=plates".into(),
        _ => format!("&screen={}", screen_volts + lifted),
    };
    let resistor = match example.screen_ohms {
        0.0 => String::new(),
        ohms => format!("&screen_ohms={ohms}%20no%20cap"),
    };
    format!(
        "stage={}&tube={}&supply={}{screens}{resistor}&{bias}&primary={load_ohms}&target={load_ohms}&taps=8&hookup=8",
        <&str>::from(example.topology),
        tube.designation,
        plate_volts + lifted,
    )
}

/// Rows that raise an alarm by the numbers that their own source prints.
const BY_THEIR_OWN_NUMBERS: [(&str, f64); 1] = [
    // 75 mA at 375 V less the 22 V on the common cathode resistor: 26.4 W on plates made for 25.
    ("EL34", 375.0),
];

#[test]
fn each_fits_and_raises_no_alarm() {
    let mut seen = 0;
    for tube in tubes() {
        for example in &tube.examples {
            let link = as_published(tube, example);
            let report = solve(&link::parse(&link).setup);
            assert!(report.problems.is_empty(), "{link}: {:?}", report.problems);
            let judged = &report.solved.connections[0];
            assert_eq!(
                judged.verdict(),
                Verdict::Fits,
                "{link}: {:?}",
                judged.because()
            );
            let named =
                BY_THEIR_OWN_NUMBERS.contains(&(tube.designation.as_str(), example.plate_volts));
            let alarms = &report.solved.health.alarms;
            assert_eq!(alarms.is_empty(), !named, "{link}: {alarms:?}");
            seen += 1;
        }
    }
    assert!(seen > 50, "{seen}");
}
