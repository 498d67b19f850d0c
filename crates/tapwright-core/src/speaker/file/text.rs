//! A table in text: frequency in hertz, modulus in ohms, phase in degrees.
//!
//! Separated by semicolons, tabs, commas or spaces; lines that begin with `#`, `!`, `*`, `%`,
//! `;` or `//` are comments, and lines without a number above the first point a header.

use super::numeral::{self, Mark};
use super::{Line, Points, cut, quoted};

#[derive(Debug, Clone, Default)]
pub(super) struct Table {
    /// The first number that could be thousands: its line and its text.
    doubtful: Option<(usize, String)>,
    /// Whether a comma, or a point, was a decimal mark beyond doubt.
    comma: bool,
    point: bool,
}

impl Table {
    pub fn line(&mut self, text: &str, line: usize, points: &mut Points) -> Line {
        if text.starts_with(['#', '!', '*', '%', ';']) || text.starts_with("//") {
            return Ok(());
        }
        let fields = fields(text);
        let first = fields.first().copied().unwrap_or_default();
        if numeral::read(first).is_none() {
            return if points.all.is_empty() {
                header(text)
            } else {
                Err(format!(
                    "{} is not numbers; a header belongs above the first point",
                    quoted(text)
                ))
            };
        }
        let [hertz, ohms, degrees] = fields[..] else {
            let commas = text.contains(',') && !text.contains([';', '\t']);
            let hint = if commas && fields.len() > 3 {
                "; if its commas are decimal marks, save the table with semicolons"
            } else {
                ""
            };
            let count = fields.len();
            return Err(format!(
                "it has {count} values, and frequency, ohms and degrees are wanted{hint}"
            ));
        };
        points.add(
            self.number(hertz, line)?,
            self.number(ohms, line)?,
            self.number(degrees, line)?,
        )
    }

    fn number(&mut self, text: &str, line: usize) -> Result<f64, String> {
        let Some((value, mark)) = numeral::read(text) else {
            return Err(format!("{} is not a number", quoted(text)));
        };
        match mark {
            Mark::None => {}
            Mark::Point => self.point = true,
            Mark::Comma => self.comma = true,
            Mark::Doubtful => {
                self.doubtful.get_or_insert_with(|| (line, text.to_owned()));
            }
        }
        if self.point && (self.comma || self.doubtful.is_some()) {
            return Err(format!(
                "{} has another decimal mark than the lines before, points here and commas there",
                quoted(text)
            ));
        }
        Ok(value)
    }

    /// What only the whole table tells.
    pub fn end(&self) -> Result<(), (Option<usize>, String)> {
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

/// Units that a header names and that this table does not have.
fn header(text: &str) -> Line {
    let text = text.to_ascii_lowercase();
    let mut words = text.split(|c: char| !c.is_ascii_alphanumeric());
    let other = words.find(|word| matches!(*word, "khz" | "mhz" | "rad" | "radians" | "kohm"));
    match other {
        Some(unit) => Err(format!(
            "the header says {unit}; hertz, ohms and degrees are wanted"
        )),
        None => Ok(()),
    }
}

fn fields(text: &str) -> Vec<&str> {
    let set_off = |mark: char| cut(text.strip_suffix(mark).unwrap_or(text), mark);
    if text.contains(';') {
        return set_off(';');
    }
    let by_space = cut(text, ' ');
    if text.contains('\t') || !text.contains(',') {
        return by_space;
    }
    // `20, 7.1, 12` has commas between; `20,5 7,1 12` has them inside.
    let by_comma = set_off(',');
    let inside = |field: &&str| !field.starts_with(',') && !field.ends_with(',');
    let three = by_comma.len() == 3 && !by_comma.iter().any(|field| field.contains(' '));
    if !three && by_space.len() == 3 && by_space.iter().all(inside) {
        by_space
    } else {
        by_comma
    }
}
