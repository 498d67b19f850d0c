//! What follows from the fields of the stage, under them.

use maud::{Markup, html};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use crate::view::Scene;
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
    html! {
        p class={ "result " (tint) } {
            (number::computed(idle.plate_watts, Unit::Watt)) " at " (words::which(scene.report)) " plate"
            @if let (Some(share), Some(limit)) = (share, limit) {
                ", " (number::percent_short(share)) " of " (number::given(limit, Unit::Watt))
            }
            " · " (number::computed(idle.plate_amps + idle.screen_amps, Unit::Ampere)) " at idle"
            @if let Bias::Cathode(_) = stage.stage.bias {
                " · " (number::computed(idle.cathode_volts, Unit::Volt)) " across the resistor"
            }
        }
    }
}
