//! The answer about the heaters: one or two sentences.

use maud::{Markup, html};
use tapwright_core::caution::heaters::{Caution, Told};
use tapwright_core::heaters::{HeaterReport, Tie, Tied};
use tapwright_units::Unit;

use super::bewares::refused;
use crate::number;
use crate::view::Scene;

pub(super) fn sentence(scene: &Scene) -> Markup {
    let Told { report, cautions } = scene.heaters();
    // What is typed now is refused, also while the last good texts are computed with.
    let refused_now = scene.values.heaters.refused;
    let tie = refused_now.map_or(report.tie, Tie::Refused);
    let at_supply = (cautions.iter()).any(|one| matches!(one, Caution::TubesAtSupply(_)));
    html! {
        p .leaf-answer {
            @match tie {
                Tie::Refused(why) => { b .bad { "Not so: " } (refused(why)) },
                Tie::Nothing if at_supply => { b .bad { "This winding stands at B+, and no other tube may be heated by it." } },
                Tie::Nothing => {
                    b { "Nothing ties the heaters to ground, and they will hum. " }
                    "Two resistors of " (number::given(report.usual.balance.ohms[0], Unit::Ohm))
                    " make a centre tap: " (number::computed(report.usual.watts[0], Unit::Watt)) " in each."
                },
                Tie::CentreTap => { b { "The winding’s own centre tap balances the heaters" } ", as the only way to ground." },
                Tie::OneEnd => {
                    b { "One end is grounded: half of the volts hum in every heater. " }
                    "Two resistors of " (number::given(report.usual.balance.ohms[0], Unit::Ohm)) " instead leave "
                    (number::computed(report.usual.worst, Unit::AcVolt)) " at most."
                },
                Tie::Resistors(tied) => (resistors(&tied)),
            }
            @if !report.tubes.is_empty() { " " (load(report)) }
        }
        @if report.tubes.is_empty() {
            p .reason { "Type the output tube and the driver, and what they ask of the winding stands here." }
        }
    }
}

fn resistors(tied: &Tied) -> Markup {
    let [one, other] = tied.balance.ohms;
    let [first, second] = tied.watts;
    let ohms = |ohms: f64| number::given(ohms, Unit::Ohm);
    html! {
        b {
            @if one == other { "Two resistors of " (ohms(one)) } @else { (ohms(one)) " and " (ohms(other)) }
            " make a centre tap that is off by " (number::computed(tied.worst, Unit::AcVolt)) " at most"
        }
        ": " (number::computed(tied.amps, Unit::Ampere)) " through both, "
        (number::computed(first, Unit::Watt))
        @if first == second { " in each." } @else { " and " (number::computed(second, Unit::Watt)) " in them." }
    }
}

fn load(report: &HeaterReport) -> Markup {
    html! {
        "The winding feeds " b { (number::computed(report.load_amps, Unit::Ampere)) }
        @if let Some(rated) = report.winding.rated_amps { " of " (number::given(rated, Unit::Ampere)) }
        "."
    }
}
