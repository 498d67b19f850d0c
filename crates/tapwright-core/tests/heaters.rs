//! The heaters of whole set-ups.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

use exmex::Express;
use proptest::prelude::*;
use tapwright_core::caution::heaters::Caution;
use tapwright_core::examples::EXAMPLES;
use tapwright_core::heaters::{HeaterReport, Role, Tie, ask};
use tapwright_core::working::{Piece, Working};
use tapwright_core::{link, solve};

fn heaters(link: &str) -> HeaterReport {
    ask(&solve(&link::parse(link).setup).solved)
}

/// Bottles by their type.
fn bottles(link: &str) -> Vec<(&'static str, u32)> {
    let report = heaters(link);
    report
        .tubes
        .iter()
        .map(|tube| (tube.tube, tube.bottles))
        .collect()
}

/// A twin triode holds two driver stages; a single one is a bottle for each.
#[test]
fn bottles_are_counted() {
    let single = "stage=single-ended&tube=EL84&supply=250";
    assert_eq!(
        bottles(&format!("{single}&driver=ECC83")),
        [("EL84", 1), ("12AX7", 1)]
    );
    assert_eq!(
        bottles(&format!("{single}&tubes=2&driver=6AV6&driver_stages=2")),
        [("EL84", 2), ("6AV6", 2)]
    );
    let pair = "tube=EL84&supply=300&tubes=4&driver=ECC83";
    assert_eq!(bottles(pair), [("EL84", 4), ("12AX7", 1)]);
    assert_eq!(
        bottles(&format!("{pair}&driver_stages=1")),
        [("EL84", 4), ("12AX7", 2)]
    );
    assert_eq!(
        bottles(&format!("{pair}&splitter=split-load")),
        [("EL84", 4), ("12AX7", 1)]
    );
    assert_eq!(bottles("driver=ECC83"), [("12AX7", 1)]);
    assert_eq!(bottles(""), []);
}

/// EL84 0.76 A, half an ECC83 0.3 A, an EZ80 0.6 A, 31.5 mA: 1.69 A of 2 A.
#[test]
fn the_record_player_has_a_virtual_centre_tap() {
    let report = heaters(EXAMPLES[3].link);
    let Tie::Resistors(tied) = report.tie else {
        panic!("{:?}", report.tie)
    };
    assert_eq!(tied.balance.ohms, [100.0, 100.0]);
    assert!((tied.amps - 31.5e-3).abs() < 1e-9);
    assert!((tied.worst - 0.1575).abs() < 1e-9);
    assert!((report.load_amps - 1.6915).abs() < 1e-9);
    assert!(
        report
            .rectifier_cathode
            .is_some_and(|volts| (volts - 250.0).abs() < 20.0)
    );
    assert_eq!(report.level, Some(0.0));
    let roles: Vec<Role> = report.cathodes.iter().map(|cathode| cathode.role).collect();
    assert_eq!(roles, [Role::Output, Role::Driver]);
    // 231 V on the tap for 240 V, and a winding loaded less than it is stamped for, of which a
    // tenth is lost at 2 A: 6.93 V × 0.9625 − 1.6915 A × 0.315 Ω.
    assert_eq!(report.present.mains, Some(231.0 / 240.0));
    assert!((report.present.volts - (6.93 * 0.9625 - 1.6915 * 0.315)).abs() < 1e-9);
    assert!(tapwright_core::caution::heaters::every(&report).is_empty());
    // On the tap for 220 V a long life is in doubt.
    let other = heaters(&format!("{}&mains_tap=220", EXAMPLES[3].link));
    let cautions = tapwright_core::caution::heaters::every(&other);
    assert!(
        matches!(cautions[..], [Caution::VoltsOff(off)] if off > 0.05),
        "{cautions:?}"
    );
}

/// A filament wants a winding of its own, by the name under which the tube was typed.
#[test]
fn a_filament_is_not_on_the_winding_of_the_drivers() {
    let link = "stage=single-ended&supply=250&driver=6SN7&heater_resistors=100&tube=";
    for (tube, volts, on_it) in [("2A3", 2.5, false), ("6B4G", 6.3, true)] {
        let report = heaters(&format!("{link}{tube}"));
        assert_eq!(report.wanted_volts, 6.3, "{tube}");
        assert_eq!(report.tubes[0].heater.volts, volts);
        assert_eq!(report.tubes[0].is_on_winding, on_it);
        assert!(report.tubes[0].heater.is_filament);
        // It has no cathode besides.
        assert!(
            report
                .cathodes
                .iter()
                .all(|cathode| cathode.role != Role::Output)
        );
    }
}

/// Raised by a divider of E24, near to the volts wanted.
#[test]
fn heaters_are_raised_from_b_plus() {
    let report = heaters(&format!("{}&heater_raise=40", EXAMPLES[3].link));
    let raised = report.raised.expect("raised");
    let divider = raised.divider.expect("B+ is known");
    assert_eq!((divider.upper, divider.lower), (200e3, 39e3));
    assert_eq!(report.level, raised.volts);
    let none = heaters("heater_resistors=100&heater_raise=40");
    assert!(none.raised.expect("wanted").divider.is_none() && none.level.is_none());
}

fn evaluate(working: &Working) -> f64 {
    let text: String = (working.pieces().iter())
        .map(|piece| match piece {
            Piece::Text(text) => (*text).to_owned(),
            Piece::Symbol(input) => format!("({:.17})", input.value),
        })
        .collect();
    let text = text
        .replace('×', "*")
        .replace('−', "-")
        .replace('²', "^2.0");
    (exmex::parse::<f64>(&text).and_then(|parsed| parsed.eval(&[])))
        .unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// An independent evaluator comes to every result by the formula as printed.
#[test]
fn every_formula_gives_its_result() {
    let links = [
        EXAMPLES[3].link.to_owned(),
        format!("{}&heater_raise=40", EXAMPLES[3].link),
        format!(
            "{}&heater_resistors=120 and 100&heater_tolerance=10",
            EXAMPLES[3].link
        ),
    ];
    let mut seen = std::collections::BTreeSet::new();
    for link in links {
        for working in heaters(&link).workings {
            let by_hand = evaluate(&working);
            let close = (by_hand - working.result).abs() <= 1e-9 * working.result.abs();
            assert!(close, "{}: {by_hand}, {}", working.quantity, working.result);
            seen.insert(working.quantity);
        }
    }
    assert_eq!(seen.len(), 7, "{seen:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is typed, what comes out is a number, and the laws hold.
    #[test]
    fn all_that_comes_out_is_finite(
        (volts, amps, ohms, other) in (1.0..120.0_f64, 0.05..100.0_f64, 5.0..10e3_f64, 5.0..10e3_f64),
        (raise, extra, tolerance) in (5.0..200.0_f64, 0.0..50.0_f64, 0.01..30.0_f64),
        tube in prop::sample::select(vec!["EL84", "2A3", "6B4G", "50C5", "own", ""]),
        tap in prop::sample::select(vec!["none", "centre", "end"]),
        rectifier in prop::sample::select(vec!["apart", "insulated", "joined"]),
    ) {
        let link = format!(
            "tube={tube}&supply=100&driver=ECC83&heater_tap={tap}&heater_rectifier={rectifier}\
             &heater_volts={volts:.3}&heater_amps={amps:.3}&heater_resistors={ohms:.3} and {other:.3}\
             &heater_tolerance={tolerance:.3}&heater_raise={raise:.3}&heater_extra={extra:.3}"
        );
        let report = heaters(&link);
        let text = serde_json::to_string(&report).expect("JSON");
        // JSON has null for what is no number: only what may be absent is.
        prop_assert!(report.load_amps.is_finite() && report.present.volts.is_finite(), "{text}");
        for working in &report.workings {
            prop_assert!(working.result.is_finite(), "{}", working.quantity);
        }
        if let Tie::Resistors(tied) = report.tie {
            prop_assert!(tied.worst >= tied.residual && tied.worst <= 0.5 * report.winding.volts);
            // All that flows becomes heat.
            let sum = tied.watts[0] + tied.watts[1];
            prop_assert!((sum / (tied.amps * report.winding.volts) - 1.0).abs() < 1e-9);
        }
        if rectifier == "joined" {
            prop_assert!(matches!(report.tie, Tie::Refused(_)), "{:?}", report.tie);
        }
        let _ = tapwright_core::caution::heaters::every(&report);
    }
}

/// The mains feeds every bottle: a stage before a long-tailed pair takes a second 12AX7, of
/// 6.3 V and 0.3 A, which the pair alone does not (RCA Receiving Tube Manual, RC-30, from memory).
#[test]
fn the_mains_feeds_every_bottle() {
    let watts = |stages: u32| {
        let link = format!(
            "v=1&primary=8k&taps=8&hookup=8&tube=6V6GT&supply=285&driver=12AX7&driver_stages={stages}\
             &winding_volts=2%20x%20300&rectifier=EZ81&reservoir=47u"
        );
        let report = solve(&link::parse(&link).setup);
        assert!(report.problems.is_empty(), "{:?}", report.problems);
        let supply = tapwright_core::supply::ask(&report.solved);
        supply
            .expect("described")
            .expect("solved")
            .mains
            .heater_watts
    };
    assert!((watts(1) - watts(0) - 6.3 * 0.3).abs() < 1e-9);
    // Two 6V6GT of 0.45 A, one 12AX7 and an EZ81 of 1 A, all of them for 6.3 V.
    assert!(
        (watts(0) - 6.3 * (2.0 * 0.45 + 0.3 + 1.0)).abs() < 1e-9,
        "{}",
        watts(0)
    );
}
