//! What was understood of the iron's losses and limits, and what counts as ideal.

use maud::{Markup, html};
use tapwright_core::iron::SourceFrom;
use tapwright_core::setup::{Field, LossText, StageText};
use tapwright_iron::iron::{OnLead, Origin};
use tapwright_iron::measured::danger::HAZARDOUS;
use tapwright_iron::winding_resistance::{WindingResistance, Wire, WireOrigin};
use tapwright_units::Unit;

use super::super::Scene;
use super::hint;
use super::stage::folded_away;
use crate::{number, words};

/// The fields of the fold.
pub(in crate::view) fn fields() -> impl Iterator<Item = Field> {
    let losses = LossText::ALL.iter().map(|text| Field::Loss(*text));
    std::iter::once(Field::Stage(StageText::Winding)).chain(losses)
}

/// The fold in one line.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    if let Some(complaint) = folded_away(scene, &fields().collect::<Vec<_>>()) {
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
        None => html! { "type it: loss, bass and treble, the most watts of the core" },
    }
}

pub(super) fn understood(scene: &Scene, text: LossText) -> Markup {
    let known = &scene.values.losses;
    match text {
        LossText::TapWinding => {
            let names = scene.values.taps.iter().flatten().map(words::tap);
            match &known.secondary {
                Some(secondary) => winding(secondary, names.collect()),
                None => hint(
                    "None: its copper loses nothing. From the common lead; between two taps as 4-8: 0.2.",
                ),
            }
        }
        LossText::CoreOhms => on_lead(
            scene,
            known.core_ohms,
            Unit::Ohm,
            "none: the core loses nothing",
        ),
        LossText::Inductance => on_lead(
            scene,
            known.inductance,
            Unit::Henry,
            "None: no limit in the bass. As henries; as volts, amperes and hertz, read with the secondary open at low AC voltage, off the amplifier; or as a stated −3 dB point, 40 Hz.",
        ),
        LossText::Leakage => on_lead(
            scene,
            known.leakage,
            Unit::Henry,
            "None: no limit in the treble. As henries, or as read with the secondary shorted, at low voltage too.",
        ),
        LossText::Capacitance => on_lead(scene, known.capacitance, Unit::Farad, "none"),
        LossText::RatedWatts => match known.watts {
            Some(watts) => html! {
                (number::given(watts, Unit::Watt))
                @if scene.typed.text(Field::Loss(text)).is_some_and(str::is_empty) {
                    ", the largest power tap"
                }
            },
            None => hint("none: it never saturates"),
        },
        LossText::RatedHertz => match known.hertz {
            Some(hertz) => html! { (number::given(hertz, Unit::Hertz)) },
            None => hint("the lowest at that power"),
        },
        LossText::DirectMa => match known.direct_amps {
            Some(amps) => html! { (number::given(amps, Unit::Ampere)) },
            None => match &scene.report.solved.stage {
                Some(Ok(stage)) => html! {
                    (number::computed(stage.idle.magnetising_amps.abs(), Unit::Ampere)) " at idle"
                },
                _ => hint("not known without a tube"),
            },
        },
        LossText::PlateOhms => source(scene),
    }
}

fn source(scene: &Scene) -> Markup {
    let losses = &scene.report.solved.iron;
    let first = losses.passages.first();
    match (losses.source, first) {
        (SourceFrom::Typed, _) => html! {
            @if let Some(ohms) = scene.values.losses.source_ohms { (number::given(ohms, Unit::Ohm)) }
        },
        (SourceFrom::Tubes, Some(passage)) => html! {
            (words::ohms(passage.source)) ", plate resistance at idle"
        },
        _ => hint("none known: matched to the lead’s rating"),
    }
}

/// The primary's wire, lead by lead.
pub(super) fn primary(scene: &Scene) -> Markup {
    let values = scene.values;
    let names = values.leads.iter().flatten().map(words::lead);
    match &values.losses.primary {
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

fn on_lead(scene: &Scene, known: Option<OnLead>, unit: Unit, otherwise: &str) -> Markup {
    let Some(known) = known else {
        return hint(otherwise);
    };
    let leads = scene.values.leads.as_deref().unwrap_or_default();
    html! {
        (number::about(known.value, unit))
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
