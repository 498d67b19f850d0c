//! One transformer from the first readings to the end.

use anyhow::{Context, Result, bail};
use tapwright_core::solve;
use tapwright_iron::measured::Pair;
use tapwright_iron::measured::findings::{Findings, Meter, Next, Open};

use super::bench::Bench;
use super::oracle::{lies, ranges};

/// Nobody takes more readings than these after the first ones.
const MOST: usize = 60;

/// How it ended.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// Everything is settled.
    Settled,
    /// No reading with these instruments can tell.
    CannotTell(Open),
    /// It does not end: why.
    Endless(String),
}

/// What came of a transformer.
#[derive(Debug, Clone)]
pub struct Followed {
    /// What was said that is not true, at any step.
    pub lies: Vec<String>,
    /// Loads stated at any step.
    pub stated: usize,
    /// Those of them whose interval holds the truth.
    pub held: usize,
    /// How it ended.
    pub end: End,
    /// Leads of the transformer.
    pub leads: usize,
    /// What Next asked for.
    pub asked: Vec<Next>,
    /// Rows of readings that were typed in the end.
    pub rows: usize,
    /// The link of what was typed in the end.
    pub link: String,
}

/// Follows the page's advice on the transformer that a number draws.
///
/// # Errors
/// When a field does not take what is typed, or when what is asked for cannot be read.
pub fn follow(seed: u64) -> Result<Followed> {
    let mut bench = Bench::new(seed)?;
    bench.first_readings()?;
    let mut asked: Vec<Next> = Vec::new();
    let (mut said, mut stated, mut held) = (Vec::new(), 0, 0);
    let end = loop {
        let report = solve(&bench.setup);
        said.extend(lies(&bench.made, &report));
        let (here, true_here) = ranges(&bench.made, &report);
        stated += here;
        held += true_here;
        let found = report.solved.measured.context("it is measured")?;
        let Some(next) = found.next.clone() else {
            break if found.unsure {
                End::Endless("unsure, and nothing is asked".into())
            } else {
                End::Settled
            };
        };
        if let Next::CannotTell(open) = next {
            break End::CannotTell(open);
        }
        if asked.contains(&next) {
            break End::Endless(format!("asks again: {next:?}"));
        }
        if next == Next::Contradiction || asked.len() > MOST {
            break End::Endless(format!("{next:?}"));
        }
        take(&mut bench, &found, &next)?;
        asked.push(next);
    };
    said.dedup();
    Ok(Followed {
        lies: said,
        stated,
        held,
        end,
        leads: bench.made.leads,
        rows: bench.setup.measured.ohms.len() + bench.setup.measured.volts.len(),
        asked,
        link: tapwright_core::link::encode(&bench.setup),
    })
}

/// Takes the reading that is asked for.
fn take(bench: &mut Bench, found: &Findings, next: &Next) -> Result<()> {
    match next {
        Next::OneWinding(pair) | Next::Ohms(pair) => bench.read_ohms(*pair, false),
        Next::Volts(next) => bench.read_volts(next.feed, Some(next.pair), false),
        Next::Again(again) if again.meter == Meter::Ohms => bench.read_ohms(again.pair, false),
        Next::Again(again) => {
            let feed = last_fed(found).context("volts again, and nothing is fed")?;
            bench.read_volts(feed, Some(again.pair), false)
        }
        Next::FedVolts(_) | Next::Contradiction | Next::CannotTell(_) => {
            bail!("{next:?} is not a reading")
        }
    }
}

/// What was fed last: a person leaves it on.
fn last_fed(found: &Findings) -> Option<Pair> {
    let fed = (found.agreements.iter().rev()).find(|one| one.shown.fed)?;
    Some(fed.shown.voltage.pair)
}
