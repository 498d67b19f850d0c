//! What a supply is made of.

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr, VariantArray};

use crate::Law;

/// How the rectifiers stand between winding and first capacitor.
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
pub enum Circuit {
    /// A winding with a centre tap, a rectifier at each end.
    #[default]
    FullWave,
    /// Four rectifiers around a winding without one; two of them conduct at a time.
    Bridge,
    /// One rectifier.
    HalfWave,
    /// Two rectifiers and two first capacitors, one above the other, the winding between them.
    Doubler,
}

impl Circuit {
    /// Rectifiers that conduct one after the other.
    pub fn in_series(self) -> u32 {
        if self == Self::Bridge { 2 } else { 1 }
    }

    /// The direct current, in average currents of one rectifier: of a full wave and a bridge
    /// each carries half.
    pub fn rectifier_currents(self) -> f64 {
        match self {
            Self::FullWave | Self::Bridge => 2.0,
            Self::HalfWave | Self::Doubler => 1.0,
        }
    }

    /// Whether the first capacitor is charged twice a cycle.
    pub fn is_full_wave(self) -> bool {
        self != Self::HalfWave
    }

    /// Direct volts without load, in peaks of the winding (of its half where it has a centre tap).
    pub fn peaks(self) -> f64 {
        if self == Self::Doubler { 2.0 } else { 1.0 }
    }

    /// The most inverse volts at each rectifier, in peaks of the winding (of its half).
    pub fn inverse_peaks(self) -> f64 {
        if self == Self::Bridge { 1.0 } else { 2.0 }
    }
}

/// A winding as the rectifier sees it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Feed {
    /// Without load, V rms; of half the winding where it has a centre tap.
    pub volts: f64,
    /// In series with each rectifier: the winding, the primary by the turns squared, and what is
    /// added, Ω.
    pub ohms: f64,
    /// Of the mains, Hz.
    pub hertz: f64,
}

impl Feed {
    /// The peak of the volts without load, V.
    pub fn peak(self) -> f64 {
        self.volts * std::f64::consts::SQRT_2
    }
}

/// A capacitor to ground, and what hangs on it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Capacitor {
    /// F. In a doubler's first place: each of the two.
    pub farads: f64,
    /// What tubes draw here, A.
    pub amps: f64,
    /// A bleeder to ground, Ω.
    pub bleeder_ohms: Option<f64>,
}

/// What joins a capacitor to the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Series {
    /// Ω.
    Resistor(f64),
    /// H, and the Ω of its wire.
    Choke(f64, f64),
}

impl Series {
    /// To direct current, Ω.
    pub fn ohms(self) -> f64 {
        match self {
            Self::Resistor(ohms) | Self::Choke(_, ohms) => ohms,
        }
    }
}

/// A resistor or choke with the capacitor behind it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Section {
    /// Before the capacitor.
    pub series: Series,
    /// The capacitor.
    pub capacitor: Capacitor,
}

/// A supply with capacitor input.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Supply {
    /// The winding.
    pub feed: Feed,
    /// How the rectifiers stand.
    pub circuit: Circuit,
    /// What each of them conducts.
    pub law: Law,
    /// The first capacitor.
    pub first: Capacitor,
    /// What follows, in a row.
    pub sections: Vec<Section>,
}

/// Why a supply has no steady state.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unsolved {
    /// A value out of its range, named.
    OutOfRange(&'static str, f64),
    /// So much current is drawn that nothing is left at some capacitor, counted from the first.
    Overloaded(usize),
    /// The cycle did not close on itself.
    NotSettled,
}

impl std::fmt::Display for Unsolved {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::OutOfRange(what, value) => write!(f, "{what} cannot be {value:e}"),
            Self::Overloaded(at) => write!(
                f,
                "the supply cannot give this current: no volts are left at capacitor {}",
                at + 1
            ),
            Self::NotSettled => write!(f, "no steady state was found"),
        }
    }
}

impl std::error::Error for Unsolved {}

impl Supply {
    /// Every capacitor, the first one first.
    pub fn capacitors(&self) -> impl Iterator<Item = &Capacitor> {
        std::iter::once(&self.first).chain(self.sections.iter().map(|s| &s.capacitor))
    }

    fn capacitors_mut(&mut self) -> impl Iterator<Item = &mut Capacitor> {
        std::iter::once(&mut self.first).chain(self.sections.iter_mut().map(|s| &mut s.capacitor))
    }

    /// What all tubes draw, A.
    pub fn amps(&self) -> f64 {
        self.capacitors().map(|capacitor| capacitor.amps).sum()
    }

    /// The same supply with other currents, one for each capacitor in order; what is not given
    /// stays.
    #[must_use]
    pub fn with_amps(&self, amps: &[f64]) -> Self {
        let mut supply = self.clone();
        for (capacitor, amps) in supply.capacitors_mut().zip(amps) {
            capacitor.amps = *amps;
        }
        supply
    }

    /// The same supply with its tubes pulled out: bleeders alone are left.
    #[must_use]
    pub fn unloaded(&self) -> Self {
        self.with_amps(&vec![0.0; 1 + self.sections.len()])
    }

    /// Checks every value.
    ///
    /// # Errors
    /// [`Unsolved::OutOfRange`] names the first value that is out of its range.
    pub fn check(&self) -> Result<(), Unsolved> {
        let range = |what, value: f64, low: f64, high: f64| {
            if (low..=high).contains(&value) {
                Ok(())
            } else {
                Err(Unsolved::OutOfRange(what, value))
            }
        };
        range("the winding’s volts", self.feed.volts, 0.1, 1e4)?;
        range("the resistance at a rectifier", self.feed.ohms, 1e-3, 1e5)?;
        range("the mains’ hertz", self.feed.hertz, 10.0, 1e3)?;
        if let Law::Vacuum(k) = self.law {
            range("a rectifier’s perveance", k, 1e-8, 1.0)?;
        }
        for capacitor in self.capacitors() {
            range("a capacitor", capacitor.farads, 1e-8, 1.0)?;
            range("a load current", capacitor.amps, 0.0, 100.0)?;
            if let Some(ohms) = capacitor.bleeder_ohms {
                range("a bleeder", ohms, 1.0, 1e9)?;
            }
        }
        for section in &self.sections {
            range("a resistance in the line", section.series.ohms(), 0.1, 1e7)?;
            if let Series::Choke(henries, _) = section.series {
                range("a choke", henries, 1e-3, 1e3)?;
            }
        }
        Ok(())
    }
}
