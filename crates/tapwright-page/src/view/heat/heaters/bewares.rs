//! What to beware of with the heaters, in words.

use maud::{Markup, html};
use tapwright_core::caution::heaters::Caution;
use tapwright_core::heaters::{HeaterReport, Role};
use tapwright_core::values::Refused;
use tapwright_units::Unit;

use crate::number;

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
    let volts = |volts: f64| number::computed(volts, Unit::Volt);
    html! {
        @match caution {
            Caution::Refused(why) => (refused(*why)),
            Caution::Floating => "Nothing ties the heaters to ground.",
            Caution::TubesAtSupply(supply) => {
                b { "The heaters stand at " (volts(*supply)) "." }
                " Every other tube wants another winding: no heater takes that against its cathode, and a touched heater wire kills."
            },
            Caution::Overloaded(amps, rated) => {
                b { "The winding is overloaded: " (number::computed(*amps, Unit::Ampere)) " of " (number::given(*rated, Unit::Ampere)) "." }
                " It gets hot, and its volts sag. Take a tube off it, or give it a transformer of its own."
            },
            Caution::HeaterCathode(cathode) => {
                b {
                    "The " (cathode.tube) " of " (role(cathode.role)) " has up to "
                    (volts(cathode.peak.unwrap_or_default())) " between heater and cathode"
                }
                ", and takes " (number::given(cathode.limit.unwrap_or_default(), Unit::Volt)) " (from memory)."
                @if let Some([low, _]) = report.window.filter(|[low, _]| report.level.is_some_and(|level| level < *low)) {
                    " Raise the heaters by " (volts(low)) " or more."
                } @else if let Some([_, high]) = report.window {
                    " Raise them by no more than " (volts(high)) "."
                }
            },
            Caution::NoLevel => { "No level of the heaters suits every cathode: one of the tubes wants a winding of its own." },
            Caution::RectifierCathode(below, takes) => {
                "The rectifier’s heater stands " b { (volts(*below)) } " below its cathode; such rectifiers take about "
                (number::given(*takes, Unit::Volt)) " (from memory)."
            },
            Caution::VoltsFarOff(off) => { b { "The heaters get " (number::percent_off(*off)) "." } " " (mend(report, *off)) },
            Caution::VoltsOff(off) => { "The heaters get " (number::percent_off(*off)) ": within 10\u{a0}%, but for a long life tubes want 5\u{a0}%. " (mend(report, *off)) },
            Caution::OtherVolts(tube, wants) => {
                "The " (*tube) " wants " (number::given(*wants, Unit::AcVolt)) " and is not counted: it has another winding."
            },
            Caution::OwnTubeNotCounted => { "The heater of a tube typed from its datasheet is not known: type its amperes with the lamps." },
            Caution::Warm(watts) => {
                "One resistor turns " b { (number::computed(*watts, Unit::Watt)) } " into heat: buy twice that, or more ohms."
            },
            Caution::NothingToRaiseFrom => { "B+ is not known, or is not above the volts wanted: nothing raises the heaters." },
        }
    }
}

fn mend(report: &HeaterReport, off: f64) -> Markup {
    html! {
        @if let Some([ohms, watts]) = report.present.in_each_leg {
            (number::about(ohms, Unit::Ohm)) " in each of the two wires mend it, " (number::computed(watts, Unit::Watt)) " each; or a higher mains tap."
        } @else if off < 0.0 { "A lower mains tap, shorter or thicker wires, or less load mend it." }
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
