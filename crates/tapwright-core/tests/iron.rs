//! From what is typed about the iron to what the report says of it.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use tapwright_core::caution::{Caution, iron};
use tapwright_core::health::Ailment;
use tapwright_core::iron::{Passage, SourceFrom};
use tapwright_core::output::ChosenOutput;
use tapwright_core::report::Report;
use tapwright_core::setup::Selection;
use tapwright_core::{link, solve};
use tapwright_iron::iron::Imperfection;
use tapwright_iron::transformer::Choice;
use tapwright_units::{Amps, Watts};

const IRON: &str = "v=1&stage=single-ended&primary=5k&taps=4,%208&hookup=8";

fn report(rest: &str) -> Report {
    let report = solve(&link::parse(&format!("{IRON}&{rest}")).setup);
    assert!(report.problems.is_empty(), "{rest}: {:?}", report.problems);
    report
}

/// The passage of the 5 kΩ lead and the 8 Ω tap: n² = 625.
fn passage(report: &Report) -> Passage {
    report.solved.iron.passages[1]
}

fn output(report: &Report) -> &ChosenOutput {
    let followed = report.solved.followed.as_ref().expect("one is chosen");
    let output = followed.output.as_ref().expect("a tube is known");
    output.as_ref().expect("it was solved")
}

/// n² = 625, R_p = 350, R_s = 0.5, 8 Ω: 5662.5 Ω, 88.30 %, −0.540 dB. Exact arithmetic.
#[test]
fn copper_of_a_small_output_transformer() {
    let report = report("winding=350&tap_winding=0.5");
    let passage = passage(&report);
    assert!((passage.input.0 - 5_662.5).abs() < 1e-6);
    assert!((passage.efficiency - 0.8830).abs() < 5e-5);
    assert!((passage.insertion_loss.0 - 0.540).abs() < 5e-4);
    // The ratio stays that of the turns.
    assert!((report.solved.connections[1].connection.load.reflected.0 - 5_000.0).abs() < 1e-6);
    let missing = &report.solved.iron.not_counted;
    assert!(
        !missing.contains(&Imperfection::PrimaryCopper)
            && !missing.contains(&Imperfection::SecondaryCopper)
    );
    assert_eq!(missing.len(), 5);
}

/// r_p = 40 k, load 5 k, L = 12 H: −3 dB at 58.95 Hz. Exact arithmetic.
#[test]
fn the_bass_ends_where_the_inductance_meets_both_resistances() {
    let report = report("inductance=12%20H&plate_ohms=40k");
    assert_eq!(report.solved.iron.source, SourceFrom::Typed);
    let band = passage(&report).band.expect("a band");
    assert!((band.low.expect("an edge") - 58.95).abs() < 0.005);
    assert_eq!(band.high, None);
    let solved = &report.chosen.expect("one is chosen").solutions[0];
    let low = solved.solution.iter().find(|value| value.symbol == "f_l");
    assert!((low.expect("solved").value - 58.95).abs() < 0.005);
    assert!(solved.residual < 1e-9);
}

#[test]
fn nothing_typed_is_ideal_and_says_so() {
    let report = report("tube=EL84&supply=250");
    assert_eq!(report.solved.iron.not_counted.len(), 7);
    assert!(report.solved.iron.passages.is_empty() && report.solved.iron.response.is_empty());
    let best = report.solved.connections[1].output.expect("solved");
    assert_eq!(best.watts, best.into_load);
    assert_eq!(
        best.load.0,
        report.solved.connections[1].connection.load.reflected.0
    );
}

/// The stage works into what lies behind the primary's copper, and the speakers get their
/// share of it; a stage on a winding of its own resistance is solved for each lead.
#[test]
fn the_stage_counts_every_loss_once() {
    let stage = "tube=EL84&supply=250&cathode=180";
    let bare = report(&format!("{stage}&winding=350"));
    let lossy = report(&format!(
        "{stage}&winding=350&tap_winding=0.5&core_ohms=60k"
    ));
    let passage = passage(&lossy);
    let found = lossy.solved.connections[1].output.expect("solved");
    // 625 · 8.5 ∥ 60 k.
    let behind = 1.0 / (1.0 / 5_312.5 + 1.0 / 60e3);
    assert!((found.load.0 - behind).abs() < 1e-6);
    let share = behind / 5_312.5 * 8.0 / 8.5;
    assert!((found.watts.0 / found.into_load.0 - share).abs() < 1e-9);
    assert!((passage.efficiency - behind / (behind + 350.0) * share).abs() < 1e-9);
    // A load typed at that value gets the same power as the loss makes of it.
    let other = format!(
        "v=1&stage=single-ended&primary=5k&taps=8&hookup={}",
        behind / 625.0
    );
    let other = solve(&link::parse(&format!("{other}&{stage}&winding=350")).setup);
    let other = other.solved.connections[0].output.expect("solved");
    assert!((other.watts.0 / found.into_load.0 - 1.0).abs() < 1e-3);
    // Speakers get less than without the secondary's copper.
    assert!(found.watts.0 < bare.solved.connections[1].output.expect("solved").watts.0);
    let chosen = output(&lossy);
    assert!((chosen.at_full.watts - chosen.onset.watts * share).abs() < 1e-9);
    let rms = |points: &[f64]| points.iter().map(|v| v * v).sum::<f64>() / points.len() as f64;
    let wave: Vec<f64> = chosen.wave[1..chosen.wave.len() - 1]
        .iter()
        .map(|point| point.volts)
        .collect();
    // V²/Z of the wave that is drawn is the power that is stated.
    assert!((rms(&wave) / 8.0 / chosen.delivered.watts - 1.0).abs() < 0.01);
}

#[test]
fn each_lead_has_its_own_copper() {
    let link = "v=1&stage=single-ended&primary=4k,%208k&taps=8&hookup=8&tube=EL84&supply=250";
    let solve = |rest: &str| solve(&link::parse(&format!("{link}&{rest}")).setup);
    let each = solve("winding=200,%20900");
    let follows = |report: &Report| report.solved.stage().unwrap().stage.primary_ohms;
    for (lead, ohms) in [(0, 200.0), (1, 900.0)] {
        let mut setup = link::parse(&format!("{link}&winding=200,%20900")).setup;
        setup.selected = Some(Selection::Connection(Choice {
            lead,
            secondary: tapwright_iron::transformer::Secondary::Tap(0),
            hookup: 0,
        }));
        let chosen = tapwright_core::solve(&setup);
        assert_eq!(follows(&chosen), ohms);
        // As if the whole transformer had that winding.
        let alone = solve(&format!("winding={ohms},%20{ohms}"));
        let (a, b) = (
            chosen.solved.connections[lead].output,
            alone.solved.connections[lead].output,
        );
        let (a, b) = (a.expect("solved").watts.0, b.expect("solved").watts.0);
        assert!((a / b - 1.0).abs() < 1e-3, "{a} and {b} W");
    }
    assert_eq!(each.solved.connections.len(), 2);
}

/// The speakers' reactance through the whole network: at 400 Hz with hardly any loss it is
/// what the ideal transformer gives.
#[test]
fn reactance_goes_through_the_network() {
    let stage = "tube=EL84&supply=250&frequency=400";
    let ideal = report(stage);
    let lossy = report(&format!("{stage}&tap_winding=0.001&inductance=10000%20H"));
    let (a, b) = (
        output(&ideal).delivered.watts,
        output(&lossy).delivered.watts,
    );
    assert!((a / b - 1.0).abs() < 2e-3, "{a} and {b} W");
    let poor = report(&format!("{stage}&tap_winding=2&inductance=0.5%20H"));
    assert!(output(&poor).delivered.watts < 0.8 * a);
}

/// The current that the health of the stage names; `None` where it names none.
fn direct_current(report: &Report) -> Option<Option<Amps>> {
    report
        .solved
        .health
        .alarms
        .iter()
        .find_map(|ailment| match ailment {
            Ailment::DirectCurrent(direct) => Some(direct.amps),
            _ => None,
        })
}

#[test]
fn direct_current_in_a_core_without_a_gap() {
    let tube = "tube=EL84&supply=250";
    assert_eq!(direct_current(&report(tube)), None, "nobody said");
    assert_eq!(
        direct_current(&report(&format!("{tube}&core=gapped"))),
        None
    );
    let Some(Some(Amps(idle))) = direct_current(&report(&format!("{tube}&core=ungapped"))) else {
        panic!("no alarm")
    };
    assert!((0.04..0.06).contains(&idle), "{idle}");
    let typed = report("core=ungapped&direct_ma=30");
    assert_eq!(direct_current(&typed), Some(Some(Amps(0.03))));
    assert!(direct_current(&report("core=ungapped&direct_ma=0")).is_none());
    let pair = |rest: &str| {
        let link = "v=1&primary=8k&taps=8&hookup=8&tube=6AQ5&supply=250&core=ungapped";
        solve(&link::parse(&format!("{link}&{rest}")).setup)
    };
    assert_eq!(direct_current(&pair("")), None, "alike: it cancels");
    assert!(direct_current(&pair("unlike_current=30")).is_some());
    assert!(direct_current(&pair("direct_ma=3")).is_some());
    // A line transformer with a gap is no worse than another.
    let line = "v=1&stage=single-ended&marking=line&power=5&taps=8&hookup=8";
    let line = |rest: &str| solve(&link::parse(&format!("{line}{rest}")).setup);
    assert!(direct_current(&line("")).is_some());
    assert!(direct_current(&line("&core=gapped")).is_none());
}

/// 10 W at 50 Hz on 5 kΩ; the 4 Ω tap reflects 10 kΩ, where the same volts are half the power.
/// `V = 4.44 f N A B`, exact arithmetic.
#[test]
fn the_largest_power_goes_with_the_frequency_squared() {
    let report = report("rated_watts=10&rated_hertz=50");
    let hertz = |at: usize| report.solved.iron.passages[at].lowest_hertz.expect("rated");
    assert!((hertz(1) - 50.0).abs() < 1e-9);
    assert!((hertz(0) - 50.0 * 2_f64.sqrt()).abs() < 1e-9);
    for point in &report.solved.iron.response {
        let most = point.largest_power.expect("rated");
        assert!((most / (10.0 * (point.hertz / 50.0).powi(2)) - 1.0).abs() < 1e-9);
    }
    let small = self::report("rated_watts=2&rated_hertz=100&tube=EL84&supply=250");
    let caution = small.answers[0]
        .cautions
        .iter()
        .find(|caution| matches!(caution, Caution::Iron(iron::Caution::Saturates(..))));
    let Some(Caution::Iron(iron::Caution::Saturates(Watts(watts), hertz))) = caution else {
        panic!("no caution")
    };
    assert!((hertz / (100.0 * (watts / 2.0).sqrt()) - 1.0).abs() < 1e-9);
}

#[test]
fn without_a_tube_the_source_is_matched() {
    let report = report("inductance=12");
    assert_eq!(report.solved.iron.source, SourceFrom::Rated);
    // 2.5 kΩ over 2π · 12 H. Exact arithmetic.
    let low = passage(&report).band.expect("a band").low.expect("an edge");
    let exact = 2_500.0 / (std::f64::consts::TAU * 12.0);
    assert!((low / exact - 1.0).abs() < 1e-9);
    let tube = self::report("inductance=12&tube=EL84&supply=250");
    assert_eq!(tube.solved.iron.source, SourceFrom::Tubes);
    let ohms = passage(&tube).source.0;
    assert!((20e3..80e3).contains(&ohms), "{ohms}");
}
