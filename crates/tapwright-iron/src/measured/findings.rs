//! Everything that the readings of one transformer tell, and the transformer that they make.

use serde::Serialize;

use super::danger::{Hazard, hazards};
use super::lead_order::Distance;
use super::readings::{Readings, VoltageRow};
use super::turns::{self, LikeEnds, TurnsFit, Voltage};
use super::windings::{self, Found};
use super::{Lead, Pair, names};
use crate::transformer::{PrimaryLead, Tap};
use tapwright_tube::Topology;

mod doubts;
mod inner_taps;
mod next;
mod roles;
mod transformer;
mod turns_of_leads;

pub use doubts::Doubt;
pub use inner_taps::{InnerTap, TapKind};
pub use next::{Again, Because, Meter, Next, Open, VoltsNext};
pub use roles::{Evidence, Feed, Primary};
pub use transformer::{MeasuredLead, MeasuredTap, MeasuredTransformer, UnusedLead};
pub use turns_of_leads::Turns;

use next::Progress;
use roles::Roles;
use transformer::Source;

/// How well one reading of the voltmeter agrees with the others.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Agreement {
    /// The reading.
    pub shown: VoltageRow,
    /// What it should have been, V: by all readings, or by all others where it is suspected.
    pub expected: f64,
    /// How far it is off, in standard uncertainties; zero where nothing could contradict it.
    pub standardised: f64,
    /// Whether it does not belong: it, or one of those that are suspected with it.
    pub suspected: bool,
}

/// Everything that the readings tell. Leads are places in [`Self::leads`], windings are places
/// in [`Found::windings`].
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Findings {
    /// Names of all leads.
    pub leads: Vec<String>,
    /// The windings.
    pub found: Found,
    /// Whether readings contradict others, those included that were left out.
    pub contradicted: bool,
    /// Whether the order of all leads is beyond doubt.
    pub order_known: bool,
    /// Whether something is open or does not agree, so that the rest is not certain.
    pub unsure: bool,
    /// The primary.
    pub primary: Option<Primary>,
    /// The secondary, by its place.
    pub secondary: Option<usize>,
    /// Ohms of another winding divided by those of the primary that the person named, where
    /// that speaks against the person.
    pub outweighed: Option<f64>,
    /// What to feed.
    pub feed: Option<Feed>,
    /// The centre tap of the primary, by turns; perhaps it is, by ohms alone.
    pub centre_tap: Option<Lead>,
    /// The leads between the ends of the primary, and what they probably are.
    pub inner_taps: Vec<InnerTap>,
    /// Ohms that do not go with the volts.
    pub doubts: Vec<Doubt>,
    /// The common lead of the secondary.
    pub common: Option<Lead>,
    /// The transformer that the readings make, once they tell enough.
    pub transformer: Option<MeasuredTransformer>,
    /// Turns of every lead that shares a winding with another.
    pub turns: Vec<Turns>,
    /// Pairs whose voltage is still to be read, the most useful first.
    pub wanted: Vec<Pair>,
    /// What to do next, one thing at a time; `None` when everything is settled.
    pub next: Option<Next>,
    /// How well the readings of the voltmeter agree.
    pub agreements: Vec<Agreement>,
    /// Which ends of windings are alike.
    pub like_ends: Vec<LikeEnds>,
    /// Tests that are dangerous.
    pub hazards: Vec<Hazard>,
}

impl Findings {
    /// What the readings tell, for a stage of this kind.
    pub fn new(readings: &Readings, topology: Topology) -> Self {
        let voltages: Vec<Voltage> = readings.volts.iter().map(|shown| shown.voltage).collect();
        let by_resistance = find_windings(readings, &voltages);
        let fit = turns::fit(&by_resistance.windings, &voltages);
        let fit = fit.as_ref();
        let found = match fit {
            Some(fit) => by_resistance.in_orders(&fit.possible_orders()),
            None => by_resistance,
        };
        let order_known = (found.windings.iter()).all(|w| w.leads.len() < 3 || w.order_known);
        let contradicted = readings.contradicted || !found.conflicts.is_empty();
        let likely = roles::likely_primary(&found, fit);
        let roles = Roles::new(readings, &found, likely);
        let feed = likely.and_then(|likely| Feed::new(&found, fit, likely, contradicted));
        let primary = roles.primary.map(|primary| primary.winding);
        let whole = primary.and_then(|at| found.ends(at));
        let secondary = roles.secondary.and_then(|at| found.winding(at));
        let source = (fit.zip(primary).zip(whole)).map(|((fit, primary), whole)| Source {
            found: &found,
            fit,
            voltages: &voltages,
            topology,
            primary,
            whole,
        });
        let inner_taps =
            primary.map_or_else(Vec::new, |at| inner_taps::inner_taps(&found, fit, at));
        let centre_tap = centre_tap(&inner_taps);
        let doubts = doubts::doubts(readings, &found, fit, primary, roles.secondary);
        let hazards = hazards(&found.windings, fit, readings);
        let progress = Progress {
            readings,
            found: &found,
            fit,
            feed,
            hazards: &hazards,
            doubts: &doubts,
            primary_unsure: roles.is_unsure(),
            contradicted,
        };
        let next = progress.next();
        let transformer = source.zip(secondary).and_then(|(source, secondary)| {
            MeasuredTransformer::new(&source, secondary, roles.common, centre_tap)
        });
        let common = transformer
            .as_ref()
            .map(|made| made.common)
            .or(roles.common);
        let agreements = fit.map_or_else(Vec::new, |fit| agreements(readings, fit));
        let unsure = contradicted
            || !order_known
            || !found.questions.is_empty()
            || !doubts.is_empty()
            || agreements.iter().any(|agreement| agreement.suspected)
            || roles.is_unsure();
        Self {
            leads: readings.leads.clone(),
            contradicted,
            order_known,
            unsure,
            primary: roles.primary,
            secondary: roles.secondary,
            outweighed: roles.outweighed,
            feed,
            centre_tap,
            inner_taps,
            doubts,
            common,
            transformer,
            turns: whole.map_or_else(Vec::new, |whole| {
                turns_of_leads::turns_of_leads(&found, fit, whole, common)
            }),
            wanted: feed.map_or_else(Vec::new, |feed| {
                turns_of_leads::wanted(&found, fit, feed.pair)
            }),
            next,
            agreements,
            like_ends: fit.map_or_else(Vec::new, |fit| fit.like_ends.clone()),
            hazards,
            found,
        }
    }

    /// The leads and taps of the transformer like those of a stamped one: their ratings follow
    /// the measured turns, in a scale that is a guess.
    pub fn ratings(&self) -> Option<(Vec<PrimaryLead>, Vec<Tap>)> {
        let transformer = self.transformer.as_ref()?;
        Some(transformer.ratings(&self.leads))
    }

    /// Leads of the primary that a primary lead of the transformer leaves unused, by name. With
    /// each the largest swing between it and an end of the used part, divided by the swing
    /// across that part.
    pub fn unused(&self, lead: usize) -> Vec<(String, f64)> {
        let leads = self
            .transformer
            .iter()
            .flat_map(|made| made.leads.get(lead));
        leads
            .flat_map(|lead| &lead.unused)
            .map(|unused| {
                let name = names::lead_name(&self.leads, unused.lead).to_owned();
                (name, unused.swing)
            })
            .collect()
    }

    /// Windings that are neither the primary nor the secondary, by the names of their ends. With
    /// each the swing across it, divided by the swing of this primary lead, where it is known.
    pub fn unused_windings(&self, lead: usize) -> Vec<(String, Option<f64>)> {
        let primary = self.primary.map(|primary| primary.winding);
        let used = self
            .transformer
            .as_ref()
            .and_then(|made| made.leads.get(lead));
        let others = (0..self.found.windings.len())
            .filter(|at| Some(*at) != primary && Some(*at) != self.secondary);
        let ends = others.filter_map(|at| Some((at, self.found.ends(at)?)));
        ends.map(|(at, ends)| {
            let turns = (self.turns.iter())
                .filter(|turns| turns.winding == at)
                .filter_map(|turns| Some(turns.part?.n));
            let most = turns.reduce(f64::max);
            (
                names::pair_name(&self.leads, ends),
                most.zip(used).map(|(most, used)| most / used.turns),
            )
        })
        .collect()
    }
}

/// The windings by resistances, with the help of voltages where there are any.
fn find_windings(readings: &Readings, voltages: &[Voltage]) -> Found {
    let sessions = sessions(voltages);
    match &readings.found {
        Some(found) if sessions.is_empty() => found.clone(),
        _ => windings::find(readings.leads.len(), &readings.ohms, &sessions),
    }
}

/// The lead in the middle of the primary, also where it only may be.
fn centre_tap(inner_taps: &[InnerTap]) -> Option<Lead> {
    let is_middle = |tap: &&InnerTap| matches!(tap.kind, TapKind::Middle | TapKind::PerhapsMiddle);
    inner_taps.iter().find(is_middle).map(|tap| tap.lead)
}

fn agreements(readings: &Readings, fit: &TurnsFit) -> Vec<Agreement> {
    let all = readings.volts.iter().zip(&fit.deviations).enumerate();
    all.filter_map(|(place, (shown, deviation))| {
        let deviation = (*deviation)?;
        Some(Agreement {
            shown: *shown,
            expected: deviation.expected,
            standardised: deviation.standardised,
            suspected: fit.suspects.contains(&place),
        })
    })
    .collect()
}

/// The voltages of each test within one winding, as distances along it.
fn sessions(voltages: &[Voltage]) -> Vec<Vec<Distance>> {
    let tests = voltages
        .iter()
        .map(|voltage| voltage.test + 1)
        .max()
        .unwrap_or(0);
    let mut sessions = vec![Vec::new(); tests];
    for voltage in voltages.iter().filter(|voltage| voltage.joined.is_none()) {
        sessions[voltage.test].push(Distance {
            ends: voltage.pair,
            length: voltage.volts,
        });
    }
    sessions
}
