//! A table in text: frequency in hertz, modulus in ohms, phase in degrees.
//!
//! Semicolons, tabs, commas or spaces separate the columns. A line that begins with `#`, `!`,
//! `*`, `%`, `;` or `//` is a comment; a line without a number above the first point is a header.

use super::columns::{Columns, whole_numeral};
use super::points::Points;
use super::{Line, quoted};
use crate::ImpedancePoint;
use tapwright_units::entry::shortest;
use tapwright_units::numeral::{DecimalMark, Numeral};

#[derive(Debug, Clone, Default)]
pub(super) struct Table {
    /// The first number that could be thousands: its line and its text.
    doubtful: Option<(usize, String)>,
    /// Whether a comma was certainly a decimal mark, and whether a point was.
    comma: bool,
    point: bool,
}

impl Table {
    pub fn line(&mut self, text: &str, line: usize, points: &mut Points) -> Line {
        if let [b'#' | b'!' | b'*' | b'%' | b';', ..] | [b'/', b'/', ..] = text.as_bytes() {
            return Ok(());
        }
        let fields = fields(text);
        let [first, ..] = fields.first;
        let Some(hertz) = whole_numeral(first) else {
            return if points.all.is_empty() {
                header(text)
            } else {
                Err(format!(
                    "{} is not numbers; a header belongs above the first point",
                    quoted(text)
                ))
            };
        };
        let Some([_, ohms, degrees]) = fields.three() else {
            let count = fields.count;
            let commas = text.contains(',') && !text.contains([';', '\t']);
            let hint = if commas && count > 3 {
                "; if its commas are decimal marks, save the table with semicolons"
            } else {
                ""
            };
            return Err(format!(
                "it has {count} values, and frequency, ohms and degrees are wanted{hint}"
            ));
        };
        points.add(
            self.value(hertz, first, line)?,
            self.number(ohms, line)?,
            self.number(degrees, line)?,
        )
    }

    fn number(&mut self, text: &str, line: usize) -> Result<f64, String> {
        match whole_numeral(text) {
            Some(numeral) => self.value(numeral, text, line),
            None => Err(format!("{} is not a number", quoted(text))),
        }
    }

    /// The value of a number. Refuses a decimal mark unlike those before.
    fn value(&mut self, numeral: Numeral, text: &str, line: usize) -> Result<f64, String> {
        if numeral.could_be_thousands() && numeral.exponent.is_empty() {
            self.doubtful.get_or_insert_with(|| (line, text.to_owned()));
        } else {
            self.point |= numeral.mark == DecimalMark::Point;
            self.comma |= numeral.mark == DecimalMark::Comma;
        }
        if self.point && (self.comma || self.doubtful.is_some()) {
            return Err(format!(
                "{} has another decimal mark than the lines before, points here and commas there",
                quoted(text)
            ));
        }
        Ok(numeral.value())
    }

    /// Checks what only the whole table can tell.
    pub fn end(&self, points: &[ImpedancePoint]) -> Result<(), (Option<usize>, String)> {
        // Nobody measures a speaker from below 1 Hz up to 100 Hz or less. Own estimate.
        if let [first, .., last] = points
            && first.hertz < 1.0
            && last.hertz <= 100.0
        {
            let why = format!(
                "it ends at {} Hz; are those kilohertz? Hertz are wanted",
                shortest(last.hertz)
            );
            return Err((None, why));
        }
        match &self.doubtful {
            Some((line, text)) if !self.comma => Err((
                Some(*line),
                format!(
                    "“{text}” can be read as {} or as {}, and no other number settles it",
                    text.replace(',', ""),
                    text.replace(',', ".")
                ),
            )),
            _ => Ok(()),
        }
    }
}

/// Refuses a header that names other columns than these, or another order.
fn header(text: &str) -> Line {
    let text = text.to_ascii_lowercase();
    let columns = fields(&text).three();
    let other = words(&text).find(|word| {
        let unit = matches!(*word, "khz" | "mhz" | "rad" | "radians" | "kohm");
        let part = matches!(
            *word,
            "r" | "x" | "re" | "im" | "real" | "imag" | "imaginary"
        );
        unit || part && columns.is_some()
    });
    let phase = |word: &str| matches!(word, "phase" | "deg" | "degrees" | "angle");
    let swapped = columns.is_some_and(|[_, ohms, _]| words(ohms).any(phase));
    match other {
        Some(other) => Err(format!(
            "the header says {other}; hertz, ohms and degrees are wanted"
        )),
        None if swapped => Err("the header has the phase before the ohms; hertz, ohms and \
                                degrees are wanted, in this order"
            .into()),
        None => Ok(()),
    }
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_ascii_alphanumeric())
}

fn fields(text: &str) -> Columns<'_> {
    let set_off = |mark: char| Columns::cut(text.strip_suffix(mark).unwrap_or(text), mark as u8);
    let has = |mark: u8| text.as_bytes().contains(&mark);
    if has(b';') {
        return set_off(';');
    }
    let by_space = Columns::cut(text, b' ');
    if has(b'\t') || !has(b',') {
        return by_space;
    }
    // `20, 7.1, 12` has commas between; `20,5 7,1 12` has them inside.
    let by_comma = set_off(',');
    let inside = |field: &&str| !field.starts_with(',') && !field.ends_with(',');
    let whole = |field: &&str| !field.contains(' ');
    let three = by_comma.three().is_some_and(|all| all.iter().all(whole));
    if !three && by_space.three().is_some_and(|all| all.iter().all(inside)) {
        by_space
    } else {
        by_comma
    }
}
