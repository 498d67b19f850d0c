//! What was understood, under each field; or what is wrong with it, and an example.

use maud::{Markup, html};
use tapwright_core::setup::{FeedbackText, Field, HeaterText, HookupText, Reads, StageText};
use tapwright_core::values::{TakeOff, is_asked};
use tapwright_speaker::Hookup;
use tapwright_units::Unit;

use crate::view::{Region, Scene, feedback, heat, region};
use crate::words::say::say;
use crate::{number, words};

mod drivers;
mod iron;
mod measured;
mod stage;
mod supply;
mod target;

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
        let example = &complaint.example;
        let used = match last_good {
            Some(text) => Some(say!("Still using {text}.", text = short(text))),
            None => meanwhile(scene, field),
        };
        return Some(html! {
            span .bad {
                (complaint.why) "."
                @if !example.is_empty() { " " (say!("For example: {example}.", example = example)) }
                @if let Some(used) = used { " " (used) }
            }
        });
    }
    None
}

/// What stands in for a value that cannot be used and never could.
fn meanwhile(scene: &Scene, field: Field) -> Option<Markup> {
    match field {
        // Of a stage without its tube nothing is taken.
        Field::Stage(_) | Field::Supply => Some(understood(scene, field))
            .filter(|taken| !taken.0.is_empty())
            .map(|taken| say!("Meanwhile: {taken}.", taken = taken)),
        // Whole sentences.
        Field::Target => Some(say!("Meanwhile: {taken}", taken = understood(scene, field))),
        Field::Point(..) => Some(html! { "Meanwhile left out." }),
        Field::Iron(_) => Some(html! { "Meanwhile not counted." }),
        _ => None,
    }
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
            Some(leads) => say!(
                "{loads} {span}",
                loads = leads.iter().map(words::lead).collect::<Vec<_>>().join(", "),
                span = words::span(scene.typed.topology),
            ),
            None => hint(field.row().empty),
        },
        Field::Heater(HeaterText::Resistors) => match values.heaters.resistors {
            Some([one, other]) if one == other => html! { "2 × " (number::given(one, Unit::Ohm)) },
            Some([one, other]) => say!(
                "{one} and {other}",
                one = number::given(one, Unit::Ohm),
                other = number::given(other, Unit::Ohm),
            ),
            None => hint(field.row().empty),
        },
        Field::LineVolts => match values.line {
            Some(line) => say!("{volts} line", volts = number::given(line.0, Unit::Volt)),
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
                Some(hookup) => impedance(&hookup.speakers),
                None => hint(field.row().empty),
            }
        }
        Field::Hookup(place, HookupText::Rating) => match takes_in_all(scene, place) {
            Some(watts) => say!("takes {watts} in all", watts = watts),
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
        Field::Target => target::target(scene),
        Field::Feedback(FeedbackText::From) => match scene.values.amplifier.from {
            None => hint(field.row().empty),
            Some(TakeOff::Selected) => html! { "the tap in use, behind the selector" },
            Some(TakeOff::Tap(at)) => match values.taps.as_ref().and_then(|taps| taps.get(at)) {
                Some(tap) => say!("the {tap} tap, always", tap = words::tap(tap)),
                None => html! {},
            },
        },
        _ => plain(scene, field),
    }
}

/// What the speakers of a hookup come to.
fn impedance(speakers: &Hookup) -> Markup {
    let ohms = words::about(speakers.impedance());
    let lowest = words::about(speakers.lowest_impedance());
    match speakers.drivers() {
        1 => say!(
            "{ohms}, at least {lowest} in band",
            ohms = ohms,
            lowest = lowest
        ),
        _ => say!(
            "{speakers}: {ohms}, at least {lowest} in band",
            speakers = words::speakers(speakers),
            ohms = ohms,
            lowest = lowest,
        ),
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

fn hint(words: &str) -> Markup {
    html! { span .hint { (words) } }
}
