//! Words for a connection: why it was taken, what weighs on it, what to beware of with it.

use maud::{Markup, html};
use tapwright_core::answer::{Caution, Reason};
use tapwright_core::connection::Connection;
use tapwright_core::output::Because;
use tapwright_core::report::{Report, Target};
use tapwright_core::setup::Topology;
use tapwright_iron::transformer::Transformer;
use tapwright_units::Unit;

use super::{in_a_row, kind, lead, lead_noun, secondary, stage, tap, verb};
use crate::number;

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

/// A caution of the connection in one sentence; `None` for others.
pub(super) fn caution(report: &Report, caution: &Caution) -> Option<Markup> {
    let transformer = report.transformer.as_ref()?;
    Some(match caution {
        Caution::NoCentreTap => html! {
            "push-pull feeds B+ into the middle of the winding, and "
            @if report.line.is_some() { "this power tap has none: only a tap of four times its watts would be it." }
            @else { "none was found on this primary." }
        },
        Caution::CentreTapIs(place) => html! {
            "B+ goes to the " (transformer.leads.get(*place).map(lead).unwrap_or_default()) " "
            (lead_noun(transformer)) ", which is the middle of this winding; the plates go to its two ends."
        },
        Caution::NotAFit(ratio) => html! {
            "this is " (number::times(*ratio)) " " (wanted(report)) ": " (misfit(report, *ratio < 1.0)) "."
        },
        Caution::FallsTo(ratio) => html! {
            "all this is at " (number::given(report.frequency.unwrap_or_default(), Unit::Hertz))
            "; elsewhere the speakers’ impedance falls, down to where " (sees_only(report, *ratio))
        },
        Caution::MayFallTo(ratio) => html! {
            "speakers may dip to 80 % of their rating, and then " (sees_only(report, *ratio))
        },
        Caution::CommonLeadIsLive => html! {
            "with a tap pair the common lead carries signal. First take it off the chassis and the feedback "
            "and insulate it; only then ground one of the two taps. Both grounded would short turns."
        },
        Caution::Degenerate => html! {
            "so few turns lie between these taps that lead resistance and leakage decide, not the ratio."
        },
        Caution::UnusedPrimaryLeads(leads) => {
            let names = leads
                .iter()
                .map(|(at, _)| transformer.leads.get(*at).map(lead));
            let names = in_a_row(&names.flatten().collect::<Vec<_>>());
            let swing = leads.iter().map(|(_, swing)| *swing).fold(0.0, f64::max);
            let (noun, them, carry) = match leads.len() {
                1 => ("", "it", "carries"),
                _ => ("s", "they", "carry up to"),
            };
            html! {
                "insulate the unused " (names) " " (lead_noun(transformer)) (noun) ": " (them) " " (carry) " "
                (number::times(swing)) " the swing of the plate, on top of B+."
            }
        }
        Caution::UnusedTaps(taps) => html! {
            "insulate the unused "
            (in_a_row(&taps.iter().filter_map(|at| transformer.taps.get(*at).map(tap)).collect::<Vec<_>>()))
            @if taps.len() == 1 { " tap" } @else { " taps" }
            ", and never join two taps: that shorts the turns between them."
        },
        Caution::NeverWithoutLoad => html! {
            "never run the stage without a speaker or a load resistor: open, the plate voltage can "
            "break the insulation."
        },
        _ => return None,
    })
}

/// A caution of the connection in a few words; `None` for others, and for those that every
/// connection has.
pub(super) fn caution_in_brief(caution: &Caution) -> Option<&'static str> {
    Some(match caution {
        Caution::NoCentreTap => "no centre tap",
        Caution::FallsTo(_) | Caution::MayFallTo(_) => "may dip too low",
        Caution::CommonLeadIsLive => "the common lead is live",
        Caution::Degenerate => "too few turns",
        _ => return None,
    })
}

/// That the tubes see so small a share of what is wanted.
fn sees_only(report: &Report, ratio: f64) -> Markup {
    html! {
        (stage(report.topology)) " " (verb(report.topology, "see")) " only "
        (number::times(ratio)) " " (wanted(report)) "."
    }
}

/// What a ratio is held against.
fn wanted(report: &Report) -> &'static str {
    match report.target {
        Target::AsRated => "the lead’s own rating",
        _ => "the load wanted",
    }
}

/// What a load that is too low or too high costs.
fn misfit(report: &Report, low: bool) -> &'static str {
    let screen = match &report.target {
        Target::Published(published) => published.screen,
        _ => true,
    };
    match (low, report.topology, screen) {
        (true, Topology::PushPull, _) => "less power, more plate current, hotter plates",
        (true, Topology::SingleEnded, _) => "less power and a larger swing of current",
        (false, Topology::PushPull, true) => {
            "less power, higher plate peaks, and more for the screens when overdriven"
        }
        (false, Topology::SingleEnded, true) => {
            "less power, higher plate peaks, and more for the screen when overdriven"
        }
        (false, _, false) => "less power and higher plate peaks",
    }
}
