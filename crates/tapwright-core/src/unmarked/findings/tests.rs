//! Findings from links, as a person would type them. Invented data.

use super::*;
use crate::link;
use crate::report::Report;
use crate::solve;

fn report(readings: &str) -> Report {
    solve(&link::parse(&format!("marking=measured&{readings}")).setup)
}

fn problems(readings: &str) -> Vec<String> {
    let problems = report(readings).problems.into_iter();
    problems
        .map(|problem| format!("{}: {}", problem.field, problem.complaint.why))
        .collect()
}

const SIX: &str = "leads=1,2,3,4,5,6&ohms=1-2,300&ohms=1-3,140&ohms=2-3,160&ohms=4-5,0.5\
                   &ohms=4-6,1.0&ohms=5-6,0.5&ohms=1-4,open";

fn findings(readings: &str) -> Findings {
    report(readings).unmarked.expect("it is measured")
}

/// 5 kΩ plate to plate against 16 Ω, and a tap at 4 Ω: 17.68 : 1. Exact arithmetic.
#[test]
fn a_push_pull_primary_goes_from_end_to_end() {
    let found = findings(&format!(
        "{SIX}&volts=1-2,10.00,1-3,4.98&volts=,,4-6,0.5657&volts=,,4-5,0.2828"
    ));
    assert_eq!(found.centre_tap, Some(2));
    assert_eq!(found.lead_pairs, [(0, 1)]);
    assert_eq!(found.tap_leads, [4, 5]);
    let guess = found.guess.expect("a guess");
    assert_eq!((guess.leads[0].0, guess.taps[1].0), (5_000.0, 16.0));
}

#[test]
fn a_single_ended_stage_may_use_either_part() {
    let found = findings(&format!(
        "stage=single-ended&{SIX}&volts=1-2,10.00,1-3,4.98&volts=,,4-6,0.5657&volts=,,4-5,0.2828"
    ));
    assert_eq!(found.lead_pairs, [(0, 1), (0, 2), (2, 1)]);
}

#[test]
fn what_is_still_to_be_read_is_listed() {
    let found = findings(SIX);
    assert_eq!(found.feed, Some((0, 1)));
    assert_eq!(found.wanted, [(0, 2), (3, 5), (3, 4)]);
    assert!(found.guess.is_none() && found.transformer().is_none());
    let more = findings(&format!("{SIX}&volts=1-2,6.31,4-6,0.357"));
    assert_eq!(more.wanted, [(0, 2), (3, 4)]);
    assert!(more.transformer().is_some());
}

/// 6.3 V on 0.5 Ω, against 300 Ω in all: about √600 times as much.
#[test]
fn feeding_a_secondary_warns_before_anything_is_read() {
    let found = findings(&format!("{SIX}&volts=4-6"));
    let [hazard] = &found.hazards[..] else {
        panic!("{:?}", found.hazards)
    };
    assert_eq!(hazard.live[0].pair, (0, 1));
    assert!(hazard.live[0].guessed && hazard.live[0].volts.0 > 100.0);
    let known = findings(&format!("{SIX}&volts=1-2,6.31,4-6,0.357&volts=4-6,6.3"));
    let live = known.hazards[0].live[0];
    assert!(
        !live.guessed && (live.volts.0 - 111.35).abs() < 0.1,
        "{live:?}"
    );
}

#[test]
fn the_person_may_know_better() {
    let typed = findings(&format!("{SIX}&primary_is=5&common=2"));
    assert_eq!(typed.primary, Some((1, Because::Typed)));
    assert_eq!((typed.secondary, typed.common), (Some(0), Some(1)));
    let swapped = format!("{SIX}&common=6&volts=1-2,10.00,4-6,0.5657&volts=,,4-5,0.2828");
    let found = findings(&swapped);
    assert_eq!((found.common, found.tap_leads), (Some(5), vec![4, 3]));
}

/// A message at the field that caused it, and everything else stays.
#[test]
fn bad_readings_are_refused_where_they_stand() {
    for (row, field, why) in [
        ("ohms=1-2,0", "ohms.1.ohms", "zero"),
        ("ohms=1-2,-4", "ohms.1.ohms", "negative"),
        ("ohms=1-2,many", "ohms.1.ohms", "not a number"),
        ("ohms=1-9,4", "ohms.1.pair", "“9” is not among the leads"),
        ("ohms=1-1,4", "ohms.1.pair", "one lead"),
        ("ohms=1,4", "ohms.1.pair", "not two leads"),
        (
            "volts=1-2,60",
            "volts.1.fed_volts",
            "larger than a voltage to test with",
        ),
        ("volts=1-2,6.31,3-4,0", "volts.1.volts", "open or shorted"),
        ("volts=1-2,6.31,3-4,-1", "volts.1.volts", "negative"),
        (
            "volts=1-2,6.31,3-7,1",
            "volts.1.pair",
            "not among the leads",
        ),
        ("leads=1", "leads", "two leads at least"),
        ("voltmeter=good", "voltmeter", "an accuracy is a percentage"),
        ("ohmmeter=90%25", "ohmmeter", "above what"),
        ("primary_is=7", "primary_is", "not among"),
        ("common=7", "common", "not among"),
    ] {
        let leads = if row.starts_with("leads") {
            ""
        } else {
            "leads=1,2,3,4&"
        };
        let found = problems(&format!("{leads}{row}"));
        assert_eq!(found.len(), 1, "{row}: {found:?}");
        assert!(
            found[0].starts_with(field) && found[0].contains(why),
            "{row}: {found:?}"
        );
    }
    assert!(problems(SIX).is_empty());
}

#[test]
fn readings_that_contradict_each_other_name_their_rows() {
    let triangle = problems("leads=1,2,3&ohms=1-2,300&ohms=1-3,100&ohms=2-3,100");
    assert_eq!(triangle.len(), 1);
    assert!(triangle[0].starts_with("ohms.3.ohms"), "{triangle:?}");
    assert!(
        triangle[0].contains("1–2 (row 1), 1–3 (row 2)"),
        "{triangle:?}"
    );
    let open = problems("leads=1,2,3&ohms=1-2,300&ohms=1-3,100&ohms=2-3,open");
    assert!(
        open.len() == 1 && open[0].contains("connected, or open, and not both"),
        "{open:?}"
    );
    let left = findings("leads=1,2,3&ohms=1-2,300&ohms=1-3,100&ohms=2-3,100");
    assert!(left.contradicted && left.is_unsure());
}

#[test]
fn voltages_that_cannot_be_are_refused() {
    let more = problems(&format!("{SIX}&volts=1-2,6.31,1-3,7.20"));
    assert!(
        more.len() == 1 && more[0].contains("more than is fed"),
        "{more:?}"
    );
    // A step-up from one winding to the other is no impossibility.
    assert!(problems(&format!("{SIX}&volts=4-6,0.3,1-2,5.3")).is_empty());
    let stray = problems(&format!("{SIX}&volts=1-2,6.31,1-4,0.2"));
    assert!(
        stray.len() == 1 && stray[0].contains("nothing joins"),
        "{stray:?}"
    );
    let joined = problems(&format!("{SIX}&volts=1-2,6.31,1-6,6.7,2-4"));
    assert!(joined.is_empty(), "{joined:?}");
    let nonsense = problems(&format!("{SIX}&volts=1-2,6.31,1-6,6.7,1-2"));
    assert!(
        nonsense.len() == 1 && nonsense[0].contains("in series"),
        "{nonsense:?}"
    );
}

/// 10 V and 0.5657 V in series: 10.57 V when unlike ends are joined.
#[test]
fn series_readings_tell_the_phase() {
    let found = findings(&format!(
        "{SIX}&volts=1-2,10.00,4-6,0.5657&volts=,,1-6,10.566 ± 0.1 %25,2-4"
    ));
    let [phase] = found.phases[..] else {
        panic!("{:?}", found.phases)
    };
    let alike = [(0, 3), (3, 0), (1, 5), (5, 1)];
    assert!(alike.contains(&phase.alike), "{phase:?}");
}

#[test]
fn an_outlier_is_named_by_its_row() {
    let found = findings(&format!(
        "{SIX}&volts=1-2,10.00,4-6,0.5657&volts=,,4-5,0.2828&volts=,,5-6,0.2829\
         &volts=1-2,8.00,4-6,0.4526&volts=,,4-5,0.2263&volts=,,5-6,0.1993"
    ));
    let suspected: Vec<usize> = (found.agreements.iter())
        .filter(|agreement| agreement.suspected)
        .map(|agreement| agreement.shown.row)
        .collect();
    assert_eq!(suspected, [5]);
    assert!(found.is_unsure());
}

#[test]
fn wire_between_leads_adds_up() {
    let found = findings(SIX);
    assert!((found.resistance((0, 2)).expect("read").value - 140.0).abs() < 0.1);
    assert!((found.resistance((3, 5)).expect("read").value - 1.0).abs() < 0.01);
    assert_eq!(found.resistance((0, 5)), None);
}
