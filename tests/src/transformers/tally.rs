//! How many transformers end how, and what was said of them on the way.

use std::fmt;

use super::follow::{End, Followed};

/// What is to be reached: of the 95 % intervals so many hold the truth, in percent.
const INTERVALS_HOLD: f64 = 93.0;

/// And at the median the end comes after so many more readings than there are leads, at most.
const MORE_THAN_LEADS: i64 = 4;

/// Counts over transformers.
#[derive(Debug, Clone, Default)]
pub struct Tally {
    /// What is not as it should be, each with the number that draws the transformer.
    pub wrong: Vec<String>,
    followed: usize,
    settled: usize,
    /// Those of which no reading can tell something: its number, and what.
    cannot_tell: Vec<String>,
    stated: usize,
    held: usize,
    /// For each how many more readings Next asked for than there are leads.
    asked: Vec<i64>,
    /// For each how many more rows were typed in the end, those before Next among them.
    rows: Vec<i64>,
}

impl Tally {
    /// Counts one more.
    pub fn add(&mut self, seed: u64, one: &Followed) {
        self.followed += 1;
        self.stated += one.stated;
        self.held += one.held;
        self.asked.push(more(one.asked.len(), one.leads));
        self.rows.push(more(one.rows, one.leads));
        self.wrong
            .extend(one.lies.iter().map(|lie| format!("{seed}: {lie}")));
        match &one.end {
            End::Settled => self.settled += 1,
            End::CannotTell(open) => self.cannot_tell.push(format!("{seed}: {open:?}")),
            End::Endless(why) => self.wrong.push(format!("{seed}: no end, {why}")),
        }
    }

    /// What is not as it should be, the numbers to be reached among them.
    pub fn failures(&self) -> Vec<String> {
        let mut failures = self.wrong.clone();
        if self.hold() < INTERVALS_HOLD {
            failures.push(format!("{:.2} % of the intervals hold", self.hold()));
        }
        let median = at(&self.asked, 0.5);
        if median > MORE_THAN_LEADS {
            failures.push(format!("readings at the median: leads {median:+}"));
        }
        failures
    }

    /// How many of the stated intervals hold the truth, in percent.
    fn hold(&self) -> f64 {
        100.0 * self.held as f64 / self.stated.max(1) as f64
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        writeln!(f, "| what | how many |\n| --- | ---: |")?;
        writeln!(f, "| transformers followed | {} |", self.followed)?;
        writeln!(f, "| settled in the end | {} |", self.settled)?;
        writeln!(
            f,
            "| “no reading with these instruments can tell” in the end | {} |",
            self.cannot_tell.len()
        )?;
        writeln!(
            f,
            "| wrong statements, and transformers without an end | {} |",
            self.wrong.len()
        )?;
        writeln!(
            f,
            "| loads stated on the way; of their 95 % intervals hold | {}; {:.2} % |",
            self.stated,
            self.hold()
        )?;
        for (what, all) in [
            ("readings that Next asks for", &self.asked),
            (
                "rows typed in the end, the first ones among them",
                &self.rows,
            ),
        ] {
            writeln!(
                f,
                "| {what}: median, nine of ten within | leads {:+}, leads {:+} |",
                at(all, 0.5),
                at(all, 0.9)
            )?;
        }
        for (what, list) in [
            ("No reading can tell", &self.cannot_tell),
            ("Wrong", &self.wrong),
        ] {
            if !list.is_empty() {
                writeln!(f, "\n{what}:\n\n- {}", list.join("\n- "))?;
            }
        }
        Ok(())
    }
}

/// By how much one number is more than another.
fn more(than: usize, leads: usize) -> i64 {
    i64::try_from(than).unwrap_or(i64::MAX) - i64::try_from(leads).unwrap_or(0)
}

/// The value below which this part of a list is.
fn at(list: &[i64], part: f64) -> i64 {
    let mut sorted = list.to_vec();
    sorted.sort_unstable();
    let place = (part * sorted.len() as f64) as usize;
    sorted
        .get(place.min(sorted.len().saturating_sub(1)))
        .copied()
        .unwrap_or(0)
}
