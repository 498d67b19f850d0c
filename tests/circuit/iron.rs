//! A transformer with its losses over frequency: wire, core, inductances and capacitance as
//! parts, the windings as coupled coils, the load on the secondary's own side.

use std::fmt::Write;

use anyhow::{Result, ensure};
use tapwright_iron::network::Network;
use tapwright_tests::circuit::{Printed, run};

use crate::Outcome;

/// How far the two may be apart.
const DECIBELS: f64 = 0.05;
/// The same for the phase, in degrees.
const DEGREES: f64 = 0.5;

/// A whole grid: each loss alone and all together, sources, loads, four decades.
pub fn agrees() -> Outcome {
    let mut compared = 0;
    for network in networks() {
        for source in [600.0, 5e3, 40e3] {
            for load in [Load(8.0, 0.0), Load(3.2, 0.0), Load(6.4, 0.5e-3)] {
                compared += check(&network, source, load)?;
            }
        }
    }
    ensure!(
        compared > 2_000,
        "only {compared} frequencies were compared"
    );
    Ok(())
}

/// At both −3 dB points ngspice finds half the power of mid band.
pub fn band_edges() -> Outcome {
    let mut edges = 0;
    for network in networks() {
        for source in [600.0, 5e3, 40e3] {
            let Some(band) = network.band(source, 8.0) else {
                continue;
            };
            let mid = 20.0 * network.transfer_at_mid_band(source, 8.0).log10();
            let hertz: Vec<f64> = [band.low, band.high].into_iter().flatten().collect();
            let printed = simulate(&network, source, Load(8.0, 0.0), &hertz)?;
            for (n, hertz) in hertz.iter().enumerate() {
                let below = printed.value(&format!("gain{n}"))? - mid;
                ensure!(
                    (below + 10.0 * 2_f64.log10()).abs() < DECIBELS,
                    "{below} dB at {hertz} Hz, source {source}, {network:?}"
                );
                edges += 1;
            }
        }
    }
    ensure!(edges > 20, "only {edges} edges");
    Ok(())
}

/// A tenth more leakage is noticed: the comparison can fail.
pub fn altered_part_is_noticed() -> Outcome {
    let own = everything();
    let altered = Network {
        leakage: 1.1 * own.leakage,
        ..own
    };
    let (source, load) = (5e3, Load(8.0, 0.0));
    let printed = simulate(&altered, source, load, &[10e3])?;
    let off = difference(&own, source, load, 10e3, &printed, 0)?;
    ensure!(
        off.iter().any(|excess| *excess > 1.0),
        "not noticed: {off:?}"
    );
    Ok(())
}

/// A resistance in series with an inductance, Ω and H.
#[derive(Clone, Copy)]
struct Load(f64, f64);

fn everything() -> Network {
    Network {
        primary_ohms: 350.0,
        secondary_ohms: 0.5,
        core_ohms: Some(60e3),
        inductance: Some(12.0),
        leakage: 0.04,
        capacitance: 800e-12,
        ..Network::ideal(25.0)
    }
}

/// Invented transformers: each loss alone, all together, a poor one, a large one.
fn networks() -> Vec<Network> {
    let (ideal, all) = (Network::ideal(25.0), everything());
    vec![
        ideal,
        Network {
            primary_ohms: all.primary_ohms,
            secondary_ohms: all.secondary_ohms,
            ..ideal
        },
        Network {
            core_ohms: all.core_ohms,
            ..ideal
        },
        Network {
            inductance: all.inductance,
            ..ideal
        },
        Network {
            leakage: all.leakage,
            ..ideal
        },
        Network {
            capacitance: all.capacitance,
            ..ideal
        },
        all,
        Network {
            turns_ratio: 40.0,
            primary_ohms: 1_100.0,
            secondary_ohms: 1.2,
            core_ohms: Some(15e3),
            inductance: Some(1.5),
            leakage: 0.25,
            capacitance: 3e-9,
        },
        Network {
            turns_ratio: 18.0,
            primary_ohms: 90.0,
            secondary_ohms: 0.15,
            core_ohms: Some(200e3),
            inductance: Some(90.0),
            leakage: 0.009,
            capacitance: 1.5e-9,
        },
    ]
}

fn check(network: &Network, source: f64, load: Load) -> Result<usize> {
    let hertz: Vec<f64> = (0..=36)
        .map(|n| 10.0 * 10_f64.powf(f64::from(n) / 9.0))
        .collect();
    let printed = simulate(network, source, load, &hertz)?;
    for (n, hertz) in hertz.iter().enumerate() {
        let off = difference(network, source, load, *hertz, &printed, n)?;
        ensure!(
            off.iter().all(|excess| *excess <= 1.0),
            "{off:?} of the limits (gain, its phase, input, its phase) at {hertz} Hz, \
             source {source} Ω, load {} Ω and {} H, {network:?}",
            load.0,
            load.1
        );
    }
    Ok(hertz.len())
}

/// Gain, its phase, input impedance and its phase: how far apart, over the limits.
fn difference(
    network: &Network,
    source: f64,
    Load(ohms, henry): Load,
    hertz: f64,
    printed: &Printed,
    n: usize,
) -> Result<[f64; 4]> {
    let omega = std::f64::consts::TAU * hertz;
    // The number type of the core, without naming its crate here.
    let mut load = network.input(hertz, 1.0.into());
    (load.re, load.im) = (ohms, omega * henry);
    let gain = network.transfer(hertz, source, load);
    let input = network.input(hertz, load);
    let decibels = |name: &str, own: f64| -> Result<f64> {
        let off = printed.value(&format!("{name}{n}"))? - 20.0 * own.log10();
        Ok(if off.is_nan() {
            f64::INFINITY
        } else {
            off.abs() / DECIBELS
        })
    };
    let degrees = |name: &str, own: f64| -> Result<f64> {
        let off = printed.value(&format!("{name}{n}"))? - own.to_degrees();
        let off = (off + 180.0).rem_euclid(360.0) - 180.0;
        Ok(if off.is_nan() {
            f64::INFINITY
        } else {
            off.abs() / DEGREES
        })
    };
    Ok([
        decibels("gain", gain.norm())?,
        degrees("turn", gain.arg())?,
        decibels("size", input.norm())?,
        degrees("angle", input.arg())?,
    ])
}

/// The node `p` is the primary's terminal, `m` the coil behind wire and leakage; a source of
/// one volt behind its resistance drives it.
fn simulate(network: &Network, source: f64, load: Load, hertz: &[f64]) -> Result<Printed> {
    let mut deck = format!("transformer\nVin in 0 AC 1\nRsource in p {source}\n");
    if network.capacitance > 0.0 {
        writeln!(deck, "Cshunt p 0 {:e}", network.capacitance)?;
    }
    // Parts that are not there are shorts: voltage sources of nothing.
    match network.primary_ohms {
        0.0 => writeln!(deck, "Vwire p w 0")?,
        ohms => writeln!(deck, "Rwire p w {ohms}")?,
    }
    match network.leakage {
        0.0 => writeln!(deck, "Vleak w m 0")?,
        henry => writeln!(deck, "Lleak w m {henry:e}")?,
    }
    if let Some(ohms) = network.core_ohms {
        writeln!(deck, "Rcore m 0 {ohms}")?;
    }
    let turns = network.turns_ratio;
    match network.inductance {
        // Two coils on one core without leakage, henries as the turns squared.
        Some(henry) => writeln!(
            deck,
            "Lprimary m 0 {henry:e}\nLsecondary s 0 {:e}\nKcore Lprimary Lsecondary 1",
            henry / turns.powi(2)
        )?,
        None => writeln!(
            deck,
            "Esecondary s0 0 m 0 {:e}\nVsecondary s0 s 0\nFprimary m 0 Vsecondary {:e}",
            1.0 / turns,
            1.0 / turns
        )?,
    }
    match network.secondary_ohms {
        0.0 => writeln!(deck, "Vtap s z 0")?,
        ohms => writeln!(deck, "Rtap s z {ohms}")?,
    }
    match load.1 {
        0.0 => writeln!(deck, "Rload z 0 {}", load.0)?,
        henry => writeln!(deck, "Rload z y {}\nLload y 0 {henry:e}", load.0)?,
    }
    deck.push_str(".control\nset numdgt=12\nset units=degrees\n");
    for (n, hertz) in hertz.iter().enumerate() {
        writeln!(
            deck,
            "ac lin 1 {hertz:e} {hertz:e}\n\
             let gain{n} = vdb(z)\nlet turn{n} = vp(z)\n\
             let input{n} = v(p) / (-i(vin))\n\
             let size{n} = vdb(input{n})\nlet angle{n} = vp(input{n})\n\
             print gain{n} turn{n} size{n} angle{n}"
        )?;
    }
    deck.push_str("quit 0\n.endc\n.end\n");
    run(&deck)
}
