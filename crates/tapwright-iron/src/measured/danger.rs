//! What a test would put on the other leads, said before it is made.

use super::findings::Series;
use super::turns::TurnsFit;
use super::windings::Winding;
use super::{Lead, Pair};
use tapwright_units::Volts;
use tapwright_units::uncertainty::COVERAGE_95;

/// Above this a voltage that can be touched is hazardous live: 30 V rms, 42.4 V peak (IEC
/// 61010-1, 6.3.1 a, normal condition, dry; from memory).
pub const HAZARDOUS: Volts = Volts(30.0);

/// How far off turns may be that are guessed from resistances alone. Own estimate: windings
/// of one transformer seldom differ more in the copper that they are given.
pub const GUESS_WITHIN: f64 = 2.0;

/// Wire with this many times the ohms of another has more turns, whatever a voltmeter says.
/// By `R ∝ N²` it has 4.5 times as many; own estimate: no maker is that unfair to a winding.
pub const SURELY_FEWER: f64 = 20.0;

/// Two leads that a test would put a hazardous voltage between.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Danger {
    /// The leads.
    pub pair: Pair,
    /// The voltage to be expected, rms.
    pub volts: Volts,
    /// Whether it follows from resistances only, `N ∝ √R`, and may be off by a factor of two.
    pub guessed: bool,
}

/// Windings that would carry more than [`HAZARDOUS`] volts with `volts` fed to a pair of
/// leads, the highest first. Counts what the readings allow at the most: the end of the 95 %
/// interval, or twice a guess. A winding of which neither turns nor resistance are known does
/// not show up here.
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
            let (expected, most, guessed) = step_up(windings, fit, ends, fed)?;
            (volts.0 * most > HAZARDOUS.0).then_some(Danger {
                pair: ends,
                volts: Volts(volts.0 * expected),
                guessed,
            })
        })
        .collect();
    dangers.sort_by(|a, b| b.volts.0.total_cmp(&a.volts.0));
    dangers
}

/// Two windings in series that would show more than [`HAZARDOUS`] volts with this pair fed
/// with so much: as read, or the sum of both at the most while nothing is read.
pub fn in_series(
    windings: &[Winding],
    fit: Option<&TurnsFit>,
    (fed, volts): (Pair, Volts),
    series: &Series,
) -> Option<Danger> {
    let part = |lead: Lead, joined: Lead| match lead == joined {
        true => Some((0.0, 0.0, false)),
        false => step_up(windings, fit, (lead, joined), fed),
    };
    let (most, expected, guessed) = match series.volts {
        Some(read) => (read.0, read.0, false),
        None => {
            let here = part(series.pair.0, series.joined.0)?;
            let there = part(series.pair.1, series.joined.1)?;
            let sum = |a: f64, b: f64| volts.0 * (a + b);
            (
                sum(here.1, there.1),
                sum(here.0, there.0),
                here.2 || there.2,
            )
        }
    };
    (most > HAZARDOUS.0).then_some(Danger {
        pair: series.pair,
        volts: Volts(expected),
        guessed,
    })
}

/// Whether enough was measured to say what a test with this pair fed makes live: every lead
/// has a winding that can be compared, or is proven to be on none.
pub fn is_known(windings: &[Winding], fit: Option<&TurnsFit>, fed: Pair) -> bool {
    let is_known = |winding: &Winding| match winding.leads[..] {
        [first, .., last] => step_up(windings, fit, (first, last), fed).is_some(),
        _ => winding.closed,
    };
    windings.iter().all(is_known)
}

/// Turns of a pair over those that are fed: as expected, at the most, and whether guessed.
fn step_up(
    windings: &[Winding],
    fit: Option<&TurnsFit>,
    ends: Pair,
    fed: Pair,
) -> Option<(f64, f64, bool)> {
    if let Some(ratio) = fit.and_then(|fit| fit.ratio(ends, fed)) {
        return Some((
            ratio.n,
            ratio.n * (COVERAGE_95 * ratio.relative).exp(),
            false,
        ));
    }
    let times = guessed_turns(windings, ends)? / guessed_turns(windings, fed)?;
    let same =
        |winding: &Winding| winding.leads.contains(&ends.0) && winding.leads.contains(&fed.0);
    // Within one winding resistances are turns, but for the outer ones being longer.
    let within = if windings.iter().any(same) {
        1.2
    } else {
        GUESS_WITHIN
    };
    (times.is_finite()).then_some((times, times * within, true))
}

/// Turns in a scale of their own: of copper that fills like parts of the window, `R ∝ N²`,
/// and along one winding `R ∝ N`.
fn guessed_turns(windings: &[Winding], pair: Pair) -> Option<f64> {
    let has = |winding: &&Winding| winding.leads.contains(&pair.0);
    let winding = windings.iter().find(has)?;
    let whole = winding.ohms?.value.max(f64::MIN_POSITIVE);
    let place = |lead: Lead| winding.leads.iter().position(|other| *other == lead);
    let (a, b) = (place(pair.0)?, place(pair.1)?);
    let part = winding.sections.get(a.min(b)..a.max(b))?;
    let part: f64 = part.iter().map(|section| section.value).sum();
    Some(part.max(0.0) / whole.sqrt())
}

#[cfg(test)]
mod tests {
    use super::super::windings::{Found, Resistance, find};
    use super::*;
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
