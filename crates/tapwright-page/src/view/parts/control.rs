//! The control of a field, as its row of the table describes it, and the lines of a fold.

use maud::{Markup, html};
use tapwright_core::setup::{Field, Fold, HookupText, PointText, Reads, StageText, Topology};
use tapwright_core::values::{has_screen, is_asked};
use tapwright_units::Unit;

use super::echo::echo_id;
use crate::view::Scene;

/// The control of a field, with its label, and the place for what was understood under it.
pub(super) fn control(scene: &Scene, field: Field) -> Markup {
    match field.row().reads {
        Reads::Words(words, _) => choice(field, words),
        _ => {
            let (label, placeholder) = words(scene, field);
            text(field, &label, &placeholder, None, Some("text"))
        }
    }
}

/// A text field of a row; its label is for those who do not see the row.
pub(super) fn cell(scene: &Scene, field: Field) -> Markup {
    let (label, placeholder) = words(scene, field);
    text(field, &label, &placeholder, Some("unseen"), None)
}

/// A text field under a label of its own.
pub(super) fn labelled(field: Field, label: &str, placeholder: &str) -> Markup {
    text(field, label, placeholder, None, Some("text"))
}

/// The lines of a fold, of those among these fields that stand there: the fields of one line
/// stand side by side.
pub(super) fn lines(scene: &Scene, fold: Fold, mut fields: Vec<Field>) -> Markup {
    let line = |field: &Field| field.row().place.1;
    fields.retain(|field| field.row().place.0 == fold);
    fields.sort_by_key(|field| (line(field), field.row().column));
    html! {
        @for fields in fields.chunk_by(|one, next| line(one) == line(next)) {
            (side_by_side(scene, fields))
        }
    }
}

fn side_by_side(scene: &Scene, fields: &[Field]) -> Markup {
    let asked = fields.iter().filter(|field| is_asked(scene.typed, **field));
    let controls: Vec<Markup> = asked.map(|field| control(scene, *field)).collect();
    html! {
        @if fields.len() == 1 || controls.is_empty() {
            @for control in &controls { (control) }
        } @else {
            div .pair { @for control in &controls { (control) } }
        }
    }
}

/// The label of a field, and what it shows while it is empty.
fn words(scene: &Scene, field: Field) -> (String, String) {
    let row = field.row();
    let (label, placeholder) = match field {
        Field::Stage(StageText::Tubes) if scene.typed.topology == Topology::SingleEnded => {
            (row.label, "1")
        }
        Field::Point(_, PointText::Mu) if has_screen(scene.typed) => ("µ, g1 to screen", "9.8"),
        Field::Point(_, PointText::Mu) => (row.label, "20"),
        _ => (row.label, row.placeholder()),
    };
    // What stands there without being typed is no example.
    let placeholder = match placeholder.starts_with("as ") {
        true => placeholder.to_owned(),
        false => format!("e.g. {placeholder}"),
    };
    (field.numbered(label), placeholder)
}

/// The unit that a field is typed in, where it is always the same one.
fn unit(field: Field) -> Option<&'static str> {
    match (field, field.row().reads) {
        (Field::Primary | Field::Taps | Field::Hookup(_, HookupText::Speakers), _) => Some("Ω"),
        (Field::LineTaps | Field::Hookup(_, HookupText::Rating), _) => Some("W"),
        (Field::LineVolts, _) => Some("V"),
        (_, Reads::Number(unit, ..)) => Some(unit.symbol()),
        (_, Reads::Numbers(Unit::Ohm, ..)) => Some("Ω"),
        _ => None,
    }
    .filter(|unit| !unit.is_empty())
}

fn text(
    field: Field,
    label: &str,
    placeholder: &str,
    class: Option<&str>,
    mode: Option<&str>,
) -> Markup {
    let echo = echo_id(field);
    let unit = unit(field).filter(|_| class.is_none());
    html! {
        div .field {
            label class=[class] for={ "field-" (field) } {
                (label)
                @if let Some(unit) = unit { span .unseen { ", " (unit) } }
            }
            div .typed {
                input id={ "field-" (field) } data-field=(field) type="text" inputmode=[mode]
                    placeholder=(placeholder) aria-describedby=(echo)
                    autocomplete="off" autocapitalize="off" spellcheck="false" enterkeyhint="next";
                @if let Some(unit) = unit { span .unit aria-hidden="true" { (unit) } }
            }
            p .echo id=(echo) {}
        }
    }
}

fn choice(field: Field, words: &[(&str, &str)]) -> Markup {
    html! {
        div .field {
            label for={ "field-" (field) } { (field.row().label) }
            select id={ "field-" (field) } data-field=(field) {
                @for (value, words) in words {
                    option value=(value) { (words) }
                }
            }
        }
    }
}
