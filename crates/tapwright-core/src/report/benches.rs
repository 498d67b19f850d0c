//! The stage on every winding resistance that the primary leads have.

use super::Target;
use crate::connection::Connection;
use crate::output::{self, Bench, Memory, Prepared};
use crate::published;
use crate::setup::Setup;
use crate::tube_in_use::TubeInUse;
use crate::values::Values;
use tapwright_iron::network::Network;
use tapwright_stage::StageError;
use tapwright_units::Ohms;

/// The winding resistances that the primary leads have, each once: the stage is solved on
/// every one of them. One of nothing where none is known.
fn windings(reading: &Values) -> Vec<f64> {
    let leads = reading.leads.as_ref().map_or(1, Vec::len);
    let mut windings = Vec::new();
    for lead in 0..leads {
        let ohms = reading.losses.primary_ohms(lead);
        if !windings.contains(&ohms) {
            windings.push(ohms);
        }
    }
    windings
}

/// The stage on each of the windings; `None` without a tube.
pub(super) fn prepare(
    setup: &Setup,
    reading: &Values,
) -> Option<Result<Vec<Prepared>, StageError>> {
    let tube = tube(setup, reading)?;
    let windings = windings(reading).into_iter();
    let prepare = |ohms| output::prepare(setup, reading, tube.clone(), ohms);
    Some(windings.map(prepare).collect())
}

/// The tube that the stage is computed with, if one is chosen.
fn tube(setup: &Setup, reading: &Values) -> Option<TubeInUse> {
    if let Some(own) = &reading.stage.own {
        return TubeInUse::own(own);
    }
    tapwright_tube::find(&setup.tube)
        .filter(|tube| published::is_power_tube(tube))
        .map(TubeInUse::of)
}

/// Solves the stage on each winding over the loads of all connections, or says why that is
/// not possible.
pub(super) fn solve<'m>(
    prepared: Vec<Prepared>,
    target: Target,
    connections: &[Connection],
    networks: &[Network],
    memory: &'m mut Memory,
) -> Result<Vec<Bench<'m>>, String> {
    let loads: Vec<f64> = (connections.iter().zip(networks))
        .map(|(connection, network)| network.behind_copper(connection.impedance.0))
        .collect();
    if let Target::AsRated = target {
        // Then not even the best load was found.
        return Err("into no load at all does this stage give any power".to_owned());
    }
    let target = target.on(Ohms(0.0));
    let benches = memory
        .solved(&prepared, target, &loads)
        .and_then(|solved| (prepared.into_iter().map(|p| p.bench(target, solved))).collect());
    benches.map_err(|error| error.to_string())
}

/// Whether a stage was solved on the winding that a network has.
pub(super) fn is_on_winding(bench: &Bench, network: Option<&Network>) -> bool {
    network.is_some_and(|network| network.primary_ohms == bench.report.stage.primary_ohms)
}

/// The connections on the winding that a stage was solved on, with their networks.
pub(super) fn on_winding<'c>(
    bench: &Bench,
    connections: &'c mut [Connection],
    networks: &'c [Network],
) -> impl Iterator<Item = (&'c mut Connection, &'c Network)> {
    (connections.iter_mut().zip(networks))
        .filter(|(_, network)| is_on_winding(bench, Some(network)))
}
