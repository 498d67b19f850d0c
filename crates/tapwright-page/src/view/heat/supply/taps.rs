//! Every tap of the mains, side by side.

use maud::{Markup, html};
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

/// The tap that suits the mains.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let taps = answered(scene).map_or(&[][..], |report| &report.taps);
    let advised = taps.iter().find(|tap| tap.advised);
    html! {
        @if let Some(tap) = advised { (say!("{volts} suits the mains", volts = number::given(tap.tap, Unit::Volt))) }
    }
}

pub(super) fn taps(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    let volts = |volts: f64| number::computed(volts, Unit::Volt);
    html! {
        table .shares {
            caption .unseen { "Every tap of the mains" }
            thead { tr {
                th scope="col" { "tap" }
                th scope="col" { "B+" }
                th scope="col" { "heaters" }
                th scope="col" { "cold start" }
            } }
            tbody {
                @for tap in &report.taps {
                    tr {
                        th scope="row" {
                            (number::given(tap.tap, Unit::Volt))
                            @if tap.in_use { ", " "in use" }
                            @if tap.advised { ", " "suits the mains" }
                            @else if tap.heaters > 1.05 { ", " "too low for this mains" }
                        }
                        td .number { (tap.volts.map_or_else(|| "too weak".into(), volts)) }
                        td .number { (number::percent_off(tap.heaters - 1.0)) }
                        td .number { (volts(tap.cold)) }
                    }
                }
            }
        }
        p .hint {
            "The nearest tap suits, as long as the mains is not more than 5\u{a0}% above it. Heaters: against what their winding is stamped with."
        }
    }
}
