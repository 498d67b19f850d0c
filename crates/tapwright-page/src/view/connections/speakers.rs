//! The chosen hookup over frequency: impedance, the load that the tube sees, who gets what.

use maud::{Markup, html};
use tapwright_core::hookup::SolvedHookup;
use tapwright_core::report::Report;
use tapwright_speaker::sweep::Sweep;
use tapwright_speaker::{Driver, ImpedanceModel, SafePower};
use tapwright_units::Unit;

use crate::view::Scene;
use crate::words::say::say;
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
            (say!(
                "at least {ohms}, at {hertz}",
                ohms = number::computed(lowest, Unit::Ohm),
                hertz = number::computed(hertz, Unit::Hertz),
            ))
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
    html! {
        p .standing {
            @if let Some((hertz, lowest)) = sweep.lowest() {
                (say!(
                    "At least {ohms}, at {hertz}.",
                    ohms = number::computed(lowest, Unit::Ohm),
                    hertz = number::computed(hertz, Unit::Hertz),
                ))
                " "
            }
            @if let Some(at) = at { (at_frequency(hookup, at)) " " }
            @if let Some(safe) = &hookup.safe { (takes(hookup, safe)) " " }
            (invented(hookup))
        }
    }
}

/// The most power that passes no rating at any frequency.
fn takes(hookup: &SolvedHookup, safe: &SafePower) -> Markup {
    let watts = number::computed(safe.watts.0, Unit::Watt);
    match hookup.drivers.len() {
        0 | 1 => say!("It takes no more than <b>{watts}</b>.", watts = watts),
        _ => say!(
            "It takes no more than <b>{watts}</b> in all: at {hertz}, where {driver} reaches its rating.",
            watts = watts,
            hertz = number::computed(safe.hertz, Unit::Hertz),
            driver = driver_name(hookup, safe.driver),
        ),
    }
}

/// Whether it rests on speakers that nobody described.
fn invented(hookup: &SolvedHookup) -> &'static str {
    let generic = |driver: &&Driver| matches!(driver.model, ImpedanceModel::Generic(..));
    match hookup.drivers.iter().filter(generic).count() {
        all if all == hookup.drivers.len() => {
            "Generic speakers, invented data: describe them under the hookups."
        }
        0 => "",
        _ => "Some of these are generic speakers, invented data.",
    }
}

fn at_frequency(hookup: &SolvedHookup, at: &Sweep) -> Markup {
    let value = |pairs: &[(f64, f64)]| pairs.first().copied().unwrap_or_default();
    let (hertz, ohms) = value(&at.ohms);
    let shares = at.power.iter().enumerate().map(|(place, share)| {
        let share = number::percent(value(share).1);
        format!("{} {share}", driver_name(hookup, place))
    });
    html! {
        (say!(
            "At {hertz} it is <b>{ohms}</b>, {degrees}, and the load {load}.",
            hertz = number::given(hertz, Unit::Hertz),
            ohms = number::computed(ohms, Unit::Ohm),
            degrees = number::degrees(value(&at.degrees).1),
            load = number::computed(value(&at.load_ohms).1, Unit::Ohm),
        ))
        @if at.power.len() > 1 {
            " "
            (say!("Shares of the power: {shares}.", shares = words::in_a_row(&shares.collect::<Vec<_>>())))
        }
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
