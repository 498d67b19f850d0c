//! Which fields are asked for: the rest of the set-up decides.

use crate::setup::{
    Asked, Field, Isolation, Marking, OwnKind, Screens, Setup, SplitterKind, Topology,
};
use tapwright_tube::Kind;

/// Whether a field is asked for. One that is not keeps its text and is not read.
///
/// ```
/// use tapwright_core::{link, setup::Field, values::is_asked};
/// let setup = link::parse("marking=line").setup;
/// assert!(is_asked(&setup, Field::LineTaps) && !is_asked(&setup, Field::Primary));
/// ```
pub fn is_asked(setup: &Setup, field: Field) -> bool {
    match field.row().asked {
        Asked::Always => true,
        Asked::OhmsStamped => setup.marking == Marking::Impedance,
        Asked::LineStamped => setup.marking == Marking::Line,
        Asked::Stamped => setup.marking != Marking::Measured,
        Asked::Measured => setup.marking == Marking::Measured,
        Asked::PushPull => setup.topology == Topology::PushPull,
        Asked::Screen => has_screen(setup),
        Asked::SteadyScreen => setup.screens == Screens::Steady && has_screen(setup),
        Asked::TappedScreen => setup.screens == Screens::Taps && has_screen(setup),
        Asked::DriverKnown => has_driver(setup),
        Asked::OwnDriver => setup.has_own_driver(),
        Asked::Split => has_driver(setup) && setup.topology == Topology::PushPull,
        Asked::LongTailed => {
            has_driver(setup)
                && setup.topology == Topology::PushPull
                && setup.amplifier.splitter == SplitterKind::LongTailed
        }
        Asked::FeedbackTaken => !setup.amplifier.feedback.feedback_from.trim().is_empty(),
        Asked::FixedBias => setup.stage.cathode.trim().is_empty(),
        Asked::MainsTransformer => setup.power_supply.isolation == Isolation::Transformer,
        Asked::OwnTube => setup.has_own_tube(),
        Asked::OwnScreen => setup.has_own_tube() && has_screen(setup),
    }
}

/// Whether a driver tube is named.
fn has_driver(setup: &Setup) -> bool {
    !setup.amplifier.driver.trim().is_empty()
}

/// Whether the chosen tube has a screen, as far as the choice tells.
///
/// ```
/// use tapwright_core::{link, values::has_screen};
/// assert!(has_screen(&link::parse("tube=6AQ5").setup));
/// assert!(!has_screen(&link::parse("tube=2A3").setup));
/// ```
pub fn has_screen(setup: &Setup) -> bool {
    match tapwright_tube::find(&setup.tube) {
        Some(tube) => tube.kind != Kind::Triode,
        None => !setup.has_own_tube() || setup.own.kind != OwnKind::Triode,
    }
}
