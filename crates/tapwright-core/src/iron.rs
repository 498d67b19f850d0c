//! What the iron does in each connection, and over frequency in the chosen one.

use num_complex::Complex64;
use serde::Serialize;

use crate::connection::Connection;
use crate::output::{Output, SolvedStage};
use tapwright_iron::band::Band;
use tapwright_iron::iron::{Core, Imperfection, Iron};
use tapwright_iron::network::Network;
use tapwright_iron::transformer::Transformer;
use tapwright_tube::Topology;
use tapwright_units::{Amps, Decibels, Ohms, Watts};

/// Where the source resistance is from that the response is computed with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SourceFrom {
    /// The person typed it.
    Typed,
    /// The tubes' plate resistance at idle; of a push-pull pair both in series.
    Tubes,
    /// Nothing is known of the tubes: a source matched to the lead's rated load.
    #[default]
    Rated,
}

/// What the transformer does between the stage and the speakers of one connection.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Passage {
    /// The network that it is.
    pub network: Network,
    /// What the tubes see at mid band, copper and core counted.
    pub input: Ohms,
    /// Power in the speakers over power into the primary at mid band, 0 to 1.
    pub efficiency: f64,
    /// What that costs.
    pub insertion_loss: Decibels,
    /// Resistance of the source that the band is computed with.
    pub source: Ohms,
    /// The −3 dB points; `None` when the response has no flat middle at all.
    pub band: Option<Band>,
    /// The power that [`Self::lowest_hertz`] is for: what the stage delivers, or the rated one.
    pub full_power: Option<Watts>,
    /// The lowest frequency at which the core passes that power, Hz.
    pub lowest_hertz: Option<f64>,
}

/// The chosen connection at one frequency.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ResponsePoint {
    /// Frequency, Hz.
    pub hertz: f64,
    /// Volts at the speakers against mid band, with a resistance for a speaker.
    pub decibels: f64,
    /// Their phase against the source.
    pub degrees: f64,
    /// What the tubes see: the modulus, Ω.
    pub input: f64,
    /// Its phase.
    pub input_degrees: f64,
    /// The most power before the core has more flux than it is rated for, W.
    pub largest_power: Option<f64>,
}

/// Direct current in a core that has no gap: the idle current of a single-ended stage, or what
/// a pair does not cancel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DirectCurrent {
    /// How much, where it is known.
    pub amps: Option<Amps>,
}

/// What the iron loses and where it ends.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct SolvedIron {
    /// What is known. Scripts have it in each passage's network.
    #[serde(skip)]
    pub known: Iron,
    /// What counts as ideal, as nothing is known of it.
    pub not_counted: Vec<Imperfection>,
    /// Where the source resistance is from.
    pub source: SourceFrom,
    /// Direct current in a core without a gap, if there is any.
    pub direct_current: Option<DirectCurrent>,
    /// One for each connection, in their order; empty while nothing is known.
    pub passages: Vec<Passage>,
    /// The chosen connection over frequency; empty while nothing that changes with it is known.
    pub response: Vec<ResponsePoint>,
}

/// Points to the decade of the response, from ten hertz over four decades.
const PER_DECADE: u32 = 16;

/// A connection with the network that it is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Path {
    pub connection: Connection,
    pub network: Network,
}

impl Path {
    /// The load behind the primary's copper, Ω.
    pub fn load(&self) -> f64 {
        self.network.behind_copper(self.connection.impedance.0)
    }
}

/// The network that a connection is.
pub(crate) fn network(known: &Iron, transformer: &Transformer, connection: &Connection) -> Network {
    known
        .network(
            transformer,
            connection.choice.lead,
            connection.choice.secondary,
        )
        .unwrap_or(Network::ideal(connection.turns_ratio))
}

/// What stands around the iron.
#[derive(Clone, Copy)]
pub(crate) struct Surroundings<'a> {
    pub topology: Topology,
    pub transformer: Option<&'a Transformer>,
    /// Whether it is a line transformer of known voltage.
    pub is_line: bool,
    pub stage: Option<&'a SolvedStage>,
}

/// The tubes' resistance over the whole primary: of a pair both sides in series.
fn source_of(stage: &SolvedStage) -> f64 {
    let side = stage.idle.plate_resistance / f64::from(stage.stage.tubes_per_side);
    match stage.stage.topology {
        Topology::SingleEnded => side,
        Topology::PushPull => 2.0 * side,
    }
}

impl SolvedIron {
    /// The iron with what it does in each connection, and over frequency in the one that is
    /// followed, by its place. `outputs` are what the stage delivers into each.
    pub(crate) fn new(
        known: Iron,
        around: Surroundings,
        paths: &[Path],
        outputs: &[Option<Output>],
        followed: Option<usize>,
    ) -> Self {
        let (source, ohms) = match (known.source_ohms, around.stage) {
            (Some(ohms), _) => (SourceFrom::Typed, Some(ohms)),
            (None, Some(stage)) => (SourceFrom::Tubes, Some(source_of(stage))),
            (None, None) => (SourceFrom::Rated, None),
        };
        let rated_load = |connection: &Connection| {
            let leads = around.transformer.map(|transformer| &transformer.leads);
            let lead = leads.and_then(|leads| leads.get(connection.choice.lead));
            lead.map_or(connection.load.reflected.0, |lead| lead.rated.0)
        };
        let passage = |(path, output): (&Path, &Option<Output>)| {
            let rated = rated_load(&path.connection);
            let watts = output.map(|output| output.watts.0);
            Passage::new(&known, path, watts, ohms.unwrap_or(rated), rated)
        };
        let passages: Vec<Passage> = match known.is_empty() {
            true => Vec::new(),
            false => paths.iter().zip(outputs).map(passage).collect(),
        };
        let followed = followed.and_then(|at| Some((paths.get(at)?, passages.get(at)?)));
        let response = followed.map(|(path, passage)| {
            let rated = rated_load(&path.connection);
            response(&known, &path.connection, passage, rated)
        });
        Self {
            not_counted: known.not_counted(),
            response: response.unwrap_or_default(),
            direct_current: direct_current(&known, around),
            known,
            source,
            passages,
        }
    }

    /// Whether anything is known that changes with frequency.
    pub fn has_response(&self) -> bool {
        self.known.inductance.is_some()
            || self.known.leakage.is_some()
            || self.known.capacitance.is_some()
    }
}

impl Passage {
    /// What the network of a path does, between a source and the speakers. `watts` are those
    /// that the stage delivers, `rated_load` the rated impedance of the lead, Ω.
    fn new(known: &Iron, path: &Path, watts: Option<f64>, source: f64, rated_load: f64) -> Self {
        let Path {
            connection,
            network,
        } = *path;
        let load = connection.impedance.0;
        let core = known.flux_limit();
        let full_power = core.map(|core| watts.unwrap_or(core.watts));
        Self {
            input: Ohms(network.input_at_mid_band(load)),
            efficiency: network.efficiency(load),
            insertion_loss: Decibels(network.insertion_loss(load)),
            source: Ohms(source),
            band: network.band(source, load),
            full_power: full_power.map(Watts),
            lowest_hertz: core.zip(full_power).map(|(core, watts)| {
                core.lowest_hertz(watts, connection.load.reflected.0, rated_load)
            }),
            network,
        }
    }
}

/// Share of the current of all tubes by which the sides of a pair may differ without a word.
/// Common practice, no source.
pub(crate) const ALIKE_WITHIN: f64 = 0.05;

/// Direct current in a core that has no gap, or that is of a line transformer and nobody said
/// that it has one.
fn direct_current(known: &Iron, around: Surroundings) -> Option<DirectCurrent> {
    let has_gap = match known.core {
        Core::Unknown => !around.is_line,
        Core::Gapped => true,
        Core::Ungapped => false,
    };
    if has_gap {
        return None;
    }
    let computed = (around.stage).map(|stage| stage.idle.magnetising_amps.abs());
    let amps = known.direct_amps.or(computed);
    let is_steady = match around.topology {
        // Nothing cancels the idle current of a single-ended stage.
        Topology::SingleEnded => amps != Some(0.0),
        Topology::PushPull => {
            let plates = around.stage.map_or(0.0, |stage| stage.idle.all_plate_amps);
            // Half of the difference of the sides goes through the whole winding.
            let least = match known.direct_amps {
                Some(_) => 0.0,
                None => 0.5 * ALIKE_WITHIN * plates,
            };
            amps.is_some_and(|amps| amps > least)
        }
    };
    is_steady.then(|| DirectCurrent {
        amps: amps.map(Amps),
    })
}

fn response(
    losses: &Iron,
    connection: &Connection,
    passage: &Passage,
    rated_load: f64,
) -> Vec<ResponsePoint> {
    let (network, source) = (&passage.network, passage.source.0);
    let (load, reflected) = (connection.impedance.0, connection.load.reflected.0);
    let flat = network.transfer_at_mid_band(source, load);
    let point = |n: u32| {
        let hertz = 10.0 * 10_f64.powf(f64::from(n) / f64::from(PER_DECADE));
        let gain = network.transfer(hertz, source, Complex64::from(load));
        let input = network.input(hertz, Complex64::from(load));
        ResponsePoint {
            hertz,
            decibels: 20.0 * (gain.norm() / flat).log10(),
            degrees: gain.arg().to_degrees(),
            input: input.norm(),
            input_degrees: input.arg().to_degrees(),
            largest_power: losses
                .flux_limit()
                .map(|rated| rated.largest_power(hertz, reflected, rated_load)),
        }
    };
    let nothing = losses.flux_limit().is_none()
        && network.inductance.is_none()
        && network.leakage == 0.0
        && network.capacitance == 0.0;
    if nothing {
        return Vec::new();
    }
    (0..=4 * PER_DECADE).map(point).collect()
}
