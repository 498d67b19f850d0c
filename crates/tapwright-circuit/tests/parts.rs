//! Parts and analyses against closed forms.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

use std::f64::consts::TAU;
use std::sync::Arc;

use nalgebra::Complex;
use tapwright_circuit::{
    Circuit, DirectPoint, GROUND, Law, Node, Part, Slopes, SmallSignal, Source, Transient, Winding,
};

fn resistor(circuit: &mut Circuit, name: &str, a: Node, b: Node, ohms: f64) {
    circuit.add(name, Part::Resistor { a, b, ohms });
}

fn capacitor(circuit: &mut Circuit, name: &str, a: Node, b: Node, farads: f64) {
    circuit.add(name, Part::Capacitor { a, b, farads });
}

/// A source of one volt of signal and a sine of one volt at 1 kHz.
fn input(circuit: &mut Circuit, node: Node) {
    let source = Source::sine(1.0, 1e3);
    circuit.add(
        "in",
        Part::Volts {
            plus: node,
            minus: GROUND,
            source,
        },
    );
}

/// `i = I (e^{V/V_T} − 1)`, the law of a diode.
#[derive(Debug)]
struct Diode;

impl Law for Diode {
    fn terminals(&self) -> usize {
        2
    }

    fn at(&self, volts: &[f64]) -> Slopes {
        let v = volts[0] - volts[1];
        let (is, vt) = (1e-9, 0.05);
        // Straight above a volt, so that a long step of Newton's method stays finite.
        let (amps, slope) = match v < 1.0 {
            true => (is * ((v / vt).exp() - 1.0), is / vt * (v / vt).exp()),
            false => {
                let top = is * (1.0_f64 / vt).exp();
                (top * (1.0 + (v - 1.0) / vt) - is, top / vt)
            }
        };
        let mut slopes = Slopes::none(2);
        slopes.add(0, 1, amps, &[(0, slope), (1, -slope)]);
        slopes
    }

    fn deck(&self, name: &str, nodes: &[&str]) -> Vec<String> {
        vec![format!(
            "B{name} {} {} I=1e-9*(exp(V({},{})/0.05)-1)",
            nodes[0], nodes[1], nodes[0], nodes[1]
        )]
    }
}

/// `1/(1 + jωRC)`. Exact arithmetic.
#[test]
fn a_lag_is_a_lag() {
    let mut circuit = Circuit::new();
    let (top, out) = (circuit.node("top"), circuit.node("out"));
    input(&mut circuit, top);
    resistor(&mut circuit, "R", top, out, 10e3);
    capacitor(&mut circuit, "C", out, GROUND, 10e-9);
    let signal = SmallSignal::of(&circuit).unwrap();
    for hertz in [10.0, 1591.55, 1e5] {
        let want = Complex::from(1.0) / Complex::new(1.0, TAU * hertz * 1e-4);
        let got = signal.at(hertz).unwrap().volts(out);
        assert!((got - want).norm() < 1e-6, "{hertz}: {got}");
    }
    let poles = signal.natural_frequencies().unwrap();
    assert!(
        poles
            .iter()
            .any(|pole| (pole - Complex::from(-1e4)).norm() < 1.0),
        "{poles:?}"
    );
}

/// A winding of 20 turns on one of 1 carries a load of 8 Ω up as 400 × 8 Ω, with the copper of
/// both: `R_p + n² (R_s + R)`; and below the corner of its inductance it falls. Exact arithmetic.
#[test]
fn a_core_carries_a_load_over() {
    let mut circuit = Circuit::new();
    let (plate, tap) = (circuit.node("plate"), circuit.node("tap"));
    let winding = |a, turns, ohms| Winding {
        a,
        b: GROUND,
        turns,
        ohms,
        leakage: 0.0,
    };
    circuit.add(
        "T",
        Part::Core {
            windings: vec![winding(plate, 20.0, 250.0), winding(tap, 1.0, 0.4)],
            // 10 H on 20 turns.
            henries: 10.0 / 400.0,
            ohms: f64::INFINITY,
        },
    );
    resistor(&mut circuit, "load", tap, GROUND, 8.0);
    let signal = SmallSignal::of(&circuit).unwrap();
    let middle = signal.impedance(5e3, plate, GROUND).unwrap();
    assert!(
        (middle.re / (250.0 + 400.0 * 8.4) - 1.0).abs() < 1e-3,
        "{middle}"
    );
    let load = Complex::from(400.0 * 8.4);
    let coil = Complex::new(0.0, TAU * 40.0 * 10.0);
    let low = Complex::from(250.0) + load * coil / (load + coil);
    let got = signal.impedance(40.0, plate, GROUND).unwrap();
    assert!((got - low).norm() / low.norm() < 1e-7, "{got} and {low}");
}

/// Every winding has the same volts per turn, loaded or not: a tap that carries nothing reads
/// its share of the volts behind the copper. Exact arithmetic.
#[test]
fn all_taps_share_the_flux() {
    let mut circuit = Circuit::new();
    let plate = circuit.node("plate");
    input(&mut circuit, plate);
    let taps: Vec<Node> = ["4", "8", "16"].map(|name| circuit.node(name)).into();
    let turns = [1.0, 2_f64.sqrt(), 2.0];
    let mut windings = vec![Winding {
        a: plate,
        b: GROUND,
        turns: 40.0,
        ohms: 1e-3,
        leakage: 0.0,
    }];
    for (tap, turns) in taps.iter().zip(turns) {
        windings.push(Winding {
            a: *tap,
            b: GROUND,
            turns,
            ohms: 0.0,
            leakage: 0.0,
        });
    }
    circuit.add(
        "T",
        Part::Core {
            windings,
            henries: 0.01,
            ohms: f64::INFINITY,
        },
    );
    resistor(&mut circuit, "load", taps[1], GROUND, 8.0);
    let signal = SmallSignal::of(&circuit).unwrap().at(1e3).unwrap();
    for (tap, turns) in taps.iter().zip(turns) {
        assert!((signal.volts(*tap).re - turns / 40.0).abs() < 1e-7);
    }
}

/// Passive parts answer both ways alike: the volts at B for a current into A are those at A for
/// the same current into B (reciprocity).
#[test]
fn passive_parts_are_reciprocal() {
    let mut circuit = Circuit::new();
    let nodes: Vec<Node> = ["a", "b", "c", "d"].map(|name| circuit.node(name)).into();
    resistor(&mut circuit, "R1", nodes[0], nodes[1], 470.0);
    resistor(&mut circuit, "R2", nodes[1], GROUND, 1e3);
    capacitor(&mut circuit, "C1", nodes[1], nodes[2], 1e-6);
    circuit.add(
        "L1",
        Part::Inductor {
            a: nodes[2],
            b: GROUND,
            henries: 0.1,
        },
    );
    let winding = |a, turns, leakage| Winding {
        a,
        b: GROUND,
        turns,
        ohms: 3.0,
        leakage,
    };
    circuit.add(
        "T",
        Part::Core {
            windings: vec![winding(nodes[2], 5.0, 1e-3), winding(nodes[3], 1.0, 1e-4)],
            henries: 0.01,
            ohms: 200.0,
        },
    );
    resistor(&mut circuit, "R3", nodes[3], GROUND, 47.0);
    let transfer = |into: Node, at: Node| {
        let mut circuit = circuit.clone();
        circuit.add(
            "I",
            Part::Amps {
                from: GROUND,
                to: into,
                source: Source::signal(),
            },
        );
        SmallSignal::of(&circuit)
            .unwrap()
            .at(317.0)
            .unwrap()
            .volts(at)
    };
    let (there, back) = (transfer(nodes[0], nodes[3]), transfer(nodes[3], nodes[0]));
    assert!(
        (there - back).norm() < 1e-9 * there.norm(),
        "{there} and {back}"
    );
    // What is passive takes power at every frequency.
    for hertz in [1.0, 30.0, 1e3, 1e6] {
        let z = SmallSignal::of(&circuit)
            .unwrap()
            .impedance(hertz, nodes[0], GROUND)
            .unwrap();
        assert!(z.re > 0.0, "{hertz}: {z}");
    }
}

/// A diode behind a resistor: `V = R i + V_T ln(1 + i/I)`. Exact arithmetic.
#[test]
fn newton_finds_a_diode_behind_a_resistor() {
    let mut circuit = Circuit::new();
    let (top, out) = (circuit.node("top"), circuit.node("out"));
    circuit.add(
        "V",
        Part::Volts {
            plus: top,
            minus: GROUND,
            source: Source::steady(300.0),
        },
    );
    resistor(&mut circuit, "R", top, out, 100e3);
    circuit.add(
        "D",
        Part::Device {
            nodes: vec![out, GROUND],
            law: Arc::new(Diode),
        },
    );
    let point = DirectPoint::of(&circuit).unwrap();
    let volts = point.volts(out);
    let amps = (300.0 - volts) / 100e3;
    assert!(
        (volts - 0.05 * (1.0 + amps / 1e-9).ln()).abs() < 1e-6,
        "{volts}"
    );
    assert!((point.amps(&circuit, "V").unwrap() + amps).abs() < 1e-9);
}

/// A peak rectifier with its load: the state that repeats is the one that a long run comes to.
#[test]
fn the_state_that_repeats_is_the_one_that_a_long_run_comes_to() {
    let mut circuit = Circuit::new();
    let (top, out) = (circuit.node("top"), circuit.node("out"));
    let source = Source::sine(10.0, 50.0);
    circuit.add(
        "V",
        Part::Volts {
            plus: top,
            minus: GROUND,
            source,
        },
    );
    let plate = circuit.node("plate");
    resistor(&mut circuit, "R0", top, plate, 10.0);
    circuit.add(
        "D",
        Part::Device {
            nodes: vec![plate, out],
            law: Arc::new(Diode),
        },
    );
    capacitor(&mut circuit, "C", out, GROUND, 100e-6);
    resistor(&mut circuit, "R", out, GROUND, 1e3);
    let repeats = Transient::periodic(&circuit, 50.0, 400).unwrap().volts(out);
    let long = Transient::from_rest(&circuit, 1.0, 50 * 400)
        .unwrap()
        .volts(out);
    let last = &long[long.len() - 401..];
    for (a, b) in repeats.iter().zip(last) {
        assert!((a - b).abs() < 0.02, "{a} and {b}");
    }
    let (least, most) = last
        .iter()
        .fold((f64::MAX, f64::MIN), |(l, m), v| (l.min(*v), m.max(*v)));
    // The ripple is a little less than `I T/C`.
    let whole = last.iter().sum::<f64>() / 401.0 / 1e3 / 50.0 / 100e-6;
    assert!(
        (0.5 * whole..whole).contains(&(most - least)),
        "{} of {whole}",
        most - least
    );
}

/// An amplifier of −100 behind a lag, with a tenth fed back through a divider: `T`, `|1 + T|` and
/// the closed gain go together, and the divider loads what it is taken from.
#[test]
fn feedback_divides_the_gain_by_one_and_t() {
    #[derive(Debug)]
    struct Gain;
    impl Law for Gain {
        fn terminals(&self) -> usize {
            4
        }
        fn at(&self, volts: &[f64]) -> Slopes {
            let mut slopes = Slopes::none(4);
            let siemens = 0.05;
            slopes.add(
                1,
                0,
                siemens * (volts[2] - volts[3]),
                &[(2, siemens), (3, -siemens)],
            );
            slopes
        }
        fn deck(&self, name: &str, nodes: &[&str]) -> Vec<String> {
            vec![format!(
                "G{name} {} {} {} {} -0.05",
                nodes[0], nodes[1], nodes[2], nodes[3]
            )]
        }
    }
    let build = |joined: bool| {
        let mut circuit = Circuit::new();
        let (top, out, end, foot) = (
            circuit.node("top"),
            circuit.node("out"),
            circuit.node("end"),
            circuit.node("foot"),
        );
        input(&mut circuit, top);
        circuit.add(
            "G",
            Part::Device {
                nodes: vec![out, GROUND, top, foot],
                law: Arc::new(Gain),
            },
        );
        resistor(&mut circuit, "load", out, GROUND, 2e3);
        capacitor(&mut circuit, "C", out, GROUND, 1e-9);
        resistor(&mut circuit, "Rf", end, foot, 9e3);
        resistor(&mut circuit, "Rk", foot, GROUND, 1e3);
        match joined {
            true => circuit.add("joint", Part::Joint { a: out, b: end }),
            false => {
                circuit.add("joint", Part::Joint { a: end, b: GROUND });
                // The same load on the take-off.
                resistor(&mut circuit, "like", out, GROUND, 10e3);
            }
        }
        circuit
    };
    let closed = build(true);
    let out = closed.find("out").unwrap();
    let signal = SmallSignal::of(&closed).unwrap();
    let open = SmallSignal::of(&build(false)).unwrap();
    for hertz in [100.0, 50e3, 1e6] {
        let gain = signal.at(hertz).unwrap().volts(out);
        let without = open.at(hertz).unwrap().volts(out);
        let found = signal.loop_gain("joint", hertz).unwrap().unwrap();
        let by_t = without / (found.ratio + 1.0);
        assert!(
            (gain / by_t - 1.0).norm() < 1e-6,
            "{hertz}: {gain} and {by_t}"
        );
        assert!((found.open / without - 1.0).norm() < 1e-6, "{hertz}");
    }
    // 0.05 S into 2 kΩ beside 10 kΩ is a gain of 83.3, and a tenth of it comes back. Exact.
    let t = signal.loop_gain("joint", 1.0).unwrap().unwrap().ratio;
    assert!((t.re - 0.05 * 1e4 / 6.0 * 0.1).abs() < 1e-3, "{t}");
}

/// A part of no conductance is as if it were not there; one of very little resistance is a wire.
#[test]
fn extremes_are_absences_and_wires() {
    let build = |bridge: Option<f64>, wire: f64| {
        let mut circuit = Circuit::new();
        let (top, a, out) = (circuit.node("top"), circuit.node("a"), circuit.node("out"));
        input(&mut circuit, top);
        resistor(&mut circuit, "R1", top, a, wire);
        resistor(&mut circuit, "R2", a, out, 1e3);
        resistor(&mut circuit, "R3", out, GROUND, 1e3);
        if let Some(ohms) = bridge {
            resistor(&mut circuit, "R4", out, GROUND, ohms);
        }
        SmallSignal::of(&circuit)
            .unwrap()
            .at(1e3)
            .unwrap()
            .volts(out)
            .re
    };
    assert!((build(None, 1e-6) - 0.5).abs() < 1e-8);
    assert!((build(Some(1e15), 1e-6) - build(None, 1e-6)).abs() < 1e-9);
}
