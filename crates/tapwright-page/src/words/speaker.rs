//! Words for speakers and hookups, and what to beware of with them.

use maud::Markup;
use tapwright_core::caution::speakers::Caution;
use tapwright_core::setup::Setup;
use tapwright_speaker::{Hookup, Size};
use tapwright_units::Unit;

use super::rated;
use super::say::say;
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
    let (series, parts) = match hookup {
        Hookup::Driver(rating) => return rated(*rating),
        Hookup::Series(_) => (true, flattened(hookup, true)),
        Hookup::Parallel(_) => (false, flattened(hookup, false)),
    };
    let parts = match parts.first() {
        Some(Hookup::Driver(rating)) if are_alike(&parts) => {
            format!("{} {}", count(parts.len()), rated(*rating))
        }
        Some(group) if are_alike(&parts) => {
            format!("{} groups of ({})", count(parts.len()), speakers(group))
        }
        _ => in_order(&parts),
    };
    match series {
        true => format!("{parts} in series"),
        false => format!("{parts} in parallel"),
    }
}

fn are_alike(parts: &[&Hookup]) -> bool {
    parts.iter().all(|part| Some(part) == parts.first())
}

/// Unlike parts in the order typed.
fn in_order(parts: &[&Hookup]) -> String {
    let each: Vec<String> = (parts.iter())
        .map(|part| match part {
            Hookup::Driver(rating) => rated(*rating),
            _ => format!("({})", speakers(part)),
        })
        .collect();
    each.join(" and ")
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
pub(super) fn caution(caution: &Caution) -> Markup {
    match caution {
        Caution::MoreThanSpeakersTake(power, takes) => say!(
            "the stage can give {power} at full drive and more beyond, and this hookup takes {takes}.",
            power = number::about(power.0, Unit::Watt),
            takes = number::about(takes.0, Unit::Watt),
        ),
        Caution::OverdriveMoreThanSpeakersTake(power, takes) => say!(
            "in full overdrive the stage can give {power}, and this hookup takes {takes}.",
            power = number::about(power.0, Unit::Watt),
            takes = number::about(takes.0, Unit::Watt),
        ),
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
