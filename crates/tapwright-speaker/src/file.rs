//! Reads an impedance curve from a file, piece by piece: a table in text, or Touchstone.

use std::borrow::Cow;

use super::{CurvePoint, ImpedanceCurve};
use tapwright_units::entry::{excerpt, shortest, tidy};
use tapwright_units::numeral::{DecimalMark, Numeral};

mod text;
mod touchstone;

use text::Table;
use touchstone::Touchstone;

/// Most points that a file may hold.
pub const MOST_POINTS: usize = 200_000;

/// Longest line, in bytes.
const LONGEST_LINE: usize = 4_000;

/// Why a file could not be read, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileProblem {
    /// The line at fault, counted from 1.
    pub line: usize,
    /// What is wrong with it, in one sentence without a full stop.
    pub why: String,
}

impl std::fmt::Display for FileProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "line {}: {}", self.line, self.why)
    }
}

/// What a line is: its complaint goes with the line's number.
type Line = Result<(), String>;

/// A file being read. It stops at the first fault, so that no file is too large to be
/// refused at once.
#[derive(Debug, Clone)]
pub struct CurveFile {
    format: Format,
    points: Points,
    /// The line begun in the last piece.
    begun: Vec<u8>,
    line: usize,
    after_return: bool,
}

#[derive(Debug, Clone)]
enum Format {
    Table(Table),
    Touchstone(Touchstone),
}

impl CurveFile {
    /// A file of this name, of which nothing is read yet. Touchstone is known by the ending
    /// `.s1p` or `.ts`, or by its option line.
    pub fn new(name: &str) -> Self {
        let ends = |ending: &str| {
            let at = name.len().checked_sub(ending.len());
            at.and_then(|at| name.get(at..))
                .is_some_and(|end| end.eq_ignore_ascii_case(ending))
        };
        let format = if ends(".s1p") || ends(".ts") {
            Format::Touchstone(Touchstone::default())
        } else {
            Format::Table(Table::default())
        };
        Self {
            format,
            points: Points::default(),
            begun: Vec::new(),
            line: 0,
            after_return: false,
        }
    }

    /// Takes the next piece of the file.
    ///
    /// # Errors
    /// The first line that cannot be read.
    pub fn feed(&mut self, mut bytes: &[u8]) -> Result<(), FileProblem> {
        while let Some((first, after)) = bytes.split_first() {
            if self.after_return && *first == b'\n' {
                bytes = after;
            }
            self.after_return = false;
            let ends = |byte: &u8| matches!(byte, b'\n' | b'\r');
            let end = bytes.iter().position(ends);
            let (piece, rest) = bytes.split_at(end.unwrap_or(bytes.len()));
            if self.begun.len() + piece.len() > LONGEST_LINE {
                self.line += 1;
                return Err(self.problem(format!(
                    "it has more than {LONGEST_LINE} characters, so this is no table of a curve"
                )));
            }
            let Some((end, rest)) = rest.split_first() else {
                self.begun.extend_from_slice(piece);
                break;
            };
            self.after_return = *end == b'\r';
            bytes = rest;
            if self.begun.is_empty() {
                self.take(piece)?;
            } else {
                let mut line = std::mem::take(&mut self.begun);
                line.extend_from_slice(piece);
                self.take(&line)?;
            }
        }
        Ok(())
    }

    /// The curve, once the whole file was fed.
    ///
    /// # Errors
    /// What is wrong with the last line or with the whole.
    ///
    /// ```
    /// use tapwright_speaker::CurveFile;
    /// let mut file = CurveFile::new("bench.txt");
    /// file.feed(b"Hz\tohms\tdegrees\n20\t7.1\t12\n80\t3").unwrap();
    /// file.feed(b"0.5\t-3\n").unwrap();
    /// assert_eq!(file.finish().unwrap().points()[1].ohms, 30.5);
    /// ```
    pub fn finish(mut self) -> Result<ImpedanceCurve, FileProblem> {
        let last = std::mem::take(&mut self.begun);
        if !last.is_empty() {
            self.take(&last)?;
        }
        let end = match &self.format {
            Format::Table(table) => table.end(&self.points.all),
            Format::Touchstone(touchstone) => touchstone.end(self.points.all.len()),
        };
        if let Err((line, why)) = end {
            self.line = line.unwrap_or(self.line);
            return Err(self.problem(why));
        }
        let count = self.points.all.len();
        let lines = self.line;
        self.line = lines.max(1);
        let why = match (lines, count) {
            (0, _) => "the file is empty".to_owned(),
            (_, 0) => format!("none of the {lines} lines holds frequency, ohms and degrees"),
            (_, 1) => "it ends after one point, and a curve has two or more".to_owned(),
            _ => String::new(),
        };
        let points = std::mem::take(&mut self.points.all);
        ImpedanceCurve::checked(points).ok_or_else(|| self.problem(why))
    }

    /// How many points were read so far.
    pub fn points(&self) -> usize {
        self.points.all.len()
    }

    fn problem(&self, why: String) -> FileProblem {
        FileProblem {
            line: self.line,
            why,
        }
    }

    fn take(&mut self, line: &[u8]) -> Result<(), FileProblem> {
        self.line += 1;
        self.understand(line).map_err(|why| self.problem(why))
    }

    fn understand(&mut self, line: &[u8]) -> Line {
        let mut line = line;
        if self.line == 1 {
            if line.starts_with(&[0xFF, 0xFE]) || line.starts_with(&[0xFE, 0xFF]) {
                return Err("this is UTF-16; save it as plain text or UTF-8".into());
            }
            line = line.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(line);
        }
        let control = |byte: &&u8| **byte < 0x20 && !byte.is_ascii_whitespace();
        if let Some(byte) = line.iter().find(control) {
            return Err(format!(
                "it holds the byte {byte:02X}, so this is no text but a binary file"
            ));
        }
        let text = match str::from_utf8(line) {
            Ok(text) if text.is_ascii() => Cow::Borrowed(text),
            _ => Cow::Owned(tidy(&String::from_utf8_lossy(line))),
        };
        let text = text.trim_ascii();
        if text.is_empty() {
            return Ok(());
        }
        if let Format::Table(_) = self.format
            && self.points.all.is_empty()
            && touchstone::is_start(text)
        {
            self.format = Format::Touchstone(Touchstone::default());
        }
        match &mut self.format {
            Format::Table(table) => table.line(text, self.line, &mut self.points),
            Format::Touchstone(touchstone) => touchstone.line(text, &mut self.points),
        }
    }
}

/// The points read so far, each held against what a speaker can be.
#[derive(Debug, Clone, Default)]
struct Points {
    all: Vec<CurvePoint>,
}

impl Points {
    fn add(&mut self, hertz: f64, ohms: f64, degrees: f64) -> Line {
        let before = self.all.last().map_or(0.0, |point| point.hertz);
        let why = if self.all.len() == MOST_POINTS {
            format!("there are more than {MOST_POINTS} points; save fewer")
        } else if hertz <= 0.0 {
            "its frequency is not above zero".to_owned()
        } else if !(0.01..=1e7).contains(&hertz) {
            "its frequency is far beyond sound; are the units right?".to_owned()
        } else if ohms <= 0.0 {
            "its ohms are not above zero".to_owned()
        } else if ohms < 0.001 {
            "so few ohms are a short circuit, not a speaker".to_owned()
        } else if ohms > 1e6 {
            "so many ohms are an open circuit, not a speaker".to_owned()
        } else if degrees.abs() >= 90.0 {
            "its phase is impossible: that of a speaker stays within ±90°".to_owned()
        } else if hertz == before {
            format!(
                "it repeats {} Hz; each frequency stands there once",
                shortest(hertz)
            )
        } else if hertz < before {
            let (hertz, before) = (shortest(hertz), shortest(before));
            format!("{hertz} Hz comes after {before} Hz; frequencies rise from line to line")
        } else {
            let point = CurvePoint {
                hertz,
                ohms,
                degrees,
            };
            self.all.push(point);
            return Ok(());
        };
        Err(why)
    }
}

/// The values of a line: the first three, and how many there are.
#[derive(Default)]
struct Columns<'a> {
    first: [&'a str; 3],
    count: usize,
}

impl<'a> Columns<'a> {
    /// Cuts at a mark. Where that is a space, there may be several, and other blanks too.
    fn cut(text: &'a str, at: u8) -> Self {
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
    fn three(&self) -> Option<[&'a str; 3]> {
        (self.count == 3).then_some(self.first)
    }
}

/// A text without blanks or quotation marks around it.
fn bare(text: &str) -> &str {
    let is_inside = |byte: &u8| !byte.is_ascii_whitespace() && *byte != b'"';
    let from = text.as_bytes().iter().position(is_inside);
    let to = text.as_bytes().iter().rposition(is_inside);
    match (from, to) {
        (Some(from), Some(to)) => text.get(from..=to).unwrap_or_default(),
        _ => "",
    }
}

/// The text as a number and nothing else, without a letter in the place of its mark; `None`
/// for any other text.
fn whole_numeral(text: &str) -> Option<Numeral<'_>> {
    let numeral = Numeral::read(text)?;
    (numeral.rest.is_empty() && !matches!(numeral.mark, DecimalMark::Letter(_))).then_some(numeral)
}

/// The start of a line, as a message repeats it.
fn quoted(text: &str) -> String {
    format!("“{}”", excerpt(text))
}

/// Reads a whole curve from a text that is typed, points set off with semicolons or line
/// ends: `20, 7.1, 12; 80, 30.5, -3`.
///
/// # Errors
/// The first point that cannot be read, its place as the line.
///
/// ```
/// use tapwright_speaker::read_points;
/// assert_eq!(read_points("20 7.1 12; 80 30.5 -3").unwrap().points().len(), 2);
/// assert_eq!(read_points("20 7.1 12; 10 30.5 -3").unwrap_err().line, 2);
/// ```
pub fn read_points(text: &str) -> Result<ImpedanceCurve, FileProblem> {
    let mut file = CurveFile::new("");
    file.feed(text.replace(';', "\n").as_bytes())?;
    file.finish()
}

#[cfg(test)]
mod tests;
