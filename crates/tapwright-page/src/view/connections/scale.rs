//! Where every connection of a hookup falls on the scale of loads, with the target.

use maud::{Markup, html};
use tapwright_core::judged::Judged;
use tapwright_core::matching::{FITS_WITHIN, USABLE_WITHIN};
use tapwright_iron::transformer::Secondary;
use tapwright_units::Ohms;

use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

/// Ratio to the target at either end of the scale. What is further off is counted and not
/// drawn.
const SPAN: f64 = 8.0;
const WIDTH: i32 = 520;
const LEFT: i32 = 10;
const RIGHT: i32 = 510;
const AXIS: i32 = 78;

pub(super) fn scale(scene: &Scene, chosen: &Judged) -> Markup {
    let target = chosen.connection.load.target.0;
    let of_hookup = || {
        (scene.report.solved.connections.iter())
            .filter(|c| c.connection.choice.hookup == chosen.connection.choice.hookup)
            // Without a target load each lead has its own, and a scale shows one target only.
            .filter(|c| (c.connection.load.target.0 / target - 1.0).abs() < 1e-9)
    };
    let outside = of_hookup()
        .filter(|c| !on_scale(c.connection.ratio))
        .count();
    let words = format!(
        "Scale of reflected loads from {} to {}: the chosen connection is at {}, the target at {}.",
        words::ohms(Ohms(target / SPAN)),
        words::ohms(Ohms(target * SPAN)),
        words::ohms(chosen.connection.load.reflected),
        words::rated(chosen.connection.load.target)
    );
    let highest = (chosen.connection)
        .range()
        .map_or(chosen.connection.ratio, |(_, high)| high.0 / target);
    html! {
        svg .scale viewBox={ "0 0 " (WIDTH) " 128" } role="img" aria-label=(words) {
            (band(USABLE_WITHIN, "usable"))
            (band(FITS_WITHIN, "fits"))
            line .axis x1=(LEFT) x2=(RIGHT) y1=(AXIS) y2=(AXIS) {}
            @for ratio in [0.125, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0] {
                line .tick x1=(x(ratio)) x2=(x(ratio)) y1=(AXIS) y2=(AXIS + 5) {}
                text class=(end(ratio)) x=(x(ratio)) y=(AXIS + 20) { (words::ohms(Ohms(target * ratio))) }
            }
            text .named x=(RIGHT) y=(AXIS + 40) { "reflected load in ohms, logarithmic" }
            @for judged in of_hookup().filter(|c| on_scale(c.connection.ratio)) {
                @let pair = matches!(judged.connection.choice.secondary, Secondary::Pair(_));
                line class=(if pair { "other pair" } else { "other" })
                    x1=(x(judged.connection.ratio)) x2=(x(judged.connection.ratio))
                    y1=(if pair { AXIS - 12 } else { AXIS - 20 }) y2=(AXIS) {}
            }
            line .target x1=(x(1.0)) x2=(x(1.0)) y1="22" y2=(AXIS) {}
            text .wanted x=(x(1.0)) y="16" {
                (say!("wanted {load}", load = words::rated(chosen.connection.load.target)))
            }
            @if on_scale(chosen.connection.ratio) {
                line .span x1=(x((chosen.connection.lowest_reflected.0 / target).max(1.0 / SPAN))) x2=(x(highest.min(SPAN))) y1=(AXIS - 28) y2=(AXIS - 28) {}
                circle .here cx=(x(chosen.connection.ratio)) cy=(AXIS - 28) r="6" {}
            }
        }
        p .hint {
            "Long marks are taps, short ones tap pairs." " " (tail(scene, chosen))
            @match outside {
                0 => {}
                1 => { " " "1 more lies beyond the ends." }
                _ => { " " (say!("{count} more lie beyond the ends.", count = outside)) }
            }
        }
    }
}

/// What the mark of the chosen connection says.
fn tail(scene: &Scene, chosen: &Judged) -> Markup {
    let lowest = words::ohms(chosen.connection.lowest_reflected);
    match scene.report.solved.by_curve {
        true => say!(
            "The ring is the chosen connection; its tail reaches down to {lowest}, as low as it is at any frequency.",
            lowest = lowest,
        ),
        false => say!(
            "The ring is the chosen connection; its tail reaches down to {lowest}, as low as the speakers’ ratings allow.",
            lowest = lowest,
        ),
    }
}

fn on_scale(ratio: f64) -> bool {
    (1.0 / SPAN..=SPAN).contains(&ratio)
}

/// Where a ratio stands on the scale.
fn place(ratio: f64) -> f64 {
    let share = (ratio.ln() / SPAN.ln() + 1.0) / 2.0;
    f64::from(LEFT) + share * f64::from(RIGHT - LEFT)
}

fn x(ratio: f64) -> String {
    written(place(ratio))
}

/// Tenths of a unit are finer than any screen shows.
fn written(place: f64) -> String {
    number::trimmed_to(place, 1)
}

fn band(within: f64, tint: &str) -> Markup {
    let (from, to) = (place(1.0 / within), place(within));
    html! {
        rect class={ "band " (tint) } x=(written(from)) y="22" width=(written(to - from)) height=(AXIS - 22) {}
        text class={ "band " (tint) } x=(written(from + 3.0)) y="33" { (tint) }
    }
}

/// The outermost labels hang inwards.
fn end(ratio: f64) -> &'static str {
    if ratio <= 1.0 / SPAN {
        "first"
    } else if ratio >= SPAN {
        "last"
    } else {
        ""
    }
}
