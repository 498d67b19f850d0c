//! What was understood of the power supply.

use maud::{Markup, html};
use tapwright_core::setup::{Circuit, Field, SectionText, SupplyText};
use tapwright_core::values::RectifierKind;
use tapwright_units::Unit;

use super::{hint, plain};
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn understood(scene: &Scene, text: SupplyText) -> Markup {
    let field = Field::PowerSupply(text);
    let values = &scene.values.power_supply;
    match text {
        SupplyText::Taps if !values.taps.is_empty() => {
            let taps = values
                .taps
                .iter()
                .map(|tap| number::given(*tap, Unit::Volt));
            html! { (taps.collect::<Vec<_>>().join(", ")) }
        }
        SupplyText::Winding => match values.winding {
            Some(half) if values.circuit == Circuit::FullWave => say!(
                "{volts} on each side of the centre tap, under load",
                volts = number::given(half, Unit::Volt),
            ),
            Some(whole) => say!(
                "{volts}, under load",
                volts = number::given(whole, Unit::Volt)
            ),
            None if values.circuit == Circuit::FullWave => {
                hint("Both halves, as 2 x 250 or 250-0-250.")
            }
            None => hint("From end to end."),
        },
        SupplyText::Rectifier => match values.rectifier {
            Some(RectifierKind::Silicon) => html! { "silicon: volts at once" },
            Some(RectifierKind::Tube(tube)) => say!(
                "{tube}, {volts} at {amps} across a plate ({source})",
                tube = tube.designation,
                volts = number::given(tube.drop.volts, Unit::Volt),
                amps = number::given(tube.drop.amps, Unit::Ampere),
                source = tube.provenance.to_string(),
            ),
            None => plain(scene, field),
        },
        _ => match taken(scene, field) {
            Some(value) => html! { span .hint { (say!("taken: {value}", value = value)) } },
            None => plain(scene, field),
        },
    }
}

/// What was taken for an empty field of a supply that is solved.
fn taken(scene: &Scene, field: Field) -> Option<String> {
    let supply = scene.report.solved.power_supply.as_ref()?.as_ref().ok()?;
    let taken = supply
        .described
        .taken
        .iter()
        .find(|taken| taken.field == field)?;
    Some(number::about(taken.value, field.row().range()?.unit))
}

pub(super) fn section(scene: &Scene, place: usize, text: SectionText) -> Markup {
    let feeds = scene
        .values
        .power_supply
        .filter
        .get(place)
        .map(|section| section.feeds);
    match (text, feeds) {
        (SectionText::Feeds, Some(feeds)) => {
            let named = [
                (feeds.plates, "plates"),
                (feeds.screens, "screens"),
                (feeds.drivers, "drivers"),
            ];
            let named: Vec<&str> = named
                .iter()
                .filter(|(is, _)| *is)
                .map(|(_, name)| *name)
                .collect();
            match named.is_empty() {
                true => plain(scene, Field::Section(place, text)),
                false => html! { (named.join(", ")) },
            }
        }
        _ => plain(scene, Field::Section(place, text)),
    }
}
