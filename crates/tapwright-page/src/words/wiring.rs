//! Words for where every lead of the transformer goes.

use maud::{Markup, html};
use tapwright_core::report::Report;
use tapwright_core::wiring::{Insulated, Terminal, Wiring};
use tapwright_iron::transformer::Transformer;
use tapwright_tube::Topology;
use tapwright_units::Unit;

use super::say::say;
use super::{in_a_row, lead, markup_in_a_row, tap, wire};
use crate::number;

/// A lead in a few words: `brown 8 kΩ`, `red (centre tap)`.
pub fn terminal(report: &Report, terminal: &Terminal) -> String {
    let Some(transformer) = &report.solved.transformer else {
        return String::new();
    };
    match terminal {
        Terminal::Lead(at) => transformer.leads.get(*at).map(lead).unwrap_or_default(),
        Terminal::SupplyLead(name) => supply_lead(report, transformer, name.as_deref()),
        Terminal::Tap(at) => transformer.taps.get(*at).map(tap).unwrap_or_default(),
        Terminal::Common(Some(name)) => format!("{name} (common lead)"),
        Terminal::Common(None) => "the common lead".into(),
        Terminal::Named(name) => name.clone(),
    }
}

/// The lead of the primary without a rating.
fn supply_lead(report: &Report, transformer: &Transformer, name: Option<&str>) -> String {
    match (report.solved.topology, transformer.line, name) {
        (Topology::PushPull, None, None) => "the centre tap".into(),
        (Topology::PushPull, None, Some(name)) => format!("{name} (centre tap)"),
        (_, Some(_), None) => "the common lead of the primary".into(),
        (_, Some(_), Some(name)) => format!("{name} (common lead of the primary)"),
        (Topology::SingleEnded, None, None) => "the other end of the primary".into(),
        (Topology::SingleEnded, None, Some(name)) => format!("{name} (other end of the primary)"),
    }
}

/// A lead underlined in its own colour.
pub fn underlined(report: &Report, at: &Terminal) -> Markup {
    let words = terminal(report, at);
    html! { b class=(wire(&words)) { (words) } }
}

/// What goes to the plates: a stamped push-pull rating stands for two leads.
pub fn plates(report: &Report, wiring: &Wiring) -> Markup {
    let stamped_pair = report.solved.topology == Topology::PushPull && wiring.plates.len() == 1;
    let plates = wiring.plates.iter().map(|plate| underlined(report, plate));
    let leads = markup_in_a_row(&plates.collect::<Vec<_>>());
    match wiring.plates.len() {
        _ if stamped_pair => say!("the two {leads} leads, one to each", leads = leads),
        2 => say!("{leads}, one to each", leads = leads),
        _ => leads,
    }
}

/// The whole connection, for under the answer.
pub fn sentence(report: &Report, wiring: &Wiring) -> Markup {
    let idle: Vec<String> = (wiring.insulated.iter())
        .map(|one| terminal(report, &one.terminal))
        .collect();
    let plates = plates(report, wiring);
    html! {
        @match report.solved.topology {
            Topology::PushPull => (say!("Plates: {leads}.", leads = plates)),
            Topology::SingleEnded => (say!("Plate: {lead}.", lead = plates)),
        }
        " "
        @if let Some(supply) = &wiring.supply {
            (say!("B+: {lead}.", lead = underlined(report, supply))) " "
        }
        (say!(
            "Speaker: {tap}; its other side and ground: {ground}.",
            tap = underlined(report, &wiring.speaker),
            ground = underlined(report, &wiring.ground),
        ))
        @if !idle.is_empty() { " " (say!("Insulate {leads}.", leads = in_a_row(&idle))) }
    }
}

/// What swings on a lead that goes nowhere.
pub fn swing(report: &Report, idle: &Insulated) -> String {
    let carried = match (idle.swing, idle.on_supply) {
        (Some(volts), _) => format!("up to {} peak", number::about(volts.0, Unit::Volt)),
        (None, true) => format!(
            "{} the swing of the primary in use",
            number::times(idle.ratio)
        ),
        (None, false) => format!(
            "{} the swing of the secondary in use",
            number::times(idle.ratio)
        ),
    };
    let supply = report.solved.stage().map(|stage| stage.assumed.supply.0);
    match (idle.on_supply, supply) {
        (true, Some(volts)) => {
            format!("{carried}, on top of {}", number::about(volts, Unit::Volt))
        }
        (true, None) => format!("{carried}, on top of B+"),
        (false, _) => carried,
    }
}

/// What a lead that goes nowhere is called: `the two blue 10 kΩ leads` of a push-pull rating.
pub fn idle(report: &Report, idle: &Insulated) -> Markup {
    let stamped = matches!(idle.terminal, Terminal::Lead(_));
    let line = report.solved.line.is_some();
    let two = stamped && !line && report.solved.topology == Topology::PushPull;
    let lead = underlined(report, &idle.terminal);
    match (stamped, line) {
        _ if two => say!("both {lead} leads", lead = lead),
        (true, false) => say!("{lead} lead", lead = lead),
        (true, true) => say!("{lead} power tap", lead = lead),
        (false, _) => lead,
    }
}
