//! Choices: fields that hold one of a few words.

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr, VariantArray};
use tapwright_amplifier::Taper;
use tapwright_iron::iron::Core;
use tapwright_supply::Circuit;
use tapwright_tube::Topology;

use super::amplifier::{Polarity, SplitterKind};
use super::heaters::{HeatedRectifier, HeaterTap};
use super::supply::{Isolation, StampedCurrent};
use super::typed::choices;

choices! { Topology, Marking, Core, Screens, OwnKind, Loads, SplitterKind, Taper, Polarity, Circuit, Isolation, StampedCurrent, HeaterTap, HeatedRectifier }

/// How the primary is marked.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Marking {
    /// Rated impedances in ohms.
    #[default]
    Impedance,
    /// A line voltage and power taps in watts.
    Line,
    /// Not at all: it is measured.
    Measured,
}

/// How the screens are connected.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Screens {
    /// To a steady voltage: B+, or a supply of their own.
    #[default]
    Steady,
    /// To taps on the primary.
    Taps,
    /// To the plates: triode connection.
    Plates,
}

/// The kind of the person's own tube.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum OwnKind {
    /// Beam tetrode.
    #[default]
    Beam,
    /// Pentode.
    Pentode,
    /// Triode.
    Triode,
}

/// Which impedance of the speakers the loads are made from.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Loads {
    /// The rated one.
    #[default]
    Rated,
    /// The one at the frequency that is typed.
    Curve,
}

/// What the connections are sorted by in the ranked list, in the order of its columns.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum SortBy {
    /// The recommended order.
    #[default]
    Rank,
    /// Order of the hookups as typed.
    Hookup,
    /// Reflected load, lowest first.
    Load,
    /// Ratio to the target, lowest first.
    Ratio,
    /// Mismatch loss, least first.
    Loss,
    /// Power in the speakers, most first.
    Watts,
    /// Distortion, least first.
    Distortion,
}

/// A leaf of the page, in the order of the job.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Leaf {
    /// What is on the bench. On a wide page it always stands beside the other leaves.
    Parts,
    /// Every way to connect it, and the chosen one in numbers.
    #[default]
    Connections,
    /// What the tube does there.
    Tube,
    /// What the feedback does.
    Feedback,
    /// Idle, heaters and the supply behind them.
    Heat,
}
