//! What was understood, under each field; or what is wrong with it, and an example.

use maud::{Markup, html};
use tapwright_core::setup::{
    FeedbackText, Field, HeaterText, HookupText, Reads, StageText, Topology,
};
use tapwright_core::target::Target;
use tapwright_core::values::{TakeOff, is_asked};
use tapwright_units::{Unit, Volts};

use crate::view::{Region, Scene, feedback, heat, region};
use crate::{number, words};

mod drivers;
mod iron;
mod measured;
mod stage;
mod supply;

pub(in crate::view) use iron::fields as iron_fields;
pub(in crate::view) use measured::{
    dangers, fields as measured_fields, is_dangerous, next as next_reading,
};
pub(in crate::view) use stage::fields as stage_fields;
pub(super) use stage::folded_away;

/// Id of the element that holds the echo of a field.
pub(super) fn echo_id(field: Field) -> String {
    format!("echo-{}", field.to_string().replace('.', "-"))
}

/// The lines under some of the fields.
pub(in crate::view) fn echoes_of(scene: &Scene, some: impl Fn(Field) -> bool) -> Vec<Region> {
    let fields = scene.typed.fields().into_iter();
    let fields = fields.filter(|field| has_line(*field) && is_asked(scene.typed, *field));
    fields
        .filter(|field| some(*field))
        .map(|field| region(&echo_id(field), echo(scene, field)))
        .collect()
}

pub(super) fn echoes(scene: &Scene) -> Vec<Region> {
    let mut echoes = echoes_of(scene, |field| {
        !feedback::is_of_this_leaf(field) && !heat::is_of_this_leaf(field)
    });
    for (id, view) in [
        (
            "echo-more-of-stage",
            stage::in_brief as fn(&Scene) -> Markup,
        ),
        ("echo-losses", iron::in_brief),
        ("echo-own", stage::own),
        ("echo-windings", measured::windings),
        ("echo-turns", measured::turns),
        ("echo-which", measured::which),
    ] {
        echoes.push(region(id, view(scene)));
    }
    echoes.extend(drivers::more(scene));
    echoes
}

/// The fields of what is stamped on the transformer.
pub(super) fn iron_marks(scene: &Scene) -> Vec<Field> {
    let mut fields = scene.typed.fields();
    fields.retain(|field| match field {
        Field::Primary | Field::LineVolts | Field::LineTaps | Field::Taps => {
            is_asked(scene.typed, *field)
        }
        _ => false,
    });
    fields
}

/// Whether there is a line under a field for what was understood.
fn has_line(field: Field) -> bool {
    let is_name = matches!(field, Field::Name | Field::Hookup(_, HookupText::Name));
    !is_name && !matches!(field.row().reads, Reads::Words(..))
}

/// The most watts that a hookup takes, once every driver has a rating.
fn takes_in_all(scene: &Scene, place: usize) -> Option<String> {
    let watts = scene.report.solved.hookup(place)?.takes()?;
    Some(number::about(watts.0, Unit::Watt))
}

fn echo(scene: &Scene, field: Field) -> Markup {
    problem_at(scene, field).unwrap_or_else(|| understood(scene, field))
}

/// What is wrong with a field, and what is used instead.
fn problem_at(scene: &Scene, field: Field) -> Option<Markup> {
    if let Some(problem) = scene.problem(field) {
        let still_bad = scene
            .report
            .problems
            .iter()
            .any(|problem| problem.field == field);
        let last_good = scene.good.text(field).map(str::trim);
        let last_good = last_good.filter(|text| !still_bad && !text.is_empty());
        let complaint = &problem.complaint;
        let meanwhile = match field {
            Field::Stage(_) | Field::Supply => Some(understood(scene, field)),
            _ => None,
        };
        // Of a stage without its tube nothing is taken.
        let meanwhile = meanwhile.filter(|taken| !taken.0.is_empty());
        return Some(html! {
            span .bad {
                (complaint.why) "."
                @if !complaint.example.is_empty() { " For example: " (complaint.example) "." }
                @if let Some(text) = last_good { " Still using " (short(text)) "." }
                @else if let Some(taken) = meanwhile { " Meanwhile: " (taken) "." }
                // Whole sentences.
                @else if field == Field::Target { " Meanwhile: " (understood(scene, field)) }
                @else if matches!(field, Field::Point(..)) { " Meanwhile left out." }
                @else if matches!(field, Field::Iron(_)) { " Meanwhile not counted." }
            }
        });
    }
    None
}

/// The start of what may be a whole measured curve.
fn short(text: &str) -> String {
    match text.char_indices().nth(60) {
        Some((end, _)) => format!("{}…", text.get(..end).unwrap_or_default()),
        None => text.to_owned(),
    }
}

fn understood(scene: &Scene, field: Field) -> Markup {
    let values = scene.values;
    match field {
        Field::Primary => match &values.leads {
            Some(leads) => html! {
                (leads.iter().map(words::lead).collect::<Vec<_>>().join(", "))
                " " (words::span(scene.typed.topology))
            },
            None => hint(field.row().empty),
        },
        Field::Heater(HeaterText::Resistors) => match values.heaters.resistors {
            Some([one, other]) if one == other => html! { "2 × " (number::given(one, Unit::Ohm)) },
            Some([one, other]) => {
                html! { (number::given(one, Unit::Ohm)) " and " (number::given(other, Unit::Ohm)) }
            }
            None => hint(field.row().empty),
        },
        Field::LineVolts => match values.line {
            Some(line) => html! { (number::given(line.0, Unit::Volt)) " line" },
            None => hint(field.row().empty),
        },
        Field::LineTaps => match &values.leads {
            Some(leads) => html! {
                (leads.iter().map(|lead| format!("{} is {}", words::lead(lead), words::rated(lead.rated))).collect::<Vec<_>>().join(", "))
            },
            None => hint(field.row().empty),
        },
        Field::Taps => match &values.taps {
            Some(taps) => html! { (taps.iter().map(words::tap).collect::<Vec<_>>().join(", ")) },
            None => hint(field.row().empty),
        },
        Field::Hookup(place, HookupText::Speakers) => {
            match values.hookups.get(place).and_then(Option::as_ref) {
                Some(hookup) => html! {
                    @if hookup.speakers.drivers() > 1 { (words::speakers(&hookup.speakers)) ": " }
                    (words::about(hookup.speakers.impedance()))
                    ", at least " (words::about(hookup.speakers.lowest_impedance())) " in band"
                },
                None => hint(field.row().empty),
            }
        }
        Field::Hookup(place, HookupText::Rating) => match takes_in_all(scene, place) {
            Some(watts) => html! { "takes " (watts) " in all" },
            None => hint("One for all, or one each: the most that it takes."),
        },
        Field::Driver(place, part) => drivers::understood(scene, place, part),
        Field::Iron(text) => iron::understood(scene, text),
        Field::Stage(StageText::Winding) => iron::primary(scene),
        Field::Supply | Field::Stage(_) => stage::understood(scene, field),
        Field::Measured(_) | Field::Ohms(..) | Field::Volts(..) => {
            measured::understood(scene, field)
        }
        Field::PowerSupply(text) => supply::understood(scene, text),
        Field::Section(place, text) => supply::section(scene, place, text),
        Field::Tube => stage::tube(scene),
        Field::Target => target(scene),
        Field::Feedback(FeedbackText::From) => match scene.values.amplifier.from {
            None => hint(field.row().empty),
            Some(TakeOff::Selected) => html! { "the tap in use, behind the selector" },
            Some(TakeOff::Tap(at)) => html! {
                @if let Some(tap) = scene.values.taps.as_ref().and_then(|taps| taps.get(at)) {
                    "the " (words::tap(tap)) " tap, always"
                }
            },
        },
        _ => plain(scene, field),
    }
}

/// The number of a field as it was understood, or what its empty text means.
fn plain(scene: &Scene, field: Field) -> Markup {
    let row = field.row();
    match (row.empty, row.range(), scene.values.number(field)) {
        ("", ..) => html! {},
        (_, Some(range), Some(share)) if range.unit == Unit::Percent => {
            html! { (number::percent(share)) }
        }
        (_, Some(range), Some(value)) => html! { (number::given(value, range.unit)) },
        (empty, ..) => hint(empty),
    }
}

fn target(scene: &Scene) -> Markup {
    let report = scene.report;
    let span = words::span(report.solved.topology);
    match &report.solved.target {
        Target::Typed(load) => html! { "Wants " (words::rated(*load)) " " (span) ", as typed." },
        Target::Published(row) => {
            // The example's volts are from the cathode; B+ is not.
            let plate = match report.solved.stage() {
                Some(stage) => Some(Volts(stage.idle.plate_volts)),
                None => report.solved.supply,
            };
            let far = plate.filter(|plate| (row.plate.0 / plate.0 - 1.0).abs() > 0.15);
            html! {
                "Wants " (words::rated(row.load)) " " (span) ": published for "
                @if row.beside != 1.0 { (row.example_tubes) " " }
                @else { "the " }
                (row.tube) " at " (number::given(row.plate.0, Unit::Volt))
                @if row.beside != 1.0 { ", counted for as many tubes as here" }
                @if let Some(power) = row.power { ", " (number::given(power.0, Unit::Watt)) }
                @if let Some(thd) = row.thd_percent { " at " (number::given(thd, Unit::Percent)) " distortion" }
                ". Source: " (row.source)
                @if row.from_memory { ", from memory" }
                "."
                @if let Some(plate) = far {
                    " That is the nearest to " (number::computed(plate.0, Unit::Volt)) " on the plate and not near: check it."
                }
            }
        }
        Target::Computed(load) => html! {
            "Wants " (words::rated(*load)) " " (span)
            ": computed, as nothing is published for this tube so connected. The load with the most power at "
            @if is_strapped(scene) { "5" } @else { "10" } "\u{a0}% distortion or less."
        },
        Target::AsRated => match report.solved.topology {
            Topology::PushPull => hint(
                "Unset: each lead is held against its own rating. A tube, or the load plate to plate, settles which lead.",
            ),
            Topology::SingleEnded => hint(
                "Unset: each lead is held against its own rating. A tube, or the load it wants, settles which lead.",
            ),
        },
    }
}

fn is_strapped(scene: &Scene) -> bool {
    (scene.report.solved.stage()).is_some_and(|stage| stage.stage.is_strapped())
}

fn hint(words: &str) -> Markup {
    html! { span .hint { (words) } }
}
