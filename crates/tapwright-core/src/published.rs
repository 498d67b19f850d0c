//! The load that a tube wants according to its published operating examples.

use serde::Serialize;

use crate::entry::{Complaint, excerpt};
use crate::setup::Topology;
use crate::tube::{self, Connection, Example, Kind, Provenance, TUBES, Tube};
use crate::units::{Amps, Ohms, Volts, Watts};

/// A published operating example, as far as matching needs it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PublishedLoad {
    /// Tube type.
    pub tube: &'static str,
    /// Plate voltage of the example.
    pub plate: Volts,
    /// The load: plate to B+, or plate to plate for a push-pull pair.
    pub load: Ohms,
    /// Power that the source gives for it.
    pub power: Option<Watts>,
    /// Total harmonic distortion that the source gives, in percent.
    pub thd_percent: Option<f64>,
    /// Plate current at idle, of all tubes together.
    pub idle: Amps,
    /// Whether the tube has a screen.
    pub screen: bool,
    /// Where it is published.
    pub source: &'static str,
    /// Whether it was recalled rather than read in the source.
    pub from_memory: bool,
}

/// The published loads of one tube type in one kind of stage, lowest plate voltage first.
///
/// ```
/// use tapwright_core::{published, setup::Topology};
/// assert!(!published::loads("6V6GT", Topology::SingleEnded).is_empty());
/// assert!(published::loads("12AX7", Topology::PushPull).is_empty());
/// ```
pub fn loads(tube: &str, topology: Topology) -> Vec<PublishedLoad> {
    let mut loads: Vec<PublishedLoad> = tube::find(tube)
        .map(|tube| {
            examples(tube, topology)
                .map(|example| load(tube, example))
                .collect()
        })
        .unwrap_or_default();
    loads.sort_by(|a, b| a.plate.0.total_cmp(&b.plate.0));
    loads
}

/// Tube types with at least one published load in this kind of stage, in the order of the data.
///
/// ```
/// use tapwright_core::{published, setup::Topology};
/// assert!(published::types(Topology::PushPull).any(|tube| tube == "6AQ5"));
/// ```
pub fn types(topology: Topology) -> impl Iterator<Item = &'static str> {
    TUBES
        .iter()
        .filter(move |tube| examples(tube, topology).next().is_some())
        .map(|tube| tube.designation)
}

/// The published load whose plate voltage is nearest to `supply`; without a supply
/// voltage, the first in the data, which is the usual one.
///
/// ```
/// use tapwright_core::{published, setup::Topology, units::Volts};
/// let load = published::nearest("6V6GT", Topology::SingleEnded, Some(Volts(170.0))).unwrap();
/// assert_eq!(load.plate, Volts(180.0));
/// ```
pub fn nearest(tube: &str, topology: Topology, supply: Option<Volts>) -> Option<PublishedLoad> {
    let tube = tube::find(tube)?;
    let mut loads = examples(tube, topology).map(|example| load(tube, example));
    match supply {
        None => loads.next(),
        Some(supply) => {
            let off = |load: &PublishedLoad| (load.plate.0 - supply.0).abs();
            loads.min_by(|a, b| off(a).total_cmp(&off(b)))
        }
    }
}

/// Whether a tube type is in the data with a load for this kind of stage.
///
/// # Errors
/// A [`Complaint`] that says which of the two is missing.
///
/// ```
/// use tapwright_core::{published, setup::Topology};
/// assert!(published::known("6AQ5", Topology::PushPull).is_ok());
/// assert!(published::known("6ZZ9", Topology::PushPull).is_err());
/// ```
pub fn known(tube: &str, topology: Topology) -> Result<(), Complaint> {
    let why = match tube::find(tube) {
        None => format!(
            "“{}” is not among the tube types here",
            excerpt(tube.trim())
        ),
        Some(found) if loads(found.designation, topology).is_empty() => format!(
            "no load for {} {} is in the data",
            found.designation,
            match topology {
                Topology::PushPull => "in push-pull",
                Topology::SingleEnded => "single-ended",
            }
        ),
        Some(_) => return Ok(()),
    };
    Err(Complaint::new(
        why,
        "6V6GT, or type the target load instead",
    ))
}

/// The examples in this kind of stage, tubes with a screen connected as such.
fn examples(tube: &'static Tube, topology: Topology) -> impl Iterator<Item = &'static Example> {
    tube.examples.iter().filter(move |example| {
        example.topology == topology
            && (tube.kind == Kind::Triode || example.connection == Connection::Pentode)
    })
}

fn load(tube: &'static Tube, example: &'static Example) -> PublishedLoad {
    PublishedLoad {
        tube: tube.designation,
        plate: Volts(example.plate_volts),
        load: Ohms(example.load_ohms),
        power: example.watts.map(Watts),
        thd_percent: example.thd_percent,
        idle: Amps(example.idle_plate_ma / 1e3),
        screen: tube.kind != Kind::Triode,
        source: example.source,
        from_memory: example.provenance == Provenance::FromMemory,
    }
}
