//! Findings from links, as a person would type them. Invented data.
#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic)]

use tapwright_core::report::Report;
use tapwright_core::{link, solve};
use tapwright_iron::measured::findings::{Evidence, Feed, Findings, Next, Primary};
use tapwright_iron::measured::{Lead, Pair};

fn report(readings: &str) -> Report {
    solve(&link::parse(&format!("marking=measured&{readings}")).setup)
}

fn problems(readings: &str) -> Vec<String> {
    let problems = report(readings).problems.into_iter();
    problems
        .map(|problem| format!("{}: {}", problem.field, problem.complaint.why))
        .collect()
}

/// The second winding, as the person says.
const TYPED: Option<Primary> = Some(Primary {
    winding: 1,
    evidence: Evidence::Typed,
});

const SIX: &str = "leads=1,2,3,4,5,6&ohms=1-2,300&ohms=1-3,140&ohms=2-3,160&ohms=4-5,0.5\
                   &ohms=4-6,1.0&ohms=5-6,0.5&ohms=1-4,open";

/// The pairs of leads that may be used as a primary.
fn primaries(found: &Findings) -> Vec<Pair> {
    let leads = found.transformer.iter().flat_map(|made| &made.leads);
    leads.map(|lead| lead.pair).collect()
}

/// The leads of the taps.
fn taps(found: &Findings) -> Vec<Lead> {
    let taps = found.transformer.iter().flat_map(|made| &made.taps);
    taps.map(|tap| tap.lead).collect()
}

/// What is fed, and whether all else stays lower; if not, nobody knows how high it gets.
fn feed(pair: Pair, stays_lower: bool) -> Option<Feed> {
    Some(Feed {
        pair,
        most: stays_lower.then_some(1.0),
    })
}

fn findings(readings: &str) -> Findings {
    report(readings).solved.measured.expect("it is measured")
}

/// 5 kΩ plate to plate against 16 Ω, and a tap at 4 Ω: 17.68 : 1. Exact arithmetic.
#[test]
fn a_push_pull_primary_goes_from_end_to_end() {
    let found = findings(&format!(
        "{SIX}&volts=1-2,10.00,1-3,4.98&volts=,,4-6,0.5657&volts=,,4-5,0.2828"
    ));
    assert_eq!(found.centre_tap, Some(2));
    assert_eq!(primaries(&found), [(0, 1)]);
    assert_eq!(taps(&found), [4, 5]);
    let guess = found.transformer.expect("enough is read").guess;
    assert_eq!((guess.leads[0].0, guess.taps[1].0), (5_000.0, 16.0));
}

#[test]
fn a_single_ended_stage_may_use_either_part() {
    let found = findings(&format!(
        "stage=single-ended&{SIX}&volts=1-2,10.00,1-3,4.98&volts=,,4-6,0.5657&volts=,,4-5,0.2828"
    ));
    assert_eq!(primaries(&found), [(0, 1), (0, 2), (2, 1)]);
}

#[test]
fn what_is_still_to_be_read_is_listed() {
    let found = findings(SIX);
    assert_eq!(found.feed.map(|feed| feed.pair), Some((0, 1)));
    assert_eq!(found.wanted, [(0, 2), (3, 5), (3, 4)]);
    assert!(found.transformer.is_none());
    let more = findings(&format!("{SIX}&volts=1-2,6.31,4-6,0.357"));
    assert_eq!(more.wanted, [(0, 2), (3, 4)]);
    assert!(more.transformer.is_some());
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
    assert_eq!(typed.primary, TYPED);
    assert_eq!((typed.secondary, typed.common), (Some(0), Some(1)));
    let swapped = format!("{SIX}&common=6&volts=1-2,10.00,4-6,0.5657&volts=,,4-5,0.2828");
    let found = findings(&swapped);
    assert_eq!((found.common, taps(&found)), (Some(5), vec![4, 3]));
}

/// A message at the field that caused it, and everything else stays.
#[test]
fn bad_readings_are_refused_where_they_stand() {
    for (row, field, why) in [
        ("ohms=1-2,0", "ohms.1.ohms", "never zero"),
        ("ohms=1-2,-4", "ohms.1.ohms", "negative"),
        ("ohms=1-2,many", "ohms.1.ohms", "not a number"),
        ("ohms=1-9,4", "ohms.1.pair", "“9” is not among the leads"),
        ("ohms=1-1,4", "ohms.1.pair", "one lead"),
        ("ohms=1,4", "ohms.1.pair", "not two leads"),
        (
            "volts=1-2,60",
            "volts.1.fed_volts",
            "larger than a voltage that is safe to touch",
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
    assert!(left.contradicted && left.unsure);
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
    let [ends] = found.like_ends[..] else {
        panic!("{:?}", found.like_ends)
    };
    let alike = [(0, 3), (3, 0), (1, 5), (5, 1)];
    assert!(alike.contains(&ends.alike), "{ends:?}");
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
    assert!(found.unsure);
}

#[test]
fn wire_between_leads_adds_up() {
    let found = findings(SIX);
    assert!((found.found.resistance((0, 2)).expect("read").value - 140.0).abs() < 0.1);
    assert!((found.found.resistance((3, 5)).expect("read").value - 1.0).abs() < 0.01);
    assert_eq!(found.found.resistance((0, 5)), None);
}

const FOUR: &str =
    "leads=red,blue,black,green&ohms=red-blue,318&ohms=black-green,0.8&ohms=red-black,open";

/// Whoever names the wrong winding is not led to feed it.
#[test]
fn a_typed_primary_never_decides_what_is_fed() {
    let found = findings(&format!("{FOUR}&primary_is=black"));
    assert_eq!(found.primary, TYPED);
    assert_eq!(found.feed.map(|feed| feed.pair), Some((0, 1)));
    let times = found.outweighed.expect("318 Ω against 0.8 Ω");
    assert!((times - 318.0 / 0.8).abs() < 1.0 && found.unsure);
    assert_eq!(found.wanted, [(2, 3)]);
    let right = findings(&format!("{FOUR}&primary_is=red"));
    assert_eq!(right.feed.map(|feed| feed.pair), Some((0, 1)));
    assert_eq!(right.outweighed, None);
}

/// A step-up onto 0.8 Ω from 318 Ω is a slip of the unit, of either the decimal point or
/// the other way round.
#[test]
fn more_turns_on_far_fewer_ohms_are_refused() {
    for volts in ["345", "24.5", "7.2"] {
        let readings = format!("{FOUR}&volts=red-blue,6.31,black-green,{volts}");
        let said = problems(&readings);
        assert!(
            said.len() == 1
                && said[0].starts_with("volts.1.volts")
                && said[0].contains("the 0.8 Ω winding"),
            "{said:?}"
        );
        let found = findings(&readings);
        assert_eq!(found.primary.map(|primary| primary.winding), Some(0));
        assert_eq!(found.feed, feed((0, 1), false));
    }
    let said = problems(&format!("{FOUR}&volts=red-blue,6.31,black-green,345"));
    assert!(
        said[0].contains("55 times the turns of the 318 Ω one"),
        "{said:?}"
    );
    assert_eq!(
        problems(&format!("{FOUR}&volts=black-green,6.3,red-blue,0.24")).len(),
        1
    );
    assert!(problems(&format!("{FOUR}&volts=red-blue,6.31,black-green,0.345")).is_empty());
    // Windings that are not so unlike may well be.
    let like = "leads=1,2,3,4&ohms=1-2,100&ohms=3-4,60&ohms=1-3,open&volts=1-2,6.31,3-4,7.2";
    assert!(problems(like).is_empty());
    let found = findings(like);
    assert_eq!(found.feed, feed((2, 3), false));
}

#[test]
fn all_else_stays_lower_only_where_that_is_known() {
    assert_eq!(findings(FOUR).feed, feed((0, 1), true));
    let read = findings(&format!("{FOUR}&volts=red-blue,6.31,black-green,0.3"));
    assert_eq!(read.feed, feed((0, 1), true));
    for unknown in [
        // Nothing says that these are two windings.
        "leads=1,2,3,4&ohms=1-2,318&ohms=3-4,0.8",
        // A lead without any reading.
        "leads=1,2,3,4,5&ohms=1-2,318&ohms=3-4,0.8&ohms=1-3,open",
        "leads=1,2,3,4&ohms=1-2,318&ohms=3-4,110&ohms=1-3,open",
        // A reading that does not belong.
        "leads=1,2,3,4&ohms=1-2,318&ohms=3-4,0.8&ohms=1-3,open\
         &volts=1-2,6.31,3-4,0.345&volts=1-2,6.31,3-4,0.045",
    ] {
        let found = findings(unknown);
        assert_eq!(found.feed, feed((0, 1), false), "{unknown}");
    }
}

#[test]
fn feeding_before_all_is_measured_may_step_up() {
    let blind = "leads=red,blue,black,green&ohms=black-green,0.8&volts=black-green";
    let found = findings(&format!("{blind},6.3"));
    assert!(found.hazards.len() == 1 && found.hazards[0].live.is_empty());
    assert_eq!(found.hazards[0].test.fed, (2, 3));
    assert_eq!(findings(blind).hazards.len(), 1);
    assert!(findings(&format!("{blind},0.5")).hazards.is_empty());
    assert!(
        findings(&format!("{FOUR}&volts=red-blue,6.3"))
            .hazards
            .is_empty()
    );
}

/// Millivolts as volts again, on 17 Ω: that may be, but not with a promise.
#[test]
fn turns_against_the_ohms_promise_nothing() {
    let found =
        findings("leads=1,2,3,4&ohms=1-2,318&ohms=3-4,17&ohms=1-3,open&volts=1-2,6.31,3-4,24.5");
    assert_eq!(found.feed, feed((2, 3), false));
}

/// Leads that no reading of the ohmmeter tells apart, as far as volts were read.
const SIX_IN_LINE: &str = "leads=red,blue,black,green,yellow,white&ohms=red-blue,open&ohms=red-black,open\
    &ohms=red-green,318&ohms=blue-black,1.0&ohms=yellow-white,0.2&ohms=red-yellow,open\
    &ohms=blue-yellow,0.7&volts=red-green,6.31,blue-black,0.345\
    &volts=,,blue-yellow,0.2446&volts=,,blue-white,0.1731";

/// What is asked for was not read yet, and settles the order in the end.
#[test]
fn an_order_that_is_open_is_asked_for_until_it_is_settled() {
    // Blue 0, white 0.1731, yellow 0.2446, black 0.345.
    let place = [f64::NAN, 0.0, 0.345, f64::NAN, 0.2446, 0.1731];
    let name = ["red", "blue", "black", "green", "yellow", "white"];
    let read = [(1, 2), (1, 4), (1, 5)];
    let (mut readings, mut asked) = (SIX_IN_LINE.to_owned(), read.to_vec());
    while let Some(next) = findings(&readings).next {
        let (a, b) = match next {
            Next::Volts(next) => {
                assert!(
                    next.fed && next.for_order && next.feed == (0, 3),
                    "{next:?}"
                );
                next.pair
            }
            Next::Ohms(pair) => pair,
            other => panic!("{other:?}"),
        };
        assert!(!asked.contains(&(a.min(b), a.max(b))), "{next:?}");
        asked.push((a.min(b), a.max(b)));
        let volts: f64 = (place[a] - place[b]).abs();
        readings += &match next {
            Next::Ohms(_) => format!("&ohms={}-{},{:.1}", name[a], name[b], volts / 0.345),
            _ => format!("&volts=,,{}-{},{volts:.4}", name[a], name[b]),
        };
    }
    assert!(asked.len() > read.len());
    let found = findings(&readings);
    assert!(found.order_known && !found.unsure, "{found:?}");
    assert_eq!(found.found.windings[1].leads, [1, 5, 4, 2]);
}

#[test]
fn complaints_are_whole_sentences() {
    let high = problems(&format!("{FOUR}&volts=red-blue,230"));
    assert_eq!(
        high,
        ["volts.1.fed_volts: “230” is larger than a voltage that is safe to touch can be, 30 V"]
    );
    let zero = problems("leads=1,2&ohms=1-2,0.0");
    assert!(
        zero[0].contains("the smallest step that the meter shows"),
        "{zero:?}"
    );
}
