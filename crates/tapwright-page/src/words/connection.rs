//! Words for a connection: why it was taken, what weighs on it, what to beware of with it.

use maud::Markup;
use tapwright_core::answer::Reason;
use tapwright_core::caution::connection::Caution;
use tapwright_core::judged::Because;
use tapwright_core::judged::Judged;
use tapwright_core::remedy::Remedy;
use tapwright_core::report::Report;
use tapwright_core::setup::Topology;
use tapwright_core::target::Target;
use tapwright_iron::transformer::{Secondary, Transformer};
use tapwright_units::Unit;

use super::iron::the_lead;
use super::say::say;
use super::{in_a_row, lead, ohms, rated, secondary};
use crate::number;

/// A connection in one phrase: `brown 8 kΩ lead, white 3 Ω tap`.
pub fn connection(transformer: &Transformer, judged: &Judged) -> String {
    let choice = judged.connection.choice;
    let lead = transformer.leads.get(choice.lead).map(lead);
    let lead = lead.unwrap_or_default();
    let taps = secondary(transformer, choice.secondary);
    match (transformer.line, choice.secondary) {
        (None, Secondary::Tap(_)) => format!("{lead} lead, {taps} tap"),
        (None, Secondary::Pair(_)) => format!("{lead} lead, {taps} tap pair"),
        (Some(_), Secondary::Tap(_)) => format!("{lead} power tap, {taps} tap"),
        (Some(_), Secondary::Pair(_)) => format!("{lead} power tap, {taps} tap pair"),
    }
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

/// What would suit where nothing does; `None` where there is nothing to say.
pub fn remedies(report: &Report, remedies: &[Remedy]) -> Option<String> {
    let transformer = report.solved.transformer.as_ref()?;
    let (mut speakers, mut tubes) = (Vec::new(), Vec::new());
    for remedy in remedies {
        match remedy {
            Remedy::Speaker {
                ohms,
                lead,
                secondary,
            } => speakers.push(speaker(transformer, rated(*ohms), *lead, *secondary)),
            Remedy::Tube { designation, load } => {
                tubes.push(format!("{designation} ({})", rated(*load)));
            }
        }
    }
    let speakers =
        (!speakers.is_empty()).then(|| format!("What would suit: {}.", speakers.join("; ")));
    let tubes = (!tubes.is_empty()).then(|| {
        format!(
            "What would suit these speakers is a tube that wants such a load: {}.",
            in_a_row(&tubes)
        )
    });
    let all: Vec<String> = speakers.into_iter().chain(tubes).collect();
    (!all.is_empty()).then(|| all.join(" "))
}

/// A speaker that would suit, and where.
fn speaker(transformer: &Transformer, ohms: String, lead: usize, taps: Secondary) -> String {
    let lead = the_lead(transformer, lead);
    let name = secondary(transformer, taps);
    match taps {
        Secondary::Tap(_) => format!("{ohms} of speaker on {lead} and the {name} tap"),
        Secondary::Pair(_) => format!("{ohms} of speaker on {lead} and the {name} tap pair"),
    }
}

/// A caution of the connection in one sentence.
pub(super) fn caution(report: &Report, caution: &Caution) -> Markup {
    match caution {
        Caution::NotAFit(ratio) => say!(
            "this is {times} {wanted}: {costs}.",
            times = number::times(*ratio),
            wanted = wanted(report),
            costs = misfit(report, *ratio < 1.0),
        ),
        Caution::FallsTo(ratio) => falls(report, *ratio),
        Caution::MayFallTo(ratio) => may_fall(report, *ratio),
        Caution::CommonLeadIsLive => say!(
            "with a tap pair the common lead carries signal. First take it off the chassis and the feedback \
             and insulate it; only then ground one of the two taps. Both grounded would short turns."
        ),
        Caution::Degenerate => say!(
            "so few turns lie between these taps that lead resistance and leakage decide, not the ratio."
        ),
        Caution::NeverWithoutLoad => say!(
            "never run the stage without a speaker or a load resistor: open, the plate voltage can \
             break the insulation."
        ),
        Caution::RatioUnsure(low, high) => say!(
            "as far as the readings go, the load is {low} to {high}: \
             a finer meter, or more readings, would make sure of the verdict.",
            low = ohms(*low),
            high = ohms(*high),
        ),
        Caution::LosesPower(decibels) => say!(
            "this load costs {decibels} of the power that the target load gives.",
            decibels = number::decibels(-decibels.0),
        ),
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

/// That measured speakers fall to where the tubes see only this ratio to what is wanted.
fn falls(report: &Report, ratio: f64) -> Markup {
    let hertz = number::given(report.solved.frequency.unwrap_or_default(), Unit::Hertz);
    match report.solved.topology {
        Topology::PushPull => say!(
            "all this is at {hertz}; elsewhere the speakers’ impedance falls, down to where \
             the tubes see only {times} {wanted}.",
            hertz = hertz,
            times = number::times(ratio),
            wanted = wanted(report),
        ),
        Topology::SingleEnded => say!(
            "all this is at {hertz}; elsewhere the speakers’ impedance falls, down to where \
             the tube sees only {times} {wanted}.",
            hertz = hertz,
            times = number::times(ratio),
            wanted = wanted(report),
        ),
    }
}

/// The same of speakers that are not measured.
fn may_fall(report: &Report, ratio: f64) -> Markup {
    match report.solved.topology {
        Topology::PushPull => say!(
            "speakers may dip to 80 % of their rating, and then the tubes see only {times} {wanted}.",
            times = number::times(ratio),
            wanted = wanted(report),
        ),
        Topology::SingleEnded => say!(
            "speakers may dip to 80 % of their rating, and then the tube sees only {times} {wanted}.",
            times = number::times(ratio),
            wanted = wanted(report),
        ),
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
