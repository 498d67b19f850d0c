//! What the page says of a transformer, held against how it was wound.

use tapwright_core::report::Report;
use tapwright_iron::measured::findings::{Findings, TapKind};
use tapwright_iron::measured::windings::Winding;
use tapwright_iron::measured::{Lead, same};

use super::wound::Transformer;

/// The middle is within this part of all turns of it.
const MIDDLE: f64 = 0.01;

/// A lead further from it than this is not perhaps the middle. By ohms one may be that looks 7.5 % off,
/// and where the outermost turns are half as long again as the innermost, that is 12 % of the turns.
const PERHAPS_MIDDLE: f64 = 0.12;

/// What is said that is not true: without a doubt, or of readings that are right.
pub fn lies(made: &Transformer, report: &Report) -> Vec<String> {
    let Some(found) = &report.solved.measured else {
        return vec!["nothing is found".into()];
    };
    let mut lies = about_readings(found, report);
    for winding in &found.found.windings {
        lies.extend(about_winding(made, found, winding));
    }
    if !found.unsure {
        lies.extend(about_roles(made, found));
    }
    lies.extend(about_feed(made, found));
    lies.extend(about_inner_taps(made, found));
    lies
}

/// How many loads are stated, and how many of their 95 % intervals hold the truth.
pub fn ranges(made: &Transformer, report: &Report) -> (usize, usize) {
    let measured = report.solved.measured.as_ref();
    let Some(transformer) = measured.and_then(|found| found.transformer.as_ref()) else {
        return (0, 0);
    };
    let (mut stated, mut held) = (0, 0);
    for judged in &report.solved.connections {
        let choice = judged.connection.choice;
        let Some((low, high)) = judged.connection.range() else {
            continue;
        };
        stated += 1;
        let over = (transformer.leads.get(choice.lead)).and_then(|lead| made.turns(lead.pair));
        let under = (transformer.secondary_pair(choice.secondary)).and_then(|p| made.turns(p));
        held += usize::from(over.zip(under).is_some_and(|(over, under)| {
            let load = judged.connection.impedance.0 * (over / under).powi(2);
            low.0 <= load && load <= high.0
        }));
    }
    (stated, held)
}

/// Readings that are refused or doubted: all of them are right.
fn about_readings(found: &Findings, report: &Report) -> Vec<String> {
    let refused = report.problems.iter();
    let mut lies: Vec<String> = refused
        .map(|problem| format!("refused: {}: {}", problem.field, problem.complaint.why))
        .collect();
    lies.extend(
        found
            .doubts
            .iter()
            .map(|doubt| format!("doubted: {doubt:?}")),
    );
    let suspected = found.agreements.iter().filter(|one| one.suspected).count();
    if suspected > 0 {
        lies.push(format!("suspected: {suspected} volts"));
    }
    if found.contradicted {
        lies.push(format!("contradicted: {:?}", found.found.conflicts));
    }
    lies
}

fn about_winding(made: &Transformer, found: &Findings, winding: &Winding) -> Vec<String> {
    let of = |lead: Lead| made.home(lead).map(|home| &made.windings[home].leads);
    let Some(truth) = winding.leads.first().and_then(|lead| of(*lead)) else {
        return vec![format!("no winding: {:?}", winding.leads)];
    };
    let mut lies = Vec::new();
    if winding.tied && winding.leads.iter().any(|lead| !truth.contains(lead)) {
        lies.push(format!("one winding: {:?}", winding.leads));
    }
    if winding.closed && winding.leads.len() != truth.len() {
        lies.push(format!("closed: {:?} of {truth:?}", winding.leads));
    }
    let known = truth.iter().filter(|lead| winding.leads.contains(lead));
    let known: Vec<Lead> = known.copied().collect();
    let is_stated = winding.order_known || !found.unsure;
    let is_same = winding.leads == known || winding.leads.iter().rev().eq(&known);
    if is_stated && !is_same {
        lies.push(format!("order: {:?} is {known:?}", winding.leads));
    }
    let ends = |leads: &[Lead]| Some((*leads.first()?, *leads.last()?));
    if winding.ends_known
        && let Some((said, truth)) = ends(&winding.leads).zip(ends(&known))
        && !same(said, truth)
    {
        lies.push(format!("ends: {said:?} are {truth:?}"));
    }
    lies
}

fn about_roles(made: &Transformer, found: &Findings) -> Vec<String> {
    let home = |at: usize| made.home(*found.found.windings.get(at)?.leads.first()?);
    let mut lies = Vec::new();
    if found
        .primary
        .is_some_and(|one| home(one.winding) != Some(0))
    {
        lies.push("primary".into());
    }
    if found.secondary.is_some_and(|at| home(at) == Some(0)) {
        lies.push("secondary".into());
    }
    lies
}

/// Whether nothing gets more than is said when the pair is fed that the page offers.
fn about_feed(made: &Transformer, found: &Findings) -> Vec<String> {
    let Some((feed, most)) = found.feed.and_then(|feed| Some((feed, feed.most?))) else {
        return Vec::new();
    };
    let ends = |leads: &[Lead]| made.turns((*leads.first()?, *leads.last()?));
    let all = made.windings.iter().filter_map(|one| ends(&one.leads));
    let highest = all.fold(0.0, f64::max);
    if made
        .turns(feed.pair)
        .is_some_and(|fed| highest <= most * fed)
    {
        Vec::new()
    } else {
        vec![format!("feed: {feed:?}")]
    }
}

fn about_inner_taps(made: &Transformer, found: &Findings) -> Vec<String> {
    let mut lies = Vec::new();
    let ends = made.ends();
    let primary = found
        .primary
        .and_then(|one| found.found.windings.get(one.winding));
    // Of an order that is not certain only what may be is said.
    if !primary.is_some_and(|winding| winding.closed && winding.order_known) {
        return lies;
    }
    for tap in &found.inner_taps {
        let part = made.turns((ends.0, tap.lead)).zip(made.turns(ends));
        let Some((part, whole)) = part.filter(|_| made.home(tap.lead) == Some(0)) else {
            continue;
        };
        let off = (part / whole - 0.5).abs();
        let holds = match tap.kind {
            TapKind::Middle => off < MIDDLE,
            TapKind::PerhapsMiddle => off < PERHAPS_MIDDLE,
            TapKind::Screen | TapKind::Other => off > MIDDLE || !tap.by_turns,
        };
        if !holds {
            lies.push(format!("tap: {:?}, {:.3} off the middle", tap.kind, off));
        }
    }
    lies
}
