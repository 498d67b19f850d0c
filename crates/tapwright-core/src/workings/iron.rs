//! The workings of what the iron loses and where it ends.

use super::input;
use crate::connection::Connection;
use crate::iron::Passage;
use crate::working::{Solution, Working};
use tapwright_iron::iron::{Iron, OnLead, Origin};
use tapwright_iron::transformer::{Secondary, TapPair, Transformer};
use tapwright_iron::winding_resistance::{WindingResistance, WireOrigin};
use tapwright_units::Unit;

mod forms;

use forms::{
    BETWEEN_TAPS, CAPACITANCE, CIRCUIT, CORE_LOSS, EDGE, EFFICIENCY, Form, INDUCTANCE, LEAKAGE,
    LOAD, LOAD_WITH_CORE, LOSS, LOWEST, OPEN, OPEN_WITH_CORE, PRIMARY_WIRE, REACHES,
    SECONDARY_WIRE, SEEN, SHORTED,
};

/// Every number of a connection that follows from what is known of the iron, as far as a
/// formula gives it.
pub(super) fn every(
    known: &Iron,
    transformer: &Transformer,
    connection: &Connection,
    passage: &Passage,
) -> Vec<Working> {
    let mut workings = Vec::new();
    let here = transformer.leads.get(connection.choice.lead);
    let here = here.map_or(0.0, |lead| lead.rated.0);
    for (measured, forms, carried) in [
        (
            known.inductance,
            [&EDGE, &OPEN, &OPEN_WITH_CORE],
            &INDUCTANCE,
        ),
        (known.leakage, [&EDGE, &SHORTED, &SHORTED], &LEAKAGE),
        (known.core_ohms, [&EDGE; 3], &CORE_LOSS),
        (known.capacitance, [&EDGE; 3], &CAPACITANCE),
    ] {
        let Some(measured) = measured else { continue };
        read(measured, forms, &mut workings);
        if let Some(there) = transformer.leads.get(measured.lead)
            && connection.choice.lead != measured.lead
        {
            let values = [measured.value, here, there.rated.0];
            let result = match carried.unit {
                Unit::Farad => measured.value * there.rated.0 / here,
                _ => measured.value * here / there.rated.0,
            };
            workings.push(carried.filled(&values, result));
        }
    }
    if let Some(winding) = &known.primary {
        let lead = connection.choice.lead;
        by_turns(winding, lead, here, &PRIMARY_WIRE, &mut workings);
    }
    match (&known.secondary, connection.choice.secondary) {
        (Some(winding), Secondary::Pair(pair)) => between_taps(winding, pair, &mut workings),
        (Some(winding), Secondary::Tap(at)) => {
            let rated = transformer.taps.get(at).map_or(0.0, |tap| tap.rated.0);
            by_turns(winding, at, rated, &SECONDARY_WIRE, &mut workings);
        }
        _ => {}
    }
    if known.primary.is_some() || known.secondary.is_some() || known.core_ohms.is_some() {
        mid_band(connection, passage, &mut workings);
    }
    if let (Some(rated), Some(power), Some(lowest)) =
        (known.flux_limit(), passage.full_power, passage.lowest_hertz)
    {
        let reflected = connection.load.reflected.0;
        let values = [rated.hertz, power.0, rated.watts, reflected, here];
        workings.push(LOWEST.filled(&values, lowest));
    }
    workings
}

/// An inductance out of what a meter read, or out of a stated point.
fn read(measured: OnLead, [edge, meter, lossy]: [&Form; 3], workings: &mut Vec<Working>) {
    let (form, values) = match measured.origin {
        Origin::Typed => return,
        Origin::Edge { hertz, rated } => (edge, [rated, hertz, 0.0, 0.0, 0.0]),
        Origin::Meter {
            volts,
            amps,
            hertz,
            copper,
            core,
        } => (
            if core.is_some() { lossy } else { meter },
            [volts, amps, hertz, copper, core.unwrap_or_default()],
        ),
    };
    workings.push(form.filled(&values, measured.value));
}

/// The wire to a place that was not measured itself.
fn by_turns(
    winding: &WindingResistance,
    at: usize,
    rated: f64,
    form: &Form,
    workings: &mut Vec<Working>,
) {
    if let (Some(wire), Some([a, b])) = (winding.at(at), winding.neighbours(rated.sqrt()))
        && wire.origin == WireOrigin::ByTurns
    {
        let values = [rated, a.1, a.0 * a.0, b.1, b.0 * b.0];
        workings.push(form.filled(&values, wire.ohms));
    }
}

/// The wire of a tap pair as the difference of two.
fn between_taps(winding: &WindingResistance, pair: TapPair, workings: &mut Vec<Working>) {
    let (a, b) = pair.taps();
    if let (Some(wire), Some(a), Some(b)) = (winding.between(pair), winding.at(a), winding.at(b))
        && wire.origin != WireOrigin::Measured
    {
        let values = [a.ohms.max(b.ohms), a.ohms.min(b.ohms)];
        workings.push(BETWEEN_TAPS.filled(&values, wire.ohms));
    }
}

/// What the tubes see, what reaches the speakers, and what that costs.
fn mid_band(connection: &Connection, passage: &Passage, workings: &mut Vec<Working>) {
    let network = &passage.network;
    let load = connection.impedance.0;
    let behind = network.behind_copper(load);
    let share = network.share_behind_copper(load);
    let (turns, wire, copper) = (
        network.turns_ratio,
        network.secondary_ohms,
        network.primary_ohms,
    );
    workings.push(match network.core_ohms {
        None => LOAD.filled(&[turns, wire, load], behind),
        Some(core) => LOAD_WITH_CORE.filled(&[turns, wire, load, core], behind),
    });
    workings.push(SEEN.filled(&[copper, behind], passage.input.0));
    workings.push(REACHES.filled(&[turns, wire, load, behind], share));
    workings.push(EFFICIENCY.filled(&[behind, copper, share], passage.efficiency));
    workings.push(LOSS.filled(&[passage.efficiency], passage.insertion_loss.0));
}

/// The −3 dB points, which only the whole network gives.
pub(crate) fn band(connection: &Connection, passage: &Passage) -> Option<Solution> {
    let (network, band) = (&passage.network, passage.band?);
    let (source, load) = (passage.source.0, connection.impedance.0);
    let half = network.transfer_at_mid_band(source, load) / 2_f64.sqrt();
    let off = |hertz: f64| {
        (20.0 * (network.transfer(hertz, source, load.into()).norm() / half).log10()).abs()
    };
    let known = |value: f64| (value > 0.0).then_some(value);
    let mut solution = Vec::new();
    for (symbol, value, unit, meaning) in [
        ("R_a", Some(source), Unit::Ohm, "source resistance"),
        ("Z", Some(load), Unit::Ohm, "speaker hookup, rated"),
        ("L_p", network.inductance, Unit::Henry, "primary inductance"),
        (
            "L_s",
            known(network.leakage),
            Unit::Henry,
            "leakage inductance",
        ),
        (
            "C",
            known(network.capacitance),
            Unit::Farad,
            "capacitance across the primary",
        ),
        ("f_l", band.low, Unit::Hertz, "lower −3 dB point"),
        ("f_h", band.high, Unit::Hertz, "upper −3 dB point"),
    ] {
        if let Some(value) = value {
            solution.push(input(symbol, value, unit, meaning));
        }
    }
    let edges = [band.low, band.high];
    let found = edges != [None, None];
    let residual = edges.into_iter().flatten().map(off).fold(0.0, f64::max);
    found.then_some(Solution {
        quantity: "The −3 dB points",
        equations: vec![
            "|U(f)| = U_mid / √2, U: volts at the speakers for one volt behind R_a",
            "Z_b = 1 / (1/(n² × (R_s + Z)) + 1/R_c + 1/jωL_p), behind R_p + jωL_s, C across it all",
        ],
        solution,
        residual,
        residual_unit: Unit::Decibel,
        source: CIRCUIT,
    })
}
