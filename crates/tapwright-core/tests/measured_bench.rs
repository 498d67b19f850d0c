//! Transformers on the bench, as bench notes: what was read, and what they are. Invented data.
#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic)]

use tapwright_core::caution::Caution;
use tapwright_core::report::Report;
use tapwright_core::{caution, link, solve};
use tapwright_iron::measured::findings::{Findings, Next, TapKind};
use tapwright_iron::measured::names;

fn report(link: &str) -> Report {
    solve(&link::parse(link).setup)
}

fn findings(report: &Report) -> &Findings {
    report.solved.measured.as_ref().expect("it is measured")
}

/// The load that is recommended, with the range that it lies in.
fn load(report: &Report) -> (f64, f64, f64) {
    let best = report.solved.connections.iter().find(|one| one.rank == 1);
    let connection = best.expect("a recommendation").connection;
    let (low, high) = connection.range().expect("measured");
    (connection.load.reflected.0, low.0, high.0)
}

/// 76.5 Ω and 103.5 Ω look like two halves, but 2.71 V of 6.30 V is 43 %: a screen tap. Red, the
/// nearer end, is then the lead for B+.
#[test]
fn a_tap_at_43_percent_is_for_the_screen() {
    let link = "marking=measured&tube=EL34&supply=300&leads=red,%20blue,%20brown,%20black,%20green\
                &ohms=red-brown,180&ohms=red-blue,76.5&ohms=blue-brown,103.5&ohms=black-green,0.5\
                &ohms=red-black,open&volts=red-brown,6.30,red-blue,2.71&volts=,,blue-brown,3.59\
                &volts=,,black-green,0.302&hookup=8";
    let single = report(&format!("{link}&stage=single-ended"));
    let found = findings(&single);
    assert_eq!(found.centre_tap, None);
    let [tap] = found.inner_taps[..] else {
        panic!("{:?}", found.inner_taps)
    };
    assert_eq!(names::lead_name(&found.leads, tap.lead), "blue");
    assert_eq!(names::lead_name(&found.leads, tap.from), "red");
    assert!(tap.kind == TapKind::Screen && tap.by_turns, "{tap:?}");
    assert!((tap.part - 0.43).abs() < 0.003, "{tap:?}");
    assert!(!found.unsure && found.next.is_none(), "{:?}", found.next);
    // In push-pull there is no middle for B+, and nothing else says that there is.
    let push_pull = report(link);
    let found = findings(&push_pull);
    assert_eq!(found.centre_tap, None);
    assert!(
        found
            .inner_taps
            .iter()
            .all(|tap| tap.kind == TapKind::Screen)
    );
    let cautions = &push_pull.chosen.as_ref().expect("chosen").cautions;
    assert!(cautions.contains(&Caution::Iron(caution::iron::Caution::NoCentreTap)));
}

/// By ohms alone such a tap may be the middle; that is a guess, and the next reading is volts.
#[test]
fn a_middle_by_ohms_is_a_guess() {
    let link = "marking=measured&leads=red,blue,brown,black,green&ohms=red-brown,180\
                &ohms=red-blue,76.5&ohms=blue-brown,103.5&ohms=black-green,0.5&ohms=red-black,open";
    let by_ohms = report(link);
    let tap = findings(&by_ohms).inner_taps[0];
    assert!(
        tap.kind == TapKind::PerhapsMiddle && !tap.by_turns,
        "{tap:?}"
    );
    assert!(matches!(findings(&by_ohms).next, Some(Next::Volts(_))));
    let by_turns = report(&format!(
        "{link}&volts=red-brown,6.30,red-blue,3.13&volts=,,black-green,0.302"
    ));
    let tap = findings(&by_turns).inner_taps[0];
    assert!(tap.kind == TapKind::Middle && tap.by_turns, "{tap:?}");
    // One digit less does not tell 43 % from the middle.
    let coarse = report(&format!(
        "{link}&volts=red-brown,6.3,red-blue,3.1&volts=,,black-green,0.302"
    ));
    assert_eq!(findings(&coarse).inner_taps[0].kind, TapKind::PerhapsMiddle);
}

/// Brown is the middle: 3.15 V and 3.16 V add to 6.31 V, 31.7 times 0.199 V, so 8 Ω look like
/// 8.04 kΩ.
#[test]
fn readings_from_a_centre_tap_add_up() {
    let report = report(
        "marking=measured&tube=6V6GT&supply=285&leads=red,%20brown,%20blue,%20black,%20green\
         &ohms=brown-red,210&ohms=brown-blue,225&ohms=black-green,0.5&ohms=brown-black,open\
         &volts=red-brown,3.15,brown-blue,3.16&volts=,,black-green,0.199&hookup=8",
    );
    let found = findings(&report);
    let winding = &found.found.windings[0];
    assert_eq!(winding.leads, [0, 1, 2]);
    assert!(winding.order_known && winding.orders.len() == 1);
    assert!(!found.unsure && found.next.is_none(), "{:?}", found.next);
    assert_eq!(found.inner_taps[0].kind, TapKind::Middle);
    let (reflected, low, high) = load(&report);
    assert!((reflected / 8_043.0 - 1.0).abs() < 0.002, "{reflected}");
    assert!(
        low < 8_000.0 && 8_000.0 < high && high < 1.26 * low,
        "{low} {high}"
    );
}

/// Without the volts of the other half both orders stand: no load is stated, and the one reading
/// that tells is asked for.
#[test]
fn no_load_while_two_orders_stand() {
    let link = "marking=measured&leads=red,brown,blue,black,green&ohms=brown-red,210\
                &ohms=brown-blue,225&ohms=black-green,0.5&ohms=brown-black,open\
                &volts=red-brown,3.15,black-green,0.199&hookup=8";
    let open = report(link);
    let found = findings(&open);
    assert!(found.found.windings[0].orders.len() > 1 && found.unsure);
    let stated = open.solved.connections.iter().filter(|one| {
        let (low, high) = one.connection.range().expect("measured");
        high.0 / low.0 > 1.7
    });
    assert_eq!(stated.count(), 0);
    let Some(Next::Volts(next)) = &found.next else {
        panic!("{:?}", found.next)
    };
    assert!([(0, 2), (1, 2), (2, 1)].contains(&next.pair), "{next:?}");
}

/// Orange–brown is typed in ohms and in volts. What is open is whether orange and lime are on one
/// winding: volts say so, ohms prove it.
#[test]
fn next_never_asks_for_what_is_typed() {
    let report = report(
        "marking=measured&leads=violet,%20white,%20blue,%20lime,%20brown,%20orange,%20grey\
         &ohms=blue-white,73.8&ohms=blue-grey,77.5&ohms=lime-violet,1.0&ohms=orange-brown,0.3\
         &volts=white-grey,5.74,orange-brown,0.1050&volts=,,orange-lime,0.202&hookup=8&target=8k",
    );
    let found = findings(&report);
    let Some(Next::OneWinding(pair)) = found.next else {
        panic!("{:?}", found.next)
    };
    let named = names::pair_name(&found.leads, pair);
    assert_eq!(named, "orange–lime");
}

const FOUR: &str = "marking=measured&leads=red,blue,black,green&ohms=red-black,open\
                    &volts=red-blue,6.31,black-green,0.300&hookup=8";

/// 6.31 V to 0.300 V is 21 : 1, so 318 Ω go with about 0.72 Ω.
#[test]
fn a_tenfold_slip_in_ohms_is_questioned() {
    for (primary, secondary, is_doubted) in [
        ("318", "0.80", false),
        ("31.8", "0.80", true),
        ("3180", "0.80", true),
        ("318", "8.0", true),
        ("318", "0.08", true),
    ] {
        let report = report(&format!(
            "{FOUR}&ohms=red-blue,{primary}&ohms=black-green,{secondary}"
        ));
        let found = findings(&report);
        let about = format!("{primary} {secondary}: {:?}", found.doubts);
        assert!(report.problems.is_empty(), "{about}");
        assert_eq!(!found.doubts.is_empty(), is_doubted, "{about}");
        assert_eq!(found.unsure, is_doubted, "{about}");
        assert_eq!(
            matches!(found.next, Some(Next::Again(_))),
            is_doubted,
            "{about}"
        );
    }
}

/// The halves of one winding: 210 Ω for 3.15 V, and 22.5 Ω for 3.16 V.
#[test]
fn a_tenfold_slip_along_a_winding_is_questioned() {
    let report = report(
        "marking=measured&leads=red,brown,blue,black,green&ohms=brown-red,210\
         &ohms=brown-blue,22.5&ohms=black-green,0.5&ohms=brown-black,open\
         &volts=red-brown,3.15,brown-blue,3.16&volts=,,black-green,0.199&hookup=8",
    );
    let found = findings(&report);
    assert!(!found.doubts.is_empty() && found.unsure, "{found:?}");
}

/// A feedback winding of thin wire: 24 Ω and 0.21 V beside 0.4 Ω and 0.302 V. It is no slip of
/// millivolts, which would be a factor of a thousand.
#[test]
fn a_third_winding_of_thin_wire_is_taken_as_it_is() {
    let link = "marking=measured&leads=1,2,3,4,5,6&ohms=1-2,318&ohms=3-4,0.4&ohms=5-6,24\
                &ohms=1-3,open&ohms=1-5,open&ohms=3-5,open&volts=1-2,6.31,3-4,0.302&hookup=8";
    for volts in ["0.21", "0.060"] {
        let report = report(&format!("{link}&volts=,,5-6,{volts}&common=3"));
        assert!(report.problems.is_empty(), "{:?}", report.problems);
        assert!(findings(&report).doubts.is_empty());
    }
    for (volts, why) in [("210", "millivolts"), ("0.00021", "those were volts")] {
        let report = report(&format!("{link}&volts=,,5-6,{volts}"));
        let [problem] = &report.problems[..] else {
            panic!("{:?}", report.problems)
        };
        assert!(problem.complaint.why.contains(why), "{problem:?}");
    }
}

/// 310 Ω and 328 Ω from one lead: the other two may be 638 Ω apart, or 18 Ω. 0.427 V of 6.99 V between
/// them is no slip of millivolts: they are 18 Ω apart.
#[test]
fn a_slip_is_none_while_another_order_explains_it() {
    let report = report(
        "marking=measured&stage=single-ended&leads=1,2,3,4,5&ohms=3-4,0.3&ohms=2-5,328\
         &ohms=1-2,310&ohms=1-3,open&volts=2-5,6.99,3-4,0.264&volts=,,1-5,0.427&hookup=8",
    );
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    let found = findings(&report);
    let winding = &found.found.windings[0];
    assert!(winding.order_known && !found.unsure, "{winding:?}");
    assert!([[1, 0, 4], [4, 0, 1]].contains(&[
        winding.leads[0],
        winding.leads[1],
        winding.leads[2]
    ]));
}

/// Volts on leads that no ohms were read on yet contradict nothing.
#[test]
fn volts_before_ohms_are_no_contradiction() {
    let report = report(
        "marking=measured&leads=1,2,3,4,5&ohms=1-2,318&volts=1-2,6.31,3-4,0.244\
         &volts=,,3-5,0.345",
    );
    let found = findings(&report);
    assert!(!found.contradicted, "{:?}", found.found.conflicts);
    assert!(matches!(found.next, Some(Next::OneWinding(_))));
}

/// 210 Ω and 225 Ω from brown: red to blue may be 435 Ω, or 15 Ω. To feed 15 Ω of 225 Ω would step
/// 6.3 V up to 94 V, so brown and blue are fed: the rest gets twice that at most, and red–blue
/// tells which it is. 435 : 225 is 1.93; 2.4 with what readings and wire may be off.
#[test]
fn while_the_ends_are_open_what_is_safe_is_fed() {
    let link = "marking=measured&leads=red,brown,blue,black,green&ohms=brown-red,210\
                &ohms=brown-blue,225&ohms=black-green,0.5&ohms=brown-black,open&hookup=8";
    let open = report(link);
    let found = findings(&open);
    let Some(Next::Volts(next)) = found.next else {
        panic!("{:?}", found.next)
    };
    assert!([(1, 2), (2, 1)].contains(&next.feed), "{next:?}");
    assert!([(0, 2), (2, 0)].contains(&next.pair), "{next:?}");
    let most = next.most.expect("it is known");
    assert!((1.93..2.5).contains(&most), "{most}");
    let read = report(&format!(
        "{link}&volts=brown-blue,6.30,red-blue,12.55&volts=,,black-green,0.396"
    ));
    let found = findings(&read);
    assert!(found.next.is_none() && !found.unsure, "{:?}", found.next);
    assert_eq!(found.found.windings[0].leads, [0, 1, 2]);
}

/// 0.2 Ω may be none or 0.4 Ω on a meter that is off by two counts; 3.1 kΩ by the primary would still
/// be 4.5 Ω. What was read twice is taken as it is.
#[test]
fn a_doubt_ends_when_both_were_read_twice() {
    let mut link = "marking=measured&leads=red,blue,black,green&ohms=red-black,open\
                    &ohms=red-blue,3109&ohms=black-green,0.2&volts=red-blue,6.40,black-green,0.243\
                    &hookup=8"
        .to_owned();
    for pair in [(2, 3), (0, 1)] {
        let report = report(&link);
        let found = findings(&report);
        assert!(
            found.unsure && found.doubts.len() == 1,
            "{:?}",
            found.doubts
        );
        let Some(Next::Again(again)) = found.next else {
            panic!("{:?}", found.next)
        };
        assert_eq!(again.pair, pair);
        link += match pair {
            (0, 1) => "&ohms=red-blue,3112",
            _ => "&ohms=black-green,0.2",
        };
    }
    let report = report(&link);
    let found = findings(&report);
    assert!(!found.unsure && found.next.is_none(), "{:?}", found.next);
}
