//! Words for what to beware of in the power supply.

use maud::Markup;
use tapwright_core::caution::supply::Caution;
use tapwright_supply::Passed;
use tapwright_units::Unit;

use super::say::say;
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
        Caution::LiveChassis => say!(
            "nothing isolates the chassis from the mains: whoever touches it, a string or a jack may die. \
             Fit an isolating transformer before anything else."
        ),
        Caution::MaybeLiveChassis => say!(
            "such a tube at such a B+ mostly runs straight from the mains, and then the chassis is live. \
             Unless you know that a transformer isolates it, fit one before anything else."
        ),
        Caution::ColdStart(at, sees, rated) => say!(
            "{capacitor} sees {volts} before the tubes conduct, with the mains 10 % high; \
             it is rated for {rated} and may burst. Fit one for more volts.",
            capacitor = capacitor(at),
            volts = volts(sees),
            rated = number::given(rated, Unit::Volt),
        ),
        Caution::Unloaded(at, sees, rated) => say!(
            "{capacitor} sees {volts} with the output tubes pulled out or cold, and the mains 10 % high; \
             it is rated for {rated}. Fit one for more volts.",
            capacitor = capacitor(at),
            volts = volts(sees),
            rated = number::given(rated, Unit::Volt),
        ),
        Caution::FarAboveTube(is, limit) => say!(
            "B+ comes to {volts}, and the tube’s plate may stand at {limit}. \
             Was the whole winding typed as one half?",
            volts = volts(is),
            limit = number::given(limit, Unit::Volt),
        ),
        Caution::Rectifier(passed) => rectifier(passed),
        Caution::Winding(carries, stamped) => say!(
            "the winding gives {amps}; stamped are {stamped}. \
             It gets hot: draw less, or take another transformer.",
            amps = amps(carries),
            stamped = number::given(stamped, Unit::Ampere),
        ),
        Caution::MainsAboveTap(mains, tap) => say!(
            "the mains of {mains} is more than 5 % above the {tap} tap in use: \
             heaters, core and capacitors get too much.",
            mains = number::given(mains, Unit::Volt),
            tap = number::given(tap, Unit::Volt),
        ),
        Caution::OtherTap(mains, tap) => say!(
            "the {tap} tap suits a mains of {mains} better.",
            tap = number::given(tap, Unit::Volt),
            mains = number::given(mains, Unit::Volt),
        ),
        Caution::FuseTooSmall(fuse, runs) => say!(
            "a fuse of {fuse} blows: the amplifier takes about {amps} while it runs.",
            fuse = number::given(fuse, Unit::Ampere),
            amps = amps(runs),
        ),
        Caution::FuseTooLarge(fuse, runs) => say!(
            "a fuse of {fuse} guards little: the amplifier takes about {amps}. \
             What the transformer’s maker and the rules where you live ask for decides.",
            fuse = number::given(fuse, Unit::Ampere),
            amps = amps(runs),
        ),
    }
}

/// A limit of the rectifier that is passed.
fn rectifier(passed: Passed) -> Markup {
    match passed {
        Passed::Direct(is, limit) => say!(
            "the rectifier gives {amps}; its limit is {limit}.",
            amps = amps(is),
            limit = number::given(limit, Unit::Ampere),
        ),
        Passed::Peak(is, limit) => say!(
            "each plate of the rectifier peaks at {amps}; its limit is {limit}.",
            amps = amps(is),
            limit = number::given(limit, Unit::Ampere),
        ),
        Passed::Inverse(is, limit) => say!(
            "each plate of the rectifier blocks up to {volts}; its limit is {limit}.",
            volts = volts(is),
            limit = number::given(limit, Unit::Volt),
        ),
        Passed::PlateVolts(is, limit) => say!(
            "the winding gives each plate of the rectifier {volts} without load; its limit is {limit}.",
            volts = volts(is),
            limit = number::given(limit, Unit::Volt),
        ),
        Passed::First(is, limit) => say!(
            "the first capacitor of {farads} is larger than the rectifier takes, {limit}: \
             put the rest behind a resistor.",
            farads = number::given(is, Unit::Farad),
            limit = number::given(limit, Unit::Farad),
        ),
        Passed::Ohms(is, least) => say!(
            "each plate of the rectifier has {ohms} in series and wants at least {least}.",
            ohms = number::about(is, Unit::Ohm),
            least = number::about(least, Unit::Ohm),
        ),
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
