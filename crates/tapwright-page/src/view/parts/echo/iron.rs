//! What was understood of the iron's losses and limits, and what counts as ideal.

use maud::{Markup, html};
use tapwright_core::iron::SourceFrom;
use tapwright_core::setup::{Field, IronText, StageText};
use tapwright_iron::iron::{OnLead, Origin};
use tapwright_iron::measured::danger::HAZARDOUS;
use tapwright_iron::winding_resistance::{WindingResistance, Wire, WireOrigin};
use tapwright_units::Unit;

use super::stage::folded_away;
use super::{hint, plain};
use crate::view::Scene;
use crate::{number, words};

/// The fields of the fold.
pub(in crate::view) fn fields(scene: &Scene) -> Vec<Field> {
    let mut fields = scene.typed.fields();
    fields.retain(|field| matches!(field, Field::Iron(_) | Field::Stage(StageText::Winding)));
    fields
}

/// The fold in one line.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    if let Some(complaint) = folded_away(scene, &fields(scene)) {
        return complaint;
    }
    let report = scene.report;
    let followed = report
        .solved
        .followed
        .as_ref()
        .map(|followed| followed.place);
    match followed.and_then(|at| report.solved.iron.passages.get(at)) {
        Some(passage) => html! {
            "loses " (number::decibels(passage.insertion_loss.0))
            @if let Some(low) = passage.band.and_then(|band| band.low) {
                ", bass to " (number::computed(low, Unit::Hertz))
            }
        },
        None => hint("not counted: type an ohmmeter’s reading"),
    }
}

pub(super) fn understood(scene: &Scene, text: IronText) -> Markup {
    let field = Field::Iron(text);
    let known = &scene.values.iron;
    match text {
        IronText::TapWinding => {
            let names = scene.values.taps.iter().flatten().map(words::tap);
            match &known.secondary {
                Some(secondary) => winding(secondary, names.collect()),
                None => plain(scene, field),
            }
        }
        IronText::CoreOhms => on_lead(scene, known.core_ohms, field),
        IronText::Inductance => on_lead(scene, known.inductance, field),
        IronText::Leakage => on_lead(scene, known.leakage, field),
        IronText::Capacitance => on_lead(scene, known.capacitance, field),
        IronText::RatedWatts => match known.watts {
            Some(watts) => html! {
                (number::given(watts, Unit::Watt))
                @if scene.typed.text(field).is_some_and(str::is_empty) {
                    ", the largest power tap"
                }
            },
            None => plain(scene, field),
        },
        IronText::DirectMa => match known.direct_amps {
            Some(amps) => html! { (number::given(amps, Unit::Ampere)) },
            None => match scene.report.solved.stage() {
                Some(stage) => html! {
                    (number::computed(stage.idle.magnetising_amps.abs(), Unit::Ampere)) " at idle"
                },
                None => plain(scene, field),
            },
        },
        IronText::PlateOhms => source(scene),
        _ => plain(scene, field),
    }
}

fn source(scene: &Scene) -> Markup {
    let losses = &scene.report.solved.iron;
    let first = losses.passages.first();
    match (losses.source, first) {
        (SourceFrom::Typed, _) => html! {
            @if let Some(ohms) = scene.values.iron.source_ohms { (number::given(ohms, Unit::Ohm)) }
        },
        (SourceFrom::Tubes, Some(passage)) => html! {
            (words::ohms(passage.source)) ", plate resistance at idle"
        },
        _ => hint(IronText::PlateOhms.row().empty),
    }
}

/// The primary's wire, lead by lead.
pub(super) fn primary(scene: &Scene) -> Markup {
    let values = scene.values;
    let names = values.leads.iter().flatten().map(words::lead);
    match &values.iron.primary {
        Some(primary) => winding(primary, names.collect()),
        None => html! {
            span .hint {
                "None: its copper loses nothing. Measured " (words::span(scene.typed.topology))
                ": the whole winding, or each lead."
            }
        },
    }
}

fn winding(winding: &WindingResistance, names: Vec<String>) -> Markup {
    let one = |wire: Wire| {
        let by_turns = if wire.origin == WireOrigin::ByTurns {
            " by turns"
        } else {
            ""
        };
        format!("{}{by_turns}", number::about(wire.ohms, Unit::Ohm))
    };
    let names = if names.len() < 2 {
        vec![String::new()]
    } else {
        names
    };
    let each = names.iter().enumerate().filter_map(|(at, name)| {
        let wire = one(winding.at(at)?);
        Some(if name.is_empty() {
            wire
        } else {
            format!("{name}: {wire}")
        })
    });
    html! { (each.collect::<Vec<_>>().join(", ")) }
}

fn on_lead(scene: &Scene, known: Option<OnLead>, field: Field) -> Markup {
    let (Some(known), Some(range)) = (known, field.row().range()) else {
        return plain(scene, field);
    };
    let leads = scene.values.leads.as_deref().unwrap_or_default();
    html! {
        (number::about(known.value, range.unit))
        @if let (true, Some(lead)) = (leads.len() > 1, leads.get(known.lead)) { " on " (words::lead(lead)) }
        @match known.origin {
            Origin::Edge { .. } => { ", between the rated load on both sides" }
            Origin::Meter { volts, copper, core, .. } => {
                @if copper > 0.0 || core.is_some() { ", copper and core taken out" }
                @if volts > HAZARDOUS.0 { ". Above 30\u{a0}V reading is dangerous: a heater winding will do" }
            }
            Origin::Typed => {}
        }
    }
}
