//! The table of vacuum rectifiers, `data/rectifiers.toml`.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::Law;

/// The table as `build.rs` writes it.
const TABLE: &str = include_str!(concat!(env!("OUT_DIR"), "/rectifiers.json"));

static RECTIFIERS: LazyLock<Vec<Rectifier>> = LazyLock::new(|| {
    #[expect(clippy::panic, reason = "a test reads the same table")]
    serde_json::from_str::<File>(TABLE)
        .map(|file| file.rectifier)
        .unwrap_or_else(|why| panic!("data/rectifiers.toml: {why}"))
});

#[derive(Deserialize)]
struct File {
    rectifier: Vec<Rectifier>,
}

/// How a rectifier's cathode is heated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Heating {
    /// The filament is the cathode: it conducts long before the other tubes do.
    Direct,
    /// It warms up about as slowly as the other tubes.
    Indirect,
}

/// Volts and amperes of a heater.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Heater {
    /// V.
    pub volts: f64,
    /// A.
    pub amps: f64,
}

/// A published pair of volts and amperes across one plate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Drop {
    /// V.
    pub volts: f64,
    /// A.
    pub amps: f64,
}

/// Limits; what the source does not give is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Direct current of all plates, mA.
    pub dc_ma: Option<f64>,
    /// Peak of each plate, mA.
    pub peak_ma: Option<f64>,
    /// Inverse volts at each plate.
    pub inverse_volts: Option<f64>,
    /// The first capacitor, µF.
    pub first_microfarads: Option<f64>,
    /// Volts rms at each plate.
    pub plate_volts: Option<f64>,
}

/// The least resistance in series with each plate at volts rms per plate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LeastOhms {
    /// V rms at each plate.
    pub volts: f64,
    /// Ω.
    pub ohms: f64,
}

/// One published row: capacitor input, full wave.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OperationRow {
    /// V rms at each plate without load.
    pub volts: f64,
    /// In series with each plate, Ω.
    pub ohms: f64,
    /// Direct current, mA.
    pub ma: f64,
    /// Direct volts at the first capacitor.
    pub dc_volts: f64,
}

/// Published rows with one first capacitor and mains frequency.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Operation {
    /// Of the mains.
    pub hertz: f64,
    /// The first capacitor, µF.
    pub microfarads: f64,
    /// The rows.
    pub rows: Vec<OperationRow>,
    /// The key of the source.
    pub source: String,
    /// How the rows are known.
    pub provenance: String,
}

/// A vacuum rectifier.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rectifier {
    /// What it is called.
    #[serde(rename = "type")]
    pub designation: String,
    /// Others with the same law and no lower limits.
    #[serde(default)]
    pub equivalents: Vec<String>,
    /// Plates in the envelope.
    pub plates: u32,
    /// How the cathode is heated.
    pub heating: Heating,
    /// Its heater.
    pub heater: Heater,
    /// The drop that makes the law.
    pub drop: Drop,
    /// Its limits.
    pub limits: Limits,
    /// By volts rms per plate, rising.
    #[serde(default)]
    pub least_ohms: Vec<LeastOhms>,
    /// The key of the source.
    pub source: String,
    /// How all this is known.
    pub provenance: String,
    /// Published operation.
    #[serde(default)]
    pub operation: Vec<Operation>,
}

impl Rectifier {
    /// Its law, by the published drop alone.
    pub fn law(&self) -> Law {
        Law::of_drop(self.drop.volts, self.drop.amps)
    }

    /// The least resistance in series with each plate at these volts rms per plate, Ω: straight
    /// between two rows, and at both ends that of the last.
    ///
    /// ```
    /// let rectifier = tapwright_supply::find("gz 34").unwrap();
    /// assert_eq!(rectifier.least_ohms_at(325.0), Some(87.5));
    /// assert_eq!(rectifier.least_ohms_at(200.0), Some(75.0));
    /// ```
    pub fn least_ohms_at(&self, volts: f64) -> Option<f64> {
        let (first, last) = (self.least_ohms.first()?, self.least_ohms.last()?);
        let between = self.least_ohms.windows(2).find_map(|pair| {
            let part = (volts - pair[0].volts) / (pair[1].volts - pair[0].volts);
            let ohms = pair[0].ohms + part * (pair[1].ohms - pair[0].ohms);
            (0.0..=1.0).contains(&part).then_some(ohms)
        });
        Some(between.unwrap_or(if volts < first.volts {
            first.ohms
        } else {
            last.ohms
        }))
    }
}

/// Every rectifier of the table, in its order.
///
/// ```
/// assert!(tapwright_supply::rectifiers().iter().any(|one| one.designation == "EZ80"));
/// ```
pub fn rectifiers() -> &'static [Rectifier] {
    &RECTIFIERS
}

/// The rectifier with this designation or equivalent, upper or lower case, with or without
/// spaces and hyphens.
///
/// ```
/// let designation = |name| Some(tapwright_supply::find(name)?.designation.as_str());
/// assert_eq!(designation("5ar4"), Some("GZ34"));
/// assert_eq!(designation("6Z9"), None);
/// ```
pub fn find(designation: &str) -> Option<&'static Rectifier> {
    let wanted = designation.replace([' ', '-'], "");
    rectifiers().iter().find(|one| {
        let mut names = std::iter::once(&one.designation).chain(&one.equivalents);
        names.any(|name| name.eq_ignore_ascii_case(&wanted))
    })
}
