//! Ohms that do not go with the volts: perhaps a decimal point has slipped.

use serde::Serialize;

use crate::measured::readings::Readings;
use crate::measured::turns::TurnsFit;
use crate::measured::windings::Found;
use crate::measured::{Lead, Pair};
use tapwright_units::Ohms;
use tapwright_units::uncertainty::Uncertain;

/// The secondary has so many times the copper of the primary at most, and the primary of the
/// secondary. Both carry the same power, so makers give them like copper. Own estimate; a slip of
/// the decimal point is a factor of ten, and beyond the root of that it is the likelier one.
const UNLIKE_COPPER: f64 = 3.2;

/// Ohms per turn of two parts of one winding differ by this factor at most: the wire is one as a
/// rule, and the outer turns are longer by half at most. Own estimate.
const UNLIKE_WIRE: f64 = 2.5;

/// Turns that are less certain than this, as a part of themselves, tell nothing of a slip.
const TOO_COARSE: f64 = 0.2;

/// Who reads the same ohms so many times knows better.
const READ_OFTEN: usize = 2;

/// Ohms that others, together with the volts, do not bear out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Doubt {
    /// Between which leads.
    pub pair: Pair,
    /// What the ohmmeter shows there.
    pub ohms: Ohms,
    /// What it would show by the turns, about.
    pub expected: Ohms,
    /// The leads whose ohms that follows from.
    pub by: Pair,
}

/// Ohms that do not go with the volts, of the primary, the secondary, and along each winding.
pub(super) fn doubts(
    readings: &Readings,
    found: &Found,
    fit: Option<&TurnsFit>,
    primary: Option<usize>,
    secondary: Option<usize>,
) -> Vec<Doubt> {
    let Some(fit) = fit else { return Vec::new() };
    let between = (primary.zip(secondary))
        .and_then(|(primary, secondary)| between(found, fit, primary, secondary));
    let along = (found.windings.iter())
        .filter(|winding| winding.order_known)
        .filter_map(|winding| along(found, fit, &winding.leads));
    let is_open = |doubt: &Doubt| {
        let pairs = [doubt.pair, doubt.by];
        pairs
            .iter()
            .any(|pair| readings.times_in_ohms(*pair) < READ_OFTEN)
    };
    between.into_iter().chain(along).filter(is_open).collect()
}

/// The secondary's ohms beside those of the primary.
fn between(found: &Found, fit: &TurnsFit, primary: usize, secondary: usize) -> Option<Doubt> {
    let (over, under) = (found.ends(primary)?, found.ends(secondary)?);
    let (high, low) = (&found.windings[primary], &found.windings[secondary]);
    if !high.ends_known || !low.ends_known {
        return None;
    }
    let turns = fit.ratio(under, over)?.n;
    // Copper of equal volume: ohms go with the square of the turns.
    let doubt = doubt(found, (under, over), turns.powi(2), UNLIKE_COPPER)?;
    // A winding of thin wire is no secondary, and another one may be it. It has no taps.
    let wound = found.windings.iter().filter(|w| w.leads.len() > 1);
    let is_only_other = wound.count() == 2 && found.windings.iter().all(|w| w.closed);
    let is_thin = doubt.ohms.0 > doubt.expected.0;
    (!is_thin || is_only_other || low.leads.len() > 2).then_some(doubt)
}

/// The two sections of a winding whose ohms per turn differ most.
fn along(found: &Found, fit: &TurnsFit, leads: &[Lead]) -> Option<Doubt> {
    let sections: Vec<Pair> = leads.windows(2).map(|two| (two[0], two[1])).collect();
    let mut doubts = Vec::new();
    for (at, here) in sections.iter().enumerate() {
        for there in &sections[at + 1..] {
            let turns = fit.ratio(*here, *there)?;
            if turns.relative <= TOO_COARSE {
                doubts.extend(doubt(found, (*here, *there), turns.n, UNLIKE_WIRE));
            }
        }
    }
    let off = |doubt: &Doubt| (doubt.ohms.0 / doubt.expected.0).ln().abs();
    doubts.into_iter().max_by(|a, b| off(a).total_cmp(&off(b)))
}

/// A doubt about the ohms of one pair of leads, when they are not within a factor those of the
/// other times `turns`, whatever the uncertainty of both.
fn doubt(found: &Found, (pair, by): (Pair, Pair), turns: f64, factor: f64) -> Option<Doubt> {
    let (ohms, other) = (found.resistance(pair)?, found.resistance(by)?);
    let least = |ohms: Uncertain| (ohms.value - ohms.uncertainty).max(0.0);
    let most = |ohms: Uncertain| ohms.value + ohms.uncertainty;
    let too_many = least(ohms) > factor * turns * most(other);
    let too_few = factor * most(ohms) < turns * least(other);
    (ohms.value > 0.0 && other.value > 0.0 && (too_many || too_few)).then_some(Doubt {
        pair,
        ohms: Ohms(ohms.value),
        expected: Ohms(other.value * turns),
        by,
    })
}
