//! Whole set-ups with a stage: what is taken where nothing is typed is safe, and whatever is
//! typed ends in a result or a reason.
#![allow(
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

mod common;

use proptest::prelude::*;
use tapwright_core::assumed::Why;
use tapwright_core::setup::Topology;
use tapwright_core::target::Target;
use tapwright_core::{link, published, solve};
use tapwright_stage::stress::Burden;
use tapwright_tube::{FullSignal, tubes};

use common::report;

/// With nothing typed but a tube, or a tube and any B+ it may have, no tube idles beyond a
/// limit, in either kind of stage and with any connection of the screens; only a B+ that is
/// typed may be more than screens on the primary, or wired to it, can stand. Fixed bias that is taken leaves
/// the plate the customary share, so that a tube of the same type that idles hotter is safe.
#[test]
fn nothing_that_is_taken_endangers_a_tube() {
    for tube in published::types() {
        let limit = &tubes()
            .iter()
            .find(|t| t.designation == tube)
            .unwrap()
            .limits[0];
        for stage in ["push-pull", "single-ended"] {
            for screens in ["steady", "taps", "plates"] {
                for tubes in [2, 4] {
                    for part in [0.0, 0.3, 0.45, 0.6, 0.75, 0.9, 1.0] {
                        let supply = match part {
                            0.0 => String::new(),
                            _ => format!("{:.0}", (limit.plate_volts * part).max(60.0)),
                        };
                        let typed = !supply.is_empty();
                        let of = format!("{stage} {tube} {screens} at “{supply}” V");
                        let report = report(&format!(
                            "stage={stage}&screens={screens}&tubes={tubes}&tube={tube}&supply={supply}&primary=8k&taps=8&hookup=8"
                        ));
                        let topology = report.solved.topology;
                        let stage = report
                            .solved
                            .stage
                            .unwrap()
                            .unwrap_or_else(|why| panic!("{of}: {why}"));
                        let hot = stage
                            .idle_exceeds
                            .iter()
                            .find(|passed| match passed.burden {
                                // Screens wired to a B+ that was typed are told as too high.
                                Burden::ScreenVolts => {
                                    let on_supply = stage.assumed.screen.map(|(_, why)| why);
                                    on_supply != Some(Why::MoreCareful)
                                        && (screens == "steady" || !typed)
                                }
                                Burden::PlateVolts => !typed,
                                _ => true,
                            });
                        assert_eq!(hot, None, "{of}: {:?}", stage.assumed);
                        if stage.assumed.bias.1 == Why::SafeDissipation {
                            let share = match topology {
                                Topology::PushPull => 0.65,
                                Topology::SingleEnded => 0.85,
                            };
                            let most = share * stage.tube.bounds.plate_watts.unwrap();
                            assert!(stage.idle.plate_watts <= most, "{of}");
                        }
                    }
                }
            }
        }
    }
}

/// Where a published example is followed, the stage is the one that the example describes:
/// so its load is the target and its power comes out (how nearly: see the accuracy table).
#[test]
fn a_tube_alone_gives_its_published_example() {
    for tube in published::types() {
        let stage = tubes().iter().find(|t| t.designation == tube).unwrap();
        let example = &stage.examples[0];
        let topology: &str = example.topology.into();
        let report = report(&format!("stage={topology}&tube={tube}"));
        let Target::Published(load) = report.solved.target else {
            // The first example may have its screens connected otherwise.
            continue;
        };
        let found = report.solved.stage.unwrap().unwrap();
        assert_eq!(found.target, load.load, "{tube}");
        // Others drive the stage less, or until a distortion.
        if let Some(watts) = load
            .power
            .filter(|_| example.full_signal == FullSignal::GridCurrent)
        {
            let off = found.at_target.watts / watts.0 - 1.0;
            assert!(
                off.abs() < 0.15,
                "{tube}: {} W, published {}",
                found.at_target.watts,
                watts.0
            );
        }
    }
}

/// Two pairs take twice the current into half the load and give twice the power.
#[test]
fn four_tubes_are_two_pairs() {
    let of = |tubes: u32, load: u32| {
        report(&format!(
            "tube=6V6GT&supply=285&grid=-19&tubes={tubes}&target={load}"
        ))
        .solved
        .stage
        .unwrap()
        .unwrap()
    };
    let (pair, four) = (of(2, 8_000), of(4, 4_000));
    assert!((four.at_target.watts / pair.at_target.watts - 2.0).abs() < 1e-3);
    assert!((four.at_target.thd - pair.at_target.thd).abs() < 1e-4);
    assert!((four.idle.plate_amps / pair.idle.plate_amps - 1.0).abs() < 1e-6);
    // Without a typed target the published load is halved as well.
    let report = report("tube=6AQ5&supply=250&tubes=4");
    assert_eq!(report.solved.stage.unwrap().unwrap().target.0, 5_000.0);
}

/// B+ is what stands at the primary at idle, whatever is behind it.
#[test]
fn b_plus_is_what_a_meter_shows() {
    for source in [0, 50, 400] {
        let report = report(&format!("tube=6V6GT&supply=285&grid=-19&source={source}"));
        let idle = report.solved.stage.unwrap().unwrap().idle;
        assert!(
            (idle.supply_volts - 285.0).abs() < 1e-3,
            "{}",
            idle.supply_volts
        );
    }
}

/// A pair that is alike has no second harmonic and no direct current in the core; one that
/// is not has both.
#[test]
fn imbalance_shows() {
    let output = |unlike: &str| {
        let link = format!("tube=6V6GT&supply=285&grid=-19&primary=8k&taps=8&hookup=8{unlike}");
        let report = report(&link);
        let idle = report.solved.stage.unwrap().unwrap().idle;
        let output = report.solved.followed.unwrap().output.unwrap().unwrap();
        (output.harmonics[0], idle.magnetising_amps.abs())
    };
    let (alike, none) = output("");
    assert!(alike < 1e-9 && none < 1e-12);
    let (unlike, some) = output("&unlike_current=20");
    assert!(unlike > 0.01 && some > 0.002, "{unlike} {some}");
}

/// Found by the property below: a cathode lifted above the plate's supply by the screen's
/// current, so that no load could be guessed.
#[test]
fn a_cathode_above_b_plus_gives_a_reason() {
    let link =
        "stage=single-ended&tube=KT88&supply=10&screen=308&cathode=4682&primary=8k&taps=8&hookup=8";
    let report = report(link);
    let why = report.solved.stage.unwrap().unwrap_err();
    assert!(why.contains("into no load"), "{why}");
}

/// Which of the two sides is the hotter one makes no difference to the limits, and no bias
/// that is taken overheats it.
#[test]
fn the_hotter_side_counts() {
    for tube in ["6V6GT", "6550", "EL34"] {
        let idle = |unlike: i32| {
            let link = format!("tube={tube}&winding=200&unlike_current={unlike}");
            report(&link).solved.stage.unwrap().unwrap()
        };
        for unlike in [10, 30, 60] {
            let (one, other) = (idle(unlike), idle(-unlike));
            assert_eq!(one.assumed.bias, other.assumed.bias, "{tube} {unlike}");
            let (a, b) = (one.idle, other.idle);
            for (a, b) in [
                (a.plate_watts, b.plate_watts),
                (a.screen_watts, b.screen_watts),
                (a.plate_volts, b.plate_volts),
                (a.transconductance, b.transconductance),
                (a.magnetising_amps, -b.magnetising_amps),
            ] {
                assert!((a - b).abs() < 1e-6 * a.abs(), "{tube} {unlike}: {a} {b}");
            }
            let limit = one.tube.bounds.plate_watts.unwrap();
            assert!(a.plate_watts < 1.03 * limit, "{tube}: {} W", a.plate_watts);
            assert!(2.0 * a.plate_amps >= a.all_plate_amps, "{tube} {unlike}");
        }
    }
}

/// With cathode bias the grid stands elsewhere at every drive: the drive of the reactive
/// cycle is still the one that was typed.
#[test]
fn a_reactive_cycle_is_at_the_drive_typed() {
    for drive in [0.5, 1.0, 2.0, 4.0] {
        let report = report(&format!(
            "stage=single-ended&tube=6L6GC&cathode=300&source=300&frequency=1000&drive={}\
             &primary=5k&taps=8&hookup=8",
            100.0 * drive
        ));
        let output = report.solved.followed.unwrap().output.unwrap().unwrap();
        let found = output.reactive.unwrap().unwrap();
        assert!(
            (found.stress.drive - drive).abs() < 1e-9,
            "{drive}: {}",
            found.stress.drive
        );
    }
}

fn value(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

fn maybe(key: &'static str, low: f64, high: f64) -> impl Strategy<Value = String> {
    prop::option::of(value(low, high))
        .prop_map(move |value| value.map_or(String::new(), |value| format!("&{key}={value:.4}")))
}

/// Any stage that a person could type, sensible or not.
fn any_link() -> impl Strategy<Value = String> {
    let tubes: Vec<&str> = published::types().collect();
    let stage = (
        prop::sample::select(vec!["push-pull", "single-ended"]),
        prop::sample::select(vec!["steady", "taps", "plates"]),
        prop::sample::select(tubes),
        prop::sample::select(vec!["", "&tubes=2", "&tubes=4", "&tubes=8"]),
    );
    let values = (
        maybe("supply", 10.0, 2_000.0),
        maybe("screen", 10.0, 2_000.0),
        (
            maybe("screen_ohms", 1.0, 1e5),
            prop::sample::select(vec!["", "%20no%20cap"]),
            maybe("stopper", 1.0, 1e5),
        )
            .prop_map(|(ohms, capacitor, stopper)| match ohms.is_empty() {
                true => stopper,
                false => format!("{ohms}{capacitor}{stopper}"),
            }),
        maybe("screen_tap", 1.0, 99.0),
        maybe("winding", 1.0, 1e4),
        maybe("source", 1.0, 1e4),
        maybe("drive", 1.0, 1_000.0),
        maybe("frequency", 10.0, 20_000.0),
        maybe("target", 60.0, 9e5),
    );
    let bias = prop_oneof![
        Just(String::new()),
        value(0.1, 300.0).prop_map(|volts| format!("&grid=-{volts:.3}")),
        Just("&grid=0".to_owned()),
        value(1.0, 1e5).prop_map(|ohms| format!("&cathode={ohms:.2}")),
    ];
    let unlike = prop::option::of((-150.0..150.0, -150.0..150.0, -150.0..150.0)).prop_map(|some| {
        some.map_or(String::new(), |(a, b, c)| {
            format!("&unlike_current={a:.1}&unlike_drive={b:.1}&unlike_turns={c:.1}")
        })
    });
    (stage, values, bias, unlike, value(0.7, 60.0)).prop_map(
        |((stage, screens, tube, tubes), v, bias, unlike, speaker)| {
            let (a, b, c, d, e, f, g, h, i) = v;
            format!(
                "stage={stage}&screens={screens}&tube={tube}{tubes}{a}{b}{c}{d}{e}{f}{g}{h}{i}{bias}{unlike}\
                 &primary=800,8k,40k&taps=1,8,30&hookup={speaker:.2}"
            )
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// A result or a reason; no value that is none; the power that goes in comes out again.
    #[test]
    fn whatever_is_typed_ends_in_a_result_or_a_reason(link in any_link()) {
        let report = solve(&link::parse(&link).setup);
        match &report.solved.stage {
            None => prop_assert!(!report.problems.is_empty(), "no stage and no complaint: {}", link),
            Some(Err(why)) => prop_assert!(!why.is_empty() && !why.contains("NaN"), "{}: {}", link, why),
            Some(Ok(stage)) => {
                prop_assert!(stage.idle.plate_amps.is_finite() && stage.at_target.watts.is_finite(), "{}", link);
                for connection in &report.solved.connections {
                    if let Some(output) = &connection.output {
                        let all = [output.watts.0, output.against_target.0, output.thd];
                        prop_assert!(all.iter().all(|v| v.is_finite()) && output.watts.0 >= 0.0, "{}: {:?}", link, output);
                    }
                }
                match report.solved.followed.as_ref().and_then(|followed| followed.output.as_ref()) {
                    Some(Ok(output)) => {
                        for cycle in [&output.cycle, &output.onset] {
                            prop_assert!(cycle.energy_error().abs() < 0.005 || cycle.supplied_watts < 1e-6, "{}: {}", link, cycle.energy_error());
                        }
                        if let Some(Err(why)) = &output.reactive {
                            prop_assert!(!why.is_empty(), "{}", link);
                        }
                        prop_assert!(output.wave.iter().all(|at| at.volts.is_finite()), "{}", link);
                    }
                    Some(Err(why)) => prop_assert!(!why.is_empty(), "{}", link),
                    None => prop_assert!(false, "a stage and nothing chosen: {}", link),
                }
            }
        }
    }
}
