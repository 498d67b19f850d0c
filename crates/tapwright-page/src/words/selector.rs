//! Words for a selector: which positions are worth having, and what a wrong one does.

use tapwright_core::report::Report;
use tapwright_core::selector::{Selector, Wrong};
use tapwright_core::setup::{Setup, Topology};
use tapwright_iron::transformer::{Secondary, Transformer};

use super::{count_in_words, hookup, in_a_row, secondary, sentence_case};
use crate::number;

/// Which positions are worth having, and which hookups each serves, in a sentence or two.
pub fn positions(setup: &Setup, report: &Report, selector: &Selector) -> Option<String> {
    let transformer = report.solved.transformer.as_ref()?;
    let worth: Vec<String> = selector
        .worth()
        .map(|position| {
            let names: Vec<String> =
                (position.serves.iter().map(|at| called(setup, *at))).collect();
            format!(
                "{} for {}",
                name(transformer, position.tap),
                in_a_row(&names)
            )
        })
        .collect();
    let left: Vec<String> = selector
        .unserved(&report.solved)
        .map(|at| called(setup, at))
        .collect();
    let served = match worth.len() {
        0 => return Some("No tap on this lead serves any of these hookups.".into()),
        1 if left.is_empty() && report.solved.hookups.len() > 1 => {
            format!("One position serves all: {}.", worth[0])
        }
        1 => format!("One position is worth having: {}.", worth[0]),
        count => format!(
            "{} positions are worth having: {}.",
            sentence_case(&count_in_words(count)),
            worth.join("; ")
        ),
    };
    Some(match left.len() {
        0 => served,
        _ => format!("{served} Nothing on this lead suits {}.", in_a_row(&left)),
    })
}

/// What a wrong position does, in a sentence.
pub fn wrong(setup: &Setup, report: &Report, wrong: &Wrong) -> Option<String> {
    let transformer = report.solved.transformer.as_ref()?;
    let mut effects = vec![load(wrong.load)];
    if let Some(decibels) = wrong.decibels.filter(|decibels| decibels.abs() >= 0.05) {
        let change = number::decibels_one_place(decibels.abs());
        effects.push(match decibels < 0.0 {
            true => format!("{change} less"),
            false => format!("{change} more"),
        });
    }
    if let Some(thd) = wrong.dirtier {
        effects.push(format!("{} distortion", number::percent_short(thd)));
    }
    let [plates, screens] = wrong.harder;
    let several = report.solved.topology == Topology::PushPull;
    if plates {
        effects.push(
            if several {
                "plates hotter"
            } else {
                "the plate hotter"
            }
            .into(),
        );
    }
    if screens {
        effects.push(
            if several {
                "screens hotter"
            } else {
                "the screen hotter"
            }
            .into(),
        );
    }
    Some(format!(
        "Selector at {} with {}: {}.",
        name(transformer, wrong.tap),
        called(setup, wrong.hookup),
        effects.join(", ")
    ))
}

/// A hookup by its name, or by its ohms: `the 8 Ω speaker`.
fn called(setup: &Setup, at: usize) -> String {
    let name = hookup(setup, at);
    match name.parse::<f64>() {
        Ok(_) => format!("the {name}{}Ω speaker", number::NO_BREAK),
        Err(_) => name,
    }
}

fn name(transformer: &Transformer, at: usize) -> String {
    secondary(transformer, Secondary::Tap(at))
}

/// A load against the right one.
fn load(ratio: f64) -> String {
    let near = |round: f64| (ratio / round - 1.0).abs() < 0.03;
    let words = [
        (0.2, "a fifth of the load"),
        (0.25, "a quarter of the load"),
        (1.0 / 3.0, "a third of the load"),
        (0.5, "half the load"),
        (2.0, "twice the load"),
        (3.0, "three times the load"),
        (4.0, "four times the load"),
        (5.0, "five times the load"),
    ];
    match words.into_iter().find(|(round, _)| near(*round)) {
        Some((_, words)) => words.into(),
        None => format!("{} the load", number::times(ratio)),
    }
}
