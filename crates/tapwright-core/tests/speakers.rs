//! Speakers as they are, from the link to the report.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use tapwright_core::caution::{Caution, connection};
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::report::Report;
use tapwright_core::{link, solve};
use tapwright_speaker::{ImpedanceModel, Size};
use tapwright_units::{Ohms, Watts};

const IRON: &str = "v=1&primary=8k&taps=4,8,16&target=8k";

fn report(rest: &str) -> Report {
    let parsed = link::parse(&format!("{IRON}&{rest}"));
    assert!(parsed.troubles.is_empty(), "{:?}", parsed.troubles);
    assert_eq!(
        link::parse(&link::encode(&parsed.setup)).setup,
        parsed.setup
    );
    solve(&parsed.setup)
}

fn hookup(report: &Report) -> &SolvedHookup {
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    report.solved.hookup(0).expect("a hookup")
}

/// The one complaint that a link brings, with its field.
fn complaint(rest: &str) -> String {
    let problems = report(rest).problems;
    assert_eq!(problems.len(), 1, "{rest}: {problems:?}");
    let problem = &problems[0];
    format!("{}: {}", problem.field, problem.complaint.why)
}

/// R_e 6.4, Q_ms 6, Q_es 0.9 gives a peak of 49.07 Ω, free and in any closed box; in the box
/// it is √(1 + V_as/V_b) higher up (Small, JAES 1972).
#[test]
fn a_driver_typed_by_its_parameters() {
    let parameters = "speaker.1.called=A&speaker.1.coil=6.4&speaker.1.resonance=75&speaker.1.mechanical_q=6&speaker.1.electrical_q=0.9&speaker.1.inductance=1%20uH";
    for (rest, resonance) in [
        ("", 75.0),
        ("&speaker.1.vas=90&speaker.1.closed_box=30%20litres", 150.0),
    ] {
        let report = report(&format!("hookup=A&{parameters}{rest}"));
        let hookup = hookup(&report);
        assert_eq!(hookup.impedance, Ohms(8.0));
        assert!(matches!(
            hookup.drivers[0].model,
            ImpedanceModel::ThieleSmall(_)
        ));
        let z = hookup.mixed().unwrap().impedance_at(resonance);
        assert!((z.norm() - 49.07).abs() < 0.005, "{z}");
        let sweep = report
            .solved
            .followed
            .as_ref()
            .unwrap()
            .sweep
            .as_ref()
            .unwrap();
        let most = |pairs: &[(f64, f64)]| *pairs.iter().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        let highest = most(&sweep.ohms);
        assert!((highest.0 / resonance).log10().abs() < 1.0 / 200.0 + 1e-9);
        // 8 kΩ to the 8 Ω tap is n² = 1000.
        assert!((most(&sweep.load_ohms).1 / highest.1 - 1_000.0).abs() < 1e-6);
    }
}

/// A row whose name is a number describes every driver that hookups write so.
#[test]
fn a_number_in_the_place_of_a_name() {
    let report = report("hookup=15//8//15&speaker.1.called=15%20ohm&speaker.1.size=oval");
    let drivers = &hookup(&report).drivers;
    let sizes = drivers.iter().map(|driver| match driver.model {
        ImpedanceModel::Generic(_, size) => size,
        _ => panic!("{driver:?}"),
    });
    let oval = Some(Size::Elliptical);
    assert_eq!(sizes.collect::<Vec<_>>(), [oval, None, oval]);
}

#[test]
fn a_rating_comes_from_the_coil_or_from_the_curve() {
    let report = report(
        "hookup=A//B&speaker.1.called=A&speaker.1.coil=6.1&speaker.2.called=B&speaker.2.curve=20%207%200;80%2020%205;400%206.5%202",
    );
    let rated = hookup(&report).drivers.iter().map(|driver| driver.rated.0);
    assert_eq!(rated.collect::<Vec<_>>(), [8.0, 8.0]);
}

/// What is made from the curve at a frequency: load, ratio, mismatch, and the working.
#[test]
fn loads_from_the_curve_at_a_frequency() {
    let curve = "speaker.1.called=8&speaker.1.curve=20,7,0;100,16,0;1000,8,0";
    let rated = report(&format!("hookup=8&{curve}&frequency=100"));
    assert!((rated.solved.followed().unwrap().connection.load.reflected.0 - 8_000.0).abs() < 1e-6);
    let at = rated
        .solved
        .followed
        .as_ref()
        .unwrap()
        .at_frequency
        .as_ref()
        .unwrap();
    assert!((at.ohms[0].1 - 16.0).abs() < 1e-9 && (at.load_ohms[0].1 - 16_000.0).abs() < 1e-6);
    let by_curve = report(&format!("hookup=8&{curve}&frequency=100&loads=curve"));
    let best = by_curve.solved.followed().unwrap();
    assert!((best.connection.impedance.0 - 16.0).abs() < 1e-9);
    // 16 Ω on the 16 Ω tap is the target again.
    assert!((best.connection.ratio - 1.0).abs() < 1e-9);
    // At 20 Hz there are 7 Ω: a load to avoid, which is said before all else.
    assert!(
        (best.connection.lowest_reflected.0 / best.connection.load.reflected.0 - 7.0 / 16.0).abs()
            < 1e-9
    );
    let first = by_curve.answers.first().unwrap().cautions.first().unwrap();
    let &Caution::Connection(connection::Caution::FallsTo(ratio)) = first else {
        panic!("{first:?}")
    };
    assert!((ratio - 7.0 / 16.0).abs() < 1e-9);
    // Without a frequency there is nothing to take it from.
    let unset = report(&format!("hookup=8&{curve}&loads=curve"));
    assert!(
        (unset.solved.followed().unwrap().connection.impedance.0 - 8.0).abs() < 1e-9
            && !unset.solved.by_curve
    );
}

/// The reactive cycle is into the curve: twice the impedance there, twice the load.
#[test]
fn the_reactive_load_line_follows_the_curve() {
    let stage = "tube=6AQ5&supply=250&frequency=100&hookup=8";
    let of = |ohms: &str| {
        let report = report(&format!(
            "{stage}&speaker.1.called=8&speaker.1.curve=20,{ohms},0;20000,{ohms},0"
        ));
        let output = report.solved.followed.unwrap().output.unwrap().unwrap();
        let reactive = output.reactive.unwrap().unwrap();
        (reactive.load_ohms, reactive.watts, output.cycle.watts)
    };
    let (load, watts, resistive) = of("8");
    assert!((load - 8_000.0).abs() < 1e-6 && (watts / resistive - 1.0).abs() < 1e-6);
    assert!((of("16").0 - 16_000.0).abs() < 1e-6);
}

/// Two drivers in series that resonate apart: at 65 Hz the 15-inch one takes most of it.
#[test]
fn the_most_power_over_frequency() {
    let report = report(
        "hookup=A+B@30&speaker.1.called=A&speaker.1.rated=8&speaker.1.size=15&speaker.2.called=B&speaker.2.rated=8&speaker.2.size=8",
    );
    let hookup = hookup(&report);
    assert_eq!(hookup.largest_power, Some((Watts(60.0), 0)));
    let safe = hookup.safe.unwrap();
    assert!(
        safe.driver == 0 && (60.0..70.0).contains(&safe.hertz),
        "{safe:?}"
    );
    assert_eq!(hookup.takes(), Some(safe.watts));
    let sweep = report
        .solved
        .followed
        .as_ref()
        .unwrap()
        .sweep
        .as_ref()
        .unwrap();
    let most = sweep.power[0]
        .iter()
        .map(|point| point.1)
        .fold(0.0, f64::max);
    assert!((30.0 / most / safe.watts.0 - 1.0).abs() < 1e-9);
}

#[test]
fn what_cannot_be_read_is_told_at_its_field() {
    for (rest, told) in [
        (
            "hookup=A",
            "hookup.1.speakers: “A” is not a number, and no speaker is called that",
        ),
        (
            "hookup=A&speaker.1.called=A",
            "hookup.1.speakers: speaker A has no rated impedance yet",
        ),
        (
            "speaker.1.called=A%2BB",
            "speaker.1.called: a name has no sign in it that joins",
        ),
        ("speaker.1.called=2A", "speaker.1.called: “A” is not a unit"),
        ("speaker.1.called=0", "speaker.1.called: “0” is zero"),
        (
            "speaker.1.called=A&speaker.2.called=a",
            "speaker.2.called: another speaker above is called that",
        ),
        (
            "speaker.1.called=8&speaker.2.called=8R0",
            "speaker.2.called: another speaker",
        ),
        (
            "speaker.1.called=A&speaker.1.coil=-6",
            "speaker.1.coil: “-6” is negative",
        ),
        (
            "speaker.1.called=A&speaker.1.coil=0",
            "speaker.1.coil: “0” is zero",
        ),
        (
            "speaker.1.called=A&speaker.1.inductance=0.5",
            "speaker.1.inductance: “0.5” is larger",
        ),
        (
            "speaker.1.called=A&speaker.1.size=9",
            "speaker.1.size: no size",
        ),
        (
            "speaker.1.called=A&speaker.1.closed_box=40",
            "speaker.1.closed_box: what a box does depends on V_as",
        ),
        (
            "speaker.1.called=A&speaker.1.curve=20,7,0;10,8,0",
            "speaker.1.curve: point 2: 10 Hz comes after 20 Hz",
        ),
        (
            "speaker.1.called=A&speaker.1.curve=20,7,0",
            "speaker.1.curve: point 1: it ends after one point",
        ),
    ] {
        let got = complaint(rest);
        assert!(got.starts_with(told), "{rest}: {got}");
    }
    assert!(report("speaker.1.called=").problems.is_empty());
}

/// A place far beyond what anybody types is kept, and makes no room for a million speakers.
#[test]
fn a_link_with_too_many_speakers() {
    let parsed = link::parse("v=1&speaker.1000000.called=A&speaker.0.called=B&speaker.2.called=C");
    assert_eq!((parsed.setup.drivers.len(), parsed.troubles.len()), (2, 2));
    assert_eq!(parsed.setup.unknown.len(), 2);
}

/// What the tube sees of the curve goes through the iron: 10 H beside 8 kΩ at 20 Hz is
/// `1 / |1/8000 + 1/(j2π·20·10)|` = 1242 Ω, and in the middle of the band nothing changes.
#[test]
fn the_load_over_frequency_counts_the_iron() {
    let link = "hookup=8&inductance=10%20H&speaker.1.called=8&speaker.1.curve=10,8,0;30000,8,0";
    let report = report(link);
    let sweep = report
        .solved
        .followed
        .as_ref()
        .unwrap()
        .sweep
        .as_ref()
        .unwrap();
    assert_eq!(sweep.load_ohms[0].0, 20.0);
    assert!(
        (sweep.load_ohms[0].1 - 1_241.7).abs() < 0.5,
        "{:?}",
        sweep.load_ohms[0]
    );
    let middle = sweep.load_ohms[200].1;
    assert!((middle / 8_000.0 - 1.0).abs() < 0.01, "{middle}");
}
