//! The parts of which a bias is made, and which way round they fail safe.

use maud::{Markup, html};
use tapwright_core::idle::{IdleReport, Made, Reached, Setting};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

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
    let made = answered(scene).and_then(reached);
    match made.and_then(|reached| reached.made) {
        Some(Made::Resistor { trimmer, .. }) => say!(
            "{fixed} and a trimmer of {trimmer}",
            fixed = ohms(trimmer.fixed),
            trimmer = ohms(trimmer.trimmer),
        ),
        Some(Made::Divider { divider, .. }) => say!(
            "a divider with a trimmer of {trimmer}",
            trimmer = ohms(divider.trimmer),
        ),
        None => html! {},
    }
}

pub(super) fn made(scene: &Scene) -> Markup {
    let reached = answered(scene).and_then(reached);
    match reached.and_then(|reached| reached.made) {
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
                    (say!(
                        "A fixed {fixed}, in series with a trimmer of {trimmer}. Expect it at {share} of its way from no ohms.",
                        fixed = part(trimmer.fixed, fixed_rating),
                        trimmer = part(trimmer.trimmer, trimmer_rating),
                        share = number::percent_short(trimmer.position),
                    ))
                }
                li {
                    (say!(
                        "At no ohms the plate dissipates {hottest}, at all of them {coolest}.",
                        hottest = setting(hottest),
                        coolest = setting(coolest),
                    ))
                    @if !trimmer.is_safe { " " (passes_limit()) }
                }
                li {
                    (say!(
                        "<b>Join the wiper to the trimmer’s free end.</b> A wiper that loses contact then leaves all of it in: \
                         {coolest}. With the free end left open it opens the cathode. Common practice, no source.",
                        coolest = setting(coolest),
                    ))
                }
                li {
                    (say!(
                        "A bypass capacitor of {capacitor}: it keeps the gain down to 20 Hz. An open resistor or trimmer puts \
                         {volts} on it in the model, or more in a tube.",
                        capacitor = capacitor(bypass.farads, bypass.rated_volts),
                        volts = number::computed(bypass.open_volts, Unit::Volt),
                    ))
                }
            }
        },
        Some(Made::Divider {
            divider,
            ends: [hottest, coolest],
        }) => html! {
            ul .bewares {
                li {
                    (say!(
                        "<b>{upper}</b> from the bias supply to the grid leaks; from there <b>{lower}</b> in series with a \
                         trimmer of <b>{trimmer}</b> to ground. Expect it at {share} of its way from no ohms.",
                        upper = ohms(divider.upper),
                        lower = ohms(divider.lower),
                        trimmer = ohms(divider.trimmer),
                        share = number::percent_short(divider.position),
                    ))
                }
                li {
                    (say!(
                        "At no ohms the grids stand at {hottest_volts} and the plate dissipates {hottest}; at all of them \
                         {coolest_volts} and {coolest}.",
                        hottest_volts = number::computed(divider.hottest_volts, Unit::Volt),
                        hottest = setting(hottest),
                        coolest_volts = number::computed(divider.coolest_volts, Unit::Volt),
                        coolest = setting(coolest),
                    ))
                    @if hottest.share.is_some_and(|share| share > 1.0) { " " (passes_limit()) }
                }
                li {
                    b { "Join the wiper to the end at ground." } " "
                    "A wiper that loses contact then makes the grids more negative, and the tubes cooler. A trimmer across the \
                     bias supply with the grids at its wiper would leave them at nothing, and the tubes would burn. \
                     Common practice, no source."
                }
            }
        },
    }
}

fn ohms(ohms: f64) -> String {
    number::given(ohms, Unit::Ohm)
}

/// A resistor or trimmer with what it must bear: `220 Ω, 1 W or more`.
fn part(value: f64, rating: Option<f64>) -> Markup {
    match rating {
        Some(watts) => say!(
            "<b>{ohms}</b>, {watts} or more",
            ohms = ohms(value),
            watts = number::rated_watts(watts),
        ),
        None => html! { b { (ohms(value)) } },
    }
}

/// A capacitor with its volts: `100 µF, 25 V`.
fn capacitor(farads: f64, volts: Option<f64>) -> Markup {
    html! {
        b { (number::given(farads, Unit::Farad)) }
        @if let Some(volts) = volts { ", " b { (number::given(volts, Unit::Volt)) } }
    }
}

fn passes_limit() -> Markup {
    html! { b { "Turned to no ohms it passes the limit: set it with the meter connected." } }
}

/// What the plate dissipates at a setting: `13.1 W, 109 % of the limit`.
fn setting(at: Setting) -> Markup {
    let watts = number::computed(at.watts, Unit::Watt);
    match at.share {
        Some(share) => say!(
            "{watts}, {share} of the limit",
            watts = watts,
            share = number::percent_short(share),
        ),
        None => html! { (watts) },
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
            @if by_cathode {
                "Leave the setting as it is, put the tube in, let it warm up and read plate and cathode: \
                 type both above, and this tube’s resistor stands there. About what to expect:"
            } @else {
                "Leave the setting as it is, put the tube in, let it warm up and read the plate’s current: \
                 type the readings above, and this tube’s grid volts stand there. About what to expect:"
            }
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
