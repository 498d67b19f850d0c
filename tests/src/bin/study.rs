//! Holds the solver against ngspice over whole grids, and writes down how far apart they are.
//!
//! With a number it runs the one case that the number draws, and prints all of it.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use anyhow::{Context, Result, ensure};
use tapwright_tests::circuit::{Pair, amplifier, compare};
use tapwright_tests::grid::{all_drawn, drawn, published};
use tapwright_tests::tools::{commit, root};
use tapwright_tests::{amplifiers, supplies};

/// What came of a case: what both found, or why one found nothing.
type Found = Result<Vec<Pair>>;

fn main() -> Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let [seed] = arguments.as_slice() {
        return one(seed.parse().context("a case is drawn by a whole number")?);
    }
    ensure!(arguments.is_empty(), "one number, or nothing, is expected");
    let commit = commit()?;
    let mut text = format!(
        "# The solvers against ngspice\n\n\
         Written by `cargo xtask study` at commit {commit}. The suite runs a tenth of it, and one \
         more case drawn by the date. Differences are given as parts of the limit: 0.1 % for \
         direct currents and voltages, 0.5 % for fundamental, power and averages at a drive, 0.2 \
         percentage points for distortion; for a whole amplifier 0.05 dB for gain and feedback, 0.5 degrees \
         for phase and phase margin, 0.1 dB for gain margin; for a supply 0.5 % for direct volts, 2 % for ripple, \
         rms and peak currents.\n"
    );
    let grids = [
        (
            "published operating examples, at 0.5, 1 and 2 of their load, at 0.4, 0.7 and 1 of full drive",
            published(),
        ),
        (
            "stages drawn at random: supplies, feeds of the screens, resistances, unlike sides",
            all_drawn()?,
        ),
    ];
    let mut wrong = 0;
    for (what, cases) in grids {
        println!("{} {what} …", cases.len());
        let found = run(&cases, |case| compare(case.stage, case.load, case.drive));
        let names: Vec<&str> = cases.iter().map(|case| case.name.as_str()).collect();
        wrong += report(&mut text, what, &names, &found)?;
    }
    let cases = amplifiers::all()?;
    let what = "whole amplifiers: ways to be wired; volts at rest, gain and phase from 10 Hz to \
                100 kHz, the loop, and whether a click dies out; some through time";
    println!("{} {what} …", cases.len());
    let found = run(&cases, amplifier::compare);
    let names: Vec<&str> = cases.iter().map(|case| case.name.as_str()).collect();
    wrong += report(&mut text, what, &names, &found)?;
    let cases = supplies::all();
    let what = "supplies drawn at random: four circuits of vacuum and silicon rectifiers, with up \
                to three resistors or chokes behind the first capacitor";
    println!("{} {what} …", cases.len());
    let found = run(&cases, supplies::compare);
    let names: Vec<&str> = cases.iter().map(|case| case.name.as_str()).collect();
    wrong += report(&mut text, what, &names, &found)?;
    let file = root().join("tests").join("STUDY.md");
    fs::write(&file, text)?;
    println!("{}", file.display());
    ensure!(wrong == 0, "{wrong} cases are beyond the limits");
    Ok(())
}

fn one(seed: u64) -> Result<()> {
    let case = drawn(seed)?;
    println!("{case:#?}");
    let pairs = compare(case.stage, case.load, case.drive)?;
    for pair in &pairs {
        println!("{pair}");
    }
    ensure!(far(&pairs) <= 1.0, "beyond the limits");
    Ok(())
}

/// Every case, by as many threads as there are cores.
fn run<Case: Sync>(cases: &[Case], compare: impl Fn(&Case) -> Found + Sync) -> Vec<Found> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        while let Some((at, case)) = {
            let at = next.fetch_add(1, Ordering::Relaxed);
            cases.get(at).map(|case| (at, case))
        } {
            done.push((at, compare(case)));
        }
        done
    };
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let found: BTreeMap<usize, Found> = thread::scope(|scope| {
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        workers
            .into_iter()
            .filter_map(|worker| worker.join().ok())
            .flatten()
            .collect()
    });
    found.into_values().collect()
}

/// Adds a grid's tables to the text, and gives the number of cases beyond the limits.
fn report(text: &mut String, what: &str, names: &[&str], found: &[Found]) -> Result<usize> {
    ensure!(found.len() == names.len(), "a thread did not finish");
    writeln!(text, "\n## {} {what}\n", names.len())?;
    writeln!(
        text,
        "| quantity | compared | median | 99 of 100 within | furthest | in |\n\
         | --- | ---: | ---: | ---: | ---: | --- |"
    )?;
    let mut excesses: BTreeMap<&str, Vec<(f64, &str)>> = BTreeMap::new();
    let mut wrong = Vec::new();
    for (name, found) in names.iter().zip(found) {
        match found {
            Ok(pairs) => {
                for pair in pairs {
                    let all = excesses.entry(kind(&pair.what)).or_default();
                    all.push((pair.excess(), *name));
                }
                if far(pairs) > 1.0 {
                    wrong.push(format!("{name}: {:.2} of the limit", far(pairs)));
                }
            }
            Err(why) => wrong.push(format!(
                "{name}: {}",
                format!("{why:#}").lines().next().unwrap_or_default()
            )),
        }
    }
    for (quantity, mut all) in excesses {
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        let rank = |part: f64| all[((part * all.len() as f64) as usize).min(all.len() - 1)];
        let (furthest, name) = rank(1.0);
        writeln!(
            text,
            "| {quantity} | {} | {:.3} | {:.3} | {furthest:.3} | {name} |",
            all.len(),
            rank(0.5).0,
            rank(0.99).0
        )?;
    }
    if wrong.is_empty() {
        writeln!(text, "\nAll are within the limits.")?;
    } else {
        writeln!(text, "\nBeyond the limits:\n\n- {}", wrong.join("\n- "))?;
    }
    Ok(wrong.len())
}

/// What a pair compares, without the names of nodes.
fn kind(what: &str) -> &str {
    match what.split_once(' ') {
        Some((kind @ ("idle" | "average" | "rest" | "volts" | "ripple"), _)) => kind,
        Some((kind @ ("gain" | "phase"), at)) if at.starts_with("at ") => kind,
        _ if what.starts_with('H') => "harmonics",
        _ => what,
    }
}

fn far(pairs: &[Pair]) -> f64 {
    pairs.iter().map(Pair::excess).fold(0.0, f64::max)
}
