//! A type of tube: what is published about it, and the model fitted to that.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::{Kind, Limits, Model, OperatingExample, Provenance, StaticPoint, Triode};

/// The heater or filament. All values are above zero.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Heater {
    /// V.
    pub volts: f64,
    /// A.
    pub amps: f64,
    /// The most between heater and cathode, either way, V; where it is known. From memory.
    #[serde(default)]
    pub cathode_volts: Option<f64>,
    /// Whether it is the cathode itself.
    #[serde(default)]
    pub is_filament: bool,
}

/// Capacitances between the electrodes, pF, all above zero. From memory.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Capacitances {
    /// Grid to plate.
    pub grid_plate_pf: f64,
    /// Grid to cathode; of a tube with a screen, grid 1 to all but the plate.
    pub input_pf: f64,
    /// Plate to cathode; of a tube with a screen, plate to all but grid 1.
    pub output_pf: f64,
}

impl Capacitances {
    /// Those of a triode of which none are known: about what small triodes have. Common
    /// practice, no source.
    pub const OF_A_TRIODE: Self = Self {
        grid_plate_pf: 1.6,
        input_pf: 1.6,
        output_pf: 0.5,
    };

    /// Those of a power tube of which none are known. Common practice, no source.
    pub const OF_A_POWER_TUBE: Self = Self {
        grid_plate_pf: 0.8,
        input_pf: 11.0,
        output_pf: 7.0,
    };
}

/// A type of tube: what is published, and the model fitted to it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tube {
    /// The type designation.
    #[serde(rename = "type")]
    pub designation: String,
    /// Types with the same characteristics and no lower limits.
    pub equivalents: Vec<String>,
    /// Triode, pentode or beam tetrode.
    pub kind: Kind,
    /// Heater or filament.
    pub heater: Heater,
    /// Heaters of those equivalents whose heater is another one, by their type. From memory.
    #[serde(default)]
    pub other_heaters: BTreeMap<String, Heater>,
    /// How many such tubes one bottle holds.
    #[serde(default = "one")]
    pub systems: u32,
    /// Capacitances between the electrodes, where they are known.
    pub capacitance: Option<Capacitances>,
    /// Published amplification factor from grid 1 to the screen: of every tube with a screen,
    /// and of no other.
    pub mu_screen: Option<f64>,
    /// Where heater and `mu_screen` were published: the title in full.
    pub source: String,
    /// How they are known.
    pub provenance: Provenance,
    /// Limits, the first of which is the one to design by. Never empty.
    #[serde(default)]
    pub limits: Vec<Limits>,
    /// Static points.
    #[serde(default, rename = "point")]
    pub points: Vec<StaticPoint>,
    /// Operating examples.
    #[serde(default, rename = "example")]
    pub examples: Vec<OperatingExample>,
    /// Static model, fitted to those rows above that are marked so. It comes from
    /// `data/fitted.toml`.
    #[serde(skip, default = "nothing_fitted")]
    pub model: Model,
}

/// What stands in until the tube's kind is known and its fitted model is read.
fn nothing_fitted() -> Model {
    Model::Triode(Triode::UNFITTED)
}

fn one() -> u32 {
    1
}

impl Tube {
    /// The heater of this type or of one of its equivalents, by the name that was typed.
    ///
    /// ```
    /// let heater = |name| tapwright_tube::find(name).unwrap().heater_of(name);
    /// assert_eq!((heater("2A3").volts, heater("6b4g").volts), (2.5, 6.3));
    /// ```
    pub fn heater_of(&self, name: &str) -> Heater {
        let mut others = self.other_heaters.iter();
        let other = others.find(|(other, _)| other.eq_ignore_ascii_case(name.trim()));
        other.map_or(self.heater, |(_, heater)| *heater)
    }

    /// The designation and every equivalent.
    ///
    /// ```
    /// let tube = tapwright_tube::find("EL84").unwrap();
    /// assert_eq!(tube.names().collect::<Vec<_>>(), ["EL84", "6BQ5"]);
    /// ```
    pub fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(&self.designation)
            .chain(&self.equivalents)
            .map(String::as_str)
    }
}
