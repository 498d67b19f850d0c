//! The answer for each hookup: which connection to use, why that one, what to beware of.

use serde::Serialize;

use crate::connection::{Connection, equally_far};
use crate::matching::Verdict;
use crate::output::{Because, StageReport};
use crate::report::{HookupReport, Report, Target};
use crate::setup::Topology;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::transformer::Secondary;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::Exceeded;
use tapwright_units::{Amps, Decibels, Ohms, Volts, Watts};

mod iron;

pub(crate) use iron::{beyond_full, direct_current};

/// Why a connection was taken before others that are as good, or nearly.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// It is the nearest to the target.
    Nearest,
    /// A tap pair (its place among the connections) is nearer, but within the same
    /// verdict an ordinary tap is preferred.
    TapBeforePair(usize),
    /// Others (their places) are equally near; this one leaves fewer turns idle.
    MoreTurnsInUse(Vec<usize>),
    /// Others (their places) are equally near and use as many turns; this one stands
    /// first.
    FirstOfEquals(Vec<usize>),
    /// No target: every lead (the places of the others) sees the same share of its own rating
    /// through this tap.
    AnyLead(Vec<usize>),
}

/// Something to beware of, most pressing first.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// The numbers typed for the person's own tube contradict each other; how.
    TubeContradictsItself(String),
    /// No limit is typed for the person's own tube, of its plate or of its screen.
    LimitsUnknown,
    /// The readings of a transformer without marking leave something open, or contradict each
    /// other.
    ReadingsUnsure,
    /// Within the uncertainty of the readings (first to second) the verdict is worse.
    RatioUnsure(Ohms, Ohms),
    /// Leads of a measured transformer that are not in use, with how many times the plate's
    /// swing they may carry.
    UnusedLeads(Vec<(String, f64)>),
    /// Windings of a measured transformer that are neither primary nor secondary, by their
    /// ends, with how many times the swing of the primary lead in use stands across each;
    /// `None` where nothing tells its turns.
    UnusedWindings(Vec<(String, Option<f64>)>),
    /// A limit is passed at idle, whatever the load; the worst such comes first.
    HotAtIdle(Exceeded),
    /// Push-pull on a line transformer's power tap without a centre to feed B+ into, or on a
    /// measured primary on which none was found.
    NoCentreTap,
    /// Push-pull on a line transformer: B+ goes to the lead at this place.
    CentreTapIs(usize),
    /// The two sides of a pair draw currents that differ by this much.
    UnlikeSides(Amps),
    /// A single-ended stage's idle current flows through a core of which it is not known
    /// whether it has a gap.
    GapUnknown(Amps),
    /// Overdriven, the power (first) is more than the hookup takes (second).
    OverdriveMoreThanSpeakersTake(Watts, Watts),
    /// Direct current in a core without a gap, such as a line transformer's: the idle current
    /// of a single-ended stage, or what a pair does not cancel, if known.
    DirectCurrentInUngappedCore(Option<Amps>),
    /// The operating point is odd.
    Odd(Condition),
    /// A limit is passed into this load, at some drive but not at idle.
    OverLimit(Exceeded),
    /// A limit is passed with the speakers' reactance at this frequency, Hz, and not, or by
    /// less, without it.
    OverLimitWithReactance(f64, Exceeded),
    /// So much power is lost against the target load that it does not fit.
    LosesPower(Decibels),
    /// The load is further from the target than fits; the ratio.
    NotAFit(f64),
    /// At another frequency than the one that it was taken at the load is as low as this ratio,
    /// and one to avoid.
    FallsTo(f64),
    /// The load may, within the speakers' ratings, be as low as this ratio, and then
    /// it is one to avoid.
    MayFallTo(f64),
    /// The lower of two taps becomes the return; the common lead is at signal voltage.
    CommonLeadIsLive,
    /// The power (first) is more than the hookup takes (second).
    MoreThanSpeakersTake(Watts, Watts),
    /// The power into this load puts more volts (first) on the power tap than
    /// the line voltage (second) that its turns and its core are made for.
    OverLineVoltage(Volts, Volts),
    /// The core does not pass this power, the stage's or the rated one, below this frequency,
    /// Hz, which a guitar plays.
    Saturates(Watts, f64),
    /// A degenerate pair.
    Degenerate,
    /// Primary leads not in use (their places) carry this many times the plate's swing.
    UnusedPrimaryLeads(Vec<(usize, f64)>),
    /// Taps not in use (their places): never join two.
    UnusedTaps(Vec<usize>),
    /// Nothing special: the stage must never run without a load.
    NeverWithoutLoad,
}

/// The recommended connection of one hookup.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    /// Place of the hookup in the set-up.
    pub hookup: usize,
    /// Place of the connection among [`Report::connections`].
    pub connection: usize,
    /// Why this one.
    pub reason: Reason,
    /// What to beware of, most pressing first; never empty.
    pub cautions: Vec<Caution>,
}

/// The answer for each hookup that has a connection.
pub(crate) fn every(report: &Report) -> Vec<Answer> {
    let best = report
        .connections
        .iter()
        .enumerate()
        .filter(|(_, connection)| connection.rank == 1);
    best.map(|(at, connection)| Answer {
        hookup: connection.choice.hookup,
        connection: at,
        reason: reason(report, connection),
        cautions: cautions(report, at),
    })
    .collect()
}

fn reason(report: &Report, best: &Connection) -> Reason {
    let others = || {
        report.connections.iter().enumerate().filter(|(_, other)| {
            other.choice.hookup == best.choice.hookup
                && other.choice != best.choice
                && other.degenerate.is_none()
        })
    };
    let is_pair = |c: &Connection| matches!(c.choice.secondary, Secondary::Pair(_));
    let nearer_pair = others()
        .filter(|(_, other)| is_pair(other) && !is_pair(best) && other.verdict == best.verdict)
        .filter(|(_, other)| other.load.distance() < best.load.distance())
        .filter(|(_, other)| !equally_far(other, best))
        .min_by(|a, b| a.1.load.distance().total_cmp(&b.1.load.distance()));
    if let Some((at, _)) = nearer_pair {
        return Reason::TapBeforePair(at);
    }
    let equals: Vec<(usize, &Connection)> = others()
        .filter(|(_, other)| is_pair(other) == is_pair(best) && equally_far(other, best))
        .collect();
    let places = || equals.iter().map(|(at, _)| *at).collect();
    let turns = |c: &Connection| {
        report
            .transformer
            .as_ref()
            .map_or(0.0, |t| t.turns_in_use(c.choice.lead, c.choice.secondary))
    };
    if equals.is_empty() {
        Reason::Nearest
    } else if report.target == Target::AsRated {
        Reason::AnyLead(places())
    } else if equals
        .iter()
        .all(|(_, other)| turns(other) < turns(best) * (1.0 - 1e-9))
    {
        Reason::MoreTurnsInUse(places())
    } else {
        Reason::FirstOfEquals(places())
    }
}

/// What to beware of with the connection at a place, most pressing first.
pub(crate) fn cautions(report: &Report, place: usize) -> Vec<Caution> {
    let Some(connection) = report.connections.get(place) else {
        return Vec::new();
    };
    let mut cautions = Vec::new();
    let stage = match &report.stage {
        Some(Ok(stage)) => Some(stage),
        _ => None,
    };
    let contradiction = report
        .own
        .as_ref()
        .and_then(|own| own.contradiction.clone());
    cautions.extend(measured(report));
    cautions.extend(contradiction.map(Caution::TubeContradictsItself));
    let none = Vec::new();
    let at_idle = stage.map_or(&none, |stage| &stage.idle_exceeds);
    let (heat, volts): (Vec<Exceeded>, Vec<Exceeded>) =
        at_idle.iter().partition(|passed| passed.burden.is_heat());
    if stage.is_some_and(|stage| !stage.tube.limits_are_known()) {
        cautions.push(Caution::LimitsUnknown);
    }
    cautions.extend(worst_first(&heat).map(Caution::HotAtIdle));
    if report.by_curve {
        cautions.extend(lowest_ratio(connection).map(Caution::FallsTo));
    }
    let overloads = overloads(report, connection);
    if connection.because == Some(Because::SpeakersTakeLess) {
        cautions.extend(overloads.iter().cloned());
    }
    cautions.extend(feed(report, connection));
    let direct_current = direct_current(report, stage);
    let is_steady = direct_current.is_some();
    cautions.extend(direct_current);
    if let Some(stage) = stage {
        let odd = (stage.conditions.iter()).filter(|odd| **odd != Condition::StiffSupply);
        cautions.extend(odd.map(|odd| Caution::Odd(*odd)));
    }
    let passed = (connection.output.iter()).flat_map(|output| output.passed.into_iter().flatten());
    let (by_music, by_overdrive): (Vec<_>, Vec<_>) = passed
        .filter(|passed| passed.from > 0.0)
        .partition(Exceeded::is_up_to_full);
    let pressing: Vec<Exceeded> = volts.into_iter().chain(by_music).collect();
    cautions.extend(worst_first(&pressing).map(|passed| match passed.from {
        0.0 => Caution::HotAtIdle(passed),
        _ => Caution::OverLimit(passed),
    }));
    if connection.because != Some(Because::SpeakersTakeLess) {
        cautions.extend(overloads);
    }
    cautions.extend(iron::saturation(report, place));
    if !is_steady {
        cautions.extend(stage.and_then(unlike));
    }
    if connection.degenerate.is_some() {
        cautions.push(Caution::Degenerate);
    }
    if !connection.load.verdict().is_fit() {
        cautions.push(Caution::NotAFit(connection.ratio));
    }
    if let Some(output) = connection.output
        && connection.because == Some(Because::PowerLost)
    {
        cautions.push(Caution::LosesPower(output.against_target));
    }
    cautions.extend(worst_first(&by_overdrive).map(Caution::OverLimit));
    if let Some((low, high)) = connection.range()
        && connection.worst_verdict() > connection.verdict
    {
        cautions.push(Caution::RatioUnsure(low, high));
    }
    if !report.by_curve {
        cautions.extend(lowest_ratio(connection).map(Caution::MayFallTo));
    }
    if matches!(connection.choice.secondary, Secondary::Pair(_)) {
        cautions.push(Caution::CommonLeadIsLive);
    }
    cautions.extend(unused(report, connection));
    cautions.extend(iron::gap_unknown(report, stage));
    cautions.push(Caution::NeverWithoutLoad);
    cautions
}

/// The ratio where the load is lowest, when it is one to avoid there and only there.
fn lowest_ratio(connection: &Connection) -> Option<f64> {
    (connection.verdict != Verdict::Avoid && connection.lowest_verdict == Verdict::Avoid)
        .then_some(connection.lowest_reflected.0 / connection.load.target.0)
}

fn worst_first(passed: &[Exceeded]) -> impl Iterator<Item = Exceeded> {
    let up_to_full = |limit: &Exceeded| limit.up_to_full.max(limit.limit) / limit.limit;
    let mut passed = passed.to_vec();
    passed.sort_by(|a, b| {
        up_to_full(b)
            .total_cmp(&up_to_full(a))
            .then_with(|| b.over().total_cmp(&a.over()))
    });
    passed.into_iter()
}

/// Where B+ goes on a line transformer in push-pull, or that it can go nowhere.
fn feed(report: &Report, connection: &Connection) -> Option<Caution> {
    let transformer = report.transformer.as_ref()?;
    transformer.line?;
    if report.topology == Topology::SingleEnded {
        return None;
    }
    let middle = transformer.middle(connection.choice.lead);
    Some(middle.map_or(Caution::NoCentreTap, Caution::CentreTapIs))
}

/// Share of the current of all tubes by which the sides may differ without a word. Common
/// practice, no source.
const ALIKE_WITHIN: f64 = 0.05;

/// Currents of the two sides that magnetise the core.
fn unlike(stage: &StageReport) -> Option<Caution> {
    let differ = 2.0 * stage.idle.magnetising_amps.abs();
    let push_pull = stage.stage.topology == Topology::PushPull;
    (push_pull && differ > ALIKE_WITHIN * stage.idle.all_plate_amps)
        .then_some(Caution::UnlikeSides(Amps(differ)))
}

/// What to beware of with a transformer that was measured.
fn measured(report: &Report) -> impl Iterator<Item = Caution> {
    let findings = report.unmarked.as_ref();
    let unsure = findings.is_some_and(Findings::is_unsure);
    let push_pull = report.topology == Topology::PushPull;
    let no_tap = push_pull && findings.is_some_and(|findings| findings.centre_tap.is_none());
    let unsure = unsure.then_some(Caution::ReadingsUnsure);
    unsure
        .into_iter()
        .chain(no_tap.then_some(Caution::NoCentreTap))
}

/// What the stage's power is too much for: the speakers, a line transformer. The published
/// power where none could be computed.
///
/// `V = √(P Z′)` on the primary; the flux in the core goes with the volts.
fn overloads(report: &Report, connection: &Connection) -> Vec<Caution> {
    let published = match &report.target {
        Target::Published(published) => published.power,
        _ => None,
    };
    let Some(power) = connection.output.map(|output| output.watts).or(published) else {
        return Vec::new();
    };
    let hookup = report.hookup(connection.choice.hookup);
    let takes = hookup.and_then(HookupReport::takes);
    let volts = Volts((power.0 * connection.load.reflected.0).sqrt());
    let line = report.line.filter(|line| volts.0 > line.0 * 1.05);
    let speakers = takes.filter(|takes| takes.0 < power.0 * 0.999);
    (speakers
        .map(|takes| Caution::MoreThanSpeakersTake(power, takes))
        .into_iter())
    .chain(line.map(|line| Caution::OverLineVoltage(volts, line)))
    .collect()
}

fn unused(report: &Report, connection: &Connection) -> Vec<Caution> {
    let Some(transformer) = &report.transformer else {
        return Vec::new();
    };
    let mut cautions = Vec::new();
    let middle = match report.topology {
        Topology::PushPull => transformer.middle(connection.choice.lead),
        Topology::SingleEnded => None,
    };
    if let Some(findings) = &report.unmarked {
        let unused = findings.unused(connection.choice.lead);
        cautions.extend((!unused.is_empty()).then_some(Caution::UnusedLeads(unused)));
        let others = findings.unused_windings(connection.choice.lead);
        cautions.extend((!others.is_empty()).then_some(Caution::UnusedWindings(others)));
    } else if let Some(used) = transformer.leads.get(connection.choice.lead) {
        let leads: Vec<_> = (transformer.leads.iter().enumerate())
            .filter(|(at, _)| *at != connection.choice.lead && Some(*at) != middle)
            .map(|(at, lead)| (at, (lead.rated.0 / used.rated.0).sqrt()))
            .collect();
        if !leads.is_empty() {
            cautions.push(Caution::UnusedPrimaryLeads(leads));
        }
    }
    let in_use = |at: usize| match connection.choice.secondary {
        Secondary::Tap(tap) => tap == at,
        Secondary::Pair(pair) => pair.taps().0 == at || pair.taps().1 == at,
    };
    let taps: Vec<_> = (0..transformer.taps.len())
        .filter(|at| !in_use(*at))
        .collect();
    if !taps.is_empty() {
        cautions.push(Caution::UnusedTaps(taps));
    }
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{link, solve};

    fn report(link: &str) -> Report {
        solve(&link::parse(link).setup)
    }

    #[test]
    fn a_nearer_pair_is_named_when_the_tap_is_preferred() {
        // The 4 Ω tap is at 1.15, the pair 3–15 (4.58 Ω) at 1.004: both fit.
        let report = report("primary=8k&taps=4,3,15&hookup=4.6&target=8k");
        let answer = &report.answers[0];
        let best = &report.connections[answer.connection];
        assert_eq!(best.choice.secondary, Secondary::Tap(0));
        let Reason::TapBeforePair(pair) = answer.reason else {
            panic!("{:?}", answer.reason)
        };
        assert!((report.connections[pair].ratio - 1.0036).abs() < 1e-3);
    }

    #[test]
    fn without_a_target_any_lead_will_do() {
        let report = report("primary=8k,%2010k&taps=4,%208&hookup=8");
        let Reason::AnyLead(others) = &report.answers[0].reason else {
            panic!()
        };
        assert_eq!(others.len(), 1);
    }

    #[test]
    fn ties_are_told_with_their_rule() {
        let more = report("primary=4k,%208k&taps=4,%208&hookup=8&target=8k");
        assert!(matches!(more.answers[0].reason, Reason::MoreTurnsInUse(_)));
        // 5 k and 20 k are equally far from 10 k; 5 k is half the turns of 20 k.
        let either_side = report("primary=5k,%2020k&taps=8&hookup=8&target=10k");
        assert!(
            matches!(&either_side.answers[0].reason, Reason::MoreTurnsInUse(o) if o.len() == 1)
        );
    }

    #[test]
    fn direct_current_in_a_line_transformer_comes_first() {
        let report = report(
            "stage=single-ended&marking=line&power=1,2.5,5&taps=4,8,16&tube=EL84&supply=250&hookup=8",
        );
        let first = &report.answers[0].cautions[0];
        let Caution::DirectCurrentInUngappedCore(Some(Amps(idle))) = first else {
            panic!("{first:?}")
        };
        assert!((0.04..0.06).contains(idle), "{idle}");
        let push_pull =
            solve(&link::parse("marking=line&power=1,2.5,5&taps=4,8,16&hookup=8").setup);
        assert!(!matches!(
            push_pull.answers[0].cautions[0],
            Caution::DirectCurrentInUngappedCore(_)
        ));
    }

    /// 10 W against 6 W of speaker; √(5.7 W · 5 kΩ) = 169 V on a 100 V winding.
    #[test]
    fn too_much_power_for_speaker_or_line_transformer() {
        let hall = report(crate::examples::EXAMPLES[0].link);
        let Caution::MoreThanSpeakersTake(Watts(gives), Watts(6.0)) = hall.answers[2].cautions[0]
        else {
            panic!("{:?}", hall.answers[2].cautions)
        };
        assert!((gives / 10.0 - 1.0).abs() < 0.05, "{gives}");
        let line = report(crate::examples::EXAMPLES[1].link);
        let over = line.answers[0]
            .cautions
            .iter()
            .find_map(|caution| match caution {
                Caution::OverLineVoltage(volts, _) => Some(volts.0),
                _ => None,
            });
        let best = &line.connections[line.answers[0].connection];
        let watts = best.output.expect("the stage is known").watts.0;
        let volts = (watts * best.load.reflected.0).sqrt();
        assert!((over.expect("over the line voltage") - volts).abs() < 1e-9);
        assert!(volts > 150.0, "{volts}");
    }

    #[test]
    fn an_unused_lead_carries_the_swing_of_its_turns() {
        let report = report("primary=8k,%2010k&taps=8&hookup=8&target=8k");
        let unused = report.answers[0]
            .cautions
            .iter()
            .find_map(|caution| match caution {
                Caution::UnusedPrimaryLeads(leads) => Some(leads[0]),
                _ => None,
            });
        let (lead, swing) = unused.expect("a lead is unused");
        assert_eq!(lead, 1);
        assert!((swing - 1.25_f64.sqrt()).abs() < 1e-12);
    }
}
