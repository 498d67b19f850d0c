//! The answer of this part: one or two sentences.

use maud::{Markup, html};
use tapwright_core::idle::{FoundIdle, IdleReport, Read, Wanting};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use crate::number;
use crate::view::Scene;
use crate::words;

pub(super) fn sentence(scene: &Scene) -> Markup {
    match scene.idle() {
        None => html! {
            p .leaf-answer { "Still unknown: " b { "the output tube and its supply" } "." }
            p .reason { "With them this leaf says what a plate dissipates at idle, and which resistor changes it." }
        },
        Some(Err(why)) => html! {
            p .leaf-answer { b { "The idle point cannot be computed: " } (why) "." }
        },
        Some(Ok(report)) => html! {
            p .leaf-answer {
                (idle(scene, report))
                (setting(report))
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
        Read::Impossible => html! {
            b { "No tube can have these readings. " }
            "Look for a slip of a decimal point, or a reading at the wrong pin. "
        },
        Read::Nothing | Read::NotEnough(_) => html! {
            "As computed, a new " (tube) " idles at "
            b { (number::computed(report.computed.idle.plate_watts, Unit::Watt)) }
            (of_limit(report, report.computed.idle.plate_watts)) ". "
            @if report.read == Read::Nothing {
                "Type what a meter shows at plate and cathode, and it is the tube in the socket. "
            }
        },
    }
}

fn as_read(report: &IdleReport, found: &FoundIdle, tube: &str) -> Markup {
    let watts = |side: &tapwright_core::idle::SideShare| {
        number::with_doubt(side.found.plate_watts, Unit::Watt)
    };
    html! {
        @match found.sides.as_slice() {
            [one, other] if found.apart.is_some() => {
                "The two " (tube) " dissipate " b { (watts(one)) " and " (watts(other)) } " at idle"
                (of_limit(report, one.found.plate_watts.value.max(other.found.plate_watts.value)))
                @if let Some(apart) = found.apart { "; their currents are " (number::percent_short(apart.value.abs())) " apart" }
                ". "
            }
            [one, ..] => {
                @if report.tubes > 1 { "Each " (tube) " dissipates " } @else { "This " (tube) " dissipates " }
                b { (watts(one)) } " at idle" (of_limit(report, one.found.plate_watts.value)) ". "
            }
            [] => {}
        }
    }
}

fn of_limit(report: &IdleReport, watts: f64) -> Markup {
    html! {
        @if let Some(limit) = report.limit {
            ", " (number::percent_short(watts / limit.plate_watts)) " of its "
            (number::given(limit.plate_watts, Unit::Watt))
            @if let Some(rating) = limit.rating { " (" (rating.name()) ")" }
        }
    }
}

/// What to change for what is wanted.
fn setting(report: &IdleReport) -> Markup {
    let Some(wanted) = &report.wanted else {
        return html! {};
    };
    html! {
        @match &wanted.reached {
            None => { "No setting gives " (number::given(wanted.watts, Unit::Watt)) " here." }
            Some(reached) => {
                @let watts = number::given(wanted.watts, Unit::Watt);
                @match (reached.at.bias, report.computed.bias) {
                    (Bias::Cathode(ohms), Bias::Cathode(now)) => {
                        "For " (watts) " it takes " b { (number::computed(ohms, Unit::Ohm)) } " at the cathode, in place of "
                        (number::given(now, Unit::Ohm)) "."
                    }
                    (Bias::Fixed(volts), _) => {
                        "For " (watts) " the grid goes to " b { (number::computed(volts, Unit::Volt)) } " from the cathode."
                    }
                    (Bias::Cathode(ohms), _) => {
                        "For " (watts) " it takes " b { (number::computed(ohms, Unit::Ohm)) } " at the cathode."
                    }
                }
            }
        }
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
    html! { "Not enough to tell the current yet. What would do: " (ways.join("; or ")) "." }
}

pub(super) fn name(scene: &Scene) -> String {
    let stage = scene.report.solved.stage();
    let designation = stage.and_then(|stage| stage.tube.designation);
    designation.unwrap_or("tube").to_owned()
}
