//! The answer of this part: one or two sentences.

use maud::{Markup, html};
use tapwright_core::idle::{FoundIdle, IdleReport, Read, SideShare, Wanting};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use crate::number;
use crate::view::Scene;
use crate::words;
use crate::words::say::say;

pub(super) fn sentence(scene: &Scene) -> Markup {
    match scene.idle() {
        None => html! {
            p .leaf-answer { (say!("Still unknown: <b>the output tube and its supply</b>.")) }
            p .reason { "With them this leaf says what a plate dissipates at idle, and which resistor changes it." }
        },
        Some(Err(why)) => html! {
            p .leaf-answer { (say!("<b>The idle point cannot be computed:</b> {why}.", why = why)) }
        },
        Some(Ok(report)) => html! {
            p .leaf-answer {
                (idle(scene, report)) " " (setting(report))
            }
            @if let Read::NotEnough(lists) = &report.read { p .reason { (missing(lists)) } }
        },
    }
}

/// What the plate dissipates.
fn idle(scene: &Scene, report: &IdleReport) -> Markup {
    let tube = name(scene);
    match &report.read {
        Read::Found(found) => as_read(report, found, &tube),
        Read::Impossible => say!(
            "<b>No tube can have these readings.</b> Look for a slip of a decimal point, or a reading at the wrong pin."
        ),
        Read::NotEnough(_) => as_computed(report, &tube),
        Read::Nothing => html! {
            (as_computed(report, &tube)) " "
            "Type what a meter shows at plate and cathode, and it is the tube in the socket."
        },
    }
}

fn as_computed(report: &IdleReport, tube: &str) -> Markup {
    let computed = report.computed.idle.plate_watts;
    let watts = number::computed(computed, Unit::Watt);
    match of_limit(report, computed) {
        None => say!(
            "As computed, a new {tube} idles at <b>{watts}</b>.",
            tube = tube,
            watts = watts,
        ),
        Some((share, limit)) => say!(
            "As computed, a new {tube} idles at <b>{watts}</b>, {share} of its {limit}.",
            tube = tube,
            watts = watts,
            share = share,
            limit = limit,
        ),
    }
}

fn as_read(report: &IdleReport, found: &FoundIdle, tube: &str) -> Markup {
    match (found.sides.as_slice(), found.apart) {
        ([one, other], Some(apart)) => html! {
            (pair(report, [one, other], tube)) " "
            (say!("Their currents are {share} apart.", share = number::percent_short(apart.value.abs())))
        },
        ([one, ..], _) if report.tubes > 1 => each(report, one, tube),
        ([one, ..], _) => single(report, one, tube),
        ([], _) => html! {},
    }
}

fn pair(report: &IdleReport, [one, other]: [&SideShare; 2], tube: &str) -> Markup {
    let hotter = (one.found.plate_watts.value).max(other.found.plate_watts.value);
    match of_limit(report, hotter) {
        None => say!(
            "The two {tube} dissipate <b>{one} and {other}</b> at idle.",
            tube = tube,
            one = plate_watts(one),
            other = plate_watts(other),
        ),
        Some((share, limit)) => say!(
            "The two {tube} dissipate <b>{one} and {other}</b> at idle, the hotter one {share} of its {limit}.",
            tube = tube,
            one = plate_watts(one),
            other = plate_watts(other),
            share = share,
            limit = limit,
        ),
    }
}

fn each(report: &IdleReport, side: &SideShare, tube: &str) -> Markup {
    match of_limit(report, side.found.plate_watts.value) {
        None => say!(
            "Each {tube} dissipates <b>{watts}</b> at idle.",
            tube = tube,
            watts = plate_watts(side),
        ),
        Some((share, limit)) => say!(
            "Each {tube} dissipates <b>{watts}</b> at idle, {share} of its {limit}.",
            tube = tube,
            watts = plate_watts(side),
            share = share,
            limit = limit,
        ),
    }
}

fn single(report: &IdleReport, side: &SideShare, tube: &str) -> Markup {
    match of_limit(report, side.found.plate_watts.value) {
        None => say!(
            "This {tube} dissipates <b>{watts}</b> at idle.",
            tube = tube,
            watts = plate_watts(side),
        ),
        Some((share, limit)) => say!(
            "This {tube} dissipates <b>{watts}</b> at idle, {share} of its {limit}.",
            tube = tube,
            watts = plate_watts(side),
            share = share,
            limit = limit,
        ),
    }
}

fn plate_watts(side: &SideShare) -> String {
    number::with_doubt(side.found.plate_watts, Unit::Watt)
}

/// The share of the limit, and the limit: `88 %`, `12 W (design-centre)`.
fn of_limit(report: &IdleReport, watts: f64) -> Option<(String, String)> {
    let limit = report.limit?;
    let most = number::given(limit.plate_watts, Unit::Watt);
    let most = match limit.rating {
        Some(rating) => format!("{most} ({})", rating.name()),
        None => most,
    };
    Some((number::percent_short(watts / limit.plate_watts), most))
}

/// What to change for what is wanted.
fn setting(report: &IdleReport) -> Markup {
    let Some(wanted) = &report.wanted else {
        return html! {};
    };
    let watts = number::given(wanted.watts, Unit::Watt);
    let Some(reached) = &wanted.reached else {
        return say!("No setting gives {watts} here.", watts = watts);
    };
    match (reached.at.bias, report.computed.bias) {
        (Bias::Cathode(ohms), Bias::Cathode(now)) => say!(
            "For {watts} it takes <b>{ohms}</b> at the cathode, in place of {now}.",
            watts = watts,
            ohms = number::computed(ohms, Unit::Ohm),
            now = number::given(now, Unit::Ohm),
        ),
        (Bias::Fixed(volts), _) => say!(
            "For {watts} the grid goes to <b>{volts}</b> from the cathode.",
            watts = watts,
            volts = number::computed(volts, Unit::Volt),
        ),
        (Bias::Cathode(ohms), _) => say!(
            "For {watts} it takes <b>{ohms}</b> at the cathode.",
            watts = watts,
            ohms = number::computed(ohms, Unit::Ohm),
        ),
    }
}

/// Which readings would do.
fn missing(lists: &[Vec<Wanting>]) -> Markup {
    let word = |wanting: &Wanting| match wanting {
        Wanting::CathodeVolts => "the cathode’s volts",
        Wanting::CathodeOhms => "the cathode resistor’s ohms",
        Wanting::PrimaryDrop => "the drop over the primary",
        Wanting::PrimaryOhms => "the primary’s resistance, typed with the iron",
        Wanting::PlateVolts => "the plate’s volts",
    };
    let ways: Vec<String> = lists
        .iter()
        .map(|list| {
            let parts: Vec<String> = list.iter().map(|one| word(one).to_owned()).collect();
            words::in_a_row(&parts)
        })
        .collect();
    say!(
        "Not enough to tell the current yet. What would do: {ways}.",
        ways = ways.join("; or "),
    )
}

pub(super) fn name(scene: &Scene) -> String {
    let stage = scene.report.solved.stage();
    let designation = stage.and_then(|stage| stage.tube.designation);
    designation.unwrap_or("tube").to_owned()
}
