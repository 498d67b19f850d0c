//! What to beware of in the transformer.

use serde::Serialize;

use super::Severity;
use crate::judged::{Because, Judged};
use crate::output::ChosenOutput;
use crate::solved::Solved;
use crate::wiring::{Insulated, Terminal, Wiring};
use tapwright_iron::iron::Core;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::transformer::{Secondary, Transformer};
use tapwright_tube::Topology;
use tapwright_units::{Amps, Volts, Watts};

/// A guitar's lowest note, E2, Hz: equal temperament on 440 Hz (ISO 16).
const LOWEST_NOTE: f64 = 82.41;

/// What to beware of in the transformer.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// The readings of a transformer without marking leave something open, or contradict each
    /// other.
    ReadingsUnsure,
    /// Push-pull on a line transformer's power tap without a centre to feed B+ into, or on a
    /// measured primary on which none was found.
    NoCentreTap,
    /// Push-pull on a line transformer: B+ goes to the lead at this place.
    CentreTapIs(usize),
    /// The power into this load puts more volts (first) on the power tap than
    /// the line voltage (second) that its turns and its core are made for.
    OverLineVoltage(Volts, Volts),
    /// The core does not pass this power, the stage's or the rated one, below this frequency,
    /// Hz, which a guitar plays.
    Saturates(Watts, f64),
    /// Leads of a measured transformer that are not in use, with how many times the plate's
    /// swing they may carry.
    UnusedLeads(Vec<(String, f64)>),
    /// Windings of a measured transformer that are neither primary nor secondary, by their
    /// ends, with how many times the swing of the primary lead in use stands across each;
    /// `None` where nothing tells its turns.
    UnusedWindings(Vec<(String, Option<f64>)>),
    /// Primary leads not in use (their places) carry this many times the plate's swing.
    UnusedPrimaryLeads(Vec<(usize, f64)>),
    /// Taps not in use (their places): never join two.
    UnusedTaps(Vec<usize>),
    /// A single-ended stage's idle current flows through a core of which it is not known
    /// whether it has a gap.
    GapUnknown(Amps),
}

/// What to beware of with the connection at a place; `exact` is what was solved exactly for it.
pub(super) fn cautions(
    solved: &Solved,
    judged: &Judged,
    place: usize,
    exact: Option<&ChosenOutput>,
) -> Vec<(Severity, Caution)> {
    let mut cautions = Vec::new();
    let mut push = |severity, caution: Option<Caution>| {
        cautions.extend(caution.map(|caution| (severity, caution)));
    };
    if let Some(findings) = &solved.measured {
        let unsure = findings.unsure.then_some(Caution::ReadingsUnsure);
        push(Severity::ReadingsInDoubt, unsure);
        let untapped = solved.topology == Topology::PushPull && findings.centre_tap.is_none();
        push(
            Severity::ReadingsInDoubt,
            untapped.then_some(Caution::NoCentreTap),
        );
    }
    push(Severity::Wiring, feed(solved, judged));
    let overload = match judged.because() {
        Some(Because::SpeakersTakeLess) => Severity::Decisive,
        _ => Severity::Overload,
    };
    push(overload, over_line_voltage(solved, judged));
    push(Severity::Overload, saturation(solved, place));
    if let Some(findings) = &solved.measured {
        for caution in unused_by_readings(findings, judged) {
            push(Severity::Handling, Some(caution));
        }
    }
    if let Some(transformer) = &solved.transformer {
        if solved.measured.is_none() {
            push(Severity::Handling, unused_leads(solved, judged));
        }
        push(Severity::Handling, unused_taps(transformer, judged));
    }
    push(Severity::Handling, gap_unknown(solved));
    let beyond = exact.and_then(|exact| saturation_at_drive(solved, place, exact));
    push(Severity::BeyondFullDrive, beyond);
    cautions
}

/// Where B+ goes on a line transformer in push-pull, or that it can go nowhere.
fn feed(solved: &Solved, judged: &Judged) -> Option<Caution> {
    let transformer = solved.transformer.as_ref()?;
    transformer.line?;
    if solved.topology == Topology::SingleEnded {
        return None;
    }
    let middle = transformer.middle(judged.connection.choice.lead);
    Some(middle.map_or(Caution::NoCentreTap, Caution::CentreTapIs))
}

/// More volts on a power tap than its line voltage: `V = √(P Z′)`. The flux in the core goes
/// with the volts.
fn over_line_voltage(solved: &Solved, judged: &Judged) -> Option<Caution> {
    let power = solved.power_through(judged)?;
    let volts = Volts((power.0 * judged.connection.load.reflected.0).sqrt());
    let line = solved.line.filter(|line| volts.0 > line.0 * 1.05)?;
    Some(Caution::OverLineVoltage(volts, line))
}

/// A core that does not pass full power down to a guitar's lowest note.
fn saturation(solved: &Solved, place: usize) -> Option<Caution> {
    let passage = solved.iron.passages.get(place)?;
    let hertz = passage.lowest_hertz.filter(|hertz| *hertz > LOWEST_NOTE)?;
    Some(Caution::Saturates(passage.full_power?, hertz))
}

/// A core that does not pass the power at the drive typed, where it does that at full drive.
fn saturation_at_drive(solved: &Solved, place: usize, exact: &ChosenOutput) -> Option<Caution> {
    let passage = solved.iron.passages.get(place)?;
    let (full, lowest) = (passage.full_power?, passage.lowest_hertz?);
    let hertz = solved.frequency;
    // Flux goes with the volts, so the frequency with the root of the power.
    let needed = lowest * (exact.delivered.watts / full.0.max(1e-9)).sqrt();
    let said = lowest > LOWEST_NOTE && hertz.is_none_or(|hertz| hertz >= lowest);
    (!said && needed > hertz.unwrap_or(LOWEST_NOTE))
        .then_some(Caution::Saturates(Watts(exact.delivered.watts), needed))
}

/// What a single-ended stage asks of a core of which nobody said whether it has a gap.
fn gap_unknown(solved: &Solved) -> Option<Caution> {
    let known = &solved.iron.known;
    let open = known.core == Core::Unknown && solved.line.is_none();
    let computed = solved
        .stage()
        .map(|stage| stage.idle.magnetising_amps.abs());
    let amps = known.direct_amps.or(computed).filter(|amps| *amps > 0.0)?;
    (open && solved.topology == Topology::SingleEnded).then_some(Caution::GapUnknown(Amps(amps)))
}

/// Leads and windings of a measured transformer that are not in use.
fn unused_by_readings(findings: &Findings, judged: &Judged) -> Vec<Caution> {
    let lead = judged.connection.choice.lead;
    let (leads, windings) = (findings.unused(lead), findings.unused_windings(lead));
    let leads = (!leads.is_empty()).then_some(Caution::UnusedLeads(leads));
    let windings = (!windings.is_empty()).then_some(Caution::UnusedWindings(windings));
    leads.into_iter().chain(windings).collect()
}

/// Primary leads that are not in use, each with its swing divided by that of a plate.
fn unused_leads(solved: &Solved, judged: &Judged) -> Option<Caution> {
    // Each plate of a pair swings by half of what is across the winding.
    let plate = match solved.topology {
        Topology::PushPull => 0.5,
        Topology::SingleEnded => 1.0,
    };
    let wiring = Wiring::new(solved, judged)?;
    let swing = |lead: &Insulated| match lead.terminal {
        Terminal::Lead(at) => Some((at, lead.ratio / plate)),
        _ => None,
    };
    let leads: Vec<_> = wiring.insulated.iter().filter_map(swing).collect();
    (!leads.is_empty()).then_some(Caution::UnusedPrimaryLeads(leads))
}

/// Taps that are not in use.
fn unused_taps(transformer: &Transformer, judged: &Judged) -> Option<Caution> {
    let in_use = |at: usize| match judged.connection.choice.secondary {
        Secondary::Tap(tap) => tap == at,
        Secondary::Pair(pair) => pair.taps().0 == at || pair.taps().1 == at,
    };
    let taps: Vec<_> = (0..transformer.taps.len())
        .filter(|at| !in_use(*at))
        .collect();
    (!taps.is_empty()).then_some(Caution::UnusedTaps(taps))
}
