//! The chosen hookup over frequency: impedance, the load that the tube sees, who gets what.

use maud::{Markup, html};
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::report::Report;
use tapwright_speaker::sweep::Sweep;
use tapwright_speaker::{Driver, ImpedanceModel};
use tapwright_units::Unit;

use crate::view::Scene;
use crate::{number, words};

mod charts;

pub(super) use charts::charts;

/// The sweep of the followed connection, with its hookup.
fn swept(report: &Report) -> Option<(&SolvedHookup, &Sweep)> {
    let hookup = report
        .solved
        .hookup(report.solved.followed()?.connection.choice.hookup)?;
    Some((hookup, report.solved.followed.as_ref()?.sweep.as_ref()?))
}

/// The least that it is over frequency.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    html! {
        @if let Some((hertz, lowest)) = swept(scene.report).and_then(|(_, sweep)| sweep.lowest()) {
            "at least " (number::computed(lowest, Unit::Ohm)) ", at " (number::computed(hertz, Unit::Hertz))
        }
    }
}

pub(super) fn speakers(scene: &Scene) -> Markup {
    let Some((hookup, sweep)) = swept(scene.report) else {
        return html! {};
    };
    let followed = scene.report.solved.followed.as_ref();
    html! {
        div .stale[scene.is_stale(hookup.place)] {
            (in_words(hookup, sweep, followed.and_then(|followed| followed.at_frequency.as_ref())))
            div .charts { @for id in charts::IDS { (scene.drawn(id)) } }
        }
    }
}

fn in_words(hookup: &SolvedHookup, sweep: &Sweep, at: Option<&Sweep>) -> Markup {
    let generic = |driver: &&Driver| matches!(driver.model, ImpedanceModel::Generic(..));
    let generic = hookup.drivers.iter().filter(generic).count();
    html! {
        p .standing {
            @if let Some((hertz, lowest)) = sweep.lowest() {
                "At least " (number::computed(lowest, Unit::Ohm)) ", at " (number::computed(hertz, Unit::Hertz)) ". "
            }
            @if let Some(at) = at { (at_frequency(hookup, at)) }
            @if let Some(safe) = &hookup.safe {
                "It takes no more than " b { (number::computed(safe.watts.0, Unit::Watt)) }
                @if hookup.drivers.len() > 1 {
                    " in all: at " (number::computed(safe.hertz, Unit::Hertz)) ", where "
                    (driver_name(hookup, safe.driver)) " reaches its rating"
                }
                ". "
            }
            @if generic == hookup.drivers.len() { "Generic speakers, invented data: describe them under the hookups." }
            @else if generic > 0 { "Some of these are generic speakers, invented data." }
        }
    }
}

fn at_frequency(hookup: &SolvedHookup, at: &Sweep) -> Markup {
    let value = |pairs: &[(f64, f64)]| pairs.first().copied().unwrap_or_default();
    let (hertz, ohms) = value(&at.ohms);
    html! {
        "At " (number::given(hertz, Unit::Hertz)) " it is " b { (number::computed(ohms, Unit::Ohm)) }
        ", " (number::degrees(value(&at.degrees).1)) ", and the load "
        (number::computed(value(&at.load_ohms).1, Unit::Ohm))
        @if at.power.len() > 1 {
            "; of the power "
            @for (place, share) in at.power.iter().enumerate() {
                @if place > 0 { ", " }
                (driver_name(hookup, place)) " gets " (number::percent(value(share).1))
            }
        }
        ". "
    }
}

/// What a driver is called: its name, or its rating.
pub(super) fn called(hookup: &SolvedHookup, place: usize) -> String {
    match hookup.drivers.get(place) {
        Some(driver) if driver.name.starts_with(char::is_alphabetic) => driver.name.clone(),
        Some(driver) => words::rated(driver.rated),
        None => String::new(),
    }
}

/// The same, followed by its place where several drivers have that name.
fn driver_name(hookup: &SolvedHookup, place: usize) -> String {
    let own = called(hookup, place);
    let mut others = (0..hookup.drivers.len()).filter(|other| *other != place);
    if others.any(|other| called(hookup, other) == own) {
        format!("{own} (number {})", place + 1)
    } else {
        own
    }
}
