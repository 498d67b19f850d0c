//! The load that a tube wants according to its published operating examples.

use serde::Serialize;

use crate::setup::{Screens, Topology};
use tapwright_tube::{Kind, OperatingExample, Provenance, Tube, TubeConnection, tubes};
use tapwright_units::entry::{Complaint, excerpt};
use tapwright_units::{Amps, Ohms, Volts, Watts};

/// A published operating example, as far as matching needs it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PublishedLoad {
    /// Tube type.
    pub tube: &'static str,
    /// Plate voltage of the example.
    pub plate: Volts,
    /// Whether it is counted from a cathode that stands above ground.
    pub from_cathode: bool,
    /// The load: plate to B+, or plate to plate for a push-pull pair.
    pub load: Ohms,
    /// Power that the source gives for it.
    pub power: Option<Watts>,
    /// Total harmonic distortion that the source gives, in percent.
    pub thd_percent: Option<f64>,
    /// Plate current at idle, of all tubes together.
    pub idle: Amps,
    /// How many tubes the example is for.
    pub example_tubes: u32,
    /// Load, power and current are those of this many examples side by side.
    pub beside: f64,
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
    let mut loads: Vec<PublishedLoad> = tapwright_tube::find(tube)
        .map(|tube| {
            examples(tube, topology)
                .map(|example| load(tube, example))
                .collect()
        })
        .unwrap_or_default();
    loads.sort_by(|a, b| a.plate.0.total_cmp(&b.plate.0));
    loads
}

/// Tube types that drive loudspeakers, in the order of the data.
///
/// ```
/// use tapwright_core::published;
/// assert!(published::types().any(|tube| tube == "6AQ5"));
/// ```
pub fn types() -> impl Iterator<Item = &'static str> {
    tubes()
        .iter()
        .filter(|tube| is_power_tube(tube))
        .map(|tube| tube.designation.as_str())
}

/// The published load whose plate voltage is nearest to `supply`, with the screens so
/// connected, and nothing for screen taps; without a supply voltage, the first in the data, which is the usual one. For
/// another number of `tubes` than the example's, load and power are those of as many
/// examples side by side.
///
/// ```
/// use tapwright_core::{published, setup::{Screens, Topology}};
/// use tapwright_units::Volts;
/// let at = |volts, tubes| published::nearest(
///     "6V6GT", Topology::SingleEnded, Screens::Steady, Some(Volts(volts)), tubes,
/// ).unwrap();
/// assert_eq!(at(170.0, None).plate, Volts(180.0));
/// assert_eq!(at(170.0, Some(2)).load.0 * 2.0, at(170.0, Some(1)).load.0);
/// ```
pub fn nearest(
    tube: &str,
    topology: Topology,
    screens: Screens,
    supply: Option<Volts>,
    tubes: Option<u32>,
) -> Option<PublishedLoad> {
    let tube = tapwright_tube::find(tube)?;
    if screens == Screens::Taps && tube.kind != Kind::Triode {
        // Nothing here is published with screen taps.
        return None;
    }
    let example = example(tube, topology, screens, supply.map(|volts| volts.0))?;
    let mut load = load(tube, example);
    let beside = tubes.map_or(1.0, |tubes| {
        f64::from(tubes) / f64::from(load.example_tubes)
    });
    load.beside = beside;
    load.load.0 /= beside;
    load.idle.0 *= beside;
    load.power = load.power.map(|power| Watts(power.0 * beside));
    Some(load)
}

/// Whether a tube drives loudspeakers: one with a published load.
pub(crate) fn is_power_tube(tube: &Tube) -> bool {
    !tube.examples.is_empty()
}

/// Whether a tube type is in the data, and one that drives loudspeakers.
///
/// # Errors
/// A [`Complaint`] that says which of the two is missing.
///
/// ```
/// use tapwright_core::published;
/// assert!(published::known("6AQ5").is_ok());
/// assert!(published::known("6ZZ9").is_err());
/// assert!(published::known("12AX7").is_err());
/// ```
pub fn known(tube: &str) -> Result<(), Complaint> {
    let why = match tapwright_tube::find(tube) {
        None => format!(
            "“{}” is not among the tube types here",
            excerpt(tube.trim())
        ),
        Some(found) if !is_power_tube(found) => {
            format!("{} is no power tube here", found.designation)
        }
        Some(_) => return Ok(()),
    };
    Err(Complaint::new(
        why,
        "6V6GT, or choose your own tube and type its numbers",
    ))
}

/// The examples in this kind of stage, tubes with a screen connected as such.
fn examples(
    tube: &'static Tube,
    topology: Topology,
) -> impl Iterator<Item = &'static OperatingExample> {
    tube.examples.iter().filter(move |example| {
        example.topology == topology
            && (tube.kind == Kind::Triode || example.connection == TubeConnection::Pentode)
    })
}

fn load(tube: &'static Tube, example: &'static OperatingExample) -> PublishedLoad {
    PublishedLoad {
        tube: &tube.designation,
        plate: Volts(example.plate_volts),
        from_cathode: example.counts_from_cathode(),
        load: Ohms(example.load_ohms),
        power: example.watts.map(Watts),
        thd_percent: example.thd_percent,
        idle: Amps(example.plate_ma.idle / 1e3),
        example_tubes: customary_tubes(example.topology),
        beside: 1.0,
        screen: tube.kind != Kind::Triode,
        source: &example.source,
        from_memory: example.provenance == Provenance::FromMemory,
    }
}

/// The example that comes nearest to what was typed: of the same kind of stage and the same
/// connection of the screen, the one with the nearest plate voltage.
pub(crate) fn example(
    tube: &Tube,
    topology: Topology,
    screens: Screens,
    supply: Option<f64>,
) -> Option<&OperatingExample> {
    let wanted = match screens {
        Screens::Plates => TubeConnection::Triode,
        _ => TubeConnection::Pentode,
    };
    let mut examples = tube.examples.iter().filter(move |example| {
        example.topology == topology && (tube.kind == Kind::Triode || example.connection == wanted)
    });
    match supply {
        None => examples.next(),
        Some(volts) => {
            let off = |example: &OperatingExample| (example.supply_volts() - volts).abs();
            examples.min_by(|a, b| off(a).total_cmp(&off(b)))
        }
    }
}

/// How many tubes a stage has where nothing says so, and how many an example is for.
pub(crate) fn customary_tubes(topology: Topology) -> u32 {
    match topology {
        Topology::PushPull => 2,
        Topology::SingleEnded => 1,
    }
}
