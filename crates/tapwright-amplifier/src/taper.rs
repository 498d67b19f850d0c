//! How the resistance of a control goes with its position.

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr, VariantArray};

/// A tenth of the resistance at half of the way: what is sold as logarithmic. Common practice,
/// no source.
const LOGARITHMIC_AT_HALF: f64 = 0.1;

/// The taper of a control. The position goes from 0, fully counterclockwise, to 1.
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
pub enum Taper {
    /// The resistance goes with the position.
    #[default]
    Linear,
    /// A tenth at half of the way: `(b^p − 1)/(b − 1)` with `b = 81`.
    Logarithmic,
    /// The same from the other end.
    Reverse,
}

impl Taper {
    /// The share of the resistance at a position, both 0 to 1.
    ///
    /// ```
    /// use tapwright_amplifier::Taper;
    /// assert_eq!(Taper::Linear.share(0.5), 0.5);
    /// assert!((Taper::Logarithmic.share(0.5) - 0.1).abs() < 1e-12);
    /// assert!((Taper::Reverse.share(0.5) - 0.9).abs() < 1e-12);
    /// ```
    pub fn share(self, position: f64) -> f64 {
        let base = (1.0 / LOGARITHMIC_AT_HALF - 1.0).powi(2);
        let curve = |p: f64| (base.powf(p) - 1.0) / (base - 1.0);
        match self {
            Self::Linear => position,
            Self::Logarithmic => curve(position),
            Self::Reverse => 1.0 - curve(1.0 - position),
        }
    }

    /// The position at which the control has a share of its resistance, both 0 to 1.
    ///
    /// ```
    /// use tapwright_amplifier::Taper;
    /// for taper in [Taper::Linear, Taper::Logarithmic, Taper::Reverse] {
    ///     assert!((taper.position(taper.share(0.3)) - 0.3).abs() < 1e-12);
    /// }
    /// ```
    pub fn position(self, share: f64) -> f64 {
        let base = (1.0 / LOGARITHMIC_AT_HALF - 1.0).powi(2);
        let curve = |s: f64| (1.0 + s * (base - 1.0)).ln() / base.ln();
        match self {
            Self::Linear => share,
            Self::Logarithmic => curve(share),
            Self::Reverse => 1.0 - curve(1.0 - share),
        }
    }
}
