//! How near the models must come, and the table that says how near they do.

use crate::compare::{Comparison, Quantity};
use crate::misses;
use std::fmt::Write as _;
use tapwright_tube::Provenance;

/// How far a prediction may be from the published value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Target {
    /// This part of the published value.
    Relative(f64),
    /// This many percentage points.
    Points(f64),
}

/// The target of a value, for those that have one. Power is held closer on rows that took
/// part in the fit.
pub fn target(quantity: Quantity, fitted: bool) -> Option<Target> {
    match quantity {
        Quantity::IdlePlate => Some(Target::Relative(0.05)),
        Quantity::IdleScreen => Some(Target::Relative(0.25)),
        Quantity::Power => Some(Target::Relative(if fitted { 0.05 } else { 0.08 })),
        Quantity::Distortion => Some(Target::Points(2.0)),
        _ => None,
    }
}

/// Whether a value meets its target; `None` when it has none.
pub fn met(c: &Comparison) -> Option<bool> {
    let within = match target(c.quantity, c.fitted)? {
        Target::Relative(limit) => c.error().abs() <= limit,
        Target::Points(limit) => (c.predicted - c.published).abs() <= limit,
    };
    Some(within)
}

/// The reason why a value is known to miss its target, if it is.
pub fn known_miss(c: &Comparison) -> Option<&'static str> {
    misses::KNOWN
        .iter()
        .find(|(row, quantity, _)| *row == c.row && *quantity == c.quantity)
        .map(|(_, _, why)| *why)
}

/// How far off, as the table has it: per cent, or points of distortion.
fn error(c: &Comparison) -> String {
    let text = match target(c.quantity, c.fitted) {
        Some(Target::Points(_)) => format!("{:+.1} pt", c.predicted - c.published),
        _ => format!("{:+.1} %", 100.0 * c.error()),
    };
    text.replace('-', "−")
}

/// What the target makes of the value.
fn verdict(c: &Comparison) -> &'static str {
    match met(c) {
        Some(true) => "met",
        Some(false) => "MISSED",
        None => "",
    }
}

fn role(c: &Comparison) -> &'static str {
    if c.fitted { "fitted" } else { "held back" }
}

/// To four digits, as far as they matter.
fn short(value: f64) -> String {
    let places = match value.abs() {
        v if v >= 100.0 => 1,
        v if v >= 10.0 => 2,
        _ => 3,
    };
    let text = format!("{value:.places$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The numbers of values that meet their targets, in words, a line each.
fn summary(all: &[Comparison]) -> Vec<[String; 4]> {
    let mut lines = Vec::new();
    for fitted in [false, true] {
        for (quantity, name) in [
            (Quantity::IdlePlate, "idle plate current"),
            (Quantity::IdleScreen, "idle screen current"),
            (Quantity::Power, "power"),
            (Quantity::Distortion, "THD"),
        ] {
            let of_kind: Vec<_> = all
                .iter()
                .filter(|c| c.fitted == fitted && c.quantity == quantity)
                .collect();
            let near = of_kind.iter().filter(|c| met(c) == Some(true)).count();
            let limit = match target(quantity, fitted) {
                Some(Target::Relative(part)) => format!("{:.0} %", 100.0 * part),
                Some(Target::Points(points)) => format!("{points} points"),
                None => String::new(),
            };
            lines.push([
                if fitted { "fitted" } else { "held back" }.to_owned(),
                name.to_owned(),
                limit,
                format!("{near} of {}", of_kind.len()),
            ]);
        }
    }
    lines
}

/// Row, role, quantity, published and predicted values, and error, as they are written.
fn cells(c: &Comparison) -> [String; 6] {
    [
        c.row.to_string(),
        role(c).to_string(),
        c.quantity.name().to_string(),
        short(c.published),
        short(c.predicted),
        error(c),
    ]
}

/// The whole table in aligned columns, for a terminal.
pub fn plain(all: &[Comparison]) -> String {
    let mut text = format!(
        "{:9}  {:52}  {:15}  {:>9}  {:>9}  {:>9}  target\n",
        "row", "", "", "published", "predicted", "error"
    );
    for c in all {
        let [row, role, quantity, published, predicted, error] = cells(c);
        let line = format!(
            "{role:9}  {row:52}  {quantity:15}  {published:>9}  {predicted:>9}  {error:>9}  {}",
            verdict(c)
        );
        text += line.trim_end();
        text.push('\n');
    }
    for [role, name, limit, count] in summary(all) {
        let _ = writeln!(text, "{role}: {name} within {limit}: {count}");
    }
    text
}

/// The whole table as `ACCURACY.md` has it.
pub fn markdown(all: &[Comparison]) -> String {
    let mut text = String::from(
        "# How near the tube models come\n\n\
         Written by `cargo xtask fit`: do not edit. Every published value of \
         `crates/tapwright-tube/data/tubes.toml` beside what the fitted model makes of it. \
         *Held back*: the row took no part in the fit. *From memory*: recalled, not read in \
         a copy of the source.\n\n\
         Where a source drives the stage until a distortion that it prints, its power is \
         compared at that distortion, and its distortion at that power.\n\n\
         | rows | value | target | met |\n|---|---|---|---|\n",
    );
    for [role, name, limit, count] in summary(all) {
        let _ = writeln!(text, "| {role} | {name} | {limit} | {count} |");
    }
    text += "\n## What misses its target, and why\n\n";
    let missed: Vec<_> = all.iter().filter(|c| met(c) == Some(false)).collect();
    if missed.is_empty() {
        text += "Nothing.\n";
    }
    for c in missed {
        let [row, role, quantity, published, predicted, error] = cells(c);
        let _ = writeln!(
            text,
            "- {row} ({role}): {quantity} published {published}, predicted {predicted}, {error}. {}",
            known_miss(c).unwrap_or("No reason known.")
        );
    }
    text += "\n## Every value\n\n\
        | row | role | value | published | predicted | error | target | source |\n\
        |---|---|---|--:|--:|--:|---|---|\n";
    for c in all {
        let memory = match c.provenance {
            Provenance::Read => "",
            Provenance::FromMemory => ", from memory",
        };
        let [row, role, quantity, published, predicted, error] = cells(c);
        let _ = writeln!(
            text,
            "| {row} | {role} | {quantity} | {published} | {predicted} | {error} | {} | {}{memory} |",
            verdict(c),
            c.source
        );
    }
    text
}
