//! The load that the tube wants, and where that is from.

use maud::{Markup, html};
use tapwright_core::published::PublishedLoad;
use tapwright_core::setup::Topology;
use tapwright_core::target::Target;
use tapwright_units::{Unit, Volts};

use super::hint;
use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

pub(super) fn target(scene: &Scene) -> Markup {
    let topology = scene.report.solved.topology;
    let span = words::span(topology);
    match &scene.report.solved.target {
        Target::Typed(load) => {
            say!(
                "Wants {load} {span}, as typed.",
                load = words::rated(*load),
                span = span
            )
        }
        Target::Published(row) => published(scene, row),
        Target::Computed(load) => say!(
            "Wants {load} {span}: computed, as nothing is published for this tube so connected. \
             The load with the most power at {percent}\u{a0}% distortion or less.",
            load = words::rated(*load),
            span = span,
            percent = if is_strapped(scene) { 5 } else { 10 },
        ),
        Target::AsRated => match topology {
            Topology::PushPull => hint(
                "Unset: each lead is held against its own rating. A tube, or the load plate to plate, settles which lead.",
            ),
            Topology::SingleEnded => hint(
                "Unset: each lead is held against its own rating. A tube, or the load it wants, settles which lead.",
            ),
        },
    }
}

fn published(scene: &Scene, row: &PublishedLoad) -> Markup {
    html! {
        (wanted(scene, row))
        @if let Some(yields) = yields(row) { " " (yields) }
        " "
        @if row.from_memory {
            (say!("Source: {source}, from memory.", source = row.source))
        } @else {
            (say!("Source: {source}.", source = row.source))
        }
        @if let Some(plate) = far_plate(scene, row) {
            " "
            (say!(
                "That is the nearest to {volts} on the plate and not near: check it.",
                volts = number::computed(plate.0, Unit::Volt),
            ))
        }
    }
}

fn wanted(scene: &Scene, row: &PublishedLoad) -> Markup {
    let load = words::rated(row.load);
    let span = words::span(scene.report.solved.topology);
    let volts = number::given(row.plate.0, Unit::Volt);
    if row.beside == 1.0 {
        return say!(
            "Wants {load} {span}: published for the {tube} at {volts}.",
            load = load,
            span = span,
            tube = row.tube,
            volts = volts,
        );
    }
    say!(
        "Wants {load} {span}: published for {count} {tube} at {volts}, counted for as many tubes as here.",
        load = load,
        span = span,
        count = row.example_tubes,
        tube = row.tube,
        volts = volts,
    )
}

/// The power and the distortion that the source gives with the load.
fn yields(row: &PublishedLoad) -> Option<Markup> {
    let power = row.power.map(|power| number::given(power.0, Unit::Watt));
    let thd = row.thd_percent.map(|thd| number::given(thd, Unit::Percent));
    match (power, thd) {
        (Some(power), Some(thd)) => Some(say!(
            "That load gives {power} at {thd} distortion.",
            power = power,
            thd = thd
        )),
        (Some(power), None) => Some(say!("That load gives {power}.", power = power)),
        (None, Some(thd)) => Some(say!("That load gives {thd} distortion.", thd = thd)),
        (None, None) => None,
    }
}

/// The volts on the plate where the example is far from them. The example's volts are from the
/// cathode; B+ is not.
fn far_plate(scene: &Scene, row: &PublishedLoad) -> Option<Volts> {
    let plate = match scene.report.solved.stage() {
        Some(stage) => Some(Volts(stage.idle.plate_volts)),
        None => scene.report.solved.supply,
    };
    plate.filter(|plate| (row.plate.0 / plate.0 - 1.0).abs() > 0.15)
}

fn is_strapped(scene: &Scene) -> bool {
    (scene.report.solved.stage()).is_some_and(|stage| stage.stage.is_strapped())
}
