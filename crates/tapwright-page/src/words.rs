//! Words for the things in a report, one file for each domain with its cautions.

use maud::{Markup, PreEscaped};
use tapwright_core::caution::Caution;
use tapwright_core::matching::Verdict;
use tapwright_core::report::Report;
use tapwright_units::{Ohms, Unit};

use crate::number;

mod connection;
pub mod health;
mod iron;
pub mod say;
pub mod selector;
mod speaker;
mod stage;
pub mod supply;
mod taken;
pub mod vocabulary;
pub mod wiring;

pub use connection::{because, connection, reason, remedies};
pub use iron::{lead, lead_noun, lead_rating, secondary, tap, tap_rating, wire};
pub use speaker::{hookup, size, speakers};
pub use stage::{at_idle, from_drive, plate, plate_label, span, when};
pub use taken::taken;
pub use vocabulary::Vocabulary;

/// A caution in one sentence.
pub fn caution(report: &Report, caution: &Caution) -> Markup {
    match caution {
        Caution::Supply(caution) => supply::caution(caution),
        Caution::Stage(caution) => stage::caution(report, caution),
        Caution::Speakers(caution) => speaker::caution(caution),
        Caution::Connection(caution) => connection::caution(report, caution),
        Caution::Iron(caution) => iron::caution(report, caution),
    }
}

/// A caution in a few words, for where there is no room; `None` for those that every
/// connection has.
pub fn caution_in_brief(caution: &Caution) -> Option<&'static str> {
    match caution {
        Caution::Supply(caution) => Some(supply::caution_in_brief(caution)),
        Caution::Stage(caution) => Some(stage::caution_in_brief(caution)),
        Caution::Speakers(caution) => Some(speaker::caution_in_brief(caution)),
        Caution::Connection(caution) => connection::caution_in_brief(caution),
        Caution::Iron(caution) => iron::caution_in_brief(caution),
    }
}

/// How many formulas a working has.
pub fn formulas(count: usize) -> String {
    match count {
        1 => "1 formula".into(),
        _ => format!("{count} formulas"),
    }
}

/// A mark that does not depend on colour, beside the word.
pub fn mark(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "●",
        Verdict::Usable => "◐",
        Verdict::Avoid => "○",
    }
}

/// The verdict in a word; also the name of its style.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "fits",
        Verdict::Usable => "usable",
        Verdict::Avoid => "avoid",
    }
}

/// Ohms as computed.
pub fn ohms(value: Ohms) -> String {
    number::computed(value.0, Unit::Ohm)
}

/// Ohms made from a few ratings: no more digits than those are good for.
pub fn about(value: Ohms) -> String {
    number::about(value.0, Unit::Ohm)
}

/// Ohms as rated or typed.
pub fn rated(value: Ohms) -> String {
    number::given(value.0, Unit::Ohm)
}

/// How many, in a word where it is short: `two`, `12`.
pub fn count_in_words(count: usize) -> String {
    match count {
        1 => "one".into(),
        2 => "two".into(),
        3 => "three".into(),
        4 => "four".into(),
        many => many.to_string(),
    }
}

/// With a capital letter in front.
pub fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}", first.to_ascii_uppercase(), letters.as_str())
    })
}

/// The same of a markup that begins with its words.
pub fn markup_in_sentence_case(markup: Markup) -> Markup {
    PreEscaped(sentence_case(&markup.into_string()))
}

/// `a`, `a and b`, `a, b and c`.
pub fn in_a_row(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

/// The same of markups.
pub fn markup_in_a_row(names: &[Markup]) -> Markup {
    let names: Vec<String> = names.iter().map(|name| name.0.clone()).collect();
    PreEscaped(in_a_row(&names))
}
