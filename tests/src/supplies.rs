//! Supplies to hold the solver against ngspice with, drawn at random.

use std::fmt::Write as _;

use anyhow::{Context, Result, ensure};
use fastrand::Rng;
use strum::VariantArray as _;
use tapwright_supply::{
    Capacitor, Circuit, Feed, Law, Section, Series, Steady, Supply, deck, rectifiers,
};

use crate::circuit::{Pair, run};
use crate::grid;

/// How far the two may be apart.
mod limit {
    /// Direct volts, relative.
    pub const DIRECT: f64 = 0.005;
    /// Ripple, rms and peak currents, relative.
    pub const ALTERNATING: f64 = 0.02;
}

/// How many are drawn for the study.
const DRAWN: u64 = 60;
/// The suite runs one case of so many, of which each circuit is one.
const STEP: usize = 13;
/// How much volts may still move in ten cycles, relative: what takes 200 cycles to settle then has
/// twenty times as much left, an eighth of the limit, and ripple of [`LEAST_RIPPLE`] is wrong by
/// 1.5 %.
const STILL: f64 = 3e-5;
/// The longest run before a supply counts as not settling.
const MOST_CYCLES: u32 = 1_600;
/// Ripple below this part of the volts is not compared: ngspice is not exact enough there.
const LEAST_RIPPLE: f64 = 2e-4;

/// A supply to compare.
#[derive(Debug, Clone)]
pub struct Case {
    /// What is particular about it.
    pub name: String,
    /// The supply.
    pub supply: Supply,
}

/// All that the study runs.
pub fn all() -> Vec<Case> {
    (0..DRAWN).map(drawn).collect()
}

/// What the suite runs: some of all, the same every time, and one drawn by the date.
pub fn of_today() -> Vec<Case> {
    let mut cases: Vec<_> = all().into_iter().step_by(STEP).collect();
    cases.push(drawn(grid::today()));
    cases
}

/// An ordinary supply that a number draws: of each circuit in turn, with a rectifier of the table
/// or silicon, and up to three sections.
pub fn drawn(seed: u64) -> Case {
    let mut rng = Rng::with_seed(seed);
    let between = |rng: &mut Rng, low: f64, high: f64| low * (high / low).powf(rng.f64());
    let circuit = Circuit::VARIANTS[seed as usize % Circuit::VARIANTS.len()];
    let (law, called) = match rng.choice(rectifiers()) {
        Some(one) if rng.u32(0..3) > 0 => (one.law(), one.designation.as_str()),
        _ => (Law::Silicon, "silicon"),
    };
    let volts = between(&mut rng, 90.0, 400.0);
    let ohms = between(&mut rng, 20.0, 400.0);
    // A small part of what would flow into a short.
    let amps = (volts / ohms * between(&mut rng, 0.005, 0.06)).min(0.25);
    let bleeder = |rng: &mut Rng| rng.bool().then(|| between(rng, 47e3, 470e3));
    let mut supply = Supply {
        feed: Feed {
            volts,
            ohms,
            hertz: if rng.bool() { 50.0 } else { 60.0 },
        },
        circuit,
        law,
        first: Capacitor {
            farads: between(&mut rng, 8e-6, 150e-6),
            amps: amps * rng.f64(),
            bleeder_ohms: bleeder(&mut rng),
        },
        sections: Vec::new(),
    };
    let mut part = 1.0 - supply.first.amps / amps;
    for place in 0..rng.u32(0..=3) {
        let series = if place == 0 && rng.bool() {
            Series::Choke(between(&mut rng, 2.0, 20.0), between(&mut rng, 60.0, 400.0))
        } else {
            Series::Resistor(between(&mut rng, 0.01, 0.1) * volts / (part * amps))
        };
        let takes = part * amps * rng.f64();
        part -= takes / amps;
        supply.sections.push(Section {
            series,
            capacitor: Capacitor {
                farads: between(&mut rng, 8e-6, 100e-6),
                amps: takes,
                bleeder_ohms: bleeder(&mut rng),
            },
        });
    }
    // What a weak rectifier cannot give is halved until it can.
    while Steady::of(&supply).is_err() && supply.amps() > 1e-6 {
        let halved: Vec<f64> = supply.capacitors().map(|one| one.amps / 2.0).collect();
        supply = supply.with_amps(&halved);
    }
    let wired: &str = circuit.into();
    Case {
        name: format!("supplies::{seed}_{}_{called}", wired.replace('-', "_")),
        supply,
    }
}

/// Solves a supply in both ways, and pairs what they find.
///
/// # Errors
/// When either finds no steady state.
pub fn compare(case: &Case) -> Result<Vec<Pair>> {
    compare_with(&case.supply, &case.supply)
}

/// The same with one supply for ngspice and one for this program.
///
/// # Errors
/// As [`compare`].
pub fn compare_with(simulated: &Supply, own: &Supply) -> Result<Vec<Pair>> {
    let steady = Steady::of(own)?;
    // From volts that are a little wrong everywhere, so that to agree takes getting there.
    let start: Vec<f64> = steady.nodes.iter().map(|node| 0.97 * node.volts).collect();
    let parts = deck(simulated, &start);
    let mut cycles = 100;
    let printed = loop {
        let printed = run(&netlist(&parts, simulated, cycles)?)?;
        let drifts: Result<Vec<f64>> = (0..start.len())
            .map(|at| {
                let [early, late] =
                    ["early", "late"].map(|when| printed.value(&format!("{when}_{at}")));
                let (early, late) = (early?, late?);
                Ok((late / early - 1.0).abs())
            })
            .collect();
        if drifts?.iter().all(|drift| *drift < STILL) {
            break printed;
        }
        ensure!(
            cycles < MOST_CYCLES,
            "after {cycles} cycles something still moves"
        );
        cycles *= 4;
    };
    let mut pairs = Vec::new();
    let mut pair = |what: String, spice: f64, own: f64, limit: f64| {
        pairs.push(Pair {
            what,
            spice,
            own,
            whole: own,
            limit,
        });
    };
    for (at, node) in steady.nodes.iter().enumerate() {
        let volts = printed.value(&format!("late_{at}"))?;
        pair(format!("volts {at}"), volts, node.volts, limit::DIRECT);
        if node.ripple > LEAST_RIPPLE * node.volts {
            let ripple = printed.value(&format!("ripple_{at}"))?;
            pair(
                format!("ripple {at}"),
                ripple,
                node.ripple,
                limit::ALTERNATING,
            );
        }
    }
    let winding = steady.winding;
    pair(
        "rms of the winding".into(),
        printed.value("rms")?,
        winding.rms,
        limit::ALTERNATING,
    );
    pair(
        "peak of the winding".into(),
        -printed.value("least")?,
        winding.peak,
        limit::ALTERNATING,
    );
    Ok(pairs)
}

/// The deck with a run of so many cycles and what is measured in the last one.
fn netlist(parts: &str, supply: &Supply, cycles: u32) -> Result<String> {
    let cycle = 1.0 / supply.feed.hertz;
    let end = f64::from(cycles) * cycle;
    let last = format!("from={:e} to={end:e}", end - cycle);
    let early = format!("from={:e} to={:e}", end - 11.0 * cycle, end - 10.0 * cycle);
    let mut text = format!(
        "supply\n{parts}.options reltol=1e-6 abstol=1e-10 vntol=1e-6 method=trap\n.control\n\
         tran {:e} {end:e} {:e} {:e} uic\n",
        cycle / 800.0,
        end - 12.0 * cycle,
        cycle / 800.0,
    );
    let nodes = supply.capacitors().count();
    for at in 0..nodes {
        write!(
            text,
            "meas tran early_{at} avg v(n{at}) {early}\nmeas tran late_{at} avg v(n{at}) {last}\n\
             meas tran ripple_{at} pp v(n{at}) {last}\n"
        )
        .context("a deck is text")?;
    }
    write!(
        text,
        "meas tran rms rms i(vwinding) {last}\nmeas tran least min i(vwinding) {last}\n\
         quit\n.endc\n.end\n"
    )
    .context("a deck is text")?;
    Ok(text)
}
