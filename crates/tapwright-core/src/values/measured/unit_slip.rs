//! Volts that were millivolts, and the other way round: a factor of a thousand.

use tapwright_iron::measured::Pair;
use tapwright_iron::measured::windings::Found;
use tapwright_units::entry::shortest;
use tapwright_units::rounding::to_significant_digits;
use tapwright_units::uncertainty::Uncertain;

/// A winding that would have so many times the turns of one with like copper has a
/// voltage in the wrong unit: 400 times the copper. Own estimate; a tenfold slip in ohms is not that
/// much.
const MUCH_MORE_COPPER: f64 = 20.0;

/// And so has one whose wire would be so many times thinner, in cross-section, than that of the
/// primary. Own estimate; a third winding of thin wire is not that thin.
const MUCH_THINNER_WIRE: f64 = 10.0;

/// A winding with this part of the most ohms may be the primary as well. Own estimate.
const LIKE_THE_MOST: f64 = 0.5;

/// What is wrong with a voltage that no winding of so many ohms has beside the one with the most
/// ohms, which is likely the primary; `other` is a reading of the same test. Of a voltage that is
/// `at_least` so much only what is too much tells.
pub(super) fn why(
    found: &Found,
    read: (Pair, Uncertain),
    other: (Pair, Uncertain),
    at_least: bool,
) -> Option<String> {
    let ohms = |at: usize| found.windings.get(at)?.ohms;
    let most = ohms(0)?;
    let is_primary = |pair: Pair| {
        let here = found.winding_of(pair.0).and_then(ohms);
        here.is_some_and(|here| here.value >= LIKE_THE_MOST * most.value)
    };
    match (is_primary(read.0), is_primary(other.0)) {
        (true, false) if !at_least => unlikely_turns(found, other, read, false),
        (false, true) => unlikely_turns(found, read, other, at_least),
        _ => None,
    }
}

/// What is wrong with the turns that a winding would have beside the likely primary.
fn unlikely_turns(
    found: &Found,
    (pair, volts): (Pair, Uncertain),
    (primary, whole): (Pair, Uncertain),
    at_least: bool,
) -> Option<String> {
    let (few, many) = (found.resistance(pair)?, found.resistance(primary)?);
    let (few_range, many_range) = (
        found.resistance_range(pair)?,
        found.resistance_range(primary)?,
    );
    let written = |value, digits| shortest(to_significant_digits(value, digits));
    let times = volts.value / whole.value;
    // Windings with like copper: turns go with the root of the ohms.
    let most = (few_range.1 / many_range.0).sqrt();
    // Wire as thin as the primary's: turns go with the ohms.
    let least = few_range.0 / many_range.1;
    let winding = written(few.value, 2);
    let other = written(many.value, 3);
    if times > MUCH_MORE_COPPER * most && (!at_least || times > 1.0) {
        return Some(format!(
            "it would give the {winding} Ω winding {} times the turns of the {other} Ω one: perhaps \
             those were millivolts, or other leads",
            written(times, 2)
        ));
    }
    // While a winding may have more leads, or others between, its ohms are a guess.
    let is_known = |pair: Pair| {
        let home = found
            .winding_of(pair.0)
            .and_then(|at| found.windings.get(at));
        home.is_some_and(|winding| winding.closed && winding.order_known)
    };
    let both_known = is_known(pair) && is_known(primary);
    (both_known && !at_least && times * MUCH_THINNER_WIRE < least).then(|| {
        format!(
            "it would give the {winding} Ω winding 1/{} of the turns of the {other} Ω one, of wire \
             far thinner than that: perhaps those were volts, or other leads",
            written(times.recip(), 2)
        )
    })
}
