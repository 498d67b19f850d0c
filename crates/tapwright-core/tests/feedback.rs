//! What the feedback does, from a set-up to its report.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

use tapwright_core::feedback::{self, Case, Found, LoopReport};
use tapwright_core::{link, solve};

/// A record player's single-ended EL84 behind half a 12AX7; invented values.
const PLAYER: &str = "stage=single-ended&primary=blue%205.2k,%20white%207k&taps=yellow%204,%20green%208,%20grey%2016\
    &inductance=12&leakage=25m&capacitance=400p&tube=EL84&supply=250&cathode=140&driver=ECC83\
    &driver_supply=220&hookup=8@15&hookup=4@6";

fn asked(link: &str) -> LoopReport {
    asked_with(&format!("{PLAYER}&{link}"))
}

fn asked_with(link: &str) -> LoopReport {
    let report = solve(&link::parse(link).setup);
    assert!(report.problems.is_empty(), "{link}: {:?}", report.problems);
    feedback::ask(&report.solved)
        .expect("everything is known")
        .unwrap_or_else(|why| panic!("{link}: {why}"))
}

#[test]
fn a_control_goes_from_its_fixed_part_to_both_together() {
    let report =
        asked("feedback_from=selected&feedback_fixed=15k&feedback_control=50k&feedback_at=24");
    let [most, least] = report.ends.unwrap();
    let now = report.now.unwrap();
    assert!((most.ohms - 15e3).abs() < 1e-6 && (least.ohms - 65e3).abs() < 1e-6);
    assert!((now.ohms - 27e3).abs() < 1.0);
    let decibels = |setting: feedback::Setting| setting.headline.decibels.unwrap();
    assert!(decibels(most) > decibels(now) && decibels(now) > decibels(least));
    // An output transformer of 5.2 kΩ to 8 Ω behind 26 dB of a 12AX7: about ten decibels. Own
    // estimate, from r_p, µ and g_m of the two tubes.
    assert!((7.0..14.0).contains(&decibels(now)), "{}", decibels(now));
    let [without, with] = report.input_for_full.unwrap();
    assert!((20.0 * (with / without).log10() - decibels(now)).abs() < 0.3);
    // The tap in use makes more of it on 16 Ω than on 4 Ω; a fixed one does not.
    let of = |tap: usize| report.by_tap.iter().find(|at| at.tap == tap).unwrap();
    assert!(of(2).selected > of(1).selected && of(1).selected > of(0).selected);
    assert_eq!(report.along.len(), 3);
    assert_eq!(report.responses.len(), 3);
    // Less feedback, more of a hump at the speaker's resonance.
    let hump = |at: usize| {
        let points = &report.responses[at].points;
        points.iter().map(|point| point.1).fold(f64::MIN, f64::max) - points[27].1
    };
    assert!(hump(2) > hump(0), "{} and {}", hump(2), hump(0));
    assert!(
        report
            .stability
            .iter()
            .any(|judged| judged.case == Case::NoSpeaker)
    );
    assert!(report.cleaned.iter().all(|at| at.closed < at.open));
}

#[test]
fn decibels_wanted_give_a_resistor_that_gives_them() {
    let report = asked("feedback_from=8&feedback_fixed=27k&feedback_wanted=8");
    let Some(Found::Resistor { ohms, e24, .. }) = report.found else {
        panic!("{:?}", report.found)
    };
    assert!((e24.0 / ohms).ln().abs() < 0.06);
    let with = asked(&format!("feedback_from=8&feedback_fixed={ohms}"));
    assert!((with.now.unwrap().headline.decibels.unwrap() - 8.0).abs() < 0.01);
    let range = asked("feedback_from=8&feedback_fixed=27k&feedback_wanted=4%20to%2014");
    let Some(Found::Control { fixed, control, .. }) = range.found else {
        panic!("{:?}", range.found)
    };
    assert!((fixed.1 - 14.0).abs() < 0.6, "{fixed:?}");
    assert!(control.1 <= 4.1, "{control:?}");
    let never = asked("feedback_from=8&feedback_fixed=27k&feedback_wanted=50");
    assert!(matches!(never.found, Some(Found::OutOfReach { .. })));
}

#[test]
fn without_a_take_off_there_is_gain_and_nothing_to_oscillate() {
    let report = asked("");
    assert!(report.now.is_none() && report.stability.is_empty());
    assert!(report.without.gain > 10.0 && report.without.source_ohms > 20.0);
}

#[test]
fn the_wrong_way_round_is_not_stable_and_draws_no_response() {
    let report = asked("feedback_from=selected&feedback_fixed=15k&feedback_polarity=wrong");
    assert!(report.now.unwrap().headline.decibels.unwrap() < 0.0 || !report.stability[0].stable);
    assert!(!report.stability[0].stable);
    assert!(
        report
            .responses
            .iter()
            .any(|response| response.oscillates && response.points.is_empty())
    );
}

/// A wholly bypassed cathode shorts the feedback: that is refused, with the reason.
#[test]
fn a_bypassed_cathode_takes_no_feedback() {
    let link = format!("{PLAYER}&driver_bypass=22u&feedback_from=selected&feedback_fixed=27k");
    let why = feedback::ask(&solve(&link::parse(&link).setup).solved)
        .unwrap()
        .unwrap_err();
    assert!(why.contains("bypassed"), "{why}");
    asked("driver_bypass=22u&driver_lower=100&feedback_from=selected&feedback_fixed=2.7k");
}

/// Where leakage and capacitance are not known, margins are ranges over what was assumed.
#[test]
fn no_margin_is_one_number_while_the_high_end_is_unknown() {
    let link = PLAYER.replace("&leakage=25m&capacitance=400p", "");
    let link = format!("{link}&feedback_from=selected&feedback_fixed=27k");
    let report = feedback::ask(&solve(&link::parse(&link).setup).solved)
        .unwrap()
        .unwrap();
    let (least, most) = report.stability[0].gain.unwrap();
    assert!(most > least + 1.0, "{least} to {most}");
    let known = asked("feedback_from=selected&feedback_fixed=27k").stability[0]
        .gain
        .unwrap();
    assert_eq!(known.0, known.1);
}

/// Hard cases end with a result or with a reason, and no number is no number.
#[test]
fn hard_cases_end() {
    for link in [
        "feedback_from=selected&feedback_fixed=0",
        "feedback_from=selected&feedback_fixed=100M",
        "driver_plate=10M",
        "driver_plate=1",
        "driver_cathode=1M",
        "driver_stages=2&feedback_from=selected&feedback_fixed=27k",
        "driver_stages=0&feedback_from=selected&feedback_fixed=27k",
        "feedback_from=selected&feedback_fixed=10k&feedback_control=100k&feedback_taper=reverse",
        "volume=1M&volume_at=1&feedback_from=8&feedback_fixed=27k",
        "stage=push-pull&driver_stages=1&feedback_from=selected&feedback_fixed=27k",
        "stage=push-pull&splitter=split-load&feedback_from=selected&feedback_fixed=27k",
        "stage=push-pull&selected=1,1-3,1&feedback_from=selected&feedback_fixed=27k",
    ] {
        let text = format!("{PLAYER}&{link}");
        match feedback::ask(&solve(&link::parse(&text).setup).solved).expect("asked") {
            Err(why) => assert!(!why.is_empty(), "{link}"),
            Ok(report) => {
                assert!(report.without.gain.is_finite(), "{link}");
                for (_, level) in report
                    .responses
                    .iter()
                    .flat_map(|response| &response.points)
                {
                    assert!(level.is_finite(), "{link}");
                }
            }
        }
    }
}

/// The formulas of the textbook come within a few per cent of the whole circuit, and give what
/// they say.
#[test]
fn the_reduced_formulas_come_near() {
    let report = asked("feedback_from=selected&feedback_fixed=27k");
    assert_eq!(report.reduced.len(), 5);
    let compared = report
        .reduced
        .iter()
        .filter_map(|reduced| Some((reduced, reduced.full?)));
    let mut count = 0;
    for (reduced, full) in compared {
        let off = match reduced.working.symbol {
            "F" => (reduced.working.result - full).abs() / 10.0,
            _ => (reduced.working.result / full - 1.0).abs(),
        };
        assert!(
            off < 0.1,
            "{}: {} and {full}",
            reduced.working.quantity,
            reduced.working.result,
        );
        count += 1;
    }
    // All but the damping factor, which is a definition.
    assert_eq!(count, 4);
}

/// A driver typed from the datasheet of a 12AX7 (from memory of the RCA Receiving Tube Manual)
/// does what the 12AX7 of the table does.
#[test]
fn a_driver_of_ones_own_does_what_its_datasheet_says() {
    let wired = "feedback_from=selected&feedback_fixed=27k";
    let table = asked(wired);
    let player = PLAYER.replace("driver=ECC83", "driver=own");
    let own = asked_with(&format!(
        "{player}&{wired}&own_driver_plate=250&own_driver_grid=-2&own_driver_ma=1.2\
         &own_driver_mu=100&own_driver_rp=62.5k"
    ));
    let decibels = |report: &LoopReport| report.now.unwrap().headline.decibels.unwrap();
    let off = decibels(&own) - decibels(&table);
    assert!(off.abs() < 0.7 && off != 0.0, "{off}");
    let missing = solve(&link::parse(&format!("{player}&own_driver_mu=100")).setup);
    let complaint = &missing.problems[0].complaint.why;
    assert!(complaint.contains("plate volts"), "{complaint}");
}

/// Presence takes feedback away from the treble, and nothing from 1 kHz down where its
/// capacitor is small.
#[test]
fn presence_lifts_the_treble() {
    let wired = "feedback_from=selected&feedback_fixed=15k";
    let level = |report: &LoopReport, hertz: f64| {
        let with = |response: &&feedback::Response| response.ohms.is_some();
        let points = &report.responses.iter().find(with).unwrap().points;
        let at = |frequency: f64| {
            let near = |point: &&(f64, f64)| (point.0 / frequency).ln().abs();
            let nearest = points.iter().min_by(|a, b| near(a).total_cmp(&near(b)));
            nearest.unwrap().1
        };
        at(hertz) - at(200.0)
    };
    let plain = asked(wired);
    let lifted = asked(&format!("{wired}&presence=470n"));
    let barely = asked(&format!("{wired}&presence=100p&presence_ohms=5k"));
    assert!(level(&lifted, 5e3) > level(&plain, 5e3) + 2.0);
    assert!((level(&barely, 5e3) - level(&plain, 5e3)).abs() < 0.1);
}

/// A volume control between two stages inside the loop: turned up, there is more feedback, and
/// the loop is judged there too.
#[test]
fn a_volume_control_inside_the_loop_is_judged_at_full() {
    let wired =
        "feedback_from=selected&feedback_fixed=470k&feedback_polarity=right&driver_stages=2";
    let turned = asked(&format!("{wired}&volume=1M&volume_at=20"));
    let decibels = turned.now.unwrap().headline.decibels.unwrap();
    let full = turned.at_full_volume.unwrap().decibels.unwrap();
    assert!(full > decibels + 3.0, "{full} and {decibels}");
    assert!(
        turned
            .stability
            .iter()
            .any(|judged| judged.case == Case::FullVolume)
    );
    let up = asked(&format!("{wired}&volume=1M"));
    assert!((up.now.unwrap().headline.decibels.unwrap() - full).abs() < 1e-9);
    assert!(up.at_full_volume.is_none());
    // Before the first stage it stands outside the loop.
    let before = asked("feedback_from=selected&feedback_fixed=27k&volume=1M&volume_at=20");
    assert!(before.at_full_volume.is_none());
}

/// The textbook's estimate and the wave agree at low output where the driver adds little, and
/// both fall with feedback.
#[test]
fn the_estimate_is_near_the_wave() {
    let wave = |link: &str| {
        let report = solve(&link::parse(&format!("{PLAYER}&{link}")).setup);
        let looped = feedback::ask(&report.solved).unwrap().unwrap();
        let watts: Vec<f64> = looped.cleaned.iter().map(|at| at.watts).collect();
        let waves = feedback::through_time(&report.solved, &watts)
            .unwrap()
            .unwrap();
        let found = waves.iter().map(|wave| wave.distortion.unwrap());
        (looped.cleaned.clone(), found.collect::<Vec<f64>>())
    };
    let (open, alone) = wave("");
    let (closed, with) = wave("feedback_from=selected&feedback_fixed=27k");
    for at in 0..2 {
        let ratio = alone[at] / open[at].open;
        assert!((0.5..2.0).contains(&ratio), "{ratio}");
        let ratio = with[at] / closed[at].closed;
        assert!((0.5..2.0).contains(&ratio), "{ratio}");
        assert!(with[at] < 0.5 * alone[at]);
    }
}
