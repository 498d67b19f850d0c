//! What follows from the fields of the stage, under them.

use maud::{Markup, html};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

/// The heat of the plates at idle against their limit, and what the cathode's resistor drops.
pub(super) fn idle(scene: &Scene) -> Markup {
    let Some(stage) = scene.report.solved.stage() else {
        return html! { p .result { "Choose a tube: its watts, its limits and its load follow here." } };
    };
    let (idle, limit) = (&stage.idle, stage.tube.bounds.plate_watts);
    let share = limit.map(|limit| idle.plate_watts / limit);
    let tint = match share {
        Some(share) if share > 1.02 => "avoid",
        _ => "fits",
    };
    let watts = number::computed(idle.plate_watts, Unit::Watt);
    let heat = match (share, limit) {
        (Some(share), Some(limit)) => say!(
            "{watts} at {plate}, {share} of {limit}",
            watts = watts,
            plate = words::plate(scene.report),
            share = number::percent_short(share),
            limit = number::given(limit, Unit::Watt),
        ),
        _ => say!(
            "{watts} at {plate}",
            watts = watts,
            plate = words::plate(scene.report)
        ),
    };
    html! {
        p class={ "result " (tint) } {
            (heat)
            " · "
            (say!(
                "{amps} at idle",
                amps = number::computed(idle.plate_amps + idle.screen_amps, Unit::Ampere),
            ))
            @if let Bias::Cathode(_) = stage.stage.bias {
                " · "
                (say!(
                    "{volts} across the resistor",
                    volts = number::computed(idle.cathode_volts, Unit::Volt),
                ))
            }
        }
    }
}
