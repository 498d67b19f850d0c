//! Currents, volts and watts as read, with ±.

use maud::{Markup, html};
use tapwright_core::idle::{FoundIdle, IdleReport, Read, SideShare, Stands};
use tapwright_units::Unit;
use tapwright_units::uncertainty::Uncertain;

use super::answered;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

/// The currents of the first tube.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let side = answered(scene).and_then(|report| match &report.read {
        Read::Found(found) => found.sides.first(),
        _ => None,
    });
    html! {
        @if let Some(side) = side {
            (say!("plate {amps}", amps = number::with_doubt(side.found.plate_amps, Unit::Ampere)))
        }
    }
}

pub(super) fn numbers(scene: &Scene) -> Markup {
    let Some(report) = answered(scene) else {
        return html! {};
    };
    let Read::Found(found) = &report.read else {
        return html! {};
    };
    html! {
        (table(found))
        p .hint {
            "± holds in 95 of 100 cases, as far as meter and tolerances go."
            @if found.stands.contains(&Stands::ScreenShare) {
                " "
                "The screen’s share of the current is the model’s, within 25 %: the drop over a screen resistor would tell."
            }
            @if found.stands.contains(&Stands::ScreenVolts) { " " "The screen’s volts are the model’s, within 3 %." }
            @if found.stands.contains(&Stands::Supply) { " " "The plate’s volts follow from B+ as typed." }
            @if found.stands.contains(&Stands::NoDrop) && found.stands.contains(&Stands::Supply) {
                " " "The primary’s resistance is not known: no drop over it is counted, within 3 %."
            }
            @if found.stands.contains(&Stands::SidesAlike) {
                " "
                "Nothing tells the two sides apart: each is counted as the mean, within 10 %. The drop over each half of the primary would tell."
            }
        }
        (this_tube(report, found))
    }
}

fn table(found: &FoundIdle) -> Markup {
    let apart = found.apart.is_some();
    let columns: &[SideShare] = match apart {
        true => &found.sides,
        false => found.sides.get(..1).unwrap_or_default(),
    };
    let row = |what: &'static str, unit: Unit, of: fn(&SideShare) -> Uncertain| {
        let cells: Vec<String> = columns
            .iter()
            .map(|side| number::with_doubt(of(side), unit))
            .collect();
        (what, cells)
    };
    let mut rows = vec![
        row("cathode current", Unit::Ampere, |side| {
            side.found.cathode_amps
        }),
        row("plate current", Unit::Ampere, |side| side.found.plate_amps),
    ];
    let screened = columns
        .iter()
        .any(|side| side.found.screen_amps.value > 0.0);
    if screened {
        rows.push(row("screen current", Unit::Ampere, |side| {
            side.found.screen_amps
        }));
    }
    rows.push(row("plate, from the cathode", Unit::Volt, |side| {
        side.found.plate_volts
    }));
    rows.push(row("plate dissipation", Unit::Watt, |side| {
        side.found.plate_watts
    }));
    if screened {
        rows.push(row("screen dissipation", Unit::Watt, |side| {
            side.found.screen_watts
        }));
    }
    let share = |what: &'static str, of: fn(&SideShare) -> Option<Uncertain>| {
        let cells: Vec<String> = columns
            .iter()
            .filter_map(of)
            .map(number::percent_with_doubt)
            .collect();
        (cells.len() == columns.len()).then_some((what, cells))
    };
    rows.extend(share("plate, of its limit", |side| side.plate_share));
    if screened {
        rows.extend(share("screen, of its limit", |side| side.screen_share));
    }
    html! {
        table .shares {
            @if apart { thead { tr { th scope="col" { "tube" } th scope="col" { "first" } th scope="col" { "second" } } } }
            tbody {
                @for (what, cells) in rows {
                    tr {
                        th scope="row" { (what) }
                        @for cell in cells { td .number { (cell) } }
                    }
                }
            }
        }
    }
}

/// How this tube differs from its type.
fn this_tube(report: &IdleReport, found: &FoundIdle) -> Markup {
    html! {
        p .hint {
            @if let Some(factor) = found.factor { (against_new(factor, found.shift)) " " }
            @if let Some(watts) = found.cathode_resistor_watts {
                @let watts = number::computed(watts, Unit::Watt);
                @if report.tubes > 1 {
                    (say!("What stands between cathode and ground takes {watts} in all.", watts = watts))
                } @else {
                    (say!("What stands between cathode and ground takes {watts}.", watts = watts))
                }
            }
        }
    }
}

fn against_new(factor: f64, shift: Option<f64>) -> Markup {
    let share = number::percent_short(factor);
    match shift {
        Some(shift) => say!(
            "At these volts it passes {share} of what a new tube of its type does in the model, its grid shifted by {volts}.",
            share = share,
            volts = number::computed(shift, Unit::Volt),
        ),
        None => say!(
            "At these volts it passes {share} of what a new tube of its type does in the model.",
            share = share,
        ),
    }
}
