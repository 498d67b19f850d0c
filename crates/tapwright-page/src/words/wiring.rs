//! Words for where every lead of the transformer goes.

use maud::{Markup, html};
use tapwright_core::report::Report;
use tapwright_core::wiring::{Insulated, Terminal, Wiring};
use tapwright_iron::transformer::Transformer;
use tapwright_tube::Topology;
use tapwright_units::Unit;

use super::{in_a_row, lead, lead_noun, tap, wire};
use crate::number;

/// A lead in a few words: `brown 8 kΩ`, `red (centre tap)`.
pub fn terminal(report: &Report, terminal: &Terminal) -> String {
    let Some(transformer) = &report.solved.transformer else {
        return String::new();
    };
    let named = |name: &Option<String>, what: &str| match name {
        Some(name) => format!("{name} ({what})"),
        None => format!("the {what}"),
    };
    match terminal {
        Terminal::Lead(at) => transformer.leads.get(*at).map(lead).unwrap_or_default(),
        Terminal::SupplyLead(name) => named(name, supply_lead(report, transformer)),
        Terminal::Tap(at) => transformer.taps.get(*at).map(tap).unwrap_or_default(),
        Terminal::Common(name) => named(name, "common lead"),
        Terminal::Named(name) => name.clone(),
    }
}

/// What the lead of the primary without a rating is called.
fn supply_lead(report: &Report, transformer: &Transformer) -> &'static str {
    match (report.solved.topology, transformer.line) {
        (Topology::PushPull, None) => "centre tap",
        (_, Some(_)) => "common lead of the primary",
        (Topology::SingleEnded, None) => "other end of the primary",
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
    html! {
        @if stamped_pair { "the two " }
        @for (place, plate) in wiring.plates.iter().enumerate() {
            @if place > 0 { " and " }
            (underlined(report, plate))
        }
        @if stamped_pair { " leads, one to each" }
        @else if wiring.plates.len() == 2 { ", one to each" }
    }
}

/// The whole connection in one sentence, for under the answer.
pub fn sentence(report: &Report, wiring: &Wiring) -> Markup {
    let idle: Vec<String> = (wiring.insulated.iter())
        .map(|one| terminal(report, &one.terminal))
        .collect();
    let plate = match report.solved.topology {
        Topology::PushPull => "Plates: ",
        Topology::SingleEnded => "Plate: ",
    };
    html! {
        (plate) (plates(report, wiring)) ". "
        @if let Some(supply) = &wiring.supply { "B+: " (underlined(report, supply)) ". " }
        "Speaker: " (underlined(report, &wiring.speaker)) "; its other side and ground: "
        (underlined(report, &wiring.ground)) "."
        @if !idle.is_empty() { " Insulate " (in_a_row(&idle)) "." }
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
    let noun = report.solved.transformer.as_ref().map_or("lead", lead_noun);
    html! {
        @if two { "both " } (underlined(report, &idle.terminal))
        @if two { " leads" } @else if stamped { " " (noun) }
    }
}
