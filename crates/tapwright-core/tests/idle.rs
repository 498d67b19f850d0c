//! The idle point from readings, from a set-up to its report.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

use tapwright_core::idle::{self, FoundIdle, IdleReport, Made, Note, Read, Stands, Wanting, Which};
use tapwright_core::{link, solve};

/// A single-ended EL84 on 140 Ω; invented values.
const SINGLE: &str =
    "stage=single-ended&primary=5.2k&taps=8&hookup=8&tube=EL84&supply=250&cathode=140";

/// A pair of them on a resistor in common.
const PAIR: &str = "primary=8k&taps=8&hookup=8&tube=EL84&supply=300&cathode=130&winding=240";

fn asked(link: &str) -> IdleReport {
    let report = solve(&link::parse(link).setup);
    assert!(report.problems.is_empty(), "{link}: {:?}", report.problems);
    idle::ask(&report.solved)
        .expect("the tube is known")
        .unwrap_or_else(|why| panic!("{link}: {why}"))
}

fn found(report: &IdleReport) -> &FoundIdle {
    match &report.read {
        Read::Found(found) => found,
        other => panic!("{other:?}"),
    }
}

/// 6.86 V over 140 Ω are 49.0 mA; a tenth of that or so is the screen's, and 241 V stand over
/// the tube. Own arithmetic.
#[test]
fn volts_at_plate_and_cathode_are_enough() {
    let report = asked(&format!(
        "{SINGLE}&read_plate=247.9&read_cathode=6.86&read_tolerance=1"
    ));
    let side = found(&report).sides[0];
    assert!((side.found.cathode_amps.value - 0.049).abs() < 1e-6);
    assert!((side.found.plate_watts.value / (0.9 * 0.049 * 241.04) - 1.0).abs() < 0.02);
    let share = side.plate_share.unwrap();
    assert!((share.value - side.found.plate_watts.value / 12.0).abs() < 1e-12);
    assert!(side.found.plate_watts.uncertainty < 0.25 && side.found.plate_watts.uncertainty > 0.05);
    assert!(found(&report).stands.contains(&Stands::ScreenShare));
    assert!(!found(&report).stands.contains(&Stands::Supply));
    assert_eq!(report.notes, []);
    assert!(report.workings.len() >= 4);
}

/// B+ stands in for the plate where that was not read, and without either nothing is found.
#[test]
fn what_the_parts_tell_is_not_asked_twice() {
    let report = asked(&format!("{SINGLE}&read_cathode=6.86"));
    assert!(found(&report).stands.contains(&Stands::Supply));
    let bare = SINGLE.replace("&supply=250", "");
    let report = asked(&format!("{bare}&read_cathode=6.86"));
    assert_eq!(
        report.read,
        Read::NotEnough(vec![vec![Wanting::PlateVolts]])
    );
    let report = asked(&format!("{SINGLE}&read_plate=247.9"));
    assert_eq!(
        report.read,
        Read::NotEnough(vec![
            vec![Wanting::CathodeVolts],
            vec![Wanting::PrimaryDrop, Wanting::PrimaryOhms]
        ])
    );
    assert_eq!(asked(SINGLE).read, Read::Nothing);
}

/// The resistor proposed gives the watts wanted on this tube, and its parts contain it.
#[test]
fn the_dissipation_wanted_comes_with_its_parts() {
    let report = asked(&format!(
        "{SINGLE}&read_plate=247.9&read_cathode=6.86&read_tolerance=1&wanted_dissipation=80%25"
    ));
    let wanted = report.wanted.as_ref().unwrap();
    assert!((wanted.watts - 9.6).abs() < 1e-9);
    let reached = wanted.reached.as_ref().unwrap();
    assert!((reached.at.idle.plate_watts - 9.6).abs() < 0.01);
    assert!(reached.at.watts_per_step < 0.0);
    assert!(reached.resistor_rating.unwrap() >= 2.0 * reached.resistor_watts.unwrap());
    let Some(Made::Resistor {
        trimmer,
        ends,
        bypass,
        ..
    }) = reached.made
    else {
        panic!("{:?}", reached.made)
    };
    assert!(trimmer.is_safe && ends[0].share.unwrap() <= 1.0, "{ends:?}");
    assert!(ends[0].watts > 9.6 && ends[1].watts < 9.6);
    assert!(bypass.rated_volts.unwrap() >= bypass.open_volts);
    let [before, after] = reached.driven.unwrap();
    assert!(after.watts < before.watts, "a cooler tube gives less");
    // Stronger tubes show more volts, and want more ohms.
    assert_eq!(reached.later.len(), 4);
    assert!(
        reached
            .later
            .windows(2)
            .all(|two| two[0].cathode_volts < two[1].cathode_volts && two[0].bias < two[1].bias)
    );
    let along = report.along.unwrap();
    assert!(
        along
            .points
            .windows(2)
            .all(|two| two[0].0 < two[1].0 && two[0].1 > two[1].1)
    );
    assert_eq!(along.wanted.unwrap().0, along_bias(reached));
}

fn along_bias(reached: &idle::Reached) -> f64 {
    match reached.at.bias {
        tapwright_tube::Bias::Cathode(ohms) => ohms,
        tapwright_tube::Bias::Fixed(volts) => volts,
    }
}

/// Each side's drop over its 120 Ω: 4.6 and 4.0 V are 38.3 and 33.3 mA.
#[test]
fn a_pair_by_the_drops_over_its_halves() {
    let report = asked(&format!(
        "{PAIR}&read_plate=295.4&read_primary_drop=4.60&read2_primary_drop=4.00&read_cathode=10.35&read_tolerance=1"
    ));
    let found = found(&report);
    let amps = |side: usize| found.sides[side].found.plate_amps.value;
    assert!(
        (amps(0) - 0.0383).abs() < 4e-4 && (amps(1) - 0.0333).abs() < 4e-4,
        "{found:?}"
    );
    assert!((found.apart.unwrap().value - 0.14).abs() < 0.02);
    assert_eq!(found.ways.len(), 2);
    assert_eq!(found.doubt, None);
}

#[test]
fn a_fixed_bias_pair_is_held_to_seventy_percent() {
    let fixed = "primary=8k&taps=8&hookup=8&tube=6V6GT&supply=285&grid=-19&winding=300";
    let hot = asked(&format!(
        "{fixed}&read_plate=280&read_primary_drop=5.6&read2_primary_drop=5.6&wanted_dissipation=75%25&bias_supply=-40"
    ));
    assert!(
        hot.notes
            .iter()
            .any(|note| matches!(note, Note::HotPair(_))),
        "{:?}",
        hot.notes
    );
    assert!(
        hot.notes
            .iter()
            .any(|note| matches!(note, Note::WantedHotPair(_)))
    );
    let reached = hot.wanted.unwrap().reached.unwrap();
    assert!((reached.at.idle.plate_watts - 0.75 * 12.0).abs() < 0.01);
    let Some(Made::Divider { divider, ends }) = reached.made else {
        panic!("{:?}", reached.made)
    };
    assert!(
        ends[1].watts < reached.at.idle.plate_watts
            && divider.coolest_volts < divider.hottest_volts
    );
    let over = asked(&format!("{fixed}&wanted_dissipation=13"));
    assert!(
        matches!(over.notes[..], [Note::WantedOverLimit(_)]),
        "{:?}",
        over.notes
    );
}

/// Each tube over its own 10 Ω: 0.35 V are 35 mA.
#[test]
fn a_resistor_at_each_cathode_tells_each_tube() {
    let report = asked(
        "primary=8k&taps=8&hookup=8&tube=6V6GT&supply=285&grid=-19&each_cathode=10&read_tolerance=1\
         &read_plate=283&read_cathode=0.350&read2_cathode=0.300",
    );
    let found = found(&report);
    let amps = |side: usize| found.sides[side].found.cathode_amps.value;
    assert!((amps(0) - 0.035).abs() < 1e-6 && (amps(1) - 0.030).abs() < 1e-6);
}

#[test]
fn faults_are_named() {
    let wound = SINGLE.replace("primary=5.2k", "primary=5.2k&winding=200");
    let report = asked(&format!(
        "{wound}&read_plate=247&read_cathode=6.86&read_primary_drop=16&read_tolerance=1"
    ));
    assert_eq!(report.notes[0], Note::Contradiction);
    let doubt = found(&report).doubt.as_ref().unwrap();
    assert!(
        doubt.suspects.contains(&Which::PrimaryDrop(0))
            && doubt.suspects.contains(&Which::Cathode(0))
    );
    // 1 Ω for 140: 6.86 V would be 47 W.
    let burns = asked(&SINGLE.replace("cathode=140", "cathode=1").to_string());
    assert_eq!(burns.notes, []);
    let burns = asked(&format!(
        "{}&read_plate=247&read_cathode=6.86",
        SINGLE.replace("cathode=140", "cathode=1")
    ));
    assert!(
        burns
            .notes
            .iter()
            .any(|note| matches!(note, Note::CathodeResistorBurns(watts) if *watts > 40.0))
    );
    let leaky = asked(&format!(
        "{SINGLE}&read_plate=247&read_cathode=8.2&read_grid=1.4&driver=12AX7&driver_supply=220&wanted_dissipation=9"
    ));
    // Nothing is set on a grid that is not where it belongs.
    assert_eq!(leaky.wanted, None);
    assert_eq!(leaky.notes[0], Note::PositiveGrid);
    // 10 MΩ beside 470 kΩ shows 4.5 % less than there is.
    assert!((leaky.leak.unwrap().grid_volts - 1.4 * 1.047).abs() < 1e-9);
}

/// Whatever is typed in the new fields, there is a report, and every number in it is one.
#[test]
fn nothing_typed_breaks_it() {
    let tubes = ["EL84", "2A3", "6V6GT", "300B"];
    let texts = ["0.001", "1", "9", "250", "499"];
    let mut found = 0;
    for (n, tube) in tubes.iter().cycle().take(160).enumerate() {
        let text = |k: usize| texts[(n * 7 + k * 3 + n / 5) % texts.len()];
        let stage = ["push-pull", "single-ended"][n % 2];
        let screens = ["steady", "taps", "plates"][n % 3];
        let link = format!(
            "stage={stage}&primary=5k&taps=8&hookup=8&tube={tube}&supply=250&screens={screens}&cathode={}&winding={}\
             &read_plate={}&read_cathode={}&read_primary_drop={}&read_screen={}&read_grid=-{}&read2_primary_drop={}\
             &wanted_dissipation={}",
            text(1),
            text(2),
            text(3),
            text(4),
            text(5),
            text(6),
            text(7),
            text(8),
            text(9)
        );
        let report = solve(&link::parse(&link).setup);
        let Some(Ok(report)) = idle::ask(&report.solved) else {
            continue;
        };
        let mut numbers = vec![
            report.computed.idle.plate_watts,
            report.computed.watts_per_step,
        ];
        numbers.extend(report.workings.iter().map(|working| working.result));
        if let Some(along) = &report.along {
            numbers.extend(along.points.iter().flat_map(|point| [point.0, point.1]));
        }
        if let Some(reached) = report
            .wanted
            .as_ref()
            .and_then(|wanted| wanted.reached.as_ref())
        {
            numbers.extend([reached.at.idle.plate_watts, reached.at.watts_per_step]);
            numbers.extend(reached.uncertainty);
            assert!(
                (reached.at.idle.plate_watts - report.wanted.as_ref().unwrap().watts).abs() < 0.01,
                "{link}"
            );
        }
        assert!(
            numbers.iter().all(|number| number.is_finite()),
            "{link}: {numbers:?}"
        );
        if let Read::Found(one) = &report.read {
            found += 1;
            for side in &one.sides {
                assert!(side.found.plate_watts.value.is_finite(), "{link}");
                assert!(side.found.plate_watts.uncertainty > 0.0, "{link}");
            }
        }
    }
    assert!(found > 20, "{found}");
}
