//! Words for the transformer: its leads and taps, and what to beware of with its core.

use maud::{Markup, html};
use tapwright_core::caution::iron::Caution;
use tapwright_core::report::Report;
use tapwright_iron::transformer::{PrimaryLead, Secondary, Tap, Transformer};
use tapwright_units::{Ohms, Unit};

use super::say::say;
use super::{about, in_a_row, rated};
use crate::number;

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

/// What a primary lead is called on this transformer.
pub fn lead_noun(transformer: &Transformer) -> &'static str {
    if transformer.line.is_some() {
        "power tap"
    } else {
        "lead"
    }
}

/// A primary lead in a sentence: `the brown 8 kΩ lead`.
pub(super) fn the_lead(transformer: &Transformer, at: usize) -> String {
    let lead = transformer.leads.get(at).map(lead).unwrap_or_default();
    match transformer.line {
        Some(_) => format!("the {lead} power tap"),
        None => format!("the {lead} lead"),
    }
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

/// A caution of the core in one sentence.
pub(super) fn caution(report: &Report, caution: &Caution) -> Markup {
    let Some(transformer) = &report.solved.transformer else {
        // Every caution is of a connection, and there is none without a transformer.
        return html! {};
    };
    match caution {
        Caution::GapUnknown(amps) => say!(
            "{amps} DC flows through the primary, so the core must have an air gap. \
             If you know, set it under Core.",
            amps = number::computed(amps.0, Unit::Ampere),
        ),
        Caution::OverLineVoltage(volts, line) => say!(
            "at full power {volts} stand on a power tap made for {line}: \
             the core saturates in the bass, and the insulation is not rated for it.",
            volts = number::about(volts.0, Unit::Volt),
            line = number::about(line.0, Unit::Volt),
        ),
        Caution::Saturates(watts, hertz) => say!(
            "below {hertz} the core saturates before {watts} are reached: \
             the bass distorts, and the tubes’ current runs up.",
            hertz = number::about(*hertz, Unit::Hertz),
            watts = number::about(watts.0, Unit::Watt),
        ),
        Caution::NoCentreTap if report.solved.line.is_some() => say!(
            "push-pull feeds B+ into the middle of the winding, and this power tap has none: \
             only a tap of four times its watts would be it."
        ),
        Caution::NoCentreTap => say!(
            "push-pull feeds B+ into the middle of the winding, and none was found on this primary."
        ),
        Caution::CentreTapIs(place) => say!(
            "B+ goes to {lead}, which is the middle of this winding; the plates go to its two ends.",
            lead = the_lead(transformer, *place),
        ),
        Caution::UnusedPrimaryLeads(leads) => unused_primary_leads(transformer, leads),
        Caution::UnusedTaps(taps) => unused_taps(transformer, taps),
        Caution::ReadingsUnsure => say!(
            "the readings of this transformer leave something open, or do not agree: settle that first, under Iron."
        ),
        Caution::UnusedLeads(leads) => say!(
            "insulate the unused {leads} of the primary: up to {times} the swing of the plate, on top of B+.",
            leads = in_a_row(
                &leads
                    .iter()
                    .map(|(name, _)| name.clone())
                    .collect::<Vec<_>>()
            ),
            times = largest(leads.iter().map(|(_, swing)| *swing)),
        ),
        Caution::UnusedWindings(windings) => {
            let windings: Vec<String> = (windings.iter())
                .map(|(ends, swing)| winding(ends, *swing))
                .collect();
            say!(
                "insulate both ends of the unused {windings}: join them to nothing.",
                windings = windings.join(", "),
            )
        }
    }
}

/// The largest of the swings, as a multiple.
fn largest(swings: impl Iterator<Item = f64>) -> String {
    number::times(swings.fold(0.0, f64::max))
}

fn unused_primary_leads(transformer: &Transformer, leads: &[(usize, f64)]) -> Markup {
    let names = leads
        .iter()
        .map(|(at, _)| transformer.leads.get(*at).map(lead));
    let names = in_a_row(&names.flatten().collect::<Vec<_>>());
    let times = largest(leads.iter().map(|(_, swing)| *swing));
    match (leads.len(), transformer.line) {
        (1, None) => say!(
            "insulate the unused {names} lead: it carries {times} the swing of the plate, on top of B+.",
            names = names,
            times = times,
        ),
        (_, None) => say!(
            "insulate the unused {names} leads: they carry up to {times} the swing of the plate, on top of B+.",
            names = names,
            times = times,
        ),
        (1, Some(_)) => say!(
            "insulate the unused {names} power tap: it carries {times} the swing of the plate, on top of B+.",
            names = names,
            times = times,
        ),
        (_, Some(_)) => say!(
            "insulate the unused {names} power taps: they carry up to {times} the swing of the plate, on top of B+.",
            names = names,
            times = times,
        ),
    }
}

fn unused_taps(transformer: &Transformer, taps: &[usize]) -> Markup {
    let names = taps
        .iter()
        .filter_map(|at| transformer.taps.get(*at).map(tap));
    let names = in_a_row(&names.collect::<Vec<_>>());
    match taps.len() {
        1 => say!(
            "insulate the unused {names} tap, and never join two taps: that shorts the turns between them.",
            names = names,
        ),
        _ => say!(
            "insulate the unused {names} taps, and never join two taps: that shorts the turns between them.",
            names = names,
        ),
    }
}

/// A winding by its ends, and what swings on it.
fn winding(ends: &str, swing: Option<f64>) -> String {
    match swing {
        Some(swing) => format!("{ends} ({} the swing of the primary)", number::times(swing)),
        None => format!("{ends} (its turns are not known)"),
    }
}

/// A caution of the core in a few words; `None` for those that every connection has.
pub(super) fn caution_in_brief(caution: &Caution) -> Option<&'static str> {
    Some(match caution {
        Caution::Saturates(..) => "the core saturates in the bass",
        Caution::OverLineVoltage(..) => "more volts than the line",
        Caution::NoCentreTap => "no centre tap",
        Caution::ReadingsUnsure => "the readings are not settled",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_colour_anywhere_in_a_name_is_found_and_half_a_word_is_not() {
        assert_eq!(wire("light Blue/white"), "wire-blue");
        assert_eq!(wire("redundant"), "wire");
        assert_eq!(wire(""), "wire");
    }
}
