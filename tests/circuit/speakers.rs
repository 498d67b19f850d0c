//! Impedance of hookups of unlike drivers, and what each driver gets, over frequency.
//!
//! A driver is R_e and L_e in series with a parallel circuit of R, L and C that has its
//! resonance and Qs: `R = R_e Q_ms/Q_es`, `C = Q_ms/(ω_s R)`, `L = 1/(ω_s² C)`. Small-signal
//! analysis by ngspice at each frequency; the hookups and drivers are invented.

use std::f64::consts::TAU;
use std::fmt::Write;

use anyhow::{Context, Result, ensure};
use tapwright_speaker::{Driver, Hookup, ImpedanceModel, MixedHookup, Motor, Size};
use tapwright_tests::circuit::run;
use tapwright_units::Ohms;

use crate::Outcome;

/// Impedance and shares may differ by so many decibels and degrees.
const DECIBELS: f64 = 0.05;
const DEGREES: f64 = 0.5;

const HERTZ: [f64; 9] = [20.0, 47.0, 65.0, 90.0, 118.0, 140.0, 400.0, 3e3, 20e3];

fn hookups() -> Result<Vec<(&'static str, Vec<Driver>)>> {
    use Size::{Eight, Elliptical, Fifteen, Ten, Twelve};
    let of = |size, rated: f64| Driver {
        model: ImpedanceModel::Generic(Motor::of_size(size, Ohms(rated)), Some(size)),
        ..Driver::generic(Ohms(rated))
    };
    let free = Motor::of_size(Ten, Ohms(8.0));
    let boxed = Driver {
        model: ImpedanceModel::ThieleSmall(free.in_closed_box(2.5)),
        ..Driver::generic(Ohms(8.0))
    };
    Ok(vec![
        ("8", vec![of(Twelve, 8.0)]),
        ("8+8", vec![boxed.clone(), of(Ten, 8.0)]),
        ("15//3", vec![of(Twelve, 15.0), of(Elliptical, 3.0)]),
        (
            "4+(8//16)",
            vec![of(Fifteen, 4.0), of(Eight, 8.0), of(Elliptical, 16.0)],
        ),
        (
            "(8+8)//(8+16)//32",
            vec![
                of(Ten, 8.0),
                boxed,
                of(Fifteen, 8.0),
                of(Eight, 16.0),
                of(Twelve, 32.0),
            ],
        ),
    ])
}

/// The drivers of a hookup between two nodes, each behind a source that reads its current.
fn place(
    netlist: &mut String,
    hookup: &Hookup,
    motors: &mut std::slice::Iter<Motor>,
    nodes: (&str, &str),
    count: &mut usize,
) -> Result<()> {
    match hookup {
        Hookup::Driver(_) => {
            let motor = motors.next().context("a driver for each place")?;
            let (n, (from, to)) = (*count, nodes);
            let w = TAU * motor.resonance;
            let damping = motor.coil_ohms * motor.mechanical_q / motor.electrical_q;
            let farads = motor.mechanical_q / (w * damping);
            writeln!(
                netlist,
                "Vd{n} {from} d{n} 0\nRe{n} d{n} e{n} {}",
                motor.coil_ohms
            )?;
            writeln!(netlist, "Le{n} e{n} m{n} {}", motor.coil_henries)?;
            writeln!(
                netlist,
                "Rm{n} m{n} {to} {damping}\nCm{n} m{n} {to} {farads}"
            )?;
            writeln!(netlist, "Lm{n} m{n} {to} {}", 1.0 / (w * w * farads))?;
            writeln!(netlist, "Ed{n} v{n} 0 {from} {to} 1\nRv{n} v{n} 0 1")?;
            *count += 1;
        }
        Hookup::Series(pair) => {
            let middle = format!("j{}x{}", *count, nodes.0);
            place(netlist, &pair.0, motors, (nodes.0, &middle), count)?;
            place(netlist, &pair.1, motors, (&middle, nodes.1), count)?;
        }
        Hookup::Parallel(pair) => {
            place(netlist, &pair.0, motors, nodes, count)?;
            place(netlist, &pair.1, motors, nodes, count)?;
        }
    }
    Ok(())
}

/// Differences that are too large, in words.
fn compare(text: &str, drivers: &[Driver], motors: &[Motor]) -> Result<Vec<String>> {
    let hookup = Hookup::read(text).map_err(|complaint| anyhow::Error::msg(complaint.why))?;
    let mixed = MixedHookup::new(&hookup, drivers).context("a driver for each place")?;
    let mut netlist = format!("* {text}\nI1 0 a DC 0 AC 1\n");
    place(
        &mut netlist,
        &hookup,
        &mut motors.iter(),
        ("a", "0"),
        &mut 0,
    )?;
    netlist.push_str(".control\n");
    for (at, hertz) in HERTZ.iter().enumerate() {
        writeln!(netlist, "ac lin 1 {hertz} {hertz}")?;
        let mut quantities = vec![("z".to_owned(), "v(a)".to_owned())];
        for n in 0..drivers.len() {
            quantities.push((format!("u{n}"), format!("v(v{n})")));
            quantities.push((format!("i{n}"), format!("i(vd{n})")));
        }
        for (name, vector) in quantities {
            for part in ["real", "imag"] {
                writeln!(netlist, "let {part}{at}{name} = {part}({vector})")?;
                writeln!(netlist, "print {part}{at}{name}")?;
            }
        }
    }
    netlist.push_str("quit\n.endc\n.end\n");
    let printed = run(&netlist)?;
    let mut wrong = Vec::new();
    for (at, hertz) in HERTZ.into_iter().enumerate() {
        let value = |name: &str| -> Result<(f64, f64)> {
            let part = |part: &str| printed.value(&format!("{part}{at}{name}"));
            Ok((part("real")?, part("imag")?))
        };
        let mut check = |what: &str, own: (f64, f64), spice: (f64, f64)| {
            let decibels = 20.0 * (own.0.hypot(own.1) / spice.0.hypot(spice.1)).log10();
            let turned = own.1.atan2(own.0) - spice.1.atan2(spice.0);
            let degrees = turned.sin().atan2(turned.cos()).to_degrees();
            // Not `>`: what is no number is wrong as well.
            if !(decibels.abs() <= DECIBELS && degrees.abs() <= DEGREES) {
                wrong.push(format!(
                    "{text} {what} at {hertz} Hz: {own:?} and {spice:?}"
                ));
            }
        };
        let z = value("z")?;
        let (own, shares) = mixed.at(hertz);
        check("impedance", (own.re, own.im), z);
        for (n, share) in shares.iter().enumerate() {
            let (u, i) = (value(&format!("u{n}"))?, value(&format!("i{n}"))?);
            // One ampere goes in: the voltage is the impedance.
            let over = |a: (f64, f64), b: (f64, f64)| {
                let square = b.0 * b.0 + b.1 * b.1;
                (
                    (a.0 * b.0 + a.1 * b.1) / square,
                    (a.1 * b.0 - a.0 * b.1) / square,
                )
            };
            check("voltage", (share.voltage.re, share.voltage.im), over(u, z));
            check("current", (share.current.re, share.current.im), i);
            let power = (u.0 * i.0 + u.1 * i.1) / z.0;
            // Power goes with the square: half the decibels.
            let root = |power: f64| (power.abs().sqrt().copysign(power), 0.0);
            check("power", root(share.power), root(power));
        }
    }
    Ok(wrong)
}

fn motors(drivers: &[Driver]) -> Result<Vec<Motor>> {
    let motor = |driver: &Driver| match &driver.model {
        ImpedanceModel::Generic(motor, _) | ImpedanceModel::ThieleSmall(motor) => Some(*motor),
        ImpedanceModel::Measured(_) => None,
    };
    drivers
        .iter()
        .map(|driver| motor(driver).context("a motor"))
        .collect()
}

/// Impedance, voltage, current and power of every driver: 0.05 dB and 0.5°.
pub fn agree() -> Outcome {
    for (text, drivers) in hookups()? {
        let wrong = compare(text, &drivers, &motors(&drivers)?)?;
        ensure!(wrong.is_empty(), "{}", wrong.join("\n"));
    }
    Ok(())
}

/// One coil two per cent off in the netlist alone is noticed.
pub fn altered_coil_is_noticed() -> Outcome {
    for (text, drivers) in hookups()? {
        let mut altered = motors(&drivers)?;
        altered
            .iter_mut()
            .take(1)
            .for_each(|motor| motor.coil_ohms *= 1.02);
        ensure!(!compare(text, &drivers, &altered)?.is_empty(), "{text}");
    }
    Ok(())
}
