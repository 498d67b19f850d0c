//! What is typed about the output stage, and about a tube of one's own.

use maud::{Markup, html};
use tapwright_core::published;
use tapwright_core::setup::{Field, Fold, List, OWN_TUBE, Topology};

use super::control::{control, lines};
use super::echo::echo_id;
use crate::action::Action;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn stage(scene: &Scene) -> Markup {
    html! {
        div .pair {
            (control(scene, Field::Topology))
            (tube(scene))
        }
        (control(scene, Field::Supply))
        (lines(scene, Fold::Bias, scene.typed.fields()))
        div #result-idle {}
        @if scene.typed.has_own_tube() { (own_tube(scene)) }
        details data-open="stage" {
            summary {
                "More of the stage"
                span .adds #echo-more-of-stage {}
            }
            (lines(scene, Fold::MoreOfStage, scene.typed.fields()))
            @if scene.typed.topology == Topology::PushPull {
                details data-open="unlike" {
                    summary {
                        "How unlike the two sides are"
                        span .adds { "type it: hum, second harmonic, direct current in the core" }
                    }
                    (lines(scene, Fold::Unlike, scene.typed.fields()))
                }
            }
        }
        (control(scene, Field::Target))
    }
}

fn own_tube(scene: &Scene) -> Markup {
    html! {
        div .hookup role="group" aria-label="Your own tube" {
            (control(scene, Field::OwnKind))
            @for place in 0..scene.typed.own.points.len() { (point(scene, place)) }
            button type="button" #add-point data-do=(Action::Add(List::Point)) { "Add a point from the datasheet" }
            div #echo-own {}
            details data-open="own-limits" {
                summary {
                    "Its limits"
                    span .adds { "type them: what the load asks of it, held against them" }
                }
                (lines(scene, Fold::OwnLimits, scene.typed.fields()))
            }
        }
    }
}

fn point(scene: &Scene, place: usize) -> Markup {
    let number = place + 1;
    html! {
        div .point role="group" aria-label=(say!("Point {number}", number = number)) {
            div .named {
                span .grow { (say!("Point {number}", number = number)) }
                @if place > 0 {
                    button type="button" .plain data-do=(Action::Remove(List::Point, place))
                        aria-label=(say!("Remove point {number}", number = number)) { "Remove" }
                }
            }
            (lines(scene, Fold::Point, List::Point.fields(place)))
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
            label for={ "field-" (key) } { (Field::Tube.row().label) }
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
