//! Quantities: what crosses the border of a module is a number and the unit that it counts.
#![forbid(unsafe_code)]

mod complaint;
pub mod e_series;
pub mod entry;
pub mod joined;
pub mod list;
pub mod numeral;
pub mod rounding;
mod slip;
mod text;
pub mod uncertainty;
mod written;
pub mod zero;

use serde::{Deserialize, Serialize};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);
    };
}

quantity! {
    /// Resistance or impedance modulus, in ohms.
    Ohms
}
quantity! {
    /// Potential difference, in volts. RMS where it alternates, unless said otherwise.
    Volts
}
quantity! {
    /// Power, in watts.
    Watts
}
quantity! {
    /// Current, in amperes.
    Amps
}
quantity! {
    /// A power ratio, in decibels: `10·log10(P₁/P₂)`.
    Decibels
}

impl Ohms {
    /// Resistance of this one and `other` in series: `Z₁ + Z₂`.
    ///
    /// ```
    /// # use tapwright_units::Ohms;
    /// assert_eq!(Ohms(8.0).in_series(Ohms(4.0)), Ohms(12.0));
    /// ```
    pub fn in_series(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }

    /// Resistance of this one and `other` in parallel: `Z₁ Z₂ / (Z₁ + Z₂)`. Both are above zero.
    ///
    /// ```
    /// # use tapwright_units::Ohms;
    /// assert_eq!(Ohms(8.0).in_parallel(Ohms(8.0)), Ohms(4.0));
    /// ```
    pub fn in_parallel(self, other: Self) -> Self {
        Self(self.0 * other.0 / (self.0 + other.0))
    }
}

/// What a typed number counts. It decides which unit words and letters are understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// Ω
    Ohm,
    /// V, DC where it is typed.
    Volt,
    /// V on AC, RMS.
    AcVolt,
    /// W
    Watt,
    /// A
    Ampere,
    /// dB
    Decibel,
    /// Hz
    Hertz,
    /// H
    Henry,
    /// F
    Farad,
    /// L
    Litre,
    /// %
    Percent,
    /// mA, as datasheets of small tubes write every current.
    Milliampere,
    /// mS: a datasheet's mA/V.
    Millisiemens,
    /// No unit: a ratio or a count.
    One,
}

impl Unit {
    /// The symbol as the SI writes it; empty for a bare number.
    ///
    /// ```
    /// # use tapwright_units::Unit;
    /// assert_eq!(Unit::Ohm.symbol(), "Ω");
    /// ```
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Ohm => "Ω",
            Self::Volt | Self::AcVolt => "V",
            Self::Watt => "W",
            Self::Ampere => "A",
            Self::Decibel => "dB",
            Self::Hertz => "Hz",
            Self::Henry => "H",
            Self::Farad => "F",
            Self::Litre => "L",
            Self::Percent => "%",
            Self::Milliampere => "mA",
            Self::Millisiemens => "mS",
            Self::One => "",
        }
    }

    /// Words that mean this unit when typed after a number, in capitals or not.
    pub fn words(self) -> &'static [&'static str] {
        match self {
            Self::Ohm => &["ohm", "ohms", "Ω", "ω", "r"],
            Self::Volt => &["v", "volt", "volts", "vdc", "v dc", "volts dc", "dc"],
            Self::AcVolt => &[
                "v", "volt", "volts", "vac", "v ac", "volts ac", "ac", "v~", "v ~", "vrms", "v rms",
            ],
            Self::Watt => &["w", "watt", "watts"],
            Self::Ampere => &["a", "amp", "amps", "ampere", "amperes"],
            Self::Decibel => &["db"],
            Self::Hertz => &["hz", "hertz", "c/s"],
            Self::Henry => &["h", "henry", "henries"],
            Self::Farad => &["f", "farad", "farads"],
            Self::Litre => &["l", "litre", "litres", "liter", "liters"],
            Self::Percent => &["%", "percent", "per cent"],
            Self::Milliampere => &["ma"],
            Self::Millisiemens => &["ms", "ma/v"],
            Self::One => &[],
        }
    }
}
