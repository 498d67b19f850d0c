//! Words for speakers and hookups, and what to beware of with them.

use maud::{Markup, html};
use tapwright_core::caution::speakers::Caution;
use tapwright_core::report::Report;
use tapwright_core::setup::Setup;
use tapwright_speaker::{Hookup, Size};
use tapwright_units::Unit;

use super::{rated, stage};
use crate::number;

/// What a hookup is called: the name typed, or its speakers.
pub fn hookup(setup: &Setup, place: usize) -> String {
    let Some(entry) = setup.hookups.get(place) else {
        return String::new();
    };
    match entry.name.trim() {
        "" => entry.speakers.trim().to_owned(),
        name => name.to_owned(),
    }
}

/// A speaker by its size.
pub fn size(size: Option<Size>) -> String {
    match size {
        None => "speaker".into(),
        Some(Size::Elliptical) => "elliptical speaker".into(),
        Some(size) => format!("{}-inch speaker", <&str>::from(size)),
    }
}

/// Words in the order typed: `two 8 Ω in parallel`, `8 Ω in series with (15 Ω and 8 Ω in parallel)`.
pub fn speakers(hookup: &Hookup) -> String {
    let (how, parts) = match hookup {
        Hookup::Driver(rating) => return rated(*rating),
        Hookup::Series(_) => ("in series", flattened(hookup, true)),
        Hookup::Parallel(_) => ("in parallel", flattened(hookup, false)),
    };
    if let Some(first) = parts.first()
        && parts.iter().all(|part| part == first)
    {
        let group = match first {
            Hookup::Driver(rating) => rated(*rating),
            _ => format!("groups of ({})", speakers(first)),
        };
        return format!("{} {group} {how}", count(parts.len()));
    }
    let each: Vec<String> = (parts.iter())
        .map(|part| match part {
            Hookup::Driver(rating) => rated(*rating),
            _ => format!("({})", speakers(part)),
        })
        .collect();
    format!("{} {how}", each.join(" and "))
}

/// The parts of a chain of one kind of join: `8+8+8` has three.
fn flattened(hookup: &Hookup, series: bool) -> Vec<&Hookup> {
    match hookup {
        Hookup::Series(pair) if series => {
            [flattened(&pair.0, series), flattened(&pair.1, series)].concat()
        }
        Hookup::Parallel(pair) if !series => {
            [flattened(&pair.0, series), flattened(&pair.1, series)].concat()
        }
        other => vec![other],
    }
}

fn count(n: usize) -> String {
    const WORDS: [&str; 9] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    ];
    WORDS
        .get(n)
        .map_or_else(|| n.to_string(), |word| (*word).to_owned())
}

/// A caution of the speakers in one sentence.
pub(super) fn caution(report: &Report, caution: &Caution) -> Markup {
    let stage = stage(report.solved.topology);
    match caution {
        Caution::MoreThanSpeakersTake(power, takes) => html! {
            (stage) " can give " (number::about(power.0, Unit::Watt)) " at full drive and more beyond, and this hookup takes "
            (number::about(takes.0, Unit::Watt)) "."
        },
        Caution::OverdriveMoreThanSpeakersTake(power, takes) => html! {
            "in full overdrive " (stage) " can give " (number::about(power.0, Unit::Watt)) ", and this hookup takes "
            (number::about(takes.0, Unit::Watt)) "."
        },
    }
}

/// A caution of the speakers in a few words.
pub(super) fn caution_in_brief(caution: &Caution) -> &'static str {
    match caution {
        Caution::MoreThanSpeakersTake(..) => "more watts than the speakers take",
        Caution::OverdriveMoreThanSpeakersTake(..) => {
            "overdriven, more watts than the speakers take"
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hookups_in_words() {
        for (text, words) in [
            ("8", "8 Ω"),
            ("8//8", "two 8 Ω in parallel"),
            ("8+8+8", "three 8 Ω in series"),
            (
                "(8+8)//(8+8)",
                "two groups of (two 8 Ω in series) in parallel",
            ),
            ("15//8", "15 Ω and 8 Ω in parallel"),
            ("4+8//8", "4 Ω and (two 8 Ω in parallel) in series"),
        ] {
            let hookup = Hookup::read(text).unwrap();
            assert_eq!(speakers(&hookup).replace('\u{a0}', " "), words);
        }
    }
}
