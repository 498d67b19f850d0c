//! Set-ups as a small text file: the keys of a link one a line, so that a person can read them
//! and change them in any editor.
//!
//! ```text
//! # A set-up of Tapwright. Open this file on the page, or read it here.
//!
//! saved: 2026-11-29 14:03
//! answer: blue 10k + green 8: pair sees 10.0 kΩ, 4.60 W, fits
//! v=1
//! name=Porch amp
//! primary=brown 8k, blue 10k
//! ```
//!
//! A further set-up begins behind an empty line. What an escape is needed for in a link stands
//! here as it was typed, but for what delimits.

use std::fmt::Write;

use percent_encoding::percent_decode_str;
use strum::VariantArray;
use tapwright_units::entry::excerpt;

use super::{Parsed, encode, parse};
use crate::setup::{List, Setup, Written};

/// Most bytes that a file of set-ups can have: a thousand set-ups with curves.
pub const LARGEST: usize = 8_000_000;

/// Most set-ups in a file.
pub const MOST: usize = 1_000;

const HEADING: &str = "# A set-up of Tapwright. Open this file on the page, or read it here.\n";
const HEADING_OF_MANY: &str =
    "# Set-ups of Tapwright. Open this file on the page, or read it here.\n";

/// A set-up with what a list shows of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Saved {
    /// When it was saved, as people write it; empty where that is not known.
    pub when: String,
    /// What the page answers to it, in brief; empty where that is not known.
    pub answer: String,
    /// The set-up, and what of it could not be read.
    pub parsed: Parsed,
}

/// Why a text is no file of set-ups, in a sentence without a full stop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotSaved {
    /// It is no text.
    Bytes,
    /// There is nothing in it.
    Empty,
    /// It begins with something else.
    Other(String),
    /// There are too many in it.
    TooMany,
}

impl std::fmt::Display for NotSaved {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Bytes => f.write_str("is no text, and so no set-up"),
            Self::Empty => f.write_str("is empty"),
            Self::Other(line) => write!(
                f,
                "is no set-up: it begins with “{line}”, where “v=1” would stand"
            ),
            Self::TooMany => write!(f, "holds more than {MOST} set-ups"),
        }
    }
}

/// Writes set-ups, each with when it was saved and what the page answers to it.
///
/// ```
/// use tapwright_core::link::{parse, saved};
/// let setup = parse("v=1&primary=brown%208k&taps=4,%208&hookup=8//8").setup;
/// let text = saved::write([("2026-11-29 14:03", "", &setup)]);
/// assert!(text.ends_with("v=1\nprimary=brown 8k\ntaps=4, 8\nhookup=8//8\n"));
/// assert_eq!(saved::read(text.as_bytes()).expect("set-ups")[0].parsed.setup, setup);
/// ```
pub fn write<'a>(setups: impl IntoIterator<Item = (&'a str, &'a str, &'a Setup)>) -> String {
    let mut text = String::new();
    let mut count = 0;
    for (when, answer, setup) in setups {
        count += 1;
        text.push('\n');
        for (key, value) in [("saved", when), ("answer", answer)] {
            let value = value.replace(['\n', '\r'], " ");
            if !value.trim().is_empty() {
                let _ = writeln!(text, "{key}: {}", value.trim());
            }
        }
        push(&mut text, setup);
    }
    let heading = if count == 1 { HEADING } else { HEADING_OF_MANY };
    format!("{heading}{text}")
}

fn push(text: &mut String, setup: &Setup) {
    let known = Setup {
        unknown: Vec::new(),
        ..setup.clone()
    };
    for piece in encode(&known).split('&') {
        text.push_str(&readable(piece));
        text.push('\n');
    }
    // As it stood in the link, for nobody knows what its escapes mean.
    for piece in &setup.unknown {
        // A line that begins so is a remark.
        text.push_str(&piece.replacen("# ", "#%20", 1));
        text.push('\n');
    }
}

/// A piece of a link with every escape undone that is not needed in a line.
fn readable(piece: &str) -> String {
    let Some((key, value)) = piece.split_once('=') else {
        return piece.into();
    };
    let is_row = List::VARIANTS.iter().any(|list| {
        let about = list.about();
        about.key == key && about.written != Written::Keys
    });
    let keeps = |letter: char| match letter {
        '%' | '&' | '#' => false,
        ':' | '@' | ',' => !is_row,
        ' ' => true,
        other => !other.is_control() && !other.is_whitespace() && !is_unseen(other),
    };
    let mut line = format!("{key}=");
    let mut rest = value;
    while let Some(at) = rest.find('%') {
        line.push_str(&rest[..at]);
        let run = run_of_escapes(&rest[at..]);
        let raw = &rest[at..at + run];
        match percent_decode_str(raw).decode_utf8() {
            Ok(letters) if run > 0 => {
                for letter in letters.chars() {
                    match keeps(letter) {
                        true => line.push(letter),
                        false => line.push_str(&super::percent::escaped_whole(letter)),
                    }
                }
                rest = &rest[at + run..];
            }
            _ => {
                line.push('%');
                rest = &rest[at + 1..];
            }
        }
    }
    line.push_str(rest);
    // An editor may take away a space at the end of a line.
    match line.strip_suffix(' ') {
        Some(less) => format!("{less}%20"),
        None => line,
    }
}

/// How many bytes at the beginning of a text are escapes, one behind the other.
fn run_of_escapes(text: &str) -> usize {
    let is_escape = |bytes: &&[u8]| {
        bytes.len() == 3 && bytes[0] == b'%' && bytes[1..].iter().all(u8::is_ascii_hexdigit)
    };
    3 * text.as_bytes().chunks(3).take_while(is_escape).count()
}

/// Marks that change how a line is shown and are not seen themselves (Unicode, UAX #9).
fn is_unseen(letter: char) -> bool {
    matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

/// Whether a text begins as a file of set-ups does, so that a file that is dropped is not taken
/// for a curve.
pub fn begins_one(text: &str) -> bool {
    let first = lines(text).next();
    first.is_some_and(|line| is_first(line) || parse(line).understood > 0)
}

/// Reads a file of set-ups. A file with nothing but a link in it is read as well.
pub fn read(bytes: &[u8]) -> Result<Vec<Saved>, NotSaved> {
    let text = std::str::from_utf8(bytes).map_err(|_| NotSaved::Bytes)?;
    let is_text = |letter: char| !letter.is_control() || letter.is_whitespace();
    if !text.chars().all(is_text) {
        return Err(NotSaved::Bytes);
    }
    let first = lines(text).next().ok_or(NotSaved::Empty)?;
    if !is_first(first) {
        return link(first).ok_or_else(|| NotSaved::Other(excerpt(first)));
    }
    let mut all: Vec<Draft> = Vec::new();
    let mut is_apart = true;
    for line in every_line(text) {
        if is_remark(line) {
            is_apart = true;
            continue;
        }
        if is_apart && is_first(line) {
            if all.len() == MOST {
                return Err(NotSaved::TooMany);
            }
            all.push(Draft::default());
        }
        is_apart = false;
        let Some(draft) = all.last_mut() else {
            continue;
        };
        // Behind the first key of the link, all belongs to the link.
        let said = line.split_once(": ").filter(|_| draft.pieces.is_empty());
        match said {
            Some(("saved", when)) => draft.when = when.trim_end().into(),
            Some(("answer", answer)) => draft.answer = answer.trim_end().into(),
            _ => draft.pieces.push(line),
        }
    }
    Ok(all.into_iter().map(Draft::done).collect())
}

#[derive(Default)]
struct Draft<'a> {
    when: String,
    answer: String,
    pieces: Vec<&'a str>,
}

impl Draft<'_> {
    fn done(self) -> Saved {
        Saved {
            when: self.when,
            answer: self.answer,
            parsed: parse(&self.pieces.join("&")),
        }
    }
}

fn every_line(text: &str) -> impl Iterator<Item = &str> {
    text.strip_prefix('\u{feff}').unwrap_or(text).lines()
}

/// Whether nothing in a line belongs to a set-up.
fn is_remark(line: &str) -> bool {
    line.trim().is_empty() || line.starts_with("# ")
}

/// The lines that say something.
fn lines(text: &str) -> impl Iterator<Item = &str> {
    every_line(text).filter(|line| !is_remark(line))
}

/// Whether a set-up begins with this line.
fn is_first(line: &str) -> bool {
    let begins = |key: &&str| line.starts_with(*key);
    !line.contains('&') && ["v=", "saved: ", "answer: "].iter().any(begins)
}

/// A file with a link in it.
fn link(line: &str) -> Option<Vec<Saved>> {
    let parsed = parse(line);
    let saved = Saved {
        when: String::new(),
        answer: String::new(),
        parsed,
    };
    (saved.parsed.understood > 0).then(|| vec![saved])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn round(link: &str) -> (String, Vec<Saved>) {
        let text = write([("", "", &parse(link).setup)]);
        let read = read(text.as_bytes()).expect("set-ups");
        (text, read)
    }

    #[test]
    fn every_example_comes_back() {
        for example in crate::examples::EXAMPLES {
            let (text, read) = round(example.link);
            assert_eq!(read.len(), 1, "{text}");
            assert_eq!(read[0].parsed, parse(example.link), "{text}");
        }
    }

    #[test]
    fn what_was_typed_stands_there_as_typed() {
        let link = "v=1&name=A%26B%20%3D%20100%25%20%231%20%22%CE%A9%22&inductance=blue%3A%2012%20H\
                    &hookup=a%3Ab%40c%20d:8//8@10%20W";
        let (text, read) = round(link);
        assert!(
            text.contains("\nname=A%26B = 100%25 %231 \"Ω\"\n"),
            "{text}"
        );
        assert!(text.contains("\ninductance=blue: 12 H\n"), "{text}");
        assert!(text.contains("\nhookup=a%3Ab%40c d:8//8@10 W\n"), "{text}");
        assert_eq!(read[0].parsed, parse(link));
    }

    #[test]
    fn spaces_at_the_end_and_marks_that_nobody_sees_come_back() {
        for link in [
            "v=1&name=%20a%20%20",
            "v=1&name=%C2%A0",
            "v=1&name=a%0Ab%E2%80%8B",
            "v=1&taps=4%ZZ",
        ] {
            let (text, read) = round(link);
            assert_eq!(read[0].parsed.setup, parse(link).setup, "{text}");
        }
    }

    #[test]
    fn keys_that_nobody_knows_come_back() {
        for link in [
            "v=1&mood=%20b&#&a#b#c",
            "v=1&taps=8&# x",
            "v=1&taps=8&v=1&saved: x",
        ] {
            let (text, read) = round(link);
            let again = encode(&read[0].parsed.setup);
            assert_eq!(again.replace("%20x", " x"), link, "{text}");
        }
    }

    #[test]
    fn many_stand_in_one_file() {
        let [a, b] = ["v=1&taps=4", "v=1&taps=8"].map(|link| parse(link).setup);
        let text = write([
            ("2026-11-29 14:03", "Use it.", &a),
            ("2026-11-28 09:00", "", &b),
        ]);
        let read = read(text.as_bytes()).expect("set-ups");
        let found: Vec<_> = read
            .iter()
            .map(|saved| (&*saved.when, &*saved.answer, &*saved.parsed.setup.taps))
            .collect();
        assert_eq!(
            found,
            [
                ("2026-11-29 14:03", "Use it.", "4"),
                ("2026-11-28 09:00", "", "8")
            ]
        );
    }

    /// As an editor of another system leaves it, or a mail program.
    #[test]
    fn line_ends_remarks_and_a_mark_of_order_are_no_trouble() {
        let text = "\u{feff}# mine\r\n\r\nv=1\r\n# more\r\nprimary=brown 8k  \r\ntaps=8\r\n";
        let read = read(text.as_bytes()).expect("set-ups");
        assert_eq!(
            encode(&read[0].parsed.setup),
            "v=1&primary=brown%208k&taps=8"
        );
        assert!(read[0].parsed.troubles.is_empty());
    }

    #[test]
    fn a_link_in_a_file_is_opened() {
        for text in [
            "v=1&taps=8&hookup=8",
            "https://example.org/a.html#v=1&taps=8&hookup=8\n",
        ] {
            let read = read(text.as_bytes()).expect("set-ups");
            assert_eq!(read[0].parsed.setup.taps, "8", "{text}");
        }
    }

    #[test]
    fn what_is_none_is_refused() {
        for (bytes, why) in [
            (&b""[..], "is empty"),
            (b"\n \n", "is empty"),
            (b"\x89PNG\r\n\x1a\n\0", "is no text"),
            (b"\xff\xd8\xff\xe0", "is no text"),
            (b"v=1\nname=a\0b", "is no text"),
            (
                b"Dear Ann,\nthe amp hums.",
                "it begins with \u{201c}Dear Ann,\u{201d}",
            ),
            (b"Hz;ohms\n20;7", "is no set-up"),
        ] {
            let refused = read(bytes).expect_err("it is none").to_string();
            assert!(refused.contains(why), "{refused}");
        }
        let many = "v=1\n\n".repeat(MOST + 1);
        assert_eq!(read(many.as_bytes()), Err(NotSaved::TooMany));
    }

    /// A later version, or one that was cut off: what can be read is there, the rest is told.
    #[test]
    fn a_later_version_and_a_damaged_one_open_with_a_remark() {
        let read = read(b"v=2\ntaps=8\nmood=blue\nprim").expect("set-ups");
        assert_eq!(read[0].parsed.setup.taps, "8");
        let told: Vec<_> = read[0].parsed.troubles.iter().map(|t| &*t.key).collect();
        assert_eq!(told, ["v", "mood", "prim"]);
    }

    /// A curve from a file begins with something else, Touchstone's `#` too.
    #[test]
    fn a_curve_is_none() {
        assert!(begins_one("# A set-up\n\nv=1\n"));
        assert!(!begins_one("# Hz Z RI R 50\n20 7 1\n"));
        assert!(!begins_one("20 7 1\n"));
    }
}
