//! ngspice, and what it finds held against the output-stage solver.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail, ensure};
use tapwright_core::spice::Netlist;
use tapwright_stage::{Cycle, Drive, ScreenFeed, Solver, Stage};
use tapwright_tube::{Bias, Model};

pub mod amplifier;
mod race;

pub use race::{Race, race};

/// How far the two may be apart.
pub mod limit {
    /// Direct currents and voltages at idle, relative.
    pub const DIRECT: f64 = 0.001;
    /// Fundamental, power, average currents and slow voltages at a drive, relative.
    pub const SIGNAL: f64 = 0.005;
    /// Distortion, over the fundamental: 0.2 percentage points.
    pub const DISTORTION: f64 = 0.002;
    /// Gain over frequency and feedback, dB.
    pub const GAIN: f64 = 0.05;
    /// Phase of a gain, and phase margin, degrees.
    pub const PHASE: f64 = 0.5;
    /// Gain margin, dB.
    pub const MARGIN: f64 = 0.1;
}

/// How much a slow quantity may still move in ten cycles, relative to its size. What dies away
/// within ten cycles has less than that left to go, what takes 250 has 25 times as much, which
/// is the limit. A supply of a few hundred ohms is such a slow case, and a drive that follows a
/// cathode bias.
const STILL: f64 = 0.04 * limit::DIRECT;

/// The longest run before a stage counts as not settling.
const MOST_CYCLES: u32 = 16 * Netlist::CYCLES;

/// The simulator, or what to install.
///
/// # Errors
/// What is missing.
pub fn available() -> Result<(), String> {
    program().map(drop)
}

fn program() -> Result<PathBuf, String> {
    crate::tools::find(&["ngspice"])
}

/// What one run printed.
#[derive(Debug, Default, Clone, PartialEq)]
pub struct Printed {
    /// Lines such as `v(b) = 2.5e+02`.
    pub values: BTreeMap<String, f64>,
    /// Fourier tables: the average, then the amplitude of each harmonic.
    pub spectra: BTreeMap<String, Vec<f64>>,
}

impl Printed {
    /// Reads what ngspice prints by `print`, `meas` and `fourier`.
    pub fn read(text: &str) -> Self {
        let mut printed = Self::default();
        let mut table: Option<String> = None;
        for line in text.lines() {
            if let Some(name) = line.strip_prefix("Fourier analysis for ") {
                table = Some(name.trim_end_matches([':', ' ']).to_lowercase());
            } else if let Some((name, value)) = line.split_once(" = ") {
                let value = value.split_whitespace().next().map(str::parse);
                if let Some(Ok(value)) = value {
                    printed.values.insert(name.trim().to_lowercase(), value);
                }
            } else if let Some(name) = &table {
                let mut words = line.split_whitespace();
                let spectrum = printed.spectra.entry(name.clone()).or_default();
                let order = words.next().and_then(|word| word.parse::<usize>().ok());
                let size = words.nth(1).and_then(|word| word.parse().ok());
                if let (Some(order), Some(size)) = (order, size)
                    && order == spectrum.len()
                {
                    spectrum.push(size);
                }
            }
        }
        printed
    }

    /// A value by its name in lower case.
    ///
    /// # Errors
    /// When the run did not print it.
    pub fn value(&self, name: &str) -> Result<f64> {
        let value = self.values.get(name).copied();
        value.with_context(|| format!("ngspice did not print {name}"))
    }

    /// Average and harmonics by name in lower case, at least to the seventh.
    ///
    /// # Errors
    /// When the run did not print it.
    pub fn spectrum(&self, name: &str) -> Result<&[f64]> {
        match self.spectra.get(name) {
            Some(spectrum) if spectrum.len() > 8 => Ok(spectrum),
            _ => bail!("ngspice printed no harmonics of {name}"),
        }
    }
}

/// Runs a netlist that ends itself.
///
/// # Errors
/// With what ngspice said, when it failed.
pub fn run(netlist: &str) -> Result<Printed> {
    run_in(tempfile::tempdir()?.path(), netlist)
}

/// Runs a netlist that writes `table.data` by `wrdata`, and gives its rows too.
///
/// # Errors
/// With what ngspice said, when it failed or wrote no table.
pub fn run_with_table(netlist: &str) -> Result<(Printed, Vec<Vec<f64>>)> {
    let folder = tempfile::tempdir()?;
    let printed = run_in(folder.path(), netlist)?;
    let text = fs::read_to_string(folder.path().join("table.data"))
        .with_context(|| format!("ngspice wrote no table:\n{netlist}"))?;
    let row = |line: &str| -> Result<Vec<f64>> {
        let words = line.split_whitespace();
        Ok(words.map(str::parse).collect::<Result<_, _>>()?)
    };
    let rows = text.lines().map(row).collect::<Result<_>>()?;
    Ok((printed, rows))
}

fn run_in(folder: &Path, netlist: &str) -> Result<Printed> {
    let file = folder.join("stage.cir");
    fs::write(&file, netlist)?;
    let output = Command::new(program().map_err(anyhow::Error::msg)?)
        .args(["-n", "-b"])
        .arg(&file)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .context("cannot start ngspice")?;
    let text = String::from_utf8_lossy(&output.stdout);
    let complaints = String::from_utf8_lossy(&output.stderr);
    ensure!(
        output.status.success(),
        "ngspice failed: {text}{complaints}\n{netlist}"
    );
    Ok(Printed::read(&text))
}

/// Runs a stage until what should stand still does, for more and more cycles.
///
/// # Errors
/// When ngspice fails or the stage does not settle.
pub fn simulate(netlist: Netlist) -> Result<Printed> {
    let mut cycles = Netlist::CYCLES;
    loop {
        let printed = run(&netlist.for_cycles(cycles).to_string())?;
        let drift = drift(&printed);
        if drift < STILL {
            return Ok(printed);
        }
        ensure!(
            cycles < MOST_CYCLES,
            "after {cycles} cycles something still moves, by {drift}:\n{netlist}"
        );
        cycles *= 2;
    }
}

/// The largest change of a slow quantity between the two readings: of a voltage relative to
/// itself, of the magnetising current relative to the plates' whole current.
fn drift(printed: &Printed) -> f64 {
    let plates = printed.spectra.iter();
    let plates = plates.filter(|(name, _)| name.starts_with("i(vplate"));
    let amps: f64 = plates.filter_map(|(_, table)| table.first()).sum();
    let readings: Vec<f64> = printed
        .values
        .iter()
        .filter_map(|(name, early)| {
            let quantity = name.strip_prefix("early_")?;
            let late = printed.values.get(&format!("late_{quantity}"))?;
            let whole = if quantity == "lprimary" { amps } else { *early };
            Some((late - early).abs() / whole.abs().max(1e-9))
        })
        .collect();
    if readings.is_empty() && !printed.spectra.is_empty() {
        return f64::INFINITY;
    }
    readings.into_iter().fold(0.0, f64::max)
}

/// One quantity as both found it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// What it is.
    pub what: String,
    /// By ngspice.
    pub spice: f64,
    /// By this program.
    pub own: f64,
    /// What the difference is measured against.
    pub whole: f64,
    /// The largest difference allowed, over `whole`.
    pub limit: f64,
}

impl Pair {
    /// The difference over the limit: above 1 is too much.
    pub fn excess(&self) -> f64 {
        let off = (self.spice - self.own).abs() / (self.limit * self.whole.abs()).max(1e-300);
        if off.is_nan() { f64::INFINITY } else { off }
    }
}

impl std::fmt::Display for Pair {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{:<26} ngspice {:>12.6} own {:>12.6} {:>6.3} of the limit",
            self.what,
            self.spice,
            self.own,
            self.excess()
        )
    }
}

/// Solves a stage in both ways, at idle and at the drive, and pairs what they find.
///
/// # Errors
/// When either finds no solution.
pub fn compare(stage: Stage, load_ohms: f64, drive: Drive) -> Result<Vec<Pair>> {
    let printed = simulate(Netlist::new(stage, load_ohms, drive)?)?;
    pairs(&printed, stage, load_ohms, drive)
}

/// Pairs what ngspice printed with what this program finds for a stage.
///
/// # Errors
/// When this program finds no solution or something was not printed.
pub fn pairs(printed: &Printed, stage: Stage, load_ohms: f64, drive: Drive) -> Result<Vec<Pair>> {
    let mut solver = Solver::new(stage);
    let idle = solver.idle()?;
    let mut pairs = Vec::new();
    direct(&mut pairs, &stage, &idle, printed)?;
    if drive != Drive::Idle {
        let cycle = solver.cycle(load_ohms, drive)?;
        signal(&mut pairs, &stage, &cycle, printed)?;
    }
    Ok(pairs)
}

/// Direct currents and voltages of either, with ngspice's name for them: `true` for a current.
fn steady(stage: &Stage, cycle: &Cycle) -> Vec<(String, f64, bool)> {
    let pentode = matches!(stage.model, Model::Pentode(_));
    let mut steady = vec![("v(b)".to_owned(), cycle.supply_volts, false)];
    if pentode && !matches!(stage.screen, ScreenFeed::Tap(_)) {
        steady.push(("v(s)".to_owned(), cycle.screen_volts, false));
    }
    if matches!(stage.bias, Bias::Cathode(ohms) if ohms > 0.0) {
        steady.push(("v(k)".to_owned(), cycle.cathode_volts, false));
    }
    for (n, side) in (1..).zip(&cycle.sides) {
        if side.plate_amps > 0.0 {
            steady.push((format!("i(vplate{n})"), side.plate_amps, true));
            if pentode {
                steady.push((format!("i(vscreen{n})"), side.screen_amps, true));
            }
        }
    }
    steady
}

fn direct(pairs: &mut Vec<Pair>, stage: &Stage, idle: &Cycle, printed: &Printed) -> Result<()> {
    for (name, own, _) in steady(stage, idle) {
        pairs.push(Pair {
            spice: printed.value(&name)?,
            own,
            whole: own,
            limit: limit::DIRECT,
            what: format!("idle {name}"),
        });
    }
    Ok(())
}

fn signal(pairs: &mut Vec<Pair>, stage: &Stage, cycle: &Cycle, printed: &Printed) -> Result<()> {
    let mut pair = |what: String, spice: f64, own: f64, whole: f64, limit: f64| {
        pairs.push(Pair {
            what,
            spice,
            own,
            whole,
            limit,
        });
    };
    for (name, own, is_current) in steady(stage, cycle) {
        let limit = if is_current {
            limit::SIGNAL
        } else {
            limit::DIRECT
        };
        let average = printed.spectrum(&name)?[0];
        pair(format!("average {name}"), average, own, own, limit);
    }
    let whole = cycle.sides.iter().map(|s| s.plate_amps).sum();
    let magnetising = printed.spectrum("i(lprimary)")?[0];
    pair(
        "magnetising current".into(),
        magnetising,
        cycle.magnetising_amps,
        whole,
        limit::SIGNAL,
    );
    let load = printed.spectrum("v(load)")?;
    let first = load[1];
    let squares = |amplitudes: &[f64]| amplitudes.iter().map(|v| v * v).sum::<f64>();
    let [own_first, higher @ ..] = &cycle.harmonics;
    let own_first = own_first.abs();
    pair(
        "fundamental".into(),
        first,
        own_first,
        own_first,
        limit::SIGNAL,
    );
    let watts = squares(&load[1..]) / (2.0 * cycle.load_ohms);
    pair(
        "power".into(),
        watts,
        cycle.watts,
        cycle.watts,
        limit::SIGNAL,
    );
    let thd = squares(&load[2..]).sqrt() / first;
    pair("THD".into(), thd, cycle.thd, 1.0, limit::DISTORTION);
    for (order, (spice, own)) in (2..).zip(load[2..].iter().zip(higher)) {
        let own = own.abs() / own_first;
        pair(
            format!("H{order}"),
            spice / first,
            own,
            1.0,
            limit::DISTORTION,
        );
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const OUTPUT: &str = "\
No. of Data Rows : 1
v(b) = 2.500000e+02
late_k              =  1.234e+01 
Fourier analysis for v(load):
  No. Harmonics: 40, THD: 6.37613 %, Gridsize: 1024, Interpolation Degree: 1

Harmonic Frequency   Magnitude   Phase       Norm. Mag   Norm. Phase
-------- ---------   ---------   -----       ---------   -----------
 0       0           0.0095851   0           0           0          
 1       1000        208.795     0.999753    1           0          

Fourier analysis for i(Vplate1):
 0       0           0.0465207   0           0           0          
";

    #[test]
    fn reads_values_and_tables() {
        let printed = Printed::read(OUTPUT);
        assert_eq!(printed.value("v(b)").unwrap(), 250.0);
        assert_eq!(printed.value("late_k").unwrap(), 12.34);
        assert_eq!(printed.spectra["v(load)"], [0.009_585_1, 208.795]);
        assert_eq!(printed.spectra["i(vplate1)"], [0.046_520_7]);
        assert!(printed.value("v(s)").is_err());
        assert!(printed.spectrum("v(load)").is_err(), "too short");
    }

    /// A reading that is no number is as far apart as can be.
    #[test]
    fn nothing_agrees_with_nan() {
        let pair = Pair {
            what: "power".into(),
            spice: f64::NAN,
            own: 1.0,
            whole: 1.0,
            limit: limit::SIGNAL,
        };
        assert!(pair.excess() > 1.0);
    }
}
