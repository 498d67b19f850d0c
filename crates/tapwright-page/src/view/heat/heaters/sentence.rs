//! The answer about the heaters: one or two sentences.

use maud::{Markup, html};
use tapwright_core::caution::heaters::{Caution, Told};
use tapwright_core::heaters::{HeaterReport, Tie, Tied};
use tapwright_units::Unit;

use super::bewares::refused;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn sentence(scene: &Scene) -> Markup {
    let Told { report, cautions } = scene.heaters();
    // What is typed now is refused, also while the last good texts are computed with.
    let refused_now = scene.values.heaters.refused;
    let tie = refused_now.map_or(report.tie, Tie::Refused);
    let at_supply = (cautions.iter()).any(|one| matches!(one, Caution::TubesAtSupply(_)));
    html! {
        p .leaf-answer {
            @match tie {
                Tie::Refused(why) => { b .bad { "Not so:" } " " (refused(why)) },
                Tie::Nothing if at_supply => { b .bad { "This winding stands at B+, and no other tube may be heated by it." } },
                Tie::Nothing => (say!(
                    "<b>Nothing ties the heaters to ground, and they will hum.</b> Two resistors of {ohms} make a centre tap: \
                     {watts} in each.",
                    ohms = number::given(report.usual.balance.ohms[0], Unit::Ohm),
                    watts = number::computed(report.usual.watts[0], Unit::Watt),
                )),
                Tie::CentreTap => (say!("<b>The winding’s own centre tap balances the heaters</b>, as the only way to ground.")),
                Tie::OneEnd => (say!(
                    "<b>One end is grounded: half of the volts hum in every heater.</b> Two resistors of {ohms} instead leave \
                     {volts} at most.",
                    ohms = number::given(report.usual.balance.ohms[0], Unit::Ohm),
                    volts = number::computed(report.usual.worst, Unit::AcVolt),
                )),
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
    let worst = number::computed(tied.worst, Unit::AcVolt);
    let amps = number::computed(tied.amps, Unit::Ampere);
    match one == other {
        true => say!(
            "<b>Two resistors of {ohms} make a centre tap that is off by {worst} at most</b>: {amps} through both, {watts} in each.",
            ohms = ohms(one),
            worst = worst,
            amps = amps,
            watts = number::computed(first, Unit::Watt),
        ),
        false => say!(
            "<b>{one} and {other} make a centre tap that is off by {worst} at most</b>: {amps} through both, {first} and \
             {second} in them.",
            one = ohms(one),
            other = ohms(other),
            worst = worst,
            amps = amps,
            first = number::computed(first, Unit::Watt),
            second = number::computed(second, Unit::Watt),
        ),
    }
}

fn load(report: &HeaterReport) -> Markup {
    let amps = number::computed(report.load_amps, Unit::Ampere);
    match report.winding.rated_amps {
        Some(rated) => say!(
            "The winding feeds <b>{amps}</b> of {rated}.",
            amps = amps,
            rated = number::given(rated, Unit::Ampere),
        ),
        None => say!("The winding feeds <b>{amps}</b>.", amps = amps),
    }
}
