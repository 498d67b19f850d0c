//! What is published about each tube: limits, static points, operating examples.
//!
//! The table itself is `data/tubes.toml`, which a person can read and correct. The build
//! script checks it and turns it into [`TUBES`], so that the program carries no parser.

use serde::Serialize;

use super::{Bias, Topology};
use super::{Model, pentode::Pentode, triode::Triode};

/// How a published number is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Provenance {
    /// Read in a copy of the source.
    Read,
    /// Recalled, not looked up: to be corrected when the source is at hand.
    FromMemory,
}

/// What is inside the bulb.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// One grid.
    Triode,
    /// Control grid, screen, suppressor.
    Pentode,
    /// Control grid, screen, beam-forming plates.
    BeamTetrode,
}

impl Kind {
    /// The kind as one writes it in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Triode => "triode",
            Self::Pentode => "pentode",
            Self::BeamTetrode => "beam tetrode",
        }
    }
}

/// How a tube with a screen is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Connection {
    /// The screen held at a steady voltage.
    Pentode,
    /// The screen tied to the plate, or a tube that has none.
    Triode,
}

/// Which promise a maker's limits are (rating systems as in IEC 60134).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RatingSystem {
    /// Allowance for supply and part tolerance already made: design to this value.
    DesignCentre,
    /// Not to be exceeded by a worst-case circuit with an average tube.
    DesignMaximum,
    /// Never to be exceeded at all.
    Absolute,
}

impl RatingSystem {
    /// The system's name as one writes it beside a limit.
    pub fn name(self) -> &'static str {
        match self {
            Self::DesignCentre => "design-centre",
            Self::DesignMaximum => "design-maximum",
            Self::Absolute => "absolute maximum",
        }
    }
}

/// One published set of limits. What the source does not give is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limits {
    /// The promise these are.
    pub system: RatingSystem,
    /// Plate dissipation, W, each tube.
    pub plate_watts: f64,
    /// Screen dissipation, W, each tube.
    pub screen_watts: Option<f64>,
    /// Plate to cathode, steady, V.
    pub plate_volts: f64,
    /// Screen to cathode, steady, V.
    pub screen_volts: Option<f64>,
    /// Average cathode current, mA, each tube.
    pub cathode_ma: Option<f64>,
    /// Where it was published.
    pub source: &'static str,
    /// How it is known.
    pub provenance: Provenance,
}

/// One published static point of one tube. Volts are measured from the cathode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StaticPoint {
    /// Pentode connection, or triode (screen tied to plate).
    pub connection: Connection,
    /// Plate, V.
    pub plate_volts: f64,
    /// Screen, V; in triode connection the plate's.
    pub screen_volts: f64,
    /// Control grid, V, at or below zero.
    pub grid_volts: f64,
    /// Plate current, mA (pentode connection).
    pub plate_ma: Option<f64>,
    /// Screen current, mA (pentode connection).
    pub screen_ma: Option<f64>,
    /// Plate and screen together, mA (triode connection: a triode's plate current).
    pub cathode_ma: Option<f64>,
    /// Plate resistance, kΩ.
    pub rp_kohm: Option<f64>,
    /// Transconductance, mS.
    pub gm_ms: Option<f64>,
    /// Amplification factor (triode connection).
    pub mu: Option<f64>,
    /// Where it was published.
    pub source: &'static str,
    /// How it is known.
    pub provenance: Provenance,
    /// Whether it took part in the fit of the model.
    pub fitted: bool,
}

/// What a source calls full signal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FullSignal {
    /// The grid's positive peak just reaches the cathode's potential.
    GridCurrent,
    /// This drive on each grid, V rms.
    Drive(f64),
    /// Driven until the distortion is the one printed.
    Distortion,
}

/// What a published voltage is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReferredTo {
    /// The cathode, at idle.
    Cathode,
    /// Ground: a supply voltage, of which a cathode resistor takes its share.
    Ground,
}

/// One published operating example: a load, and what the stage does into it.
///
/// Currents are for one tube in a single-ended stage, for the two together in push-pull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Example {
    /// Single-ended or push-pull.
    pub topology: Topology,
    /// Pentode or triode connection.
    pub connection: Connection,
    /// What the volts below are measured from.
    pub referred_to: ReferredTo,
    /// Plate, V.
    pub plate_volts: f64,
    /// Screen (supply end of its resistor), V; in triode connection the plate's.
    pub screen_volts: f64,
    /// Screen resistor, Ω, common to the tubes and without a capacitor; 0 for none.
    pub screen_ohms: f64,
    /// Grid bias.
    pub bias: Bias,
    /// Plate current at idle, mA.
    pub idle_plate_ma: f64,
    /// Plate current at full signal, mA.
    pub full_plate_ma: Option<f64>,
    /// Screen current at idle, mA.
    pub idle_screen_ma: Option<f64>,
    /// Screen current at full signal, mA.
    pub full_screen_ma: Option<f64>,
    /// Plate resistance of one tube at idle, kΩ.
    pub rp_kohm: Option<f64>,
    /// Transconductance of one tube at idle, mS.
    pub gm_ms: Option<f64>,
    /// What the source calls full signal.
    pub full_signal: FullSignal,
    /// Load on the plate; plate to plate in push-pull, Ω.
    pub load_ohms: f64,
    /// Total harmonic distortion at full signal, %.
    pub thd_percent: Option<f64>,
    /// Power at full signal, W.
    pub watts: Option<f64>,
    /// Where it was published.
    pub source: &'static str,
    /// How it is known.
    pub provenance: Provenance,
    /// Whether it took part in the fit of the model.
    pub fitted: bool,
}

/// The heater or filament.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heater {
    /// V.
    pub volts: f64,
    /// A.
    pub amps: f64,
}

/// A tube type: what is published, and the model fitted to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// The type designation.
    pub designation: &'static str,
    /// Types with the same characteristics and no lower limits.
    pub equivalents: &'static [&'static str],
    /// Triode, pentode or beam tetrode.
    pub kind: Kind,
    /// Heater or filament.
    pub heater: Heater,
    /// Published amplification factor from grid 1 to screen, for tubes with a screen.
    pub mu_screen: Option<f64>,
    /// Where heater and `mu_screen` were published.
    pub source: &'static str,
    /// How they are known.
    pub provenance: Provenance,
    /// Limits, the first being the one to design by.
    pub limits: &'static [Limits],
    /// Static points.
    pub points: &'static [StaticPoint],
    /// Operating examples.
    pub examples: &'static [Example],
    /// Static model, fitted to those rows above that are marked so.
    pub model: Model,
}

include!(concat!(env!("OUT_DIR"), "/tubes.rs"));

/// The tube with this designation or equivalent, upper or lower case.
///
/// ```
/// # use tapwright_tube;
/// assert_eq!(tapwright_tube::find("6bq5").map(|t| t.designation), Some("EL84"));
/// assert!(tapwright_tube::find("6Z9").is_none());
/// ```
pub fn find(designation: &str) -> Option<&'static Tube> {
    // `EL 84` and `el-84` are how people write it.
    let wanted: String = designation
        .chars()
        .filter(|c| !matches!(c, ' ' | '-'))
        .collect();
    TUBES.iter().find(|tube| {
        std::iter::once(&tube.designation)
            .chain(tube.equivalents)
            .any(|name| name.eq_ignore_ascii_case(&wanted))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every tube has limits under a rating system (IEC 60134), and tubes with a screen have
    /// them for the screen; a promise that allows for tolerances is not above one that does not.
    #[test]
    fn limits_are_complete() {
        for tube in TUBES {
            let name = tube.designation;
            assert!(!tube.limits.is_empty(), "{name}");
            for limits in tube.limits {
                assert!(
                    limits.plate_watts > 0.0 && limits.plate_volts > 0.0,
                    "{name}"
                );
                let screen = (limits.screen_watts, limits.screen_volts);
                if tube.kind == Kind::Triode {
                    assert_eq!(screen, (None, None), "{name}");
                } else {
                    assert!(
                        matches!(screen, (Some(w), Some(v)) if w > 0.0 && v > 0.0),
                        "{name}"
                    );
                }
                assert!(limits.cathode_ma.is_none_or(|ma| ma > 0.0), "{name}");
            }
            let of = |system| tube.limits.iter().find(|l| l.system == system);
            if let (Some(centre), Some(maximum)) = (
                of(RatingSystem::DesignCentre),
                of(RatingSystem::DesignMaximum),
            ) {
                assert!(centre.plate_watts <= maximum.plate_watts, "{name}");
                assert!(centre.plate_volts <= maximum.plate_volts, "{name}");
            }
        }
    }

    /// No published example idles above the limits that go with the tube, but for 10 % that
    /// rounded currents and a sheet of another year may add. (Voltages are no such check: makers print examples above
    /// the limits of a later sheet.)
    #[test]
    fn examples_idle_within_the_limits() {
        for tube in TUBES {
            let most = tube
                .limits
                .iter()
                .map(|l| l.plate_watts)
                .fold(0.0, f64::max);
            for e in tube.examples {
                let tubes = if e.topology == Topology::PushPull {
                    2.0
                } else {
                    1.0
                };
                let cathode_ma = e.idle_plate_ma + e.idle_screen_ma.unwrap_or(0.0);
                let volts = match (e.bias, e.referred_to) {
                    (Bias::Cathode(ohms), ReferredTo::Ground) => {
                        e.plate_volts - 1e-3 * ohms * cathode_ma
                    }
                    _ => e.plate_volts,
                };
                let watts = 1e-3 * volts * e.idle_plate_ma / tubes;
                assert!(
                    watts <= 1.1 * most,
                    "{}: {watts} of {most} W",
                    tube.designation
                );
            }
        }
    }

    /// Each number names its source, and each source is named in full.
    #[test]
    fn every_number_has_a_source() {
        for tube in TUBES {
            let rows = [tube.source].into_iter();
            let rows = rows.chain(tube.limits.iter().map(|l| l.source));
            let rows = rows.chain(tube.points.iter().map(|p| p.source));
            let rows = rows.chain(tube.examples.iter().map(|e| e.source));
            for source in rows {
                assert!(source.len() > 10, "{}: {source:?}", tube.designation);
            }
        }
    }

    /// The types that such amplifiers use are there, under each customary name.
    #[test]
    fn the_tubes_asked_for_are_there() {
        for name in [
            "6V6GT", "6AQ5", "EL90", "6F6", "6K6GT", "6L6GC", "5881", "6550", "KT88", "EL84",
            "6BQ5", "EL34", "6CA7", "EL86", "ECL82", "ECL86", "50C5", "2A3", "45", "300B", "12AX7",
            "ECC83", "12AT7", "12AU7", "6SL7", "6SN7", "6AV6",
        ] {
            assert!(find(name).is_some(), "{name}");
        }
    }

    /// No name means two tubes.
    #[test]
    fn names_are_unique() {
        let mut names: Vec<&str> = TUBES
            .iter()
            .flat_map(|t| std::iter::once(t.designation).chain(t.equivalents.iter().copied()))
            .collect();
        let all = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all);
    }
}
