//! Reads an impedance curve from a file, piece by piece: a table in text, or Touchstone.

use std::borrow::Cow;

use super::ImpedanceCurve;
use tapwright_units::entry::{excerpt, tidy};

mod columns;
mod points;
mod text;
mod touchstone;

pub use points::MOST_POINTS;
use points::Points;
use text::Table;
use touchstone::Touchstone;

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

/// What comes of reading one line; an error is what is wrong with it.
type Line = Result<(), String>;

/// A file being read. Reading stops at the first fault, so that even a huge file is refused
/// at once.
#[derive(Debug, Clone)]
pub struct CurveFile {
    format: Format,
    points: Points,
    /// The start of a line that the last piece did not finish.
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
    /// Starts to read a file of this name. A Touchstone file is recognised by its ending, `.s1p`
    /// or `.ts`, or by its option line.
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

    /// The curve, once the whole file has been fed.
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

/// The start of a line, as a message repeats it.
fn quoted(text: &str) -> String {
    format!("“{}”", excerpt(text))
}

/// Reads a whole curve from typed text. Semicolons or line ends separate the points:
/// `20, 7.1, 12; 80, 30.5, -3`.
///
/// # Errors
/// The first point that cannot be read; its `line` is the place of the point, from 1.
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
