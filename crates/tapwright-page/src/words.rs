//! Words for the things in a report: leads, taps, hookups, verdicts, cautions.

use tapwright_core::answer::Reason;
use tapwright_core::connection::Connection;
use tapwright_core::matching::Verdict;
use tapwright_core::output::Because;
use tapwright_core::report::Report;
use tapwright_core::setup::{Setup, Topology};
use tapwright_iron::transformer::{PrimaryLead, Secondary, Tap, Transformer};
use tapwright_speaker::{Hookup, Size};
use tapwright_units::{Ohms, Unit};

use crate::number;

mod caution;

pub use caution::{at_idle, caution, caution_in_brief, cooler, from_drive, when};

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

/// Ohms made from a few ratings: no more digits than that is good for.
pub fn about(value: Ohms) -> String {
    number::about(value.0, Unit::Ohm)
}

/// Ohms as rated or typed.
pub fn rated(value: Ohms) -> String {
    number::given(value.0, Unit::Ohm)
}

/// A lead's rating as it is stamped: `8 kΩ`, or `5 W` on a line transformer.
pub fn lead_rating(lead: &PrimaryLead) -> String {
    if lead.guessed {
        return guess(lead.rated);
    }
    lead.power_tap.map_or_else(
        || rated(lead.rated),
        |watts| number::given(watts.0, Unit::Watt),
    )
}

/// A rating that is a guess of the scale of measured turns.
fn guess(rating: Ohms) -> String {
    format!("guess {}", about(rating))
}

/// A tap's rating: `3 Ω`.
pub fn tap_rating(tap: &Tap) -> String {
    if tap.guessed {
        guess(tap.rated)
    } else {
        rated(tap.rated)
    }
}

/// A lead with its name: `brown 8 kΩ`. Measured, its name says more than a guess.
pub fn lead(lead: &PrimaryLead) -> String {
    if lead.guessed {
        return lead.name.clone();
    }
    named(&lead.name, &lead_rating(lead))
}

/// A tap with its name: `white 3 Ω`.
pub fn tap(tap: &Tap) -> String {
    if tap.guessed {
        return tap.name.clone();
    }
    named(&tap.name, &rated(tap.rated))
}

fn named(name: &str, rating: &str) -> String {
    if name.is_empty() {
        rating.to_owned()
    } else {
        format!("{name} {rating}")
    }
}

/// A tap or tap pair: `white 3 Ω`, `3 Ω–15 Ω`.
pub fn secondary(transformer: &Transformer, secondary: Secondary) -> String {
    let name = |at: usize| transformer.taps.get(at).map(tap).unwrap_or_default();
    match secondary {
        Secondary::Tap(at) => name(at),
        Secondary::Pair(pair) => {
            let (a, b) = pair.taps();
            format!("{}–{}", name(a), name(b))
        }
    }
}

/// `tap` or `tap pair`.
pub fn kind(secondary: Secondary) -> &'static str {
    match secondary {
        Secondary::Tap(_) => "tap",
        Secondary::Pair(_) => "tap pair",
    }
}

/// A connection in one phrase: `brown 8 kΩ lead, white 3 Ω tap`.
pub fn connection(transformer: &Transformer, connection: &Connection) -> String {
    let choice = connection.choice;
    format!(
        "{} {}, {} {}",
        transformer
            .leads
            .get(choice.lead)
            .map(lead)
            .unwrap_or_default(),
        lead_noun(transformer),
        secondary(transformer, choice.secondary),
        kind(choice.secondary)
    )
}

/// What a primary lead is called on this transformer.
pub fn lead_noun(transformer: &Transformer) -> &'static str {
    if transformer.line.is_some() {
        "power tap"
    } else {
        "lead"
    }
}

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

/// The tube or tubes, as the subject of a sentence.
pub fn stage(topology: Topology) -> &'static str {
    match topology {
        Topology::PushPull => "the tubes",
        Topology::SingleEnded => "the tube",
    }
}

/// What the tube or tubes do: `sees`, or `see` for two.
pub fn verb(topology: Topology, verb: &str) -> String {
    match topology {
        Topology::PushPull => verb.to_owned(),
        Topology::SingleEnded => format!("{verb}s"),
    }
}

/// What a primary load spans.
pub fn span(topology: Topology) -> &'static str {
    match topology {
        Topology::PushPull => "plate to plate",
        Topology::SingleEnded => "plate to B+",
    }
}

/// A speaker by its size.
pub fn size(size: Option<Size>) -> String {
    match size {
        None => "speaker".into(),
        Some(Size::Elliptical) => "elliptical speaker".into(),
        Some(size) => format!("{}-inch speaker", size.word()),
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

/// Wire colours that a name may hold, with the style that underlines in that colour.
const WIRES: [(&str, &str); 13] = [
    ("black", "wire-black"),
    ("brown", "wire-brown"),
    ("red", "wire-red"),
    ("orange", "wire-orange"),
    ("yellow", "wire-yellow"),
    ("green", "wire-green"),
    ("blue", "wire-blue"),
    ("violet", "wire-violet"),
    ("purple", "wire-violet"),
    ("grey", "wire-grey"),
    ("gray", "wire-grey"),
    ("white", "wire-white"),
    ("pink", "wire-pink"),
];

/// The style of a wire by the colour in its name; plain when there is none.
pub fn wire(name: &str) -> &'static str {
    let name = name.to_ascii_lowercase();
    WIRES
        .iter()
        .find(|(colour, _)| {
            name.split(|c: char| !c.is_alphabetic())
                .any(|word| word == *colour)
        })
        .map_or("wire", |(_, style)| style)
}

/// Which of the tubes a value is of, before `plate` or `grid`: the hotter one of an unlike pair.
pub fn which(report: &Report) -> &'static str {
    match &report.stage {
        Some(Ok(stage)) if stage.assumed.tubes.0 > 1 => match stage.stage.imbalance.current {
            0.0 => "each",
            _ if stage.stage.tubes_per_side == 1 => "the hotter",
            _ => "on the hotter side each",
        },
        _ => "the",
    }
}

/// What weighs on a verdict besides the ratio; empty when nothing does.
pub fn because(connection: &Connection) -> &'static str {
    match connection.because {
        Some(Because::PowerLost) => " (power lost)",
        Some(Because::LimitPassed) => " (limit passed)",
        Some(Because::HotAtIdle) => " (limit passed at idle)",
        Some(Because::OddPoint) => " (bias)",
        Some(Because::SpeakersTakeLess) => " (too much power)",
        Some(Because::NoCentreTap) => " (no centre tap)",
        Some(Because::DirectCurrent) => " (direct current in the core)",
        None => "",
    }
}

/// With a capital letter in front.
pub fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}", first.to_ascii_uppercase(), letters.as_str())
    })
}

/// `a`, `a and b`, `a, b and c`.
pub fn in_a_row(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

/// Why a connection was taken, in one sentence; empty when it is simply the nearest.
pub fn reason(report: &Report, reason: &Reason) -> Option<String> {
    let transformer = report.transformer.as_ref()?;
    let name = |at: usize| {
        report
            .connections
            .get(at)
            .map(|c| connection(transformer, c))
            .unwrap_or_default()
    };
    let names = |places: &[usize]| {
        places
            .iter()
            .map(|at| name(*at))
            .collect::<Vec<_>>()
            .join("; ")
    };
    match reason {
        Reason::Nearest => None,
        Reason::TapBeforePair(pair) => Some(format!(
            "A pair is a little nearer ({}), but a plain tap in the same class is simpler and keeps the common lead at ground.",
            name(*pair)
        )),
        Reason::MoreTurnsInUse(others) => Some(format!(
            "Equally near: {}. This one leaves fewer turns idle.",
            names(others)
        )),
        Reason::FirstOfEquals(others) => Some(format!(
            "Equally near: {}. The order typed decides.",
            names(others)
        )),
        Reason::AnyLead(others) => Some(format!(
            "Through this tap every lead sees the same share of its own rating (also: {}). Pick a tube or type the load it wants to settle which lead.",
            names(others)
        )),
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

    #[test]
    fn a_colour_anywhere_in_a_name_is_found_and_half_a_word_is_not() {
        assert_eq!(wire("light Blue/white"), "wire-blue");
        assert_eq!(wire("redundant"), "wire");
        assert_eq!(wire(""), "wire");
    }
}
