//! Resistors at the screens without a capacitor, from what is typed to what they do.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use tapwright_core::assumed::Why;
use tapwright_core::link;
use tapwright_core::output::{ChosenOutput, SolvedStage};
use tapwright_core::report::{Report, solve};
use tapwright_core::setup::{Field, StageText};
use tapwright_stage::stress::Burden;
use tapwright_stage::{ScreenFeed, Stoppers};

fn report(stage: &str) -> Report {
    let link = format!("primary=8k&taps=8&hookup=8&stage=push-pull&{stage}");
    solve(&link::parse(&link).setup)
}

fn solved(stage: &str) -> (SolvedStage, ChosenOutput) {
    let report = report(stage);
    (
        report.solved.stage.unwrap().unwrap(),
        report.solved.followed.unwrap().output.unwrap().unwrap(),
    )
}

/// Words after the ohms tell that no capacitor follows; the same ohms without them have one.
#[test]
fn a_missing_capacitor_is_said_after_the_ohms() {
    for typed in [
        "470%20no%20cap",
        "470%20Ω,%20no%20capacitor",
        "0.47k%20No%20Cap",
        "470%20%20no%20%09cap",
        "470nocap",
        "470,no-cap",
    ] {
        let (stage, _) = solved(&format!("tube=EL84&supply=300&screen_ohms={typed}"));
        let bare = Stoppers {
            each: 0.0,
            common: 470.0,
        };
        assert_eq!(stage.stage.stoppers, bare, "{typed}");
        assert_eq!(stage.stage.screen, ScreenFeed::Dropper(0.0), "{typed}");
    }
    let (stage, _) = solved("tube=EL84&supply=300&screen_ohms=470");
    assert_eq!(stage.stage.stoppers, Stoppers::default());
    assert_eq!(stage.stage.screen, ScreenFeed::Dropper(470.0));
    for typed in [
        "no%20cap",
        ",%20no%20cap",
        "470%20maybe",
        "no",
        "cap",
        "470%20cap",
        "-5%20no%20cap",
    ] {
        let report = report(&format!("tube=EL84&supply=300&screen_ohms={typed}"));
        let field = Field::Stage(StageText::ScreenOhms);
        let problem = report
            .problems
            .iter()
            .find(|problem| problem.field == field);
        let complaint = &problem.unwrap().complaint;
        assert_eq!(complaint.example, "470, or 470 no cap", "{complaint:?}");
    }
}

/// A published resistor is taken as its row has it: common, and nothing behind it.
#[test]
fn a_published_resistor_has_no_capacitor() {
    let (stage, _) = solved("tube=EL34&supply=375");
    assert_eq!(stage.stage.stoppers.common, 470.0);
    assert_eq!(stage.assumed.screen_resistor.1, Why::Published);
    let (stage, _) = solved("tube=EL34&supply=375&tubes=4");
    assert_eq!(stage.stage.stoppers.common, 235.0);
}

/// The screen stands lower by what its own current and that of all drop.
#[test]
fn the_screen_at_idle_is_behind_both_resistors() {
    let (stage, _) =
        solved("tube=6V6GT&supply=320&tubes=4&screen_ohms=1k%20no%20cap&stopper=2.2k&cathode=120");
    let idle = stage.idle;
    let by_hand = idle.screen_node_volts
        - 1_000.0 * idle.all_screen_amps
        - 2_200.0 * idle.screen_amps
        - idle.cathode_volts;
    assert!((idle.screen_volts - by_hand).abs() < 1e-3, "{by_hand}");
}

/// What the page advises against hot screens does help, and costs power.
#[test]
fn a_larger_resistor_at_each_screen_holds_it_back() {
    for screens in ["steady", "taps", "plates"] {
        let all = [0.0, 470.0, 1_000.0, 2_200.0, 4_700.0].map(|ohms| {
            let stage = format!("tube=6V6GT&supply=300&grid=-19&screens={screens}&stopper={ohms}");
            let (_, output) = solved(&stage);
            (
                output.stresses.last().unwrap().screen_watts,
                output.onset.watts,
            )
        });
        for pair in all.windows(2) {
            assert!(pair[1].0 < pair[0].0, "{screens}: {all:?}");
            assert!(pair[1].1 < pair[0].1, "{screens}: {all:?}");
        }
    }
}

/// The most that a screen dissipates, W, up to full overdrive.
fn hottest(output: &ChosenOutput) -> f64 {
    let all = output.stresses.iter().map(|stress| stress.screen_watts);
    all.fold(0.0, f64::max)
}

/// The resistor that a hot screen wants is the least of the series that keeps the limit, and
/// typing it gives what was said of it.
#[test]
fn a_hot_screen_gets_the_resistor_that_it_wants() {
    // E12 of IEC 60063, from memory.
    let e12 = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];
    let mut wanting = 0;
    for stage in [
        "tube=6V6GT&supply=300&grid=-19",
        "tube=6V6GT&supply=300&grid=-19&tubes=4",
        "tube=EL84&supply=310&cathode=130&stopper=220",
        "tube=6V6GT&supply=270&stage=single-ended&cathode=250&primary=5k",
        "tube=6L6GC&supply=420&grid=-38&primary=4k",
        // Hottest when overdriven twice, not four times.
        "tube=EL86&stage=single-ended&primary=20k&screens=taps&supply=200&grid=-17",
    ] {
        let (before, output) = solved(stage);
        let Some(wanted) = output.stopper_wanted(&before.stage) else {
            assert!(output.passed[1].is_none(), "{stage}");
            continue;
        };
        wanting += 1;
        let limit = before.tube.bounds.at(Burden::ScreenWatts, 1.0).unwrap();
        let overdriven = |ohms: f64| {
            let stage = stage.replace("&stopper=220", "");
            let (_, output) = solved(&format!("{stage}&stopper={ohms}"));
            (hottest(&output), output.at_full.watts, output)
        };
        let (screen, watts, with) = overdriven(wanted.ohms);
        assert!(screen <= limit, "{stage}: {wanted:?}");
        assert!(
            (screen / wanted.screen_watts - 1.0).abs() < 1e-3,
            "{stage}: {screen} {wanted:?}"
        );
        assert!(
            (watts / wanted.watts - 1.0).abs() < 1e-3,
            "{stage}: {watts} {wanted:?}"
        );
        assert!(with.passed[1].is_none(), "{stage}");
        let decade = 10_f64.powf(wanted.ohms.log10().floor());
        let place = e12
            .iter()
            .position(|e| (e * decade / wanted.ohms - 1.0).abs() < 1e-6);
        let smaller = match place.unwrap() {
            0 => 0.82 * decade,
            n => e12[n - 1] * decade,
        };
        assert!(overdriven(smaller).0 > limit, "{stage}: {wanted:?}");
    }
    assert!(wanting >= 3, "{wanting}");
}

/// Where nothing else is between supply and tubes, what the resistors at the screens take is
/// all that the energy balance of the cycle has left for resistors.
#[test]
fn the_heat_of_a_resistor_is_in_the_balance() {
    for tubes in [2, 4] {
        let (_, output) = solved(&format!(
            "tube=6V6GT&supply=285&grid=-19&stopper=1k&drive=400&tubes={tubes}"
        ));
        let cycle = &output.cycle;
        assert!(
            cycle.energy_error().abs() < 1e-3,
            "{}",
            cycle.energy_error()
        );
        let all = f64::from(tubes) * output.stopper_watts()[0];
        assert!(all > 0.1, "{all}");
        assert!((cycle.resistor_watts / all - 1.0).abs() < 0.01, "{all}");
    }
    let (_, output) = solved("tube=6V6GT&supply=285&grid=-19");
    assert_eq!(output.stopper_watts(), [0.0; 2]);
    // The common one, beside one at each.
    let (_, output) =
        solved("tube=6V6GT&supply=285&grid=-19&stopper=1k&screen_ohms=2k%20no%20cap&drive=400");
    let [each, common] = output.stopper_watts();
    let all = 2.0 * each + common;
    assert!(common > 0.1, "{common}");
    assert!(
        (output.cycle.resistor_watts / all - 1.0).abs() < 0.01,
        "{all}"
    );
}

/// Reactance can heat a resistor several times as much; what is said counts it, and no
/// resistor is promised to hold a screen that was not solved with it.
#[test]
fn reactance_counts_for_the_heat_of_a_resistor() {
    let stage = "tube=6V6GT&supply=285&grid=-19&stopper=1k";
    let (_, plain) = solved(stage);
    let (of, reactive) = solved(&format!("{stage}&frequency=80"));
    assert!(reactive.stopper_watts()[0] > 2.0 * plain.stopper_watts()[0]);
    assert!(plain.stopper_wanted(&of.stage).is_some());
    assert!(reactive.stopper_wanted(&of.stage).is_none());
}

/// A resistor that is typed hangs on B+. Where none is typed, the screens are taken to hang there
/// too where B+ is little above their limit, as most amplifiers are wired; the limit is offered.
#[test]
fn a_typed_resistor_hangs_on_the_supply() {
    for typed in ["1.5k", "1.5k%20no%20cap"] {
        let (stage, _) = solved(&format!(
            "tube=EL84&supply=310&cathode=130&screen_ohms={typed}"
        ));
        let idle = stage.idle;
        let by_hand = idle.supply_volts - 1_500.0 * idle.all_screen_amps - idle.cathode_volts;
        assert!((idle.screen_volts - by_hand).abs() < 1e-3, "{by_hand}");
    }
    let (as_published, _) = solved("tube=EL84&supply=310&cathode=130&screen_ohms=0");
    assert_eq!(as_published.assumed.screen, Some((310.0, Why::FromSupply)));
    let (stage, _) = solved("tube=EL84&supply=325&cathode=200&screen_ohms=0");
    assert_eq!(stage.assumed.screen, Some((325.0, Why::MoreCareful)));
    assert_eq!(stage.assumed.other_screen, Some(300.0));
    let (far_above, _) = solved("tube=EL84&supply=400&cathode=300");
    assert_eq!(far_above.assumed.screen, Some((300.0, Why::ScreenLimit)));
}

/// Transconductance and plate resistance at idle by small differences, the screen behind its
/// resistor, of the hotter tube of an unlike pair.
#[test]
fn the_small_signal_is_that_behind_the_resistor() {
    for stage in [
        "tube=6V6GT&supply=285&grid=-19&stopper=1k",
        "tube=6V6GT&supply=285&grid=-19&stopper=1k&unlike_current=100",
        "tube=6V6GT&supply=285&grid=-19&stopper=2.2k&tubes=4&unlike_current=-50",
        "tube=EL84&supply=300&cathode=260&stopper=4.7k&stage=single-ended",
    ] {
        let (report, _) = solved(stage);
        let idle = report.idle;
        let own = 1.0 + 0.5 * report.stage.imbalance.current.abs();
        let ohms = report.stage.stoppers.each;
        let node = idle.screen_node_volts - idle.cathode_volts;
        let plate_amps = |plate: f64, grid: f64| {
            let (mut low, mut high) = (0.0, node);
            for _ in 0..100 {
                let screen = 0.5 * (low + high);
                let amps = own * report.stage.model.flow(plate, screen, grid).screen.amps;
                if screen + ohms * amps > node {
                    high = screen;
                } else {
                    low = screen;
                }
            }
            own * report.stage.model.flow(plate, low, grid).plate.amps
        };
        let (plate, grid) = (idle.plate_volts, idle.grid_volts);
        assert!(
            (plate_amps(plate, grid) / idle.plate_amps - 1.0).abs() < 1e-6,
            "{stage}"
        );
        let gm = (plate_amps(plate, grid + 0.01) - plate_amps(plate, grid - 0.01)) / 0.02;
        let gp = (plate_amps(plate + 0.5, grid) - plate_amps(plate - 0.5, grid)) / 1.0;
        assert!(
            (idle.transconductance / gm - 1.0).abs() < 1e-4,
            "{stage}: {gm}"
        );
        assert!(
            (idle.plate_resistance * gp - 1.0).abs() < 1e-4,
            "{stage}: {gp}"
        );
        // The curves that are drawn are those of the average tube.
        let drawn = report.stage.flow(&idle, plate, grid).plate.amps;
        if own == 1.0 {
            assert!(
                (drawn / idle.plate_amps - 1.0).abs() < 1e-6,
                "{stage}: {drawn}"
            );
        }
    }
}
