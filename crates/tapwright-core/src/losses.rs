//! What the iron does in each connection, and over frequency in the chosen one.

use num_complex::Complex64;
use serde::Serialize;

use crate::connection::Connection;
use crate::output::StageReport;
use crate::report::Report;
use tapwright_iron::band::Band;
use tapwright_iron::iron::{Imperfection, Iron};
use tapwright_iron::network::Network;
use tapwright_iron::transformer::Transformer;
use tapwright_tube::Topology;
use tapwright_units::{Decibels, Ohms, Watts};

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

/// What the iron loses and where it ends.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct LossReport {
    /// What is known. Scripts have it in each passage's network.
    #[serde(skip)]
    pub known: Iron,
    /// What counts as ideal, as nothing is known of it.
    pub not_counted: Vec<Imperfection>,
    /// Where the source resistance is from.
    pub source: SourceFrom,
    /// One for each connection, in their order; empty while nothing is known.
    pub passages: Vec<Passage>,
    /// The chosen connection over frequency; empty while nothing that changes with it is known.
    pub response: Vec<ResponsePoint>,
}

/// Points to the decade of the response, from ten hertz over four decades.
const PER_DECADE: u32 = 16;

/// The networks of every connection, in their order.
pub(crate) fn networks(
    losses: &Iron,
    transformer: Option<&Transformer>,
    connections: &[Connection],
) -> Vec<Network> {
    let network = |connection: &Connection| {
        transformer
            .and_then(|all| {
                losses.network(all, connection.choice.lead, connection.choice.secondary)
            })
            .unwrap_or(Network::ideal(connection.turns_ratio))
    };
    connections.iter().map(network).collect()
}

/// The tubes' resistance over the whole primary: of a pair both sides in series.
fn source_of(stage: &StageReport) -> f64 {
    let side = stage.idle.plate_resistance / f64::from(stage.stage.tubes_per_side);
    match stage.stage.topology {
        Topology::SingleEnded => side,
        Topology::PushPull => 2.0 * side,
    }
}

impl LossReport {
    /// What there is to say of the connections of a report and their networks; `chosen` by its
    /// place.
    pub(crate) fn of(
        losses: Iron,
        report: &Report,
        networks: Vec<Network>,
        chosen: Option<usize>,
    ) -> Self {
        let connections = report.connections.as_slice();
        let stage = report.stage.as_ref().and_then(|stage| stage.as_ref().ok());
        let (source, ohms) = match (losses.source_ohms, stage) {
            (Some(ohms), _) => (SourceFrom::Typed, Some(ohms)),
            (None, Some(stage)) => (SourceFrom::Tubes, Some(source_of(stage))),
            (None, None) => (SourceFrom::Rated, None),
        };
        let rated = |connection: &Connection| {
            let leads = &report.transformer.as_ref()?.leads;
            let lead = leads.get(connection.choice.lead)?;
            Some(lead.rated.0)
        };
        let passage = |(connection, network): (&Connection, Network)| {
            let load = connection.impedance.0;
            let rated_load = rated(connection).unwrap_or(connection.load.reflected.0);
            let source = ohms.unwrap_or(rated_load);
            let core = losses.flux_limit();
            let watts = connection.output.map(|output| output.watts.0);
            let full_power = core.map(|core| watts.unwrap_or(core.watts));
            Passage {
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
        };
        let passages: Vec<Passage> = if losses.is_empty() {
            Vec::new()
        } else {
            connections.iter().zip(networks).map(passage).collect()
        };
        let followed = chosen.and_then(|at| Some((connections.get(at)?, passages.get(at)?)));
        let response = followed.map(|(connection, passage)| {
            let rated_load = rated(connection).unwrap_or(connection.load.reflected.0);
            response(&losses, connection, passage, rated_load)
        });
        Self {
            not_counted: losses.not_counted(),
            response: response.unwrap_or_default(),
            known: losses,
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
