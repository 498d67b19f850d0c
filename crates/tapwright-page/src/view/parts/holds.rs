//! What a part is, in one line.

use maud::{Markup, html};
use tapwright_core::described::Described;
use tapwright_core::setup::{Circuit, Field, HookupText, Marking, OWN_TUBE, Topology};
use tapwright_core::values::RectifierKind;
use tapwright_tube::Bias;
use tapwright_units::Unit;

use super::echo::{folded_away, iron_marks, measured_fields, stage_fields};
use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

/// What is still asked for.
fn asks(words: &str) -> Markup {
    html! { span .asks { (words) } }
}

pub(super) fn stage(scene: &Scene) -> Markup {
    let mut fields = stage_fields(scene);
    fields.extend([Field::Tube, Field::Supply, Field::Target]);
    if let Some(complaint) = folded_away(scene, &fields) {
        return complaint;
    }
    let kind = match scene.typed.topology {
        Topology::PushPull => "push-pull",
        Topology::SingleEnded => "single-ended",
    };
    match scene.report.solved.stage() {
        Some(stage) => {
            let assumed = &stage.assumed;
            let count = words::count_in_words(assumed.tubes.0 as usize);
            let tubes = match stage.tube.designation {
                Some(tube) => say!("{count} {tube}", count = count, tube = tube),
                None => say!("{count} of your own", count = count),
            };
            let bias = match assumed.bias.0 {
                Bias::Fixed(volts) => number::given(volts, Unit::Volt),
                Bias::Cathode(ohms) => number::given(ohms, Unit::Ohm),
            };
            html! { (kind) ", " (tubes) ", " (number::given(assumed.supply.0, Unit::Volt)) ", " (bias) }
        }
        None => html! { (kind) ", " (asks("choose the tube")) },
    }
}

pub(super) fn driver(scene: &Scene) -> Markup {
    let mut fields = scene.typed.fields();
    fields.retain(|field| {
        matches!(
            field,
            Field::DriverTube | Field::OwnDriver(_) | Field::Drive(_)
        )
    });
    if let Some(complaint) = folded_away(scene, &fields) {
        return complaint;
    }
    match scene.typed.amplifier.driver.trim() {
        "" => html! { span .hint { "not typed: type it for the feedback" } },
        OWN_TUBE => html! { "of your own" },
        tube => html! { (tube) },
    }
}

pub(super) fn supply(scene: &Scene) -> Markup {
    let mut fields = scene.typed.fields();
    fields.retain(|field| matches!(field, Field::PowerSupply(_) | Field::Section(..)));
    if let Some(complaint) = folded_away(scene, &fields) {
        return complaint;
    }
    let solved = &scene.report.solved;
    match &solved.power_supply {
        Some(Ok(supply)) => {
            let first = number::given(supply.described.supply.first.farads, Unit::Farad);
            say!(
                "{rectifier}, {first}: B+ {volts}",
                rectifier = rectified(&supply.described),
                first = first,
                volts = number::about(supply.volts, Unit::Volt),
            )
        }
        Some(Err(_)) => asks("it cannot give this current"),
        None => match solved.supply_wants.first() {
            Some(field) => asks(&format!("type: {}", field.row().label.to_lowercase())),
            None => html! { span .hint { "not typed: type it for B+ before the first switch-on" } },
        },
    }
}

/// The rectifier, and what it is fed with.
fn rectified(described: &Described) -> Markup {
    let rectifier = match described.rectifier {
        RectifierKind::Silicon => "silicon",
        RectifierKind::Tube(tube) => &tube.designation,
    };
    let Some(transformer) = &described.transformer else {
        return say!("{rectifier} straight from the mains", rectifier = rectifier);
    };
    let volts = number::given(transformer.stamped_volts, Unit::Volt);
    match described.supply.circuit {
        Circuit::FullWave => html! { (rectifier) ", 2 × " (volts) },
        _ => html! { (rectifier) ", " (volts) },
    }
}

pub(super) fn iron(scene: &Scene) -> Markup {
    let fields = match scene.typed.marking {
        Marking::Measured => measured_fields(scene),
        _ => iron_marks(scene),
    };
    if let Some(complaint) = folded_away(scene, &fields) {
        return complaint;
    }
    let values = scene.values;
    let leads = values.leads.as_deref().unwrap_or_default();
    let leads: Vec<String> = leads.iter().map(words::lead).collect();
    let taps = values.taps.as_deref().unwrap_or_default();
    let taps: Vec<String> = taps.iter().map(words::tap).collect();
    match (scene.typed.marking, leads.is_empty(), taps.is_empty()) {
        (Marking::Measured, ..) => {
            let measured = scene.report.solved.measured.as_ref();
            let names = measured.map(|findings| findings.leads.join(", "));
            match names.filter(|names| !names.is_empty()) {
                Some(names) => say!("measured: {names}", names = names),
                None => say!("to be measured: {asked}", asked = asks("name the leads")),
            }
        }
        (_, true, true) => asks("type the primary and the taps"),
        (_, true, false) => html! { (asks("type the primary")) "; " (taps.join(", ")) },
        (_, false, true) => html! { (leads.join(", ")) "; " (asks("type the taps")) },
        (_, false, false) => html! { (leads.join(", ")) "; " (taps.join(", ")) },
    }
}

pub(super) fn hookup(scene: &Scene, place: usize) -> Markup {
    let part = |text| Field::Hookup(place, text);
    let fields = [part(HookupText::Speakers), part(HookupText::Rating)];
    if let Some(complaint) = folded_away(scene, &fields) {
        return complaint;
    }
    let Some(hookup) = scene.values.hookups.get(place).and_then(Option::as_ref) else {
        return asks("type a speaker");
    };
    let name = words::hookup(scene.typed, place);
    let takes = scene
        .report
        .solved
        .hookup(place)
        .and_then(|hookup| hookup.takes());
    let is_bare = name == scene.typed.hookups[place].speakers.trim();
    let speakers = match is_bare && hookup.speakers.drivers() == 1 {
        true => say!("{ohms}\u{a0}Ω", ohms = name),
        false => html! { (name) ", " (words::about(hookup.speakers.impedance())) },
    };
    html! {
        (speakers)
        @if let Some(watts) = takes { ", " (number::about(watts.0, Unit::Watt)) }
    }
}
