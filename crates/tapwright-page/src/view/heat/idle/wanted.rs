//! The bias for the dissipation wanted, what it changes, and how far it can be trusted.

use maud::{Markup, html};
use tapwright_core::idle::{Reached, WantedReport};
use tapwright_tube::Bias;
use tapwright_units::Unit;
use tapwright_units::uncertainty::Uncertain;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn wanted(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    match &report.wanted {
        Some(WantedReport {
            reached: Some(reached),
            ..
        }) => html! {
            p .standing { (there(reached)) " " (changes(reached)) }
        },
        Some(wanted) => html! {
            p .standing {
                (say!(
                    "<b>{watts} cannot be had here.</b> \
                     No bias of this kind gives it with this supply: more supply voltage, or another tube.",
                    watts = number::given(wanted.watts, Unit::Watt),
                ))
            }
        },
        None => html! {},
    }
}

/// The tube there, and how finely it is set.
fn there(reached: &Reached) -> Markup {
    let at = &reached.at;
    html! {
        @match at.bias {
            Bias::Cathode(_) => {
                (on_its_resistor(reached)) " "
                (say!("One ohm more takes {watts} off.", watts = number::computed(-at.watts_per_step, Unit::Watt)))
                @if let Some(watts) = reached.resistor_watts { " " (resistor(watts, reached.resistor_rating)) }
            }
            Bias::Fixed(_) => {
                (on_fixed_bias(reached)) " "
                (say!("One volt more negative takes {watts} off.", watts = number::computed(at.watts_per_step, Unit::Watt)))
            }
        }
        @if let Some([one, other]) = reached.sides {
            " "
            (say!(
                "The two tubes: {one} and {other}.",
                one = number::computed(one, Unit::Watt),
                other = number::computed(other, Unit::Watt),
            ))
        }
    }
}

fn on_its_resistor(reached: &Reached) -> Markup {
    let volts = number::exact_volts(reached.at.idle.cathode_volts);
    match plate_watts(reached) {
        Plate::OfThisTube(watts) => say!(
            "There the plate dissipates {watts}, and the cathode stands at <b>{volts}</b>.",
            watts = watts,
            volts = volts,
        ),
        Plate::OfNewTube(watts) => say!(
            "There the plate of a new tube dissipates {watts}, and the cathode stands at <b>{volts}</b>.",
            watts = watts,
            volts = volts,
        ),
    }
}

fn on_fixed_bias(reached: &Reached) -> Markup {
    let amps = number::computed(reached.at.idle.plate_amps, Unit::Ampere);
    match plate_watts(reached) {
        Plate::OfThisTube(watts) => say!(
            "There the plate dissipates {watts} at {amps} through the plate.",
            watts = watts,
            amps = amps,
        ),
        Plate::OfNewTube(watts) => say!(
            "There the plate of a new tube dissipates {watts} at {amps} through the plate.",
            watts = watts,
            amps = amps,
        ),
    }
}

/// What the plate dissipates there.
enum Plate {
    /// With its doubt, from what was read.
    OfThisTube(String),
    /// From the model.
    OfNewTube(String),
}

fn plate_watts(reached: &Reached) -> Plate {
    let value = reached.at.idle.plate_watts;
    match reached.uncertainty {
        Some(uncertainty) => Plate::OfThisTube(number::with_doubt(
            Uncertain { value, uncertainty },
            Unit::Watt,
        )),
        None => Plate::OfNewTube(number::computed(value, Unit::Watt)),
    }
}

fn resistor(watts: f64, rating: Option<f64>) -> Markup {
    let watts = number::computed(watts, Unit::Watt);
    match rating {
        Some(rating) => say!(
            "The resistor takes {watts}: buy {rating} or more.",
            watts = watts,
            rating = number::rated_watts(rating),
        ),
        None => say!("The resistor takes {watts}.", watts = watts),
    }
}

fn changes(reached: &Reached) -> Markup {
    let Some([before, after]) = reached.driven else {
        return html! {};
    };
    say!(
        "At full drive this tube’s power goes from {watts_before} to {watts_after}, the distortion from {before} to {after}.",
        watts_before = number::computed(before.watts, Unit::Watt),
        watts_after = number::computed(after.watts, Unit::Watt),
        before = number::percent_short(before.thd),
        after = number::percent_short(after.thd),
    )
}
