//! Words for what to beware of in the power supply.

use maud::{Markup, html};
use tapwright_core::caution::supply::Caution;
use tapwright_supply::Passed;
use tapwright_units::Unit;

use crate::number;

fn volts(volts: f64) -> String {
    number::computed(volts, Unit::Volt)
}

fn amps(amps: f64) -> String {
    number::computed(amps, Unit::Ampere)
}

/// A capacitor by its place: `the first capacitor`.
pub fn capacitor(at: usize) -> String {
    match at {
        0 => "the first capacitor".into(),
        1 => "the second capacitor".into(),
        2 => "the third capacitor".into(),
        more => format!("capacitor {}", more + 1),
    }
}

/// A caution in one sentence.
pub fn caution(caution: &Caution) -> Markup {
    match *caution {
        Caution::LiveChassis => html! {
            "nothing isolates the chassis from the mains: whoever touches it, a string or a jack may die. "
            "Fit an isolating transformer before anything else."
        },
        Caution::MaybeLiveChassis => html! {
            "such a tube at such a B+ mostly runs straight from the mains, and then the chassis is live. "
            "Unless you know that a transformer isolates it, fit one before anything else."
        },
        Caution::ColdStart(at, sees, rated) => html! {
            (capacitor(at)) " sees " (volts(sees)) " before the tubes conduct, with the mains 10 % high; it is rated for "
            (number::given(rated, Unit::Volt)) " and may burst. Fit one for more volts."
        },
        Caution::Unloaded(at, sees, rated) => html! {
            (capacitor(at)) " sees " (volts(sees)) " with the output tubes pulled out or cold, and the mains 10 % high; it is rated for "
            (number::given(rated, Unit::Volt)) ". Fit one for more volts."
        },
        Caution::FarAboveTube(is, limit) => html! {
            "B+ comes to " (volts(is)) ", and the tube’s plate may stand at " (number::given(limit, Unit::Volt))
            ". Was the whole winding typed as one half?"
        },
        Caution::Rectifier(passed) => rectifier(passed),
        Caution::Winding(carries, stamped) => html! {
            "the winding gives " (amps(carries)) "; stamped are " (number::given(stamped, Unit::Ampere))
            ". It gets hot: draw less, or take another transformer."
        },
        Caution::MainsAboveTap(mains, tap) => html! {
            "the mains of " (number::given(mains, Unit::Volt)) " is more than 5 % above the "
            (number::given(tap, Unit::Volt)) " tap in use: heaters, core and capacitors get too much."
        },
        Caution::OtherTap(mains, tap) => html! {
            "the " (number::given(tap, Unit::Volt)) " tap suits a mains of " (number::given(mains, Unit::Volt)) " better."
        },
        Caution::FuseTooSmall(fuse, runs) => html! {
            "a fuse of " (number::given(fuse, Unit::Ampere)) " blows: the amplifier takes about " (amps(runs)) " while it runs."
        },
        Caution::FuseTooLarge(fuse, runs) => html! {
            "a fuse of " (number::given(fuse, Unit::Ampere)) " guards little: the amplifier takes about " (amps(runs))
            ". What the transformer’s maker and the rules where you live ask for decides."
        },
    }
}

/// A limit of the rectifier that is passed.
fn rectifier(passed: Passed) -> Markup {
    match passed {
        Passed::Direct(is, limit) => html! {
            "the rectifier gives " (amps(is)) "; its limit is " (number::given(limit, Unit::Ampere)) "."
        },
        Passed::Peak(is, limit) => html! {
            "each plate of the rectifier peaks at " (amps(is)) "; its limit is " (number::given(limit, Unit::Ampere)) "."
        },
        Passed::Inverse(is, limit) => html! {
            "each plate of the rectifier blocks up to " (volts(is)) "; its limit is " (number::given(limit, Unit::Volt)) "."
        },
        Passed::PlateVolts(is, limit) => html! {
            "the winding gives each plate of the rectifier " (volts(is)) " without load; its limit is "
            (number::given(limit, Unit::Volt)) "."
        },
        Passed::First(is, limit) => html! {
            "the first capacitor of " (number::given(is, Unit::Farad)) " is larger than the rectifier takes, "
            (number::given(limit, Unit::Farad)) ": put the rest behind a resistor."
        },
        Passed::Ohms(is, least) => html! {
            "each plate of the rectifier has " (number::about(is, Unit::Ohm)) " in series and wants at least "
            (number::about(least, Unit::Ohm)) "."
        },
    }
}

/// A caution in a few words.
pub fn caution_in_brief(caution: &Caution) -> &'static str {
    match caution {
        Caution::LiveChassis => "the chassis is live",
        Caution::MaybeLiveChassis => "the chassis may be live",
        Caution::ColdStart(..) | Caution::Unloaded(..) => "a capacitor sees too many volts",
        Caution::FarAboveTube(..) => "B+ is far above the tube’s limit",
        Caution::Rectifier(_) => "a limit of the rectifier is passed",
        Caution::Winding(..) => "the mains transformer gives too much",
        Caution::MainsAboveTap(..) | Caution::OtherTap(..) => "another mains tap suits better",
        Caution::FuseTooSmall(..) | Caution::FuseTooLarge(..) => "the fuse does not suit",
    }
}
