//! What a test would make live, said before it is made.

use serde::Serialize;

use super::readings::{Readings, Series, Test};
use super::turns::TurnsFit;
use super::windings::{Order, Winding};
use super::{Lead, Pair};
use tapwright_units::Volts;
use tapwright_units::uncertainty::COVERAGE_95;

/// Above this a voltage that can be touched is hazardous live: 30 V rms, 42.4 V peak (IEC
/// 61010-1, 6.3.1 a, normal condition, dry; from memory).
pub const HAZARDOUS: Volts = Volts(30.0);

/// A test is taken to be fed with this until its voltage is typed: a heater winding's 6.3 V.
pub const USUAL_SOURCE: Volts = Volts(6.3);

/// Leads may be fed with this while others are not measured yet: stepped up by 60 it stays below
/// the limit, and 60 is 11 kΩ to 3 Ω.
const CAUTIOUS: Volts = Volts(0.5);

/// Turns that are guessed from resistances alone may be wrong by this factor. Own estimate:
/// windings of one transformer seldom differ more in the copper that they are given.
pub const GUESS_WITHIN: f64 = 2.0;

/// A winding with this many times the ohms of another has more turns, whatever a voltmeter says.
/// By `R ∝ N²` it has 4.5 times as many. Own estimate: no maker is that unfair to a winding.
pub const SURELY_FEWER: f64 = 20.0;

/// Turns between leads of one winding that are guessed from its resistances may be wrong by this
/// factor, as the outer turns are longer. Own estimate.
const GUESS_WITHIN_ONE_WINDING: f64 = 1.2;

/// Two leads that a test would put a hazardous voltage between.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Danger {
    /// The leads.
    pub pair: Pair,
    /// The expected voltage, rms.
    pub volts: Volts,
    /// Whether it follows from resistances only, `N ∝ √R`, and may be off by a factor of two.
    pub guessed: bool,
}

/// A test that puts hazardous voltage on leads, or may.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hazard {
    /// The test.
    pub test: Test,
    /// The windings that it makes live, the highest voltage first. Empty when the danger is
    /// that of leads that were not measured yet.
    pub live: Vec<Danger>,
}

/// The tests that are dangerous as they stand.
pub fn hazards(windings: &[Winding], fit: Option<&TurnsFit>, readings: &Readings) -> Vec<Hazard> {
    let hazard = |(place, test): (usize, &Test)| {
        let volts = test.volts.unwrap_or(USUAL_SOURCE);
        let mut live = live_windings(windings, fit, test.fed, volts);
        let series = readings.series.iter().filter(|series| series.test == place);
        live.extend(
            series.filter_map(|series| live_series(windings, fit, (test.fed, volts), series)),
        );
        live.sort_by(|a, b| b.volts.0.total_cmp(&a.volts.0));
        let blind = volts.0 > CAUTIOUS.0 && !is_known(windings, fit, test.fed);
        (blind || !live.is_empty()).then_some(Hazard { test: *test, live })
    };
    readings
        .tests
        .iter()
        .enumerate()
        .filter_map(hazard)
        .collect()
}

/// Windings that carry more than [`HAZARDOUS`] volts when a pair of leads is fed with `volts`,
/// the highest first. The limit counts for the most that the readings allow: the end of the 95 %
/// interval, or twice a guess. A winding of which neither turns nor resistance are known is not
/// in the list.
///
/// ```
/// use tapwright_units::uncertainty::Uncertain;
/// use tapwright_iron::measured::{danger, windings::{self, Resistance}};
/// use tapwright_units::Volts;
/// let ohms = |pair, value: f64| Resistance {
///     pair, ohms: Some(Uncertain { value, uncertainty: 0.01 * value }),
/// };
/// let found = windings::find(4, &[ohms((0, 1), 350.0), ohms((2, 3), 0.5)], &[]);
/// assert!(danger::live_windings(&found.windings, None, (0, 1), Volts(6.3)).is_empty());
/// let live = danger::live_windings(&found.windings, None, (2, 3), Volts(6.3));
/// assert_eq!(live[0].pair, (0, 1));
/// assert!((live[0].volts.0 - 167.0).abs() < 1.0 && live[0].guessed);
/// ```
pub fn live_windings(
    windings: &[Winding],
    fit: Option<&TurnsFit>,
    fed: Pair,
    volts: Volts,
) -> Vec<Danger> {
    let mut dangers: Vec<Danger> = (windings.iter())
        .filter_map(|winding| {
            let ends = (*winding.leads.first()?, *winding.leads.last()?);
            let step_up = StepUp::new(windings, fit, ends, fed)?;
            (volts.0 * step_up.most > HAZARDOUS.0).then_some(Danger {
                pair: ends,
                volts: Volts(volts.0 * step_up.expected),
                guessed: step_up.guessed,
            })
        })
        .collect();
    dangers.sort_by(|a, b| b.volts.0.total_cmp(&a.volts.0));
    dangers
}

/// Two windings in series, if they carry more than [`HAZARDOUS`] volts when a pair is fed with
/// this voltage. Until their voltage is read it is at most the sum of both.
fn live_series(
    windings: &[Winding],
    fit: Option<&TurnsFit>,
    (fed, volts): (Pair, Volts),
    series: &Series,
) -> Option<Danger> {
    let part = |lead: Lead, joined: Lead| match lead == joined {
        true => Some(StepUp::NONE),
        false => StepUp::new(windings, fit, (lead, joined), fed),
    };
    let (most, expected, guessed) = match series.volts {
        Some(read) => (read.0, read.0, false),
        None => {
            let here = part(series.pair.0, series.joined.0)?;
            let there = part(series.pair.1, series.joined.1)?;
            (
                volts.0 * (here.most + there.most),
                volts.0 * (here.expected + there.expected),
                here.guessed || there.guessed,
            )
        }
    };
    (most > HAZARDOUS.0).then_some(Danger {
        pair: series.pair,
        volts: Volts(expected),
        guessed,
    })
}

/// Whether enough is measured to say what becomes live when this pair is fed: every lead is on
/// a winding that can be compared, or is proven to be on none.
fn is_known(windings: &[Winding], fit: Option<&TurnsFit>, fed: Pair) -> bool {
    let is_known = |winding: &Winding| match winding.leads[..] {
        [first, .., last] => StepUp::new(windings, fit, (first, last), fed).is_some(),
        _ => winding.closed,
    };
    windings.iter().all(is_known)
}

/// Turns between two leads divided by the turns that are fed.
#[derive(Debug, Clone, Copy)]
struct StepUp {
    expected: f64,
    /// The most that the readings allow.
    most: f64,
    /// Whether it follows from resistances only.
    guessed: bool,
}

impl StepUp {
    const NONE: Self = Self {
        expected: 0.0,
        most: 0.0,
        guessed: false,
    };

    fn new(windings: &[Winding], fit: Option<&TurnsFit>, ends: Pair, fed: Pair) -> Option<Self> {
        if let Some(ratio) = fit.and_then(|fit| fit.ratio(ends, fed)) {
            return Some(Self {
                expected: ratio.n,
                most: ratio.n * (COVERAGE_95 * ratio.relative).exp(),
                guessed: false,
            });
        }
        let (expected, most) = guessed_step_up(windings, ends, fed)?;
        expected.is_finite().then_some(Self {
            expected,
            most,
            guessed: true,
        })
    }
}

/// Turns between two leads divided by those between two others, as resistances suggest them: by
/// the likeliest orders of leads, and the most that any possible order makes of it.
fn guessed_step_up(windings: &[Winding], ends: Pair, fed: Pair) -> Option<(f64, f64)> {
    let home = |pair: Pair| {
        windings
            .iter()
            .find(|winding| winding.leads.contains(&pair.0))
    };
    let (there, here) = (home(ends)?, home(fed)?);
    let turns = |order: &Order, pair: Pair| guessed_turns(order, pair);
    let expected = turns(there.orders.first()?, ends)? / turns(here.orders.first()?, fed)?;
    if there.leads == here.leads {
        let all = there.orders.iter().filter_map(|order| {
            // Whatever the order is, its own ends have the most turns.
            let ends = (*order.leads.first()?, *order.leads.last()?);
            Some(turns(order, ends)? / turns(order, fed)?)
        });
        let most = all.fold(expected, f64::max);
        return Some((expected, most * GUESS_WITHIN_ONE_WINDING));
    }
    let most = |winding: &Winding, pair: Pair| {
        let all = winding.orders.iter().filter_map(|order| turns(order, pair));
        all.reduce(f64::max)
    };
    let least = here
        .orders
        .iter()
        .filter_map(|order| turns(order, fed))
        .reduce(f64::min)?;
    Some((expected, most(there, ends)? / least * GUESS_WITHIN))
}

/// The most that the ends of a winding get when two of its leads are fed, divided by what is fed,
/// whatever the order of its leads is. `None` when the readings do not tell it for every order.
pub(super) fn step_up_within(winding: &Winding, fed: Pair) -> Option<f64> {
    let of = |order: &Order| {
        let ends = (*order.leads.first()?, *order.leads.last()?);
        let (part, whole) = (order.resistance(fed)?, order.resistance(ends)?);
        let least = (part.value - part.uncertainty).max(f64::MIN_POSITIVE);
        Some(GUESS_WITHIN_ONE_WINDING * (whole.value + whole.uncertainty) / least)
    };
    let orders = winding.orders.iter().filter(|_| winding.orders_complete);
    let step_ups: Option<Vec<f64>> = orders.map(of).collect();
    step_ups?.into_iter().reduce(f64::max)
}

/// Turns between two leads of one winding, in a unit of their own. Windings fill similar parts
/// of the window, so `R ∝ N²`; along one winding `R ∝ N`.
fn guessed_turns(order: &Order, pair: Pair) -> Option<f64> {
    let whole = order.resistance((*order.leads.first()?, *order.leads.last()?))?;
    let part = order.resistance(pair)?;
    Some(part.value.max(0.0) / whole.value.max(f64::MIN_POSITIVE).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measured::windings::{Found, Resistance, find};
    use tapwright_units::uncertainty::Uncertain;

    fn found() -> Found {
        let ohms = |pair, value: f64| Resistance {
            pair,
            ohms: Some(Uncertain {
                value,
                uncertainty: 0.01 * value,
            }),
        };
        find(
            5,
            &[
                ohms((0, 1), 300.0),
                ohms((0, 2), 140.0),
                ohms((2, 1), 160.0),
                ohms((3, 4), 0.6),
            ],
            &[],
        )
    }

    #[test]
    fn half_a_primary_steps_the_whole_up() {
        let live = live_windings(&found().windings, None, (0, 2), Volts(20.0));
        assert_eq!(live.len(), 1, "{live:?}");
        assert!((live[0].volts.0 - 20.0 * 300.0 / 140.0).abs() < 0.1);
    }

    #[test]
    fn the_whole_primary_steps_nothing_up() {
        assert!(live_windings(&found().windings, None, (0, 1), Volts(24.0)).is_empty());
        // But more than the limit on the fed winding itself is too much as well.
        assert_eq!(
            live_windings(&found().windings, None, (0, 1), Volts(31.0)).len(),
            1
        );
    }

    #[test]
    fn without_resistances_nothing_is_guessed() {
        let found = find(4, &[], &[]);
        assert!(live_windings(&found.windings, None, (0, 1), Volts(6.3)).is_empty());
    }
}
