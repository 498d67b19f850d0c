//! Speakers as they are: what is typed or read about each kind that hookups name.

use maud::{Markup, html};
use tapwright_core::link::MOST_SPEAKERS;
use tapwright_core::setup::{DriverText, Field, Loads};

use super::super::Scene;
use super::{choice, text};

pub(super) fn drivers(scene: &Scene) -> Markup {
    let count = scene.typed.drivers.len();
    html! {
        details data-open="drivers" {
            summary {
                "Speakers as they are"
                span .adds #echo-drivers {}
            }
            @for place in 0..count { (driver(scene, place)) }
            @if count < MOST_SPEAKERS {
                button type="button" #add-driver data-do="add-driver" { "Describe a speaker" }
            }
            (choice("loads", "Loads are made from", &[
                (Loads::Rated.word(), "rated ohms"),
                (Loads::Curve.word(), "the impedance at a frequency"),
            ]))
            p .echo #echo-loads {}
        }
    }
}

fn driver(scene: &Scene, place: usize) -> Markup {
    let value = |part, label, placeholder| text(Field::Driver(place, part), label, placeholder);
    let number = place + 1;
    let size = format!("speaker.{number}.size");
    let by_value = scene.values.drivers.get(place).and_then(Option::as_ref);
    let by_value = by_value.is_some_and(|driver| driver.in_place_of.is_some());
    html! {
        div .hookup role="group" aria-label={ "Speaker " (number) } data-drop=(number) {
            div .named {
                span .grow { "Speaker " (number) }
                button type="button" .plain data-do={ "remove-driver." (number) }
                    aria-label={ "Remove speaker " (number) } { "Remove" }
            }
            div .pair {
                (value(DriverText::Called, "Name in hookups", "A, or 15"))
                @if !by_value { (value(DriverText::Rated, "Rated ohms", "8")) }
                (value(DriverText::Coil, "Coil by ohmmeter", "6.4"))
                (choice(&size, "Size", &[
                    ("", "not known"), ("8", "8 in"), ("10", "10 in"), ("12", "12 in"), ("15", "15 in"),
                    ("oval", "elliptical"),
                ]))
            }
            p .echo id={ "echo-known-" (number) } {}
            details data-open={ "thiele-small." (number) } {
                summary {
                    "Thiele–Small"
                    span .adds { "type them: its own resonance and peak" }
                }
                div .pair {
                    (value(DriverText::Resonance, "f_s", "75 Hz"))
                    (value(DriverText::MechanicalQ, "Q_ms", "6"))
                    (value(DriverText::ElectricalQ, "Q_es", "0.9"))
                    (value(DriverText::Inductance, "L_e", "0.5 mH"))
                    (value(DriverText::Vas, "V_as, litres", "60"))
                    (value(DriverText::ClosedBox, "Closed box, litres", "40"))
                }
            }
            details data-open={ "measured." (number) } {
                summary {
                    "Measured curve"
                    span .adds { "drop a file here, or type points" }
                }
                label { "From a file " input type="file" data-file=(number); }
                (value(DriverText::Curve, "Hz, ohms, degrees; next point", "20 7.1 12; 80 30 -3"))
                (value(DriverText::From, "Where it is from", "bench, closed back"))
            }
        }
    }
}
