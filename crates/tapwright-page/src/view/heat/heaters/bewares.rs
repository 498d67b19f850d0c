//! What to beware of with the heaters, in words.

use maud::{Markup, html};
use tapwright_core::caution::heaters::Caution;
use tapwright_core::heaters::{Cathode, HeaterReport, Role};
use tapwright_core::values::Refused;
use tapwright_units::Unit;

use crate::number;
use crate::words::say::say;

pub(super) fn bewares(report: &HeaterReport, cautions: &[Caution]) -> Markup {
    // What the sentence says already.
    let said = |caution: &&Caution| !matches!(caution, Caution::Refused(_) | Caution::Floating);
    let left: Vec<_> = cautions.iter().filter(said).collect();
    html! {
        @if !left.is_empty() {
            ul .bewares { @for caution in left { li { (words(report, caution)) } } }
        }
    }
}

/// Why a way to ground is refused, in a sentence.
pub(super) fn refused(why: Refused) -> &'static str {
    match why {
        Refused::AtSupply => {
            "a winding that heats a rectifier joined to it stands at B+, and any tap or resistor from it to ground shorts the supply."
        }
        Refused::BesideCentreTap => {
            "the centre tap is grounded already, and two resistors beside it only load the winding: one of the two goes."
        }
        Refused::BesideGroundedEnd => {
            "one end is grounded, which shorts one of the two resistors: lift that end first."
        }
    }
}

fn words(report: &HeaterReport, caution: &Caution) -> Markup {
    match caution {
        Caution::Refused(why) => html! { (refused(*why)) },
        Caution::Floating => html! { "Nothing ties the heaters to ground." },
        Caution::TubesAtSupply(supply) => say!(
            "<b>The heaters stand at {volts}.</b> Every other tube wants another winding: no heater takes that against its \
             cathode, and a touched heater wire kills.",
            volts = volts(*supply),
        ),
        Caution::Overloaded(amps, rated) => say!(
            "<b>The winding is overloaded: {amps} of {rated}.</b> It gets hot, and its volts sag. Take a tube off it, or \
             give it a transformer of its own.",
            amps = number::computed(*amps, Unit::Ampere),
            rated = number::given(*rated, Unit::Ampere),
        ),
        Caution::HeaterCathode(cathode) => heater_cathode(report, cathode),
        Caution::NoLevel => html! {
            "No level of the heaters suits every cathode: one of the tubes wants a winding of its own."
        },
        Caution::RectifierCathode(below, takes) => say!(
            "The rectifier’s heater stands <b>{below}</b> below its cathode; such rectifiers take about {takes} (from memory).",
            below = volts(*below),
            takes = number::given(*takes, Unit::Volt),
        ),
        Caution::VoltsFarOff(off) => html! {
            (say!("<b>The heaters get {off}.</b>", off = number::percent_off(*off))) " " (mend(report, *off))
        },
        Caution::VoltsOff(off) => html! {
            (say!(
                "The heaters get {off}: within 10\u{a0}%, but for a long life tubes want 5\u{a0}%.",
                off = number::percent_off(*off),
            ))
            " " (mend(report, *off))
        },
        Caution::OtherVolts(tube, wants) => say!(
            "The {tube} wants {volts} and is not counted: it has another winding.",
            tube = *tube,
            volts = number::given(*wants, Unit::AcVolt),
        ),
        Caution::OwnTubeNotCounted => html! {
            "The heater of a tube typed from its datasheet is not known: type its amperes with the lamps."
        },
        Caution::Warm(watts) => say!(
            "One resistor turns <b>{watts}</b> into heat: buy twice that, or more ohms.",
            watts = number::computed(*watts, Unit::Watt),
        ),
        Caution::NothingToRaiseFrom => html! {
            "B+ is not known, or is not above the volts wanted: nothing raises the heaters."
        },
    }
}

fn volts(volts: f64) -> String {
    number::computed(volts, Unit::Volt)
}

fn heater_cathode(report: &HeaterReport, cathode: &Cathode) -> Markup {
    let is_below = |low: f64| report.level.is_some_and(|level| level < low);
    html! {
        (say!(
            "<b>The {tube} of {role} has up to {peak} between heater and cathode</b>, and takes {limit} (from memory).",
            tube = cathode.tube,
            role = role(cathode.role),
            peak = volts(cathode.peak.unwrap_or_default()),
            limit = number::given(cathode.limit.unwrap_or_default(), Unit::Volt),
        ))
        @match report.window {
            Some([low, _]) if is_below(low) => {
                " " (say!("Raise the heaters by {volts} or more.", volts = volts(low)))
            },
            Some([_, high]) => { " " (say!("Raise them by no more than {volts}.", volts = volts(high))) },
            None => {},
        }
    }
}

fn mend(report: &HeaterReport, off: f64) -> Markup {
    match report.present.in_each_leg {
        Some([ohms, watts]) => say!(
            "{ohms} in each of the two wires mend it, {watts} each; or a higher mains tap.",
            ohms = number::about(ohms, Unit::Ohm),
            watts = number::computed(watts, Unit::Watt),
        ),
        None if off < 0.0 => {
            html! { "A lower mains tap, shorter or thicker wires, or less load mend it." }
        }
        None => html! {},
    }
}

/// Whose cathode it is.
pub(super) fn role(role: Role) -> &'static str {
    match role {
        Role::Output => "the output stage",
        Role::Driver => "the driver",
        Role::SecondDriver => "the second driver",
        Role::LongTailed => "the long-tailed pair",
        Role::SplitLoad => "the split load",
    }
}
