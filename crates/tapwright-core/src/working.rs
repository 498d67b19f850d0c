//! How a number came about: the formula, the values put in, and where the formula is from.

use serde::Serialize;

use tapwright_units::Unit;

/// One value that goes into a formula.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Input {
    /// How the formula writes it.
    pub symbol: &'static str,
    /// Its value, in `unit`.
    pub value: f64,
    /// What the value counts.
    pub unit: Unit,
    /// What it is, in words.
    pub meaning: &'static str,
}

pub(crate) fn input(symbol: &'static str, value: f64, unit: Unit, meaning: &'static str) -> Input {
    Input {
        symbol,
        value,
        unit,
        meaning,
    }
}

/// One computed number with everything that a person needs to check it by hand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Working {
    /// What was computed, in words.
    pub quantity: &'static str,
    /// How formulas write it.
    pub symbol: &'static str,
    /// The right-hand side, in the symbols of `inputs`, with `√`, `²`, `×`, `log10`.
    pub formula: &'static str,
    /// The values put in.
    pub inputs: Vec<Input>,
    /// What comes out, in `unit`.
    pub result: f64,
    /// What the result counts.
    pub unit: Unit,
    /// Where the formula is from.
    pub source: &'static str,
    /// What else to know about it; empty when there is nothing.
    pub note: &'static str,
}

/// Numbers that no formula gives: the equations that were solved for them, and how nearly.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Solution {
    /// What was solved, in words.
    pub quantity: &'static str,
    /// The equations, in words and symbols.
    pub equations: Vec<&'static str>,
    /// The solution.
    pub solution: Vec<Input>,
    /// The largest disagreement that is left in any of the equations.
    pub residual: f64,
    /// Its unit.
    pub residual_unit: Unit,
    /// By which law and method.
    pub source: &'static str,
}

/// A formula cut into what stays and what values take the place of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Piece<'a> {
    /// Operators, brackets, numbers and function names.
    Text(&'a str),
    /// A symbol with a value.
    Symbol(&'a Input),
}

impl Working {
    /// The formula in pieces, in order: joined, they are the formula again.
    ///
    /// ```
    /// use tapwright_units::Unit;
    /// use tapwright_core::working::{Input, Piece, Working};
    /// let r = Input { symbol: "r", value: 2.0, unit: Unit::One, meaning: "ratio" };
    /// let working = Working {
    ///     quantity: "Mismatch loss", symbol: "L", formula: "(1 + r)² / (4 × r)",
    ///     inputs: vec![r.clone()], result: 1.125, unit: Unit::One, source: "", note: "",
    /// };
    /// assert_eq!(working.pieces()[1], Piece::Symbol(&r));
    /// ```
    pub fn pieces(&self) -> Vec<Piece<'_>> {
        let mut pieces = Vec::new();
        let mut rest = self.formula;
        while !rest.is_empty() {
            let start = rest.find(is_symbol_start).unwrap_or(rest.len());
            let (text, from) = rest.split_at(start);
            let end = from
                .find(|c: char| !is_symbol_part(c))
                .unwrap_or(from.len());
            let (name, after) = from.split_at(end);
            if !text.is_empty() {
                pieces.push(Piece::Text(text));
            }
            match self.inputs.iter().find(|input| input.symbol == name) {
                Some(input) => pieces.push(Piece::Symbol(input)),
                None if !name.is_empty() => pieces.push(Piece::Text(name)),
                None => {}
            }
            rest = after;
        }
        pieces
    }
}

fn is_symbol_start(c: char) -> bool {
    c.is_alphabetic()
}

/// `Z_p`, `Z′`, `log10`; the superscript two is an operator here.
fn is_symbol_part(c: char) -> bool {
    c.is_alphabetic() || c.is_ascii_digit() || c == '_' || c == '′'
}
