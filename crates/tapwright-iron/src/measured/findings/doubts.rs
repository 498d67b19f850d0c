//! Ohms that do not go with the volts: perhaps a decimal point has slipped.

use serde::Serialize;

use crate::measured::Pair;
use crate::measured::turns::TurnsFit;
use crate::measured::windings::Found;
use tapwright_units::Ohms;
use tapwright_units::uncertainty::Uncertain;

/// The secondary has so many times the copper of the primary at most, and the primary of the
/// secondary. Both carry the same power, so makers give them like copper. Own estimate; a slip of
/// the decimal point is a factor of ten.
const UNLIKE_COPPER: f64 = 5.0;

/// Ohms per turn of two parts of one winding differ by this factor at most: the wire is one as a
/// rule, and the outer turns are longer by half at most. Own estimate.
const UNLIKE_WIRE: f64 = 2.5;

/// Ohms that are less certain than this, as a part of themselves, tell nothing of a slip.
const TOO_COARSE: f64 = 0.45;

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
    found: &Found,
    fit: Option<&TurnsFit>,
    primary: Option<usize>,
    secondary: Option<usize>,
) -> Vec<Doubt> {
    let Some(fit) = fit else { return Vec::new() };
    let wound = found.windings.iter().filter(|w| w.leads.len() > 1);
    let is_only_other = wound.count() == 2 && found.windings.iter().all(|w| w.closed);
    let between = primary.zip(secondary).and_then(|(primary, secondary)| {
        let (over, under) = (found.ends(primary)?, found.ends(secondary)?);
        let known = |at: usize| found.windings[at].ends_known;
        if !known(primary) || !known(secondary) {
            return None;
        }
        let turns = fit.ratio(under, over)?.n;
        // Copper of equal volume: ohms go with the square of the turns.
        let doubt = doubt(found, (under, over), turns.powi(2), UNLIKE_COPPER)?;
        // A winding of thin wire is no secondary, and another one may be it.
        let is_thin = doubt.ohms.0 > doubt.expected.0;
        (!is_thin || is_only_other).then_some(doubt)
    });
    let along = (found.windings.iter())
        .filter(|winding| winding.order_known)
        .filter_map(|winding| along(found, fit, &winding.leads));
    between.into_iter().chain(along).collect()
}

/// The section of a winding whose ohms per turn differ most from those of its neighbour.
fn along(found: &Found, fit: &TurnsFit, leads: &[usize]) -> Option<Doubt> {
    let three = leads.windows(3);
    let doubts = three.filter_map(|leads| {
        let (here, there) = ((leads[0], leads[1]), (leads[1], leads[2]));
        let turns = fit.ratio(here, there)?;
        if turns.relative > 0.2 {
            return None;
        }
        doubt(found, (here, there), turns.n, UNLIKE_WIRE)
    });
    let off = |doubt: &Doubt| (doubt.ohms.0 / doubt.expected.0).ln().abs();
    doubts.max_by(|a, b| off(a).total_cmp(&off(b)))
}

/// A doubt about the ohms of one pair of leads, when they are not within a factor of `times` those
/// of the other, whatever the uncertainty of both.
fn doubt(found: &Found, (pair, by): (Pair, Pair), times: f64, within: f64) -> Option<Doubt> {
    let (ohms, other) = (found.resistance(pair)?, found.resistance(by)?);
    let expected = other.value * times;
    let relative = |ohms: Uncertain| ohms.uncertainty / ohms.value;
    if relative(ohms).max(relative(other)) > TOO_COARSE {
        return None;
    }
    let relative = relative(ohms) + relative(other);
    let off = (ohms.value / expected).ln().abs() - (1.0 + relative).ln();
    (ohms.value > 0.0 && off.is_finite() && off > within.ln()).then_some(Doubt {
        pair,
        ohms: Ohms(ohms.value),
        expected: Ohms(expected),
        by,
    })
}
