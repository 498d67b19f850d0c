//! The parts of which a bias is made, and which way round they fail safe.

use maud::{Markup, html};
use tapwright_core::idle::{IdleReport, Made, Reached, Setting};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;

/// The bias that gives what is wanted, where there is one.
fn reached(report: &IdleReport) -> Option<&Reached> {
    report.wanted.as_ref()?.reached.as_ref()
}

/// Whether there are parts to make it from.
pub(super) fn has_parts(report: &IdleReport) -> bool {
    reached(report).is_some_and(|reached| reached.made.is_some())
}

/// The parts in a few words.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let ohms = |value: f64| number::given(value, Unit::Ohm);
    let made = answered(scene).and_then(reached);
    html! {
        @match made.and_then(|reached| reached.made) {
            Some(Made::Resistor { trimmer, .. }) => { (ohms(trimmer.fixed)) " and a trimmer of " (ohms(trimmer.trimmer)) },
            Some(Made::Divider { divider, .. }) => { "a divider with a trimmer of " (ohms(divider.trimmer)) },
            None => {},
        }
    }
}

pub(super) fn made(scene: &Scene) -> Markup {
    let Some(reached) = answered(scene).and_then(reached) else {
        return html! {};
    };
    let ohms = |value: f64| number::given(value, Unit::Ohm);
    let watts = |value: Option<f64>| {
        value.map_or_else(String::new, |value| {
            format!(", {} or more", number::rated_watts(value))
        })
    };
    match reached.made {
        None => html! {},
        Some(Made::Resistor {
            trimmer,
            fixed_rating,
            trimmer_rating,
            ends: [hottest, coolest],
            bypass,
        }) => html! {
            ul .bewares {
                li {
                    "A fixed " b { (ohms(trimmer.fixed)) } (watts(fixed_rating)) ", in series with a trimmer of "
                    b { (ohms(trimmer.trimmer)) } (watts(trimmer_rating)) ". Expect it at "
                    (number::percent_short(trimmer.position)) " of its way from no ohms."
                }
                li {
                    "At no ohms the plate dissipates " (setting(hottest)) ", at all of them " (setting(coolest)) "."
                    @if !trimmer.is_safe { b { " Turned to no ohms it passes the limit: set it with the meter connected." } }
                }
                li {
                    b { "Join the wiper to the trimmer’s free end. " }
                    "A wiper that loses contact then leaves all of it in: " (setting(coolest))
                    ". With the free end left open it opens the cathode. Common practice, no source."
                }
                li {
                    "A bypass capacitor of " b { (number::given(bypass.farads, Unit::Farad)) }
                    @if let Some(volts) = bypass.rated_volts { ", " b { (number::given(volts, Unit::Volt)) } }
                    ": it keeps the gain down to 20 Hz. An open resistor or trimmer puts "
                    (number::computed(bypass.open_volts, Unit::Volt)) " on it in the model, or more in a tube."
                }
            }
        },
        Some(Made::Divider {
            divider,
            ends: [hottest, coolest],
        }) => html! {
            ul .bewares {
                li {
                    b { (ohms(divider.upper)) } " from the bias supply to the grid leaks; from there "
                    b { (ohms(divider.lower)) } " in series with a trimmer of " b { (ohms(divider.trimmer)) }
                    " to ground. Expect it at " (number::percent_short(divider.position)) " of its way from no ohms."
                }
                li {
                    "At no ohms the grids stand at " (number::computed(divider.hottest_volts, Unit::Volt)) " and the plate dissipates "
                    (setting(hottest)) "; at all of them " (number::computed(divider.coolest_volts, Unit::Volt)) " and " (setting(coolest)) "."
                    @if hottest.share.is_some_and(|share| share > 1.0) {
                        b { " Turned to no ohms it passes the limit: set it with the meter connected." }
                    }
                }
                li {
                    b { "Join the wiper to the end at ground. " }
                    "A wiper that loses contact then makes the grids more negative, and the tubes cooler. A trimmer across the "
                    "bias supply with the grids at its wiper would leave them at nothing, and the tubes would burn. Common practice, no source."
                }
            }
        },
    }
}

fn setting(at: Setting) -> Markup {
    html! {
        (number::computed(at.watts, Unit::Watt))
        @if let Some(share) = at.share { ", " (number::percent_short(share)) " of the limit" }
    }
}

/// Whether there is something to say of other tubes.
pub(super) fn has_later(report: &IdleReport) -> bool {
    reached(report).is_some_and(|reached| !reached.later.is_empty())
}

/// What another tube shows at the new setting, and the setting that it wants.
pub(super) fn later(scene: &Scene) -> Markup {
    let Some(reached) = answered(scene).and_then(reached) else {
        return html! {};
    };
    let by_cathode = matches!(reached.at.bias, Bias::Cathode(_));
    html! {
        p {
            "Leave the setting as it is, put the tube in, let it warm up and read "
            @if by_cathode { "plate and cathode: type both above, and this tube’s resistor stands there. About what to expect:" }
            @else { "the plate’s current: type the readings above, and this tube’s grid volts stand there. About what to expect:" }
        }
        table .shares {
            thead { tr {
                th scope="col" { @if by_cathode { "it reads at the cathode" } @else { "its plate draws" } }
                th scope="col" { @if by_cathode { "it wants" } @else { "its grid wants" } }
            } }
            tbody {
                @for other in &reached.later { tr {
                    td .number {
                        @if by_cathode { (number::computed(other.cathode_volts, Unit::Volt)) }
                        @else { (number::computed(other.plate_amps, Unit::Ampere)) }
                    }
                    td .number { (number::computed(other.bias, if by_cathode { Unit::Ohm } else { Unit::Volt })) }
                } }
            }
        }
    }
}
