//! A whole amplifier as a netlist for ngspice, and what it finds held against the circuit here.

use anyhow::{Context, Result, ensure};
use nalgebra::Complex;
use tapwright_amplifier::feedback::{Linear, headline, opened, source_impedance, unloaded};
use tapwright_amplifier::{Amplifier, TAKE_OFF};
use tapwright_circuit::{
    Circuit, DirectPoint, GROUND, Node, Part, SmallSignal, Source, Stability, Transient, deck,
};

use super::{Pair, Printed, limit, run, run_with_table};
use crate::amplifiers::Case;

/// Frequency of the drive through time, Hz.
pub const HERTZ: f64 = 1e3;

/// Points to the decade where gains are compared, and where margins are looked for.
const COMPARED: usize = 5;
const FINE: usize = 200;

/// Below this many volts a node is not compared at rest: what a grid leaks.
const LEAST_VOLTS: f64 = 0.05;

/// Steps in a cycle of the drive, here and there.
const STEPS: usize = 200;

/// The lines that end a netlist: options, and a script.
fn script(circuit: &Circuit, script: &str) -> String {
    let parts = deck(circuit, "An amplifier");
    format!(
        "{parts}.options reltol=1e-6 gmin=1e-14\n.control\nset numdgt=9\n{script}quit 0\n.endc\n.end\n"
    )
}

/// The name of a node in the netlist.
fn named(circuit: &Circuit, node: Node) -> String {
    let plain = |c: char| {
        if c.is_ascii_alphanumeric() {
            c.to_ascii_lowercase()
        } else {
            '_'
        }
    };
    circuit.name(node).chars().map(plain).collect()
}

fn pair(what: impl Into<String>, spice: f64, own: f64, whole: f64, limit: f64) -> Pair {
    Pair {
        what: what.into(),
        spice,
        own,
        whole,
        limit,
    }
}

fn decibels(ratio: Complex<f64>) -> f64 {
    20.0 * ratio.norm().log10()
}

/// The rows of a table of one complex quantity: Hz and value.
fn over_frequency(rows: &[Vec<f64>]) -> Result<Vec<(f64, Complex<f64>)>> {
    let each = rows.iter().map(|row| match row.as_slice() {
        [hertz, re, im] => Ok((*hertz, Complex::new(*re, *im))),
        _ => anyhow::bail!("a row has {} numbers", row.len()),
    });
    each.collect()
}

/// The part that is furthest apart among many alike.
fn furthest(pairs: impl IntoIterator<Item = Pair>) -> Option<Pair> {
    let all = pairs.into_iter();
    all.max_by(|a, b| a.excess().total_cmp(&b.excess()))
}

/// The netlist of the closed loop with its volts at rest and its gain over frequency.
///
/// # Errors
/// When the amplifier cannot be wired so.
pub fn closed(amplifier: &Amplifier) -> Result<String> {
    let built = amplifier.circuit()?;
    let circuit = &built.circuit;
    let nodes: Vec<String> = circuit
        .nodes()
        .map(|node| format!("v({})", named(circuit, node)))
        .collect();
    let jack = named(circuit, built.jack);
    Ok(script(
        circuit,
        &format!(
            "op\nprint {}\nac dec {COMPARED} 10 100k\nset wr_singlescale\nwrdata table.data v({jack})\n",
            nodes.join(" ")
        ),
    ))
}

/// At rest and over frequency: what ngspice made of the netlist, and what is found here.
///
/// # Errors
/// When either finds nothing.
pub fn small(amplifier: &Amplifier, netlist: &str) -> Result<Vec<Pair>> {
    let linear = Linear::of(amplifier)?;
    let circuit = &linear.built.circuit;
    let (printed, rows) = run_with_table(netlist)?;
    let mut rest = Vec::new();
    for node in circuit.nodes() {
        let own = linear.point.volts(node);
        if own.abs() > LEAST_VOLTS {
            let name = format!("v({})", named(circuit, node));
            let spice = printed.value(&name)?;
            rest.push(pair(format!("rest {name}"), spice, own, own, limit::DIRECT));
        }
    }
    ensure!(rest.len() > 2, "hardly a node has volts at rest");
    let (mut gains, mut phases) = (Vec::new(), Vec::new());
    for (hertz, spice) in over_frequency(&rows)? {
        let own = linear.gain(hertz).context("no gain")?;
        let at = format!("at {hertz:.0} Hz");
        gains.push(pair(
            format!("gain {at}"),
            decibels(spice),
            decibels(own),
            1.0,
            limit::GAIN,
        ));
        let off = (spice / own).arg().to_degrees();
        let phase = own.arg().to_degrees();
        phases.push(pair(
            format!("phase {at}"),
            phase + off,
            phase,
            1.0,
            limit::PHASE,
        ));
    }
    ensure!(gains.len() == 4 * COMPARED + 1, "{} gains", gains.len());
    Ok([rest, gains, phases]
        .into_iter()
        .filter_map(furthest)
        .collect())
}

/// The impedance that the speakers see at 1 kHz: a source of current in their place.
///
/// # Errors
/// When either finds nothing.
pub fn from_the_jack(amplifier: &Amplifier) -> Result<Pair> {
    let built = unloaded(amplifier).circuit()?;
    let mut circuit = built.circuit;
    for name in ["input", "input b"] {
        if let Some(Part::Volts { source, .. }) = circuit.part_mut(name) {
            source.signal = 0.0;
        }
    }
    circuit.add(
        "at the jack",
        Part::Amps {
            from: GROUND,
            to: built.jack,
            source: Source::signal(),
        },
    );
    let jack = named(&circuit, built.jack);
    let text = script(
        &circuit,
        &format!("ac lin 1 1k 1k\nlet ohms = vdb({jack})\nprint ohms\n"),
    );
    let own = source_impedance(amplifier, &[HERTZ])?;
    let own = decibels(*own.first().context("no impedance")?);
    let spice = run(&text)?.value("ohms")?;
    Ok(pair("source impedance", spice, own, 1.0, limit::GAIN))
}

/// The circuit with its loop open: the end of the network on a source of its own, and what the
/// network loads the take-off with left there.
fn broken(amplifier: &Amplifier) -> Result<(Circuit, Node)> {
    let mut circuit = amplifier.circuit()?.circuit;
    let Some(Part::Joint {
        a: take_off,
        b: end,
    }) = circuit.part(TAKE_OFF).cloned()
    else {
        anyhow::bail!("no loop");
    };
    let feedback = amplifier.feedback.context("no feedback")?;
    circuit.remove(TAKE_OFF);
    circuit.add(
        "E",
        Part::Volts {
            plus: end,
            minus: GROUND,
            source: Source::signal(),
        },
    );
    // The network loads the take-off with its resistor and what that ends on, which at the loop's
    // frequencies is close to what it is at 1 kHz.
    let like = circuit.node("like the network");
    circuit.add(
        "like the network",
        Part::Resistor {
            a: take_off,
            b: like,
            ohms: feedback.ohms,
        },
    );
    if let Some(farads) = feedback.across {
        circuit.add(
            "like the network",
            Part::Capacitor {
                a: take_off,
                b: like,
                farads,
            },
        );
    }
    circuit.add(
        "what it ends on",
        Part::Resistor {
            a: like,
            b: GROUND,
            ohms: entry_ohms(amplifier)?,
        },
    );
    Ok((circuit, take_off))
}

/// What the feedback resistor ends on, Ω at 1 kHz.
fn entry_ohms(amplifier: &Amplifier) -> Result<f64> {
    let mut circuit = amplifier.circuit()?.circuit;
    let Some(Part::Resistor { b: entry, .. }) = circuit.part("feedback resistor").cloned() else {
        anyhow::bail!("no feedback resistor");
    };
    // About the point at rest of the whole.
    let point = DirectPoint::of(&circuit)?;
    if let Some(Part::Resistor { ohms, .. }) = circuit.part_mut("feedback resistor") {
        *ohms = 1e12;
    }
    circuit.remove("across feedback capacitor");
    let small = SmallSignal::about(&circuit, &point);
    Ok(small.impedance(HERTZ, entry, GROUND)?.norm())
}

/// The loop: feedback at 1 kHz as the fall of the gain, and the margins.
///
/// # Errors
/// When either finds nothing.
pub fn around(amplifier: &Amplifier) -> Result<Vec<Pair>> {
    let found = headline(amplifier)?;
    let linear = Linear::of(amplifier)?;
    let stability = judged(amplifier)?;
    let (circuit, take_off) = broken(amplifier)?;
    let jack = named(&circuit, linear.built.jack);
    let text = script(
        &circuit,
        &format!(
            "alter @vinput[acmag] = 0\nac dec {FINE} 0.1 10meg\nset wr_singlescale\n\
             wrdata table.data v({})\nalter @vinput[acmag] = 1\nalter @ve[acmag] = 0\n\
             ac lin 1 1k 1k\nlet open = vdb({jack})\nprint open\n",
            named(&circuit, take_off)
        ),
    );
    let (printed, rows) = run_with_table(&text)?;
    let text = script(
        &linear.built.circuit,
        &format!("ac lin 1 1k 1k\nlet joined = vdb({jack})\nprint joined\n"),
    );
    let joined = run(&text)?;
    let fall = printed.value("open")? - joined.value("joined")?;
    let own = found.decibels.context("no feedback")?;
    let mut pairs = vec![pair("feedback", fall, own, 1.0, limit::GAIN)];
    // What is fed back is the volts of the take-off; `T` is their negative.
    let loop_gain: Vec<_> = over_frequency(&rows)?
        .into_iter()
        .map(|(hertz, volts)| (hertz, -volts))
        .collect();
    let margins = margins(&loop_gain);
    let none = f64::NAN;
    for (what, spice, own, limit) in [
        (
            "phase margin",
            margins.0,
            stability.phase_margin().map(|at| at.margin),
            limit::PHASE,
        ),
        (
            "gain margin",
            margins.1,
            stability.gain_margin().map(|at| at.margin),
            limit::MARGIN,
        ),
    ] {
        if spice.is_some() || own.is_some() {
            let (spice, own) = (spice.unwrap_or(none), own.unwrap_or(none));
            pairs.push(pair(what, spice, own, 1.0, limit));
        }
    }
    Ok(pairs)
}

/// Phase margin nearest to −180° and least gain margin, by straight lines between neighbours.
fn margins(loop_gain: &[(f64, Complex<f64>)]) -> (Option<f64>, Option<f64>) {
    let (mut phase, mut gain): (Option<f64>, Option<f64>) = (None, None);
    for near in loop_gain.windows(2) {
        let [(_, a), (_, b)] = near else { continue };
        let (la, lb) = (a.norm().ln(), b.norm().ln());
        if (la > 0.0) != (lb > 0.0) {
            let turned = (b / a).arg() * la / (la - lb);
            let at = -a * Complex::from_polar(1.0, turned);
            let margin = at.arg().to_degrees();
            if phase.is_none_or(|least| margin.abs() < least.abs()) {
                phase = Some(margin);
            }
        }
        if (a.im > 0.0) != (b.im > 0.0) && a.re < 0.0 && b.re < 0.0 {
            let share = a.im / (a.im - b.im);
            let margin = -decibels(Complex::from(a.re + share * (b.re - a.re)));
            if margin > 0.0 && gain.is_none_or(|least| margin < least) {
                gain = Some(margin);
            }
        }
    }
    (phase, gain)
}

/// What is said here of the loop.
///
/// # Errors
/// When there is no answer.
pub fn judged(amplifier: &Amplifier) -> Result<Stability> {
    let open = Linear::of(&opened(amplifier))?;
    let linear = Linear::of(amplifier)?;
    linear.stability(&open).context("no loop gain")
}

/// Whether a click at the input dies out in ngspice: seconds and step of each look, short and
/// long.
///
/// # Errors
/// When ngspice fails.
pub fn click_dies_out(amplifier: &Amplifier) -> Result<bool> {
    let built = amplifier.circuit()?;
    let jack = named(&built.circuit, built.jack);
    for (seconds, step) in LOOKS {
        let text = script(
            &built.circuit,
            &format!(
                "tran {step:e} {seconds:e} 0 {step:e}\n\
                 let quiet = v({jack})[0]\nlet off = abs(v({jack}) - quiet)\n\
                 meas tran ever MAX off FROM=0 TO={seconds:e}\n\
                 meas tran soon MAX off FROM={:e} TO={:e}\nmeas tran late MAX off FROM={:e} TO={seconds:e}\n",
                0.02 * seconds,
                0.2 * seconds,
                0.8 * seconds
            ),
        );
        let source = "AC 1e0";
        let at = text.find("Vinput ").context("no input")?;
        let (before, after) = text.split_at(at);
        let click = format!(
            "AC 0 PULSE(0 1m {:e} {:e} {:e} {:e} 1e3)",
            0.01 * seconds,
            step,
            step,
            4.0 * step
        );
        let text = format!("{before}{}", after.replacen(source, &click, 1))
            .replace("reltol=1e-6", "reltol=1e-5");
        let printed = run(&text)?;
        let (soon, late) = (printed.value("soon")?, printed.value("late")?);
        // What grows may end in silence, with every grid blocked.
        if printed.value("ever")? > GROWN_VOLTS {
            return Ok(false);
        }
        if late > 0.5 * soon && late > STILL_VOLTS {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Seconds and step: what grows fast, less fast, and slowly.
const LOOKS: [(f64, f64); 3] = [(1e-3, 1e-7), (30e-3, 3e-6), (2.0, 3e-4)];

/// More than this at the jack is no answer to a click of a millivolt: it would be a gain of 5000.
const GROWN_VOLTS: f64 = 5.0;

/// Less than this at the jack is the arithmetic of the simulator, V.
const STILL_VOLTS: f64 = 1e-5;

/// The netlist with a sine at the input.
///
/// # Errors
/// When the amplifier cannot be wired so.
pub fn sung(amplifier: &Amplifier, peak: f64) -> Result<(Circuit, Node)> {
    let mut built = amplifier.circuit()?;
    for (name, sign) in [("input", 1.0), ("input b", -1.0)] {
        if let Some(Part::Volts { source, .. }) = built.circuit.part_mut(name) {
            source.sine = (sign * peak, HERTZ);
        }
    }
    Ok((built.circuit, built.jack))
}

/// Fundamental, and distortion over it, of a spectrum.
pub fn distortion(spectrum: &[f64]) -> (f64, f64) {
    let squares: f64 = spectrum[2..].iter().map(|v| v * v).sum();
    (spectrum[1], squares.sqrt() / spectrum[1])
}

/// Driven by a sine until it repeats.
///
/// # Errors
/// When either finds nothing.
pub fn wave(amplifier: &Amplifier, peak: f64) -> Result<Vec<Pair>> {
    let (circuit, jack) = sung(amplifier, peak)?;
    let own = Transient::periodic(&circuit, HERTZ, STEPS)?;
    let (own_first, own_thd) = distortion(&own.harmonics(jack, 9));
    let printed = settle(&circuit, &named(&circuit, jack))?;
    let spectrum = printed.spectrum(&format!("v({})", named(&circuit, jack)))?;
    let (first, thd) = distortion(&spectrum[..10]);
    Ok(vec![
        pair("fundamental", first, own_first, own_first, limit::SIGNAL),
        pair("THD", thd, own_thd, 1.0, limit::DISTORTION),
    ])
}

/// Runs for more and more cycles until the fundamental stands still.
fn settle(circuit: &Circuit, jack: &str) -> Result<Printed> {
    let step = 1.0 / HERTZ / STEPS as f64;
    let mut before: Option<f64> = None;
    for cycles in [50, 100, 200, 400, 800] {
        let stop = f64::from(cycles) / HERTZ;
        let start = stop - 2.0 / HERTZ;
        let text = script(
            circuit,
            &format!(
                "tran {step:e} {stop:e} {start:e} {step:e}\nset nfreqs=10\nset fourgridsize=1024\n\
                 set polydegree=2\nfourier {HERTZ} v({jack})\n"
            ),
        );
        let printed = run(&text.replace("reltol=1e-6", "reltol=1e-5"))?;
        let (first, _) = distortion(printed.spectrum(&format!("v({jack})"))?);
        if before.is_some_and(|before| (before / first - 1.0).abs() < 0.2 * limit::SIGNAL) {
            return Ok(printed);
        }
        before = Some(first);
    }
    anyhow::bail!("it does not settle")
}

/// All that is compared of a case.
///
/// # Errors
/// When either finds nothing.
pub fn compare(case: &Case) -> Result<Vec<Pair>> {
    let amplifier = &case.amplifier;
    let mut pairs = small(amplifier, &closed(amplifier)?)?;
    pairs.push(from_the_jack(amplifier)?);
    if amplifier.feedback.is_some() {
        pairs.extend(around(amplifier)?);
        let own = f64::from(u8::from(judged(amplifier)?.is_stable()));
        let spice = f64::from(u8::from(click_dies_out(amplifier)?));
        pairs.push(pair("stable", spice, own, 1.0, 0.5));
    }
    if let Some(peak) = case.drive {
        pairs.extend(wave(amplifier, peak)?);
    }
    Ok(pairs)
}
