//! What the leads between the two ends of the primary probably are.

use serde::Serialize;

use crate::measured::turns::TurnsFit;
use crate::measured::windings::Found;
use crate::measured::{Lead, Pair};
use tapwright_units::uncertainty::{COVERAGE_95, Uncertain};

/// Makers miss the middle by this part of all turns at most. Own estimate.
const MAKERS_MISS: f64 = 0.01;

/// A lead is called the middle only where it is within this part of all turns of it.
const SURELY_MIDDLE: f64 = 0.02;

/// And only where the readings tell its place this well: half of the 95 % interval. A screen tap
/// at 43 % is then no middle.
const WELL_KNOWN: f64 = 0.03;

/// By ohms alone a lead this near to the middle may be it: the outer half has longer turns. Part of
/// the whole; common practice, no source.
const PERHAPS_BY_OHMS: f64 = 0.075;

/// A tap for a screen stands at this part of the turns from B+, 43 % as a rule. Common practice, no
/// source.
const SCREEN: std::ops::RangeInclusive<f64> = 0.19..=0.46;

/// Where a lead between the ends of the primary stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct InnerTap {
    /// The lead.
    pub lead: Lead,
    /// What it probably is.
    pub kind: TapKind,
    /// Counted from this lead: the middle where there is one, otherwise the nearer end.
    pub from: Lead,
    /// Turns from there, as a part of all up to the end; ohms in place of turns as long as no
    /// volts are read.
    pub part: f64,
    /// Whether it is a part of the turns, and not of the ohms.
    pub by_turns: bool,
}

/// What a lead between the ends of the primary probably is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TapKind {
    /// The middle by turns, within their uncertainty.
    Middle,
    /// Perhaps the middle: by ohms alone, or the volts are too coarse to say.
    PerhapsMiddle,
    /// A tap where screens usually go.
    Screen,
    /// Another tap.
    Other,
}

/// A lead's place between the ends, as a part of the whole.
struct Place {
    lead: Lead,
    /// From the first end.
    part: Uncertain,
    by_turns: bool,
}

impl Place {
    fn kind_of_middle(&self) -> Option<TapKind> {
        let off = (self.part.value - 0.5).abs();
        if !self.by_turns {
            return (off <= PERHAPS_BY_OHMS).then_some(TapKind::PerhapsMiddle);
        }
        let doubt = COVERAGE_95 * self.part.uncertainty;
        if off > doubt.max(MAKERS_MISS) {
            return None;
        }
        let sure = doubt <= WELL_KNOWN && off <= SURELY_MIDDLE;
        Some(if sure {
            TapKind::Middle
        } else {
            TapKind::PerhapsMiddle
        })
    }
}

/// The leads of a primary between its ends, in their order. While that order is open, only which
/// of them may be the middle.
pub(super) fn inner_taps(found: &Found, fit: Option<&TurnsFit>, primary: usize) -> Vec<InnerTap> {
    let Some(((first, last), winding)) = found.ends(primary).zip(found.winding(primary)) else {
        return Vec::new();
    };
    let inner = winding.leads.get(1..winding.leads.len() - 1);
    let places: Vec<Place> = (inner.into_iter().flatten())
        .filter_map(|lead| place(found, fit, (first, last), *lead))
        .collect();
    let rank = |place: &&Place| {
        let sure = place.kind_of_middle() == Some(TapKind::Middle);
        let off = (place.part.value - 0.5).abs();
        if sure { off } else { 1.0 + off }
    };
    let middle = (places.iter())
        .filter(|place| place.kind_of_middle().is_some())
        .min_by(|a, b| rank(a).total_cmp(&rank(b)));
    let tap = |place: &Place| {
        let half = place.part.value;
        let (kind, from, part) = match middle {
            Some(middle) if middle.lead == place.lead => (
                place.kind_of_middle().unwrap_or(TapKind::Middle),
                first,
                half,
            ),
            Some(middle) => {
                let centre = middle.part.value;
                let whole = if half < centre { centre } else { 1.0 - centre };
                let part = (half - centre).abs() / whole;
                (screen(part), middle.lead, part)
            }
            None if half <= 0.5 => (screen(half), first, half),
            None => (screen(1.0 - half), last, 1.0 - half),
        };
        InnerTap {
            lead: place.lead,
            kind,
            from,
            part,
            by_turns: place.by_turns,
        }
    };
    let mut taps: Vec<InnerTap> = places.iter().map(tap).collect();
    if !winding.order_known {
        taps.retain(|tap| matches!(tap.kind, TapKind::Middle | TapKind::PerhapsMiddle));
        for tap in &mut taps {
            tap.kind = TapKind::PerhapsMiddle;
        }
    }
    taps
}

fn screen(part: f64) -> TapKind {
    if SCREEN.contains(&part) {
        TapKind::Screen
    } else {
        TapKind::Other
    }
}

fn place(found: &Found, fit: Option<&TurnsFit>, ends: Pair, lead: Lead) -> Option<Place> {
    let by_turns = fit.and_then(|fit| fit.ratio((ends.0, lead), ends));
    let by_ohms = || {
        let (part, whole) = (found.resistance((ends.0, lead))?, found.resistance(ends)?);
        Some(Uncertain {
            value: part.value / whole.value,
            uncertainty: part.uncertainty / whole.value,
        })
    };
    let turns = by_turns.map(|turns| Uncertain {
        value: turns.n,
        uncertainty: turns.n * turns.relative,
    });
    Some(Place {
        lead,
        by_turns: turns.is_some(),
        part: turns.or_else(by_ohms)?,
    })
}
