//! How a number came about: it opens to its formula, the values put in and the source.

use maud::{Markup, html};
use tapwright_core::working::{Input, Piece, Solution, Working};
use tapwright_units::Unit;

use crate::number;
use crate::words::say::say;

/// One number; it opens to its formula, the values put in and the source.
pub(super) fn show(key: &str, working: &Working, more: Markup) -> Markup {
    html! {
        details .working data-open=(key) {
            summary {
                span { (working.quantity) }
                b { (result(working)) }
            }
            p .formula { (symbol(working.symbol)) " = " (formula(working, false)) }
            p .formula { (symbol(working.symbol)) " = " (formula(working, true)) " = " b { (number::exact(working.result, working.unit)) } }
            ul .inputs {
                @for input in &working.inputs {
                    li { (symbol(input.symbol)) ": " (input.meaning) ", " (number::exact(input.value, input.unit)) }
                }
            }
            p .source { (say!("Source: {source}.", source = working.source)) }
            @if !working.note.is_empty() { p .source { (working.note) } }
            (more)
        }
    }
}

fn result(working: &Working) -> String {
    match (working.unit, working.symbol) {
        (Unit::Decibel, "D") => number::signed_decibels(working.result),
        (Unit::Decibel, _) => number::decibels(working.result),
        (Unit::One, "r") => number::times(working.result),
        (Unit::One, "p" | "d" | "η" | "η_s" | "η_t") => number::percent(working.result),
        (Unit::One, "A_1" | "A_f" | "d_f") => number::computed(working.result, Unit::One),
        (Unit::One, "u") => number::computed(working.result, Unit::One),
        (Unit::One, _) => format!(
            "{} : 1",
            number::computed(working.result, Unit::One).trim_end()
        ),
        (unit, _) => number::computed(working.result, unit),
    }
}

/// The formula with its symbols, or with the values in their place.
fn formula(working: &Working, values: bool) -> Markup {
    let pieces = working.pieces();
    // A value that is squared or below zero has brackets, as one would key it in.
    let bracketed = |at: usize, input: &Input| {
        let squared =
            matches!(pieces.get(at + 1), Some(Piece::Text(text)) if text.starts_with('²'));
        squared && input.unit != Unit::One || input.value < 0.0
    };
    html! {
        @for (at, piece) in pieces.iter().enumerate() {
            @match piece {
                Piece::Text(text) => (text),
                Piece::Symbol(input) if values && bracketed(at, input) => {
                    "(" (number::exact(input.value, input.unit)) ")"
                }
                Piece::Symbol(input) if values => (number::exact(input.value, input.unit)),
                Piece::Symbol(input) => (symbol(input.symbol)),
            }
        }
    }
}

/// A symbol in italics with its index set low: `Z_p`.
fn symbol(text: &str) -> Markup {
    html! {
        @match text.split_once('_') {
            Some((letter, index)) => { var { (letter) sub { (index) } } }
            None => { var { (text) } }
        }
    }
}

/// What was solved numerically: it opens to the equations, the solution and the residual.
pub(super) fn equations(index: usize, solution: &Solution) -> Markup {
    html! {
        details .working data-open={ "solved." (index) } {
            summary {
                span { (solution.quantity) }
                b { "solved" }
            }
            ul .equations { @for equation in &solution.equations { li { (equation) } } }
            ul .inputs {
                @for value in &solution.solution {
                    li { (symbol(value.symbol)) " = " (number::exact(value.value, value.unit)) ": " (value.meaning) }
                }
            }
            p .source {
                (say!(
                    "Left over in the equations: at most {residual}.",
                    residual = number::computed(solution.residual, solution.residual_unit),
                ))
            }
            p .source { (say!("Source: {source}.", source = solution.source)) }
        }
    }
}
