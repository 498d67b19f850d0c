//! The power supply from a link to its numbers: what is described, what it gives, what it warns of.
#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use tapwright_core::assumed::Why;
use tapwright_core::caution::supply::Caution;
use tapwright_core::report::Report;
use tapwright_core::supply::{SupplyReport, ask};
use tapwright_core::{examples, link, solve};
use tapwright_supply::Passed;

fn report(link: &str) -> Report {
    solve(&link::parse(link).setup)
}

fn asked(link: &str) -> SupplyReport {
    let report = report(link);
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    ask(&report.solved)
        .expect("enough is typed")
        .expect("it settles")
}

/// An EL84 behind an EZ80 on 2 × 250 V: all that is needed, in one link.
const PLAYER: &str = "stage=single-ended&primary=5.2k&taps=8&hookup=8&tube=EL84&cathode=140\
     &winding_volts=2x250&winding_amps=90mA&winding_ohms=190&mains_ohms=42&mains=230&mains_taps=230\
     &rectifier=EZ80&reservoir=47u";

/// Without B+ typed the stage idles where the supply leaves it: what it draws there, put on the
/// supply again, leaves the same volts.
#[test]
fn stage_and_supply_meet_at_one_point() {
    let found = report(PLAYER).solved;
    let stage = found.stage().expect("it is solved");
    let (volts, why) = stage.assumed.supply;
    assert_eq!(why, Why::Described);
    let supply = found.power_supply.as_ref().unwrap().as_ref().unwrap();
    assert!((supply.volts - volts).abs() < 1e-9);
    let drawn = stage.idle.all_plate_amps + stage.idle.all_screen_amps;
    let counted = supply.loads.plates + supply.loads.screens;
    assert!(
        (drawn / counted - 1.0).abs() < 1e-3,
        "{drawn} A, {counted} A"
    );
    // The stage's own resistance behind B+ is the supply's.
    assert!((stage.stage.plate_supply.ohms - supply.ohms).abs() < 1e-9);
    // EZ80 with 250 V and 125 Ω at 90 mA gives 265 V (Philips, from memory); here are more ohms
    // and less current.
    assert!((250.0..300.0).contains(&volts), "{volts}");
    assert!(
        (150.0..900.0).contains(&supply.ohms),
        "{} ohms",
        supply.ohms
    );
}

/// B+ as typed wins, and is held beside the computed one.
#[test]
fn typed_volts_win() {
    let link = format!("{PLAYER}&supply=240");
    let found = report(&link).solved;
    let stage = found.stage().expect("it is solved");
    assert_eq!(stage.assumed.supply, (240.0, Why::Typed));
    assert!(stage.stage.plate_supply.ohms > 100.0);
    let asked = asked(&link);
    assert_eq!(asked.typed, Some(240.0));
    assert!(asked.volts > 250.0, "{}", asked.volts);
    // A resistance that is typed wins too.
    let typed = report(&format!("{link}&source=50")).solved;
    assert_eq!(typed.stage().unwrap().stage.plate_supply.ohms, 50.0);
}

/// 231 V: a 220 V tap is 5 % exceeded exactly, a 250 V tap leaves heaters 7.6 % low, the 230 V
/// one is right (design, exact arithmetic).
#[test]
fn the_tap_that_suits_is_advised_and_heaters_are_shown() {
    let asked = asked(&PLAYER.replace(
        "mains=230&mains_taps=230",
        "mains=231&mains_taps=210,230,250",
    ));
    let advised: Vec<f64> = (asked.taps.iter())
        .filter(|tap| tap.advised)
        .map(|tap| tap.tap)
        .collect();
    assert_eq!(advised, [230.0]);
    assert!((asked.taps[2].heaters - 0.924).abs() < 1e-9);
    let volts: Vec<f64> = asked.taps.iter().map(|tap| tap.volts.unwrap()).collect();
    assert!(volts[0] > volts[1] && volts[1] > volts[2], "{volts:?}");
    assert!(asked.cautions.is_empty(), "{:?}", asked.cautions);
    let wrong = PLAYER.replace(
        "mains=230&mains_taps=230",
        "mains=240&mains_taps=220,240&mains_tap=220",
    );
    let wrong = self::asked(&wrong);
    assert!(
        wrong
            .cautions
            .contains(&Caution::MainsAboveTap(240.0, 220.0))
    );
}

/// 400 V capacitors behind silicon that starts at 450 V, and behind a slow EZ80 the same said of
/// pulled tubes.
#[test]
fn capacitors_are_held_against_the_cold_start() {
    let link = format!("{PLAYER}&reservoir_volts=400");
    let slow = asked(&link);
    assert!(slow.nodes[0].cold > 400.0);
    assert!(
        slow.cautions
            .contains(&Caution::Unloaded(0, slow.nodes[0].cold, 400.0))
    );
    let fast = asked(&link.replace("EZ80", "silicon"));
    assert_eq!(
        fast.cautions.first(),
        Some(&Caution::ColdStart(0, fast.nodes[0].cold, 400.0))
    );
    // √2 × 1.1 × the volts without load.
    let peak = 2_f64.sqrt() * 1.1 * 259.0;
    assert!(
        (fast.nodes[0].cold / peak - 1.0).abs() < 0.1,
        "{}",
        fast.nodes[0].cold
    );
}

/// Too large a first capacitor and too little resistance at an EZ80: said with the resistor.
#[test]
fn limits_of_the_rectifier_come_with_the_resistor() {
    let link = PLAYER.replace("47u", "100u").replace(
        "winding_ohms=190&mains_ohms=42",
        "winding_ohms=30&mains_ohms=8",
    );
    let asked = asked(&link);
    assert!(
        asked
            .passed
            .iter()
            .any(|one| matches!(one, Passed::First(..)))
    );
    assert!(
        asked
            .passed
            .iter()
            .any(|one| matches!(one, Passed::Ohms(..)))
    );
    let ohms = asked.plate_ohms.expect("a resistor mends it");
    let mended = self::asked(&format!("{link}&rectifier_ohms={ohms}"));
    let mended = mended.passed;
    assert!(
        !mended
            .iter()
            .any(|one| matches!(one, Passed::Peak(..) | Passed::Ohms(..))),
        "{ohms} ohms: {mended:?}"
    );
}

/// A live chassis comes before anything else, also in what is said of the connection.
#[test]
fn a_live_chassis_is_said_first() {
    let link = "stage=single-ended&primary=2.5k&taps=4&hookup=4&tube=50C5&isolation=none&mains=117\
                &mains_hertz=60&rectifier=35W4&reservoir=40u&reservoir_volts=150";
    let found = report(link);
    let first = &found.answers[0].cautions[0];
    assert!(
        matches!(
            first,
            tapwright_core::caution::Caution::Supply(Caution::LiveChassis)
        ),
        "{first:?}"
    );
    assert_eq!(asked(link).cautions[0], Caution::LiveChassis);
    // The tube alone suggests it.
    let alone = report("stage=single-ended&primary=2.5k&taps=4&hookup=4&tube=50C5&supply=110");
    let first = &alone.answers[0].cautions[0];
    assert!(
        matches!(
            first,
            tapwright_core::caution::Caution::Supply(Caution::MaybeLiveChassis)
        ),
        "{first:?}"
    );
    let with_transformer = format!("{PLAYER}&supply=250");
    assert!(!matches!(
        report(&with_transformer).answers[0].cautions.first(),
        Some(tapwright_core::caution::Caution::Supply(_))
    ));
}

/// Without a bleeder the capacitors stay charged with the tubes out, and one is proposed that
/// does what it promises.
#[test]
fn the_bleeder_that_is_proposed_is_in_time() {
    let without = asked(PLAYER);
    assert_eq!(without.nodes[0].safe_without, None);
    assert!(
        without.nodes[0]
            .safe_with_tubes
            .is_some_and(|seconds| seconds < 60.0)
    );
    let ohms = without.bleeder.expect("one is proposed").ohms;
    let with = asked(&format!("{PLAYER}&bleeder={ohms}"));
    assert!(with.nodes[0].safe_without.unwrap() <= 30.0);
    assert!(with.bleeder.is_none());
}

/// More current, less B+; five points.
#[test]
fn volts_fall_with_load() {
    let against = asked(PLAYER).against_load;
    assert_eq!(against.len(), 5);
    for pair in against.windows(2) {
        assert!(pair[1].0 > pair[0].0 && pair[1].1 < pair[0].1, "{pair:?}");
    }
}

/// A fuse smaller than the running current, and one that guards nothing.
#[test]
fn a_fuse_is_held_against_the_running_current() {
    let with = |fuse: &str| asked(&format!("{PLAYER}&mains_fuse={fuse}")).cautions;
    assert!(matches!(with("50mA")[..], [Caution::FuseTooSmall(..)]));
    assert!(matches!(with("5")[..], [Caution::FuseTooLarge(..)]));
    assert!(with("400mA").is_empty());
}

/// Screens behind a resistor of the line hang on it in the stage too.
#[test]
fn the_line_feeds_the_screens() {
    let link = format!("{PLAYER}&filter=1k,,22u,450,screens%20drivers");
    let found = report(&link).solved;
    let stage = found.stage().expect("it is solved");
    assert_eq!(
        stage.stage.screen,
        tapwright_core::stage::ScreenFeed::Dropper(1_000.0)
    );
    let asked = asked(&link);
    let drop = asked.nodes[0].volts - asked.nodes[1].volts;
    let amps = asked.loads.screens + asked.loads.drivers;
    assert!((drop / (1_000.0 * amps) - 1.0).abs() < 1e-3, "{drop} V");
}

/// A current beyond what a winding can give is said in words, and the stage is computed all the
/// same.
#[test]
fn a_supply_that_is_too_weak_says_so() {
    let link = format!("{PLAYER}&supply=250&rectifier_ohms=5k&driver_ma=200");
    let found = report(&link).solved;
    assert!(found.power_supply.as_ref().unwrap().is_err());
    assert!(found.stage().is_some());
    assert!(ask(&found).unwrap().is_err());
}

/// The record player's supply has no fault that an example should not have.
#[test]
fn the_record_player_has_its_supply() {
    let found = solve(&examples::EXAMPLES[3].setup());
    let asked = ask(&found.solved).unwrap().unwrap();
    println!(
        "B+ {:.1} V, typed {:?}, {:.0} ohms, ripple {:.2} V, nodes {:#?}, {:?} {:?}",
        asked.volts,
        asked.typed,
        asked.ohms,
        asked.nodes[0].ripple,
        asked.nodes,
        asked.passed,
        asked.cautions
    );
    assert!(asked.passed.is_empty(), "{:?}", asked.passed);
    assert!(asked.cautions.is_empty(), "{:?}", asked.cautions);
    assert!((asked.volts / asked.typed.unwrap() - 1.0).abs() < 0.03);
    assert!(asked.taps.iter().any(|tap| tap.in_use && tap.advised));
}
