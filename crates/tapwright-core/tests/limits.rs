//! What a passed limit does to verdicts and cautions, and when it is passed.
#![allow(
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

mod common;

use tapwright_core::caution::{Caution, iron, stage};
use tapwright_core::health::Ailment;
use tapwright_core::judged::Because;
use tapwright_core::matching::Verdict;
use tapwright_core::output::ChosenOutput;
use tapwright_core::published;
use tapwright_core::report::Report;
use tapwright_core::target::Target;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{Burden, TOLERANCE};

use common::report;

fn chosen(report: &Report) -> &ChosenOutput {
    report.solved.followed.as_ref().unwrap().exact().unwrap()
}

/// A cathode resistor of 1 Ω under a pair: 40 W on plates made for 12. The stage is ill, and
/// says so first; the connection is still the best there is.
#[test]
fn what_is_too_hot_at_idle_is_an_alarm_and_no_verdict() {
    let report = report("tube=6V6GT&supply=300&primary=8k&taps=4,8,16&hookup=8&cathode=1");
    let best = &report.solved.connections[report.answers[0].connection];
    assert_eq!(
        (best.connection.ratio, best.verdict()),
        (1.0, Verdict::Fits)
    );
    let first = report.solved.health.hot_at_idle().expect("an alarm");
    assert_eq!((first.burden, first.from), (Burden::PlateWatts, 0.0));
    assert!(first.value > 3.0 * first.limit);
    assert_eq!(report.solved.health.alarms[0], Ailment::AtIdle(*first));
}

/// From a cool bias to one twice too hot: no word, a note within 5 % of the limit, an alarm
/// beyond.
#[test]
fn the_hotter_the_idle_the_louder_it_is_said() {
    let mut seen = [false; 3];
    for hundredths in 1_100..=1_900 {
        let volts = f64::from(hundredths) / 100.0;
        let report = report(&format!(
            "tube=6V6GT&supply=285&primary=8k&taps=8&hookup=8&grid=-{volts}"
        ));
        let share = report.solved.stage().unwrap().idle.plate_watts / 12.0;
        let at_plate = |ailment: &Ailment| matches!(ailment, Ailment::AtIdle(passed) if passed.burden == Burden::PlateWatts);
        let health = &report.solved.health;
        let said = (
            health.alarms.iter().any(at_plate),
            health.notes.iter().any(at_plate),
        );
        let wanted = (share > 1.05, share > TOLERANCE && share <= 1.05);
        assert_eq!(said, wanted, "{volts} V, {share}");
        seen[usize::from(wanted.0) + 2 * usize::from(wanted.1)] = true;
    }
    assert_eq!(seen, [true; 3], "the range has all three");
}

/// The EL84 at its published load keeps its screen within the rating that holds with a signal,
/// and passes it when overdriven: a note of the stage, and no fault of the load. Twice the load
/// asks more than a quarter more of the screen.
#[test]
fn what_the_target_load_passes_too_is_the_stage() {
    let el84 = "tube=EL84&supply=250&stage=single-ended&primary=5k2&hookup=8";
    let published = report(&format!("{el84}&taps=8"));
    assert_eq!(published.solved.connections[0].verdict(), Verdict::Fits);
    let overdriven = |ailment: &Ailment| matches!(ailment, Ailment::Overdriven(passed) if passed.burden == Burden::ScreenWatts);
    assert!(published.solved.health.notes.iter().any(overdriven));
    assert!(published.solved.health.alarms.is_empty());
    let double = report(&format!("{el84}&taps=4"));
    assert_eq!(double.solved.connections[0].verdict(), Verdict::Avoid);
}

/// Every limit that is passed is told: of the connection where it passes it further than the
/// target load does, and else of the stage.
#[test]
fn every_passed_limit_has_its_caution() {
    let mut told = 0;
    for tube in published::types() {
        for stage in ["push-pull", "single-ended"] {
            for load in ["2k", "5k", "14k"] {
                let report = report(&format!(
                    "tube={tube}&stage={stage}&primary={load}&taps=8&hookup=8&target=5k"
                ));
                let output = report.solved.connections[0].output.unwrap();
                let cautions = &report.answers[0].cautions;
                let health = &report.solved.health;
                let of_stage = |burden: Burden| {
                    let mut ailments = health.alarms.iter().chain(&health.notes);
                    ailments.any(|ailment| match ailment {
                        Ailment::AtIdle(passed)
                        | Ailment::AtFullSignal(passed)
                        | Ailment::Overdriven(passed) => passed.burden == burden,
                        _ => false,
                    })
                };
                for passed in output.passed.iter().flatten() {
                    let count = |caution: &&Caution| {
                        **caution == Caution::Stage(stage::Caution::OverLimit(*passed))
                    };
                    let of_load = cautions.iter().filter(count).count();
                    assert!(of_load <= 1, "{tube} {passed:?}");
                    assert!(of_load == 1 || of_stage(passed.burden), "{tube} {passed:?}");
                    told += 1;
                }
            }
        }
    }
    assert!(told > 50, "limits are passed in many of these: {told}");
}

/// What the chosen connection's bars say agrees with what made its verdict.
#[test]
fn bars_and_verdict_agree() {
    for link in [
        "tube=EL84&supply=250&stage=single-ended&primary=5k2&taps=8&hookup=8",
        "tube=6L6GC&supply=450&primary=5k6&taps=8&hookup=8",
        "tube=EL34&supply=425&primary=3k4&taps=8&hookup=8",
    ] {
        let report = report(link);
        let passed = report.solved.connections[0].output.unwrap().passed;
        for (borne, passed) in chosen(&report).burdens.iter().zip(passed) {
            let over = passed.map(|passed| passed.value / borne.value - 1.0);
            assert_eq!(
                borne.over_from.is_some(),
                passed.is_some(),
                "{link} {borne:?}"
            );
            assert!(
                over.is_none_or(|off| off.abs() < 0.02),
                "{link} {borne:?} {passed:?}"
            );
            if let (Some(from), Some(passed)) = (borne.over_from, passed) {
                assert!(from <= passed.from, "{link}: {from} {passed:?}");
            }
        }
    }
}

/// With a frequency the bars are those of the path that is drawn: its highest plate voltage
/// is in them, and a limit that only the reactance makes it pass is told first.
#[test]
fn reactance_counts_in_the_bars() {
    let report =
        report("tube=6V6GT&supply=285&primary=8k&taps=4,8,16&hookup=8&frequency=80&selected=1,2,1");
    let output = chosen(&report);
    let highest = (output.load_line.iter()).fold(0.0, |most: f64, at| most.max(at.plate_volts));
    let peak = output
        .burdens
        .iter()
        .find(|b| b.burden == Burden::PeakPlateVolts);
    assert!(peak.unwrap().value >= highest, "{peak:?} {highest}");
    assert!((output.stress.peak_plate_volts - highest).abs() < 1e-6);
    let resistive = report.solved.followed().unwrap().output.unwrap().passed[1].unwrap();
    let Caution::Stage(stage::Caution::OverLimitWithReactance(80.0, with)) =
        report.chosen.as_ref().unwrap().cautions[0]
    else {
        panic!("{:?}", report.chosen.as_ref().unwrap().cautions)
    };
    assert!(with.value > 2.0 * resistive.value, "{with:?} {resistive:?}");
}

/// EL84, 250 V, 5.2 kΩ: 5.7 W at 10 %, from memory of the Philips sheet; the page's power at
/// full drive is beyond that and dirtier.
#[test]
fn clean_power_is_the_published_one() {
    let report = report("tube=EL84&supply=250&stage=single-ended&primary=5k2&taps=8&hookup=8");
    let output = chosen(&report);
    let clean = output.clean.unwrap();
    assert!((clean.delivered.thd - 0.10).abs() < 2e-4, "{clean:?}");
    assert!(
        (clean.delivered.watts / 5.7 - 1.0).abs() < 0.05,
        "{clean:?}"
    );
    assert!(clean.drive < 1.0 && clean.delivered.watts < output.onset.watts);
    let solved = &report.chosen.as_ref().unwrap().solutions;
    let shown = (solved.iter()).find(|solved| solved.quantity == "Power at little distortion");
    assert!(shown.unwrap().residual < 0.02, "{shown:?}");
    let clean_throughout = self::report("tube=6V6GT&supply=285&primary=8k&taps=8&hookup=8");
    assert_eq!(chosen(&clean_throughout).clean, None);
}

/// One connection has one power, wherever it is read.
#[test]
fn the_chosen_connection_is_exact_in_the_table_too() {
    let report = report("tube=6AQ5&supply=250&primary=8k,10k&taps=3,8,15&hookup=8&selected=1,2,1");
    let output = report.solved.followed().unwrap().output.unwrap();
    let exact = chosen(&report);
    assert_eq!(
        (output.watts.0, output.thd),
        (exact.onset.watts, exact.onset.thd)
    );
}

/// The wave is given over the whole cycle, and its ends are the same instant.
#[test]
fn the_wave_goes_all_the_way_round() {
    for frequency in ["", "&frequency=80"] {
        let report = report(&format!(
            "tube=6V6GT&supply=285&primary=8k&taps=8&hookup=8{frequency}"
        ));
        let wave = &chosen(&report).wave;
        let (first, last) = (wave.first().unwrap(), wave.last().unwrap());
        assert_eq!((first.degrees, last.degrees), (0.0, 360.0));
        assert_eq!(first.volts, last.volts);
        let swing = wave
            .iter()
            .fold(0.0, |most: f64, at| most.max(at.volts.abs()));
        assert!((first.volts - wave[1].volts).abs() < 0.1 * swing);
    }
}

/// Screen taps have no published example here: the load is computed and said to be.
#[test]
fn nothing_published_is_claimed_for_screen_taps() {
    for tube in ["6V6GT", "EL34", "KT88"] {
        let report = report(&format!("tube={tube}&supply=300&screens=taps"));
        assert!(
            matches!(report.solved.target, Target::Computed(_)),
            "{tube}"
        );
    }
    let Target::Published(four) = report("tube=6V6GT&supply=285&tubes=4").solved.target else {
        panic!("a pair is published")
    };
    assert_eq!((four.example_tubes, four.beside), (2, 2.0));
}

/// The further off a load, the louder the warning: far beyond the drawn range too.
#[test]
fn loads_far_off_are_held_to_the_limits() {
    let over = |load: &str| {
        let report = report(&format!(
            "primary={load}&taps=8&hookup=8&tube=EL84&supply=250"
        ));
        let screen = report.solved.connections[0].output.unwrap().passed[1].unwrap();
        assert!(
            report.answers[0]
                .cautions
                .contains(&Caution::Stage(stage::Caution::OverLimit(screen))),
            "{load}"
        );
        screen.over()
    };
    let (at_eight, at_ten, at_hundred) = (over("64k"), over("80k"), over("1M"));
    assert!(at_eight > 1.5 && at_ten > at_eight && at_hundred > at_ten);
    let low = report("primary=400&taps=8&hookup=8&tube=6L6GC&supply=450");
    let plate = low.solved.connections[0].output.unwrap().passed[0].unwrap();
    assert!(plate.over() > 2.0, "{plate:?}");
}

/// A tube of one's own without limits is never called checked.
#[test]
fn limits_that_are_not_typed_are_said_to_be_missing() {
    let own = "stage=single-ended&primary=5k&taps=8&hookup=8&tube=own&supply=250\
               &point=250,250,-7.3,48,5.5,11.3,38k,19";
    let told = |more: &str| {
        let report = report(&format!("{own}{more}"));
        report.solved.health.notes.contains(&Ailment::LimitsUnknown)
    };
    assert!(told(""));
    assert!(told("&own_plate_watts=12"));
    assert!(!told("&own_plate_watts=12&own_screen_watts=2"));
}

/// More than a hookup takes is no fit, and far more is to avoid, though no load is to blame.
#[test]
fn speakers_that_take_less_are_no_fit() {
    let of = |rating: &str| {
        let report = report(&format!(
            "tube=6AQ5&supply=250&primary=10k&taps=8&hookup=8@{rating}"
        ));
        (
            report.solved.connections[0].verdict(),
            report.solved.connections[0].because(),
        )
    };
    assert_eq!(of("30"), (Verdict::Fits, None));
    assert_eq!(of("7"), (Verdict::Usable, Some(Because::SpeakersTakeLess)));
    assert_eq!(of("1"), (Verdict::Avoid, Some(Because::SpeakersTakeLess)));
}

/// A stage that is cut off gives watts that nobody wants to hear, into any load.
#[test]
fn an_odd_point_is_an_alarm() {
    let report =
        report("stage=single-ended&primary=5k&taps=8&hookup=8&tube=6V6GT&supply=250&grid=-60");
    let alarms = &report.solved.health.alarms;
    assert!(
        alarms.contains(&Ailment::Odd(Condition::CutOff)),
        "{alarms:?}"
    );
}

/// Push-pull on a line transformer: the tap of four times the watts is the centre, and where
/// there is none the winding cannot be used. Turns go with the root of the impedance.
#[test]
fn a_line_transformer_needs_a_centre_for_push_pull() {
    let report =
        report("marking=line&power=1,2.5,5,10&taps=4,8,16&tube=EL84&supply=250&hookup=8&target=4k");
    for connection in &report.solved.connections {
        // 2.5 W has 10 W in its middle.
        let usable = connection.connection.choice.lead == 1;
        assert_eq!(connection.because() == Some(Because::NoCentreTap), !usable);
        assert!(usable || connection.verdict() == Verdict::Avoid);
    }
    let answer = &report.answers[0];
    assert_eq!(
        report.solved.connections[answer.connection]
            .connection
            .choice
            .lead,
        1
    );
    assert!(
        answer
            .cautions
            .contains(&Caution::Iron(iron::Caution::CentreTapIs(3)))
    );
    let leads = answer.cautions.iter().find_map(|caution| match caution {
        Caution::Iron(iron::Caution::UnusedPrimaryLeads(leads)) => Some(leads),
        _ => None,
    });
    // B+ goes to the 10 W tap. Counted from that middle, the end of the 1 W tap is √2.5 − ½ of
    // the winding in use away and a plate ½.
    let [(first, swing), (second, less)] = leads.unwrap()[..] else {
        panic!("{leads:?}");
    };
    assert_eq!((first, second), (0, 2));
    assert!((swing - (2.5_f64.sqrt() - 0.5) / 0.5).abs() < 1e-9);
    assert!((less - (0.5_f64.sqrt() - 0.5) / 0.5).abs() < 1e-9);
}

/// Sides that draw unlike currents magnetise the core, and that is said.
#[test]
fn unlike_sides_are_told() {
    let told = |unlike: u32| {
        let report = report(&format!(
            "primary=8k&taps=8&hookup=8&tube=6V6GT&supply=285&unlike_current={unlike}"
        ));
        report
            .solved
            .health
            .notes
            .iter()
            .find_map(|ailment| match ailment {
                Ailment::UnlikeSides(amps) => Some(amps.0),
                _ => None,
            })
    };
    assert_eq!(told(2), None);
    // 30 % of the 35 mA that each tube idles at.
    let differ = told(30).unwrap();
    assert!((differ / 10.5e-3 - 1.0).abs() < 0.05, "{differ}");
}
