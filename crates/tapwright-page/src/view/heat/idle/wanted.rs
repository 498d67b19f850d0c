//! The bias for the dissipation wanted, what it changes, and how far it can be trusted.

use maud::{Markup, html};
use tapwright_core::idle::{Reached, WantedReport};
use tapwright_tube::Bias;
use tapwright_units::Unit;
use tapwright_units::uncertainty::Uncertain;

use super::answered;
use crate::number;
use crate::view::Scene;

pub(super) fn wanted(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    match &report.wanted {
        Some(WantedReport {
            reached: Some(reached),
            ..
        }) => html! {
            p .standing { (there(reached)) (changes(reached)) }
        },
        Some(wanted) => html! {
            p .standing {
                b { (number::given(wanted.watts, Unit::Watt)) " cannot be had here. " }
                "No bias of this kind gives it with this supply: more supply voltage, or another tube."
            }
        },
        None => html! {},
    }
}

/// The tube there, and how finely it is set.
fn there(reached: &Reached) -> Markup {
    let at = &reached.at;
    html! {
        @match reached.uncertainty {
            Some(uncertainty) => {
                "There the plate dissipates "
                (number::with_doubt(Uncertain { value: at.idle.plate_watts, uncertainty }, Unit::Watt))
            }
            None => { "There the plate of a new tube dissipates " (number::computed(at.idle.plate_watts, Unit::Watt)) }
        }
        @match at.bias {
            Bias::Cathode(_) => {
                ", and the cathode stands at " b { (number::exact_volts(at.idle.cathode_volts)) } ". "
                "One ohm more takes " (number::computed(-at.watts_per_step, Unit::Watt)) " off. "
                @if let Some(watts) = reached.resistor_watts {
                    "The resistor takes " (number::computed(watts, Unit::Watt))
                    @if let Some(rating) = reached.resistor_rating { ": buy " (number::rated_watts(rating)) " or more" }
                    ". "
                }
            }
            Bias::Fixed(_) => {
                " at " (number::computed(at.idle.plate_amps, Unit::Ampere)) " through the plate. "
                "One volt more negative takes " (number::computed(at.watts_per_step, Unit::Watt)) " off. "
            }
        }
        @if let Some([one, other]) = reached.sides {
            "The two tubes: " (number::computed(one, Unit::Watt)) " and " (number::computed(other, Unit::Watt)) ". "
        }
    }
}

fn changes(reached: &Reached) -> Markup {
    html! {
        @if let Some([before, after]) = reached.driven {
            "At full drive this tube’s power goes from " (number::computed(before.watts, Unit::Watt)) " to "
            (number::computed(after.watts, Unit::Watt)) ", the distortion from "
            (number::percent_short(before.thd)) " to " (number::percent_short(after.thd)) "."
        }
    }
}
