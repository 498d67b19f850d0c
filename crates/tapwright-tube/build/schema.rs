//! The rows of `data/tubes.toml` and `data/fitted.toml`, as a person writes them.

use serde::Deserialize;
use std::collections::BTreeMap;

/// Parameters of the triode model, by the names of its fields.
pub const TRIODE_PARAMETERS: &[&str] = &["mu", "exponent", "perveance", "kp", "kvb", "contact"];

/// Parameters of the pentode model, by the names of its fields.
pub const PENTODE_PARAMETERS: &[&str] = &[
    "mu",
    "exponent",
    "perveance",
    "kp",
    "share",
    "share_slope",
    "share_drive",
    "early",
    "line",
    "knee",
    "returned",
    "contact",
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TubeFile {
    pub sources: BTreeMap<String, String>,
    pub tube: Vec<Tube>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tube {
    #[serde(rename = "type")]
    pub designation: String,
    pub equivalents: Vec<String>,
    pub kind: String,
    pub heater: Heater,
    pub mu_screen: Option<f64>,
    pub source: String,
    pub provenance: String,
    #[serde(default)]
    pub limits: Vec<Limits>,
    #[serde(default)]
    pub point: Vec<Point>,
    #[serde(default)]
    pub example: Vec<Example>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Heater {
    pub volts: f64,
    pub amps: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    pub system: String,
    pub plate_watts: f64,
    pub screen_watts: Option<f64>,
    pub plate_volts: f64,
    pub screen_volts: Option<f64>,
    pub cathode_ma: Option<f64>,
    pub source: String,
    pub provenance: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Point {
    pub connection: String,
    pub plate_volts: f64,
    pub screen_volts: Option<f64>,
    pub grid_volts: f64,
    pub plate_ma: Option<f64>,
    pub screen_ma: Option<f64>,
    pub cathode_ma: Option<f64>,
    pub rp_kohm: Option<f64>,
    pub gm_ms: Option<f64>,
    pub mu: Option<f64>,
    pub source: String,
    pub provenance: String,
    pub note: Option<String>,
    pub fitted: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Example {
    pub topology: String,
    pub connection: String,
    pub referred_to: Option<String>,
    pub plate_volts: f64,
    pub screen_volts: Option<f64>,
    pub screen_ohms: Option<f64>,
    pub grid_volts: Option<f64>,
    pub cathode_ohms: Option<f64>,
    pub plate_ma: Vec<f64>,
    pub screen_ma: Option<Vec<f64>>,
    pub rp_kohm: Option<f64>,
    pub gm_ms: Option<f64>,
    pub full_signal: Option<FullSignal>,
    pub load_ohms: f64,
    pub thd_percent: Option<f64>,
    pub watts: Option<f64>,
    pub source: String,
    pub provenance: String,
    pub note: Option<String>,
    pub fitted: bool,
}

#[derive(Deserialize)]
#[serde(untagged)]
pub enum FullSignal {
    Drive(f64),
    Word(String),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FittedFile {
    #[serde(default)]
    pub model: Vec<FittedModel>,
}

#[derive(Deserialize)]
pub struct FittedModel {
    #[serde(rename = "type")]
    pub designation: String,
    #[serde(flatten)]
    pub parameters: BTreeMap<String, f64>,
}
