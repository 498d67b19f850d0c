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
use crate::words::say::say;
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
        Some(passage) => {
            let loss = number::decibels(passage.insertion_loss.0);
            match passage.band.and_then(|band| band.low) {
                Some(low) => say!(
                    "loses {loss}, bass to {hertz}",
                    loss = loss,
                    hertz = number::computed(low, Unit::Hertz),
                ),
                None => say!("loses {loss}", loss = loss),
            }
        }
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
            Some(watts) if scene.typed.text(field).is_some_and(str::is_empty) => say!(
                "{watts}, the largest power tap",
                watts = number::given(watts, Unit::Watt),
            ),
            Some(watts) => html! { (number::given(watts, Unit::Watt)) },
            None => plain(scene, field),
        },
        IronText::DirectMa => match known.direct_amps {
            Some(amps) => html! { (number::given(amps, Unit::Ampere)) },
            None => match scene.report.solved.stage() {
                Some(stage) => say!(
                    "{amps} at idle",
                    amps = number::computed(stage.idle.magnetising_amps.abs(), Unit::Ampere),
                ),
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
        (SourceFrom::Tubes, Some(passage)) => say!(
            "{ohms}, plate resistance at idle",
            ohms = words::ohms(passage.source),
        ),
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
                (say!(
                    "None: its copper loses nothing. Measured {span}: the whole winding, or each lead.",
                    span = words::span(scene.typed.topology),
                ))
            }
        },
    }
}

fn winding(winding: &WindingResistance, names: Vec<String>) -> Markup {
    let one = |wire: Wire| {
        let ohms = number::about(wire.ohms, Unit::Ohm);
        match wire.origin {
            WireOrigin::ByTurns => format!("{ohms} by turns"),
            _ => ohms,
        }
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
    let value = number::about(known.value, range.unit);
    let value = match leads.get(known.lead).filter(|_| leads.len() > 1) {
        Some(lead) => say!("{value} on {lead}", value = value, lead = words::lead(lead)),
        None => html! { (value) },
    };
    let (value, volts) = match known.origin {
        Origin::Edge { .. } => {
            return say!(
                "{value}, between the rated load on both sides",
                value = value
            );
        }
        Origin::Typed => return value,
        Origin::Meter {
            volts,
            copper,
            core,
            ..
        } if copper > 0.0 || core.is_some() => (
            say!("{value}, copper and core taken out", value = value),
            volts,
        ),
        Origin::Meter { volts, .. } => (value, volts),
    };
    match volts > HAZARDOUS.0 {
        true => say!(
            "{value}. Above 30\u{a0}V reading is dangerous: a heater winding will do",
            value = value,
        ),
        false => value,
    }
}
