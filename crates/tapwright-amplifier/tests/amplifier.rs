//! The amplifier's circuit against closed forms and against the stage solver.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

use tapwright_amplifier::feedback::{Linear, headline, opened, resistor_for, unloaded};
use tapwright_amplifier::{
    Amplifier, Bypass, Capacitance, Driver, Feedback, Load, LongTailed, Output, SecondaryTap,
    SplitLoad, Splitter, TakeOff, Transformer, Triode,
};
use tapwright_circuit::GROUND;
use tapwright_stage::{Idle, Imbalance, ScreenFeed, Stage, Stoppers, Supply};
use tapwright_tube::{Bias, Topology, find};

fn triode(name: &str) -> Triode {
    Triode {
        model: find(name).unwrap().model,
        capacitance: Capacitance {
            grid_plate: 1.7e-12,
            input: 1.6e-12,
            output: 0.4e-12,
        },
    }
}

fn driver(bypass: Bypass) -> Driver {
    Driver {
        tube: triode("12AX7"),
        supply_volts: 220.0,
        plate_ohms: 100e3,
        cathode_ohms: 1.5e3,
        bypass,
        leak_ohms: 1e6,
        volume: None,
        coupling_farads: None,
    }
}

fn transformer(primary: f64, taps: &[f64], selected: usize) -> Transformer {
    Transformer {
        primary_turns: primary.sqrt(),
        primary_ohms: 0.0,
        inductance: None,
        leakage: 0.0,
        capacitance: 0.0,
        core_ohms: f64::INFINITY,
        unlike_turns: 0.0,
        taps: taps
            .iter()
            .map(|ohms| SecondaryTap {
                turns: ohms.sqrt(),
                ohms: 0.0,
            })
            .collect(),
        selected,
        grounded: None,
        reversed: false,
    }
}

fn output(topology: Topology, supply: f64, bias: Bias) -> Output {
    Output {
        stage: Stage {
            model: find("EL84").unwrap().model,
            topology,
            tubes_per_side: 1,
            plate_supply: Supply {
                volts: supply,
                ohms: 0.0,
            },
            screen: ScreenFeed::Dropper(0.0),
            stoppers: Stoppers::default(),
            bias,
            primary_ohms: 0.0,
            imbalance: Imbalance::default(),
        },
        capacitance: Capacitance {
            grid_plate: 0.5e-12,
            input: 10.8e-12,
            output: 6.5e-12,
        },
        coupling_farads: 22e-9,
        leak_ohms: 470e3,
        grid_ohms: 1e3,
        cathode_farads: 1.0,
        supply_farads: 1.0,
        screen_farads: 1.0,
    }
}

fn feedback(from: TakeOff, ohms: f64) -> Option<Feedback> {
    Some(Feedback {
        from,
        into: 0,
        ohms,
        across: None,
        presence: None,
    })
}

/// The record player: half a 12AX7 before a single-ended EL84.
fn record_player() -> Amplifier {
    Amplifier {
        source_ohms: 1e3,
        drivers: vec![driver(Bypass::None)],
        splitter: None,
        output: output(Topology::SingleEnded, 250.0, Bias::Cathode(135.0)),
        transformer: transformer(5.2e3, &[4.0, 8.0, 16.0], 1),
        load: Some(Load::rated(8.0)),
        feedback: feedback(TakeOff::Selected, 27e3),
    }
}

fn push_pull(splitter: Splitter, drivers: Vec<Driver>) -> Amplifier {
    Amplifier {
        drivers,
        splitter: Some(splitter),
        output: output(Topology::PushPull, 300.0, Bias::Cathode(130.0)),
        transformer: transformer(8e3, &[4.0, 8.0, 16.0], 1),
        ..record_player()
    }
}

fn long_tailed() -> Splitter {
    Splitter::LongTailed(LongTailed {
        tube: triode("12AX7"),
        supply_volts: 280.0,
        plate_ohms: [82e3, 100e3],
        bias_ohms: 470.0,
        tail_ohms: 10e3,
        foot_ohms: 4.7e3,
        leak_ohms: 1e6,
        coupling_farads: 22e-9,
    })
}

fn split_load() -> Splitter {
    Splitter::SplitLoad(SplitLoad {
        tube: triode("12AX7"),
        supply_volts: 250.0,
        ohms: 100e3,
        grid_volts: Some(70.0),
    })
}

/// A stage without a bypass has `µ R / (R + r_p + (µ + 1) R_k)`, with one `µ R / (R + r_p)`; the
/// load is the plate resistor beside the next grid's leak. F. Langford-Smith, Radiotron
/// Designer's Handbook, 4th ed., chapter 12; from memory.
#[test]
fn a_driver_has_the_gain_of_the_textbook() {
    for (bypass, bare) in [(Bypass::None, true), (Bypass::Whole(1.0), false)] {
        let amplifier = Amplifier {
            drivers: vec![driver(bypass)],
            feedback: None,
            ..record_player()
        };
        let linear = Linear::of(&amplifier).unwrap();
        let circuit = &linear.built.circuit;
        let volts = |name: &str| linear.point.volts(circuit.find(name).unwrap());
        let plate = volts("v1 plate") - volts("v1 cathode");
        let flow = triode("12AX7")
            .model
            .flow(plate, 0.0, volts("v1 grid") - volts("v1 cathode"));
        let (gm, rp) = (flow.plate.by_grid, 1.0 / flow.plate.by_plate);
        let (mu, load) = (gm * rp, 1.0 / (1.0 / 100e3 + 1.0 / 470e3));
        let foot = if bare { (mu + 1.0) * 1.5e3 } else { 0.0 };
        let want = mu * load / (load + rp + foot);
        let signal = tapwright_circuit::SmallSignal::about(circuit, &linear.point)
            .at(1e3)
            .unwrap();
        let ratio = signal.volts(circuit.find("v1 plate").unwrap())
            / signal.volts(circuit.find("v1 grid").unwrap());
        assert!(
            (ratio.norm() / want - 1.0).abs() < 0.01,
            "{} and {want}",
            ratio.norm()
        );
        assert!(ratio.re < 0.0);
    }
}

/// `µ R/(r_p + (µ + 2) R)` at both ends of a split load: just below one, and alike but for the
/// sign (F. Langford-Smith, as above; from memory).
#[test]
fn a_split_load_gives_a_little_less_than_one_twice() {
    let mut amplifier = push_pull(split_load(), vec![driver(Bypass::None)]);
    amplifier.feedback = None;
    let linear = Linear::of(&amplifier).unwrap();
    let circuit = &linear.built.circuit;
    let signal = tapwright_circuit::SmallSignal::about(circuit, &linear.point)
        .at(1e3)
        .unwrap();
    let at = |name: &str| signal.volts(circuit.find(name).unwrap());
    let (plate, cathode) = (
        at("split plate") / at("split grid"),
        at("split cathode") / at("split grid"),
    );
    assert!((cathode.re - 0.97).abs() < 0.01, "{cathode}");
    assert!(
        (plate / cathode + 1.0).norm() < 0.02,
        "{plate} and {cathode}"
    );
}

/// The second plate of a long-tailed pair has less signal than the first, by about
/// `1 + (r_p + R)/((µ + 1) R_tail)` with equal plate loads (from memory): a larger load there
/// makes up for it.
#[test]
fn a_long_tailed_pair_is_nearly_in_balance() {
    let mut amplifier = push_pull(long_tailed(), Vec::new());
    amplifier.feedback = None;
    let linear = Linear::of(&amplifier).unwrap();
    let circuit = &linear.built.circuit;
    let signal = tapwright_circuit::SmallSignal::about(circuit, &linear.point)
        .at(1e3)
        .unwrap();
    let at = |name: &str| signal.volts(circuit.find(name).unwrap());
    let ratio = at("pair plate a") / at("pair plate b");
    assert!(
        ratio.re < 0.0 && (ratio.norm() - 1.0).abs() < 0.1,
        "{ratio}"
    );
}

/// The circuit at rest is the idle point that the stage solver finds.
#[test]
fn the_point_at_rest_is_the_idle_point_of_the_stage() {
    for amplifier in [record_player(), push_pull(long_tailed(), Vec::new())] {
        let idle = Idle::of(&amplifier.output.stage).unwrap();
        let linear = Linear::of(&amplifier).unwrap();
        let cathode = linear.point.volts(linear.built.cathode);
        assert!(
            (cathode / idle.cathode_volts - 1.0).abs() < 1e-3,
            "{cathode} and {}",
            idle.cathode_volts
        );
        let plate = linear.point.volts(linear.built.plates[0]) - cathode;
        assert!(
            (plate / idle.plate_volts - 1.0).abs() < 1e-3,
            "{plate} and {}",
            idle.plate_volts
        );
    }
}

/// `|1 + T|` is the gain with the feedback's end grounded over the gain with it connected.
#[test]
fn feedback_is_what_the_gain_falls_by() {
    for amplifier in [
        record_player(),
        push_pull(long_tailed(), Vec::new()),
        push_pull(split_load(), vec![driver(Bypass::None)]),
    ] {
        let with = headline(&amplifier).unwrap();
        // With the end grounded the resistor still stands beside the cathode.
        let linear = Linear::of(&amplifier).unwrap();
        let t = linear.loop_gain(1e3).unwrap();
        assert!(t.re > 0.0, "the feedback is negative: {t}");
        let mut grounded = amplifier.clone();
        grounded.feedback = feedback(TakeOff::Selected, 27e3);
        let mut built = grounded.circuit().unwrap();
        let (end, jack) = (built.circuit.find("feedback").unwrap(), built.jack);
        built.circuit.remove("take-off");
        built.circuit.add(
            "grounded",
            tapwright_circuit::Part::Joint { a: end, b: GROUND },
        );
        let small = tapwright_circuit::SmallSignal::of(&built.circuit).unwrap();
        let open = small.at(1e3).unwrap().volts(jack).norm();
        let fall = 20.0 * (open / with.gain).log10();
        assert!(
            (fall - with.decibels.unwrap()).abs() < 0.01,
            "{fall} and {:?}",
            with.decibels
        );
        assert!((1.0..25.0).contains(&fall), "{fall}");
    }
}

/// Turned round, the same loop adds to the signal; grows, if it is strong enough; and the
/// eigenvalues say the same as the turns of the loop gain.
#[test]
fn the_wrong_way_round_is_told() {
    for reversed in [false, true] {
        let mut amplifier = record_player();
        amplifier.transformer.reversed = reversed;
        amplifier.transformer.inductance = Some(12.0);
        amplifier.transformer.leakage = 15e-3;
        amplifier.transformer.capacitance = 300e-12;
        let linear = Linear::of(&amplifier).unwrap();
        let t = linear.loop_gain(1e3).unwrap();
        assert_eq!(t.re < 0.0, reversed, "{t}");
        let open = Linear::of(&opened(&amplifier)).unwrap();
        let stability = linear.stability(&open).unwrap();
        assert_eq!(stability.growing, linear.growing().unwrap(), "{reversed}");
        assert_eq!(stability.is_stable(), !reversed);
    }
}

/// All taps share the flux: taken from a fixed tap, feedback is the same whichever tap the
/// speakers use, if each is matched; taken from the tap in use it goes with its volts.
#[test]
fn a_fixed_tap_keeps_the_feedback() {
    let decibels = |from: TakeOff, copper: f64| {
        [(0, 4.0), (1, 8.0), (2, 16.0)].map(|(selected, ohms)| {
            let mut amplifier = record_player();
            amplifier.transformer.selected = selected;
            for tap in &mut amplifier.transformer.taps {
                tap.ohms = copper * tap.turns * tap.turns;
            }
            amplifier.transformer.primary_ohms = copper * 5.2e3;
            amplifier.load = Some(Load::rated(ohms));
            amplifier.feedback = feedback(from, 27e3);
            headline(&amplifier).unwrap().decibels.unwrap()
        })
    };
    let spread = |all: [f64; 3]| {
        all.iter()
            .fold(0.0_f64, |most, one| most.max((one - all[1]).abs()))
    };
    assert!(
        spread(decibels(TakeOff::Tap(1), 0.0)) < 0.01,
        "{:?}",
        decibels(TakeOff::Tap(1), 0.0)
    );
    assert!(spread(decibels(TakeOff::Tap(1), 0.04)) < 0.5);
    let selected = decibels(TakeOff::Selected, 0.0);
    assert!(
        selected[0] < selected[1] - 1.0 && selected[1] < selected[2] - 1.0,
        "{selected:?}"
    );
}

/// `Z = Z₀ (1 + T with the jack shorted)/(1 + T with it open)`: R. B. Blackman, Bell System
/// Technical Journal 22, 1943. Shorted, the tap has no volts, and its own loop no gain.
#[test]
fn the_source_impedance_is_blackmans() {
    let amplifier = record_player();
    let with = headline(&amplifier).unwrap().source_ohms;
    let open = Linear::of(&unloaded(&amplifier))
        .unwrap()
        .loop_gain(1e3)
        .unwrap();
    let mut grounded = unloaded(&amplifier).circuit().unwrap();
    let end = grounded.circuit.find("feedback").unwrap();
    grounded.circuit.remove("take-off");
    grounded.circuit.add(
        "grounded",
        tapwright_circuit::Part::Joint { a: end, b: GROUND },
    );
    // The network's load stays on the jack.
    let load = 27e3 + 1.0 / (1.0 / 1.5e3 + 1.0 / 1.1e3);
    grounded.circuit.add(
        "like",
        tapwright_circuit::Part::Resistor {
            a: grounded.jack,
            b: GROUND,
            ohms: load,
        },
    );
    let small = tapwright_circuit::SmallSignal::of(&grounded.circuit).unwrap();
    let without = small.impedance(1e3, grounded.jack, GROUND).unwrap();
    let want = (without / (open + 1.0)).norm();
    assert!((with / want - 1.0).abs() < 2e-3, "{with} and {want}");
}

/// The resistor for so many decibels gives them.
#[test]
fn decibels_wanted_give_the_resistor() {
    let amplifier = record_player();
    let ohms = resistor_for(&amplifier, 8.0, (1e3, 1e6))
        .unwrap()
        .expect("one gives it");
    let mut with = amplifier.clone();
    with.feedback = feedback(TakeOff::Selected, ohms);
    let got = headline(&with).unwrap().decibels.unwrap();
    assert!((got - 8.0).abs() < 1e-3, "{got}");
    assert_eq!(resistor_for(&amplifier, 60.0, (1e3, 1e6)).unwrap(), None);
}
