//! What is typed: iron, speakers, stage. The texts themselves are put in by the event
//! layer, so that this markup changes only when a field comes or goes.

use maud::{Markup, html};
use tapwright_core::published;
use tapwright_core::setup::{
    Field, Marking, OWN_TUBE, OwnKind, OwnText, PointText, Screens, StageText, Topology,
};

mod unmarked;

pub use unmarked::opens_itself;

use super::Scene;
use super::echo::echo_id;

mod drivers;
mod losses;

pub(super) fn form(scene: &Scene) -> Markup {
    html! {
        (iron(scene))
        (speakers(scene))
        (stage(scene))
    }
}

/// A labelled text field, with the place for what was understood under it.
fn text(field: Field, label: &str, placeholder: &str) -> Markup {
    labelled(field, label, placeholder, None, Some("text"))
}

/// One field of a row; its label is for those who do not see the row.
fn cell(field: Field, label: &str, placeholder: &str) -> Markup {
    labelled(field, label, placeholder, Some("unseen"), None)
}

fn labelled(
    field: Field,
    label: &str,
    placeholder: &str,
    class: Option<&str>,
    mode: Option<&str>,
) -> Markup {
    let key = field.to_string();
    let echo = echo_id(field);
    html! {
        div .field {
            label class=[class] for={ "field-" (key) } { (label) }
            input id={ "field-" (key) } data-field=(key) type="text" inputmode=[mode]
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
                ("measured", "nothing: I measure it"),
            ]))
            @match scene.typed.marking {
                Marking::Impedance => {
                    (text(Field::Primary, "Primary leads", "brown 8k, blue 10k"))
                }
                Marking::Line => {
                    (text(Field::LineVolts, "Line voltage", "100"))
                    (text(Field::LineTaps, "Power taps", "1, 2.5, 5, 10 W"))
                }
                Marking::Measured => (unmarked::form(scene)),
            }
            @if scene.typed.marking != Marking::Measured {
                (text(Field::Taps, "Secondary taps", "white 3, green 8, yellow 15"))
            }
            (losses::fold())
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
            (drivers::drivers(scene))
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
            (text(Field::HookupSpeakers(place), "Speakers", "8, 8//8, 8+8"))
            details data-open=(fold) {
                summary {
                    "Power rating"
                    span .adds id={ "echo-rating-" (place + 1) } {}
                }
                (text(Field::HookupRating(place), "Watts, one for all or one each", "30, or 30, 15"))
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
                (text(Field::Supply, "Supply, B+", "250"))
            }
            @if is_own(scene) { (own_tube(scene)) }
            details data-open="stage" {
                summary {
                    "More of the stage"
                    span .adds #echo-more-of-stage {}
                }
                (more_of_stage(scene))
            }
            (text(Field::Target, "Target load, if you know better", "8k"))
        }
    }
}

fn is_own(scene: &Scene) -> bool {
    scene.typed.tube.trim() == OWN_TUBE
}

fn on_stage(field: StageText, label: &str, placeholder: &str) -> Markup {
    text(Field::Stage(field), label, placeholder)
}

fn more_of_stage(scene: &Scene) -> Markup {
    let push_pull = scene.typed.topology == Topology::PushPull;
    let has_screen = scene.typed.has_screen();
    html! {
        div .pair {
            (on_stage(StageText::Tubes, "Tubes in all", if push_pull { "2" } else { "1" }))
            @if has_screen { (choice("screens", "Screens", &[
                ("steady", "steady supply"),
                ("taps", "primary taps"),
                ("plates", "tied to the plates"),
            ])) }
        }
        @if has_screen {
            @match scene.typed.screens {
                Screens::Steady => (on_stage(StageText::Screen, "Screen supply", "250")),
                Screens::Taps => (on_stage(StageText::ScreenTap, "Screen tap, % of the turns", "43")),
                Screens::Plates => {}
            }
            div .pair {
                @if scene.typed.screens == Screens::Steady {
                    (on_stage(StageText::ScreenOhms, "Resistor, all screens", "470"))
                }
                (on_stage(StageText::Stopper, "Resistor per screen", "1k"))
            }
        }
        div .pair {
            (on_stage(StageText::Grid, "Grid volts", "-15"))
            (on_stage(StageText::Cathode, "or cathode resistor", "270"))
        }
        (on_stage(StageText::Source, "Supply resistance", "100"))
        div .pair {
            (on_stage(StageText::Drive, "Drive, % of full drive", "100"))
            (on_stage(StageText::Frequency, "Frequency, for reactance", "80"))
        }
        @if push_pull {
            details data-open="unlike" {
                summary {
                    "How unlike the two sides are"
                    span .adds { "type it: hum, second harmonic, direct current in the core" }
                }
                (on_stage(StageText::UnlikeCurrent, "Difference of their currents, %", "10"))
                div .pair {
                    (on_stage(StageText::UnlikeDrive, "Of their drive, %", "5"))
                    (on_stage(StageText::UnlikeTurns, "Of the half windings’ turns, %", "2"))
                }
            }
        }
    }
}

fn own_tube(scene: &Scene) -> Markup {
    let screen = scene.typed.own.kind != OwnKind::Triode;
    let limit = |field, label, placeholder| text(Field::Own(field), label, placeholder);
    html! {
        div .hookup role="group" aria-label="Your own tube" {
            (choice("own", "Your own tube is a", &[
                ("beam", "beam tetrode"),
                ("pentode", "pentode"),
                ("triode", "triode"),
            ]))
            @for place in 0..scene.typed.own.points.len() { (point(place, screen)) }
            button type="button" #add-point data-do="add-point" { "Add a point from the datasheet" }
            div #echo-own {}
            details data-open="own-limits" {
                summary {
                    "Its limits"
                    span .adds { "type them: what the load asks of it, held against them" }
                }
                div .pair {
                    (limit(OwnText::PlateWatts, "Plate, W", "12"))
                    (limit(OwnText::PlateVolts, "Plate, V", "315"))
                    @if screen {
                        (limit(OwnText::ScreenWatts, "Screen, W", "2"))
                        (limit(OwnText::ScreenVolts, "Screen, V", "285"))
                    }
                    (limit(OwnText::CathodeMa, "Cathode, mA", "65"))
                }
            }
        }
    }
}

fn point(place: usize, screen: bool) -> Markup {
    let value = |part, label, placeholder| text(Field::Point(place, part), label, placeholder);
    html! {
        div .point role="group" aria-label={ "Point " (place + 1) } {
            div .named {
                span .grow { "Point " (place + 1) }
                @if place > 0 {
                    button type="button" .plain data-do={ "remove-point." (place + 1) }
                        aria-label={ "Remove point " (place + 1) } { "Remove" }
                }
            }
            div .pair {
                (value(PointText::Plate, "Plate, V", "250"))
                @if screen { (value(PointText::Screen, "Screen, V", "250")) }
                (value(PointText::Grid, "Grid, V", "-12.5"))
                (value(PointText::PlateMa, "Plate, mA", "45"))
                @if screen { (value(PointText::ScreenMa, "Screen, mA", "4.5")) }
                (value(PointText::Gm, "Transcond., mS", "4.1"))
                (value(PointText::Rp, "Plate resistance", "52k"))
                (value(PointText::Mu, if screen { "µ, g1 to screen" } else { "µ" }, if screen { "9.8" } else { "20" }))
            }
        }
    }
}

/// The tube types that drive loudspeakers, the person's own, and whatever a link brought.
fn tube(scene: &Scene) -> Markup {
    let typed = scene.typed.tube.trim();
    let types: Vec<&str> = published::types().collect();
    let key = Field::Tube.to_string();
    let echo = echo_id(Field::Tube);
    html! {
        div .field {
            label for={ "field-" (key) } { "Tube" }
            select id={ "field-" (key) } data-field=(key) aria-describedby=(echo) {
                option value="" { "not chosen" }
                @for name in &types { option value=(name) { (name) } }
                option value=(OWN_TUBE) { "your own" }
                @if !typed.is_empty() && typed != OWN_TUBE && !types.contains(&typed) {
                    option value=(scene.typed.tube) { (typed) }
                }
            }
            p .echo id=(echo) {}
        }
    }
}
