//! Words for a connection: why it was taken, what weighs on it, what to beware of with it.

use maud::{Markup, html};
use tapwright_core::answer::Reason;
use tapwright_core::caution::connection::Caution;
use tapwright_core::judged::Because;
use tapwright_core::judged::Judged;
use tapwright_core::remedy::Remedy;
use tapwright_core::report::Report;
use tapwright_core::setup::Topology;
use tapwright_core::target::Target;
use tapwright_iron::transformer::Transformer;
use tapwright_units::Unit;

use super::{in_a_row, kind, lead, lead_noun, ohms, rated, secondary, stage, verb};
use crate::number;

/// A connection in one phrase: `brown 8 kΩ lead, white 3 Ω tap`.
pub fn connection(transformer: &Transformer, judged: &Judged) -> String {
    let choice = judged.connection.choice;
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
pub fn because(judged: &Judged) -> &'static str {
    match judged.because() {
        Some(Because::PowerLost) => " (power lost)",
        Some(Because::Dirtier) => " (more distortion)",
        Some(Because::LimitPassed) => " (limit passed)",
        Some(Because::SpeakersTakeLess) => " (too much power)",
        Some(Because::NoCentreTap) => " (no centre tap)",
        None => "",
    }
}

/// Why a connection was taken, in one sentence; empty when it is simply the nearest.
pub fn reason(report: &Report, reason: &Reason) -> Option<String> {
    let transformer = report.solved.transformer.as_ref()?;
    let name = |at: usize| {
        report
            .solved
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
            "As near: {}. This one leaves fewer turns idle.",
            names(others)
        )),
        Reason::FirstOfEquals(others) => Some(format!("As good: {}. Take either.", names(others))),
        Reason::AnyLead(_) => {
            Some("Choose the tube, or type the load that it wants: that settles the lead.".into())
        }
    }
}

/// What would suit where nothing does, in one sentence; `None` where there is nothing to say.
pub fn remedies(report: &Report, remedies: &[Remedy]) -> Option<String> {
    let transformer = report.solved.transformer.as_ref()?;
    let speakers = remedies.iter().filter_map(|remedy| match remedy {
        Remedy::Speaker {
            ohms,
            lead: at,
            secondary: tap,
        } => Some(format!(
            "{} of speaker on the {} {} and the {} tap",
            rated(*ohms),
            transformer.leads.get(*at).map(lead).unwrap_or_default(),
            lead_noun(transformer),
            secondary(transformer, *tap)
        )),
        Remedy::Tube { .. } => None,
    });
    let tubes: Vec<String> = (remedies.iter())
        .filter_map(|remedy| match remedy {
            Remedy::Tube { designation, load } => Some(format!("{designation} ({})", rated(*load))),
            Remedy::Speaker { .. } => None,
        })
        .collect();
    let tubes = (!tubes.is_empty()).then(|| {
        format!(
            "with these speakers, a tube that wants such a load: {}",
            in_a_row(&tubes)
        )
    });
    let all: Vec<String> = speakers.chain(tubes).collect();
    (!all.is_empty()).then(|| format!("What would suit: {}.", all.join("; or, ")))
}

/// A caution of the connection in one sentence.
pub(super) fn caution(report: &Report, caution: &Caution) -> Markup {
    match caution {
        Caution::NotAFit(ratio) => html! {
            "this is " (number::times(*ratio)) " " (wanted(report)) ": " (misfit(report, *ratio < 1.0)) "."
        },
        Caution::FallsTo(ratio) => html! {
            "all this is at " (number::given(report.solved.frequency.unwrap_or_default(), Unit::Hertz))
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
        Caution::NeverWithoutLoad => html! {
            "never run the stage without a speaker or a load resistor: open, the plate voltage can "
            "break the insulation."
        },
        Caution::RatioUnsure(low, high) => html! {
            "as far as the readings go, the load is " (ohms(*low)) " to " (ohms(*high))
            ": a finer meter, or more readings, would make sure of the verdict."
        },
        Caution::LosesPower(decibels) => html! {
            "this load costs " (number::decibels(-decibels.0)) " of the power that the target load gives."
        },
    }
}

/// A caution of the connection in a few words; `None` for those that every connection has.
pub(super) fn caution_in_brief(caution: &Caution) -> Option<&'static str> {
    Some(match caution {
        Caution::FallsTo(_) | Caution::MayFallTo(_) => "may dip too low",
        Caution::CommonLeadIsLive => "the common lead is live",
        Caution::Degenerate => "too few turns",
        Caution::RatioUnsure(..) => "the ratio is not sure enough",
        Caution::LosesPower(_) => "power is lost",
        _ => return None,
    })
}

/// That the tubes see only this ratio to what is wanted.
fn sees_only(report: &Report, ratio: f64) -> Markup {
    html! {
        (stage(report.solved.topology)) " " (verb(report.solved.topology, "see")) " only "
        (number::times(ratio)) " " (wanted(report)) "."
    }
}

/// What a ratio is compared with.
fn wanted(report: &Report) -> &'static str {
    match report.solved.target {
        Target::AsRated => "the lead’s own rating",
        _ => "the load wanted",
    }
}

/// What a load that is too low or too high costs.
fn misfit(report: &Report, low: bool) -> &'static str {
    let screen = match &report.solved.target {
        Target::Published(published) => published.screen,
        _ => true,
    };
    match (low, report.solved.topology, screen) {
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
