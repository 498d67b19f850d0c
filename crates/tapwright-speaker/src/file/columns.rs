//! The columns of one line of a file.

use tapwright_units::numeral::{DecimalMark, Numeral};

/// The values of a line: the first three of them, and how many there are.
#[derive(Default)]
pub(super) struct Columns<'a> {
    pub first: [&'a str; 3],
    pub count: usize,
}

impl<'a> Columns<'a> {
    /// Cuts a line at a separator. A space stands for one or more blanks of any kind.
    pub fn cut(text: &'a str, at: u8) -> Self {
        let mut values = Self::default();
        let mut rest = text;
        loop {
            let ends = |byte: u8| byte == at || (at == b' ' && byte.is_ascii_whitespace());
            let end = rest.bytes().position(ends).unwrap_or(rest.len());
            let value = bare(rest.get(..end).unwrap_or_default());
            if at != b' ' || !value.is_empty() {
                if let Some(place) = values.first.get_mut(values.count) {
                    *place = value;
                }
                values.count += 1;
            }
            match rest.get(end + 1..) {
                Some(after) => rest = after,
                None => return values,
            }
        }
    }

    /// All of them, where there are three.
    pub fn three(&self) -> Option<[&'a str; 3]> {
        (self.count == 3).then_some(self.first)
    }
}

/// The text without the blanks and quotation marks around it.
fn bare(text: &str) -> &str {
    let is_inside = |byte: &u8| !byte.is_ascii_whitespace() && *byte != b'"';
    let from = text.as_bytes().iter().position(is_inside);
    let to = text.as_bytes().iter().rposition(is_inside);
    match (from, to) {
        (Some(from), Some(to)) => text.get(from..=to).unwrap_or_default(),
        _ => "",
    }
}

/// Reads a text that is one number and nothing else. A letter in the place of the decimal mark
/// does not count as a number here.
pub(super) fn whole_numeral(text: &str) -> Option<Numeral<'_>> {
    let numeral = Numeral::read(text)?;
    (numeral.rest.is_empty() && !matches!(numeral.mark, DecimalMark::Letter(_))).then_some(numeral)
}
