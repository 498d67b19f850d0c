//! What is typed: iron, speakers, stage. The texts themselves are put in by the event
//! layer, so that this markup changes only when a field comes or goes.

use maud::{Markup, html};
use tapwright_core::published;
use tapwright_core::setup::{Field, Marking};

use super::Scene;
use super::echo::echo_id;

pub(super) fn form(scene: &Scene) -> Markup {
    html! {
        (iron(scene))
        (speakers(scene))
        (stage(scene))
    }
}

/// A labelled text field, with the place for what was understood under it.
fn text(field: Field, label: &str, placeholder: &str, mode: &str) -> Markup {
    let key = field.to_string();
    let echo = echo_id(field);
    html! {
        div .field {
            label for={ "field-" (key) } { (label) }
            input id={ "field-" (key) } data-field=(key) type="text" inputmode=(mode)
                placeholder=(placeholder) aria-describedby=(echo)
                autocomplete="off" autocapitalize="off" spellcheck="false" enterkeyhint="next";
            p .echo id=(echo) {}
        }
    }
}

fn choice(key: &str, label: &str, options: &[(&str, &str)]) -> Markup {
    html! {
        div .field {
            label for={ "field-" (key) } { (label) }
            select id={ "field-" (key) } data-field=(key) {
                @for (value, words) in options {
                    option value=(value) { (words) }
                }
            }
        }
    }
}

fn iron(scene: &Scene) -> Markup {
    html! {
        fieldset {
            legend { "Iron" }
            (choice("marking", "Stamped on the primary", &[
                ("impedance", "ohms"),
                ("line", "line voltage and watts"),
            ]))
            @match scene.typed.marking {
                Marking::Impedance => {
                    (text(Field::Primary, "Primary leads", "brown 8k, blue 10k", "text"))
                }
                Marking::Line => {
                    (text(Field::LineVolts, "Line voltage", "100", "text"))
                    (text(Field::LineTaps, "Power taps", "1, 2.5, 5, 10 W", "text"))
                }
            }
            (text(Field::Taps, "Secondary taps", "white 3, green 8, yellow 15", "text"))
        }
    }
}

fn speakers(scene: &Scene) -> Markup {
    html! {
        fieldset {
            legend { "Speakers" }
            @for place in 0..scene.typed.hookups.len() {
                (hookup(place))
            }
            button type="button" #add-hookup data-do="add-hookup" { "Add a hookup" }
        }
    }
}

fn hookup(place: usize) -> Markup {
    let fold = format!("rating.{}", place + 1);
    let name = Field::HookupName(place);
    html! {
        div .hookup role="group" aria-label={ "Hookup " (place + 1) } {
            div .field.named {
                label .unseen for={ "field-" (name) } { "Name of hookup " (place + 1) }
                input .quiet id={ "field-" (name) } data-field=(name) type="text"
                    placeholder={ "Hookup " (place + 1) } autocomplete="off" spellcheck="false" enterkeyhint="next";
                button type="button" .plain data-do={ "remove-hookup." (place + 1) }
                    aria-label={ "Remove hookup " (place + 1) } { "Remove" }
            }
            (text(Field::HookupSpeakers(place), "Speakers", "8, 8//8, 8+8", "text"))
            details data-open=(fold) {
                summary {
                    "Power rating"
                    span .adds id={ "echo-rating-" (place + 1) } {}
                }
                (text(Field::HookupRating(place), "Watts, one for all or one each", "30, or 30, 15", "text"))
            }
        }
    }
}

fn stage(scene: &Scene) -> Markup {
    html! {
        fieldset {
            legend { "Stage" }
            (choice("topology", "Output stage", &[
                ("push-pull", "push-pull"),
                ("single-ended", "single-ended"),
            ]))
            div .pair {
                (tube(scene))
                (text(Field::Supply, "Supply, B+", "250", "text"))
            }
            (text(Field::Target, "Target load, if you know better", "8k", "text"))
        }
    }
}

/// The tube types that have a load for this kind of stage, and whatever a link brought.
fn tube(scene: &Scene) -> Markup {
    let typed = scene.typed.tube.trim();
    let types: Vec<&str> = published::types(scene.typed.topology).collect();
    let key = Field::Tube.to_string();
    let echo = echo_id(Field::Tube);
    html! {
        div .field {
            label for={ "field-" (key) } { "Tube" }
            select id={ "field-" (key) } data-field=(key) aria-describedby=(echo) {
                option value="" { "not chosen" }
                @for name in &types { option value=(name) { (name) } }
                @if !typed.is_empty() && !types.contains(&typed) {
                    option value=(scene.typed.tube) { (typed) }
                }
            }
            p .echo id=(echo) {}
        }
    }
}
