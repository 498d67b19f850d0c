//! The resistance of a tapped winding, as an ohmmeter reads it between leads.

use crate::place::{Place, find_place, place_with_most_turns};
use crate::transformer::{MOST_LEADS, TapPair};
use tapwright_units::entry::{Complaint, Expected, excerpt, shortest};
use tapwright_units::list;

/// Where the resistance of a wire is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WireOrigin {
    /// Measured between these two leads.
    Measured,
    /// The difference of two that were measured.
    Difference,
    /// From another that was measured, in proportion to the turns: it is one wire all along.
    ByTurns,
}

/// The resistance of the wire between two leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wire {
    /// Resistance, Ω.
    pub ohms: f64,
    /// Where it is from.
    pub origin: WireOrigin,
}

/// Resistances measured along one winding, each from the common lead or between two taps.
#[derive(Debug, Clone, PartialEq)]
pub struct WindingResistance {
    /// From the common lead, by place; `None` where it was not measured.
    measured: Vec<Option<f64>>,
    /// Turns from the common lead by place, in any unit.
    turns: Vec<f64>,
    /// Span two taps.
    pairs: Vec<(TapPair, f64)>,
}

/// The two ends of one measurement.
enum Span {
    Common(usize),
    Taps(TapPair),
}

/// Two taps as `4-8`, by name or by rating.
fn pair(places: &[Place], name: &str) -> Option<TapPair> {
    name.char_indices()
        .filter(|(_, c)| matches!(c, '-' | '–'))
        .find_map(|(at, c)| {
            let a = find_place(places, &name[..at])?;
            let b = find_place(places, &name[at + c.len_utf8()..])?;
            TapPair::new(a, b)
        })
}

impl WindingResistance {
    /// Reads resistances along a winding with these places. A single value is that of the whole
    /// winding. As many values as there are places are taken in their order. `8: 0.4` refers to
    /// a place by its name or rating; `4-8: 0.2` is between two taps.
    ///
    /// # Errors
    /// A [`Complaint`] when a value cannot be read, when it refers to no place, or when the
    /// readings contradict each other along the wire.
    pub fn read(text: &str, expected: &Expected, places: &[Place]) -> Result<Self, Complaint> {
        let complain = |why: String| Complaint::new(why, expected.example);
        let most = MOST_LEADS * (MOST_LEADS + 1) / 2;
        let values = list::read(text, expected, most)?;
        let unnamed = values.iter().filter(|value| value.name.is_empty()).count();
        if unnamed > 0 && unnamed < values.len() {
            return Err(complain(
                "some of the values have a name and some have none".into(),
            ));
        }
        if unnamed > 1 && unnamed != places.len() {
            return Err(complain(format!(
                "{unnamed} values for {} leads: one for each in their order, or say which",
                places.len()
            )));
        }
        let mut winding = Self {
            measured: vec![None; places.len()],
            turns: places.iter().map(|place| place.turns).collect(),
            pairs: Vec::new(),
        };
        for (at, value) in values.iter().enumerate() {
            let span = if value.name.is_empty() {
                Span::Common(if unnamed == 1 {
                    place_with_most_turns(places)
                } else {
                    at
                })
            } else if let Some(at) = find_place(places, &value.name) {
                Span::Common(at)
            } else if let Some(pair) = pair(places, &value.name) {
                Span::Taps(pair)
            } else {
                return Err(complain(format!(
                    "“{}” is neither a name nor a rating typed above",
                    excerpt(&value.name)
                )));
            };
            if !winding.record(span, value.value) {
                return Err(complain(format!(
                    "“{}” stands there twice",
                    excerpt(&value.name)
                )));
            }
        }
        winding
            .contradiction()
            .map_or(Ok(winding), |why| Err(complain(why)))
    }

    /// The resistances that an ohmmeter read at each place. `None` when it read none.
    pub fn from_ohmmeter(places: &[Place], ohms: Vec<Option<f64>>) -> Option<Self> {
        ohms.iter().any(Option::is_some).then(|| Self {
            measured: ohms,
            turns: places.iter().map(|place| place.turns).collect(),
            pairs: Vec::new(),
        })
    }

    /// A winding of which only the whole resistance is known.
    pub fn whole(ohms: f64) -> Self {
        Self {
            measured: vec![Some(ohms)],
            turns: vec![1.0],
            pairs: Vec::new(),
        }
    }

    fn record(&mut self, span: Span, ohms: f64) -> bool {
        match span {
            Span::Common(at) => self
                .measured
                .get_mut(at)
                .is_some_and(|place| place.replace(ohms).is_none()),
            Span::Taps(pair) => {
                let again = self.pairs.iter().any(|(other, _)| *other == pair);
                self.pairs.push((pair, ohms));
                !again
            }
        }
    }

    /// Measured places with their turns and ohms, fewest turns first.
    fn points(&self) -> Vec<(f64, f64)> {
        let all = self.turns.iter().zip(&self.measured);
        let mut points: Vec<(f64, f64)> = all
            .filter_map(|(turns, ohms)| Some((*turns, (*ohms)?)))
            .collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        points
    }

    /// Along one wire more turns cannot have less resistance, and a part cannot have more than
    /// the whole.
    fn contradiction(&self) -> Option<String> {
        let points = self.points();
        let falling = points.windows(2).find(|two| two[1].1 < two[0].1);
        if let Some(two) = falling {
            return Some(format!(
                "{} Ω on more turns than {} Ω: along one wire the resistance grows",
                shortest(two[1].1),
                shortest(two[0].1)
            ));
        }
        self.pairs.iter().find_map(|(pair, ohms)| {
            let (a, b) = pair.taps();
            let [a, b] = [a, b].map(|at| self.measured.get(at).copied().flatten());
            let most = a? + b?;
            (*ohms > most).then(|| {
                format!(
                    "{} Ω between two taps, and by way of the common lead it is {} Ω",
                    shortest(*ohms),
                    shortest(most)
                )
            })
        })
    }

    /// The wire from the common lead to a place; `None` when its resistance is not known.
    pub fn at(&self, place: usize) -> Option<Wire> {
        if let Some(ohms) = *self.measured.get(place)? {
            return Some(Wire {
                ohms,
                origin: WireOrigin::Measured,
            });
        }
        let turns = *self.turns.get(place)?;
        Some(Wire {
            ohms: self.by_turns(turns).or_else(|| self.like_pairs(turns))?,
            origin: WireOrigin::ByTurns,
        })
    }

    /// The two points (turns, ohms) between which the resistance at some turns is interpolated:
    /// the measured neighbours on either side. Below the first of them the common lead stands
    /// in; above the last the line runs on from the common lead through it.
    pub fn neighbours(&self, turns: f64) -> Option<[(f64, f64); 2]> {
        let points = self.points();
        let last = *points.last()?;
        let above = points.iter().find(|point| point.0 > turns);
        let below = points.iter().rev().find(|point| point.0 <= turns);
        Some(match above {
            None => [(0.0, 0.0), last],
            Some(above) => [below.copied().unwrap_or((0.0, 0.0)), *above],
        })
    }

    fn by_turns(&self, turns: f64) -> Option<f64> {
        let [a, b] = self.neighbours(turns)?;
        Some(a.1 + (b.1 - a.1) * (turns - a.0) / (b.0 - a.0))
    }

    /// When only tap pairs were measured: as many ohms per turn as the first pair has.
    fn like_pairs(&self, turns: f64) -> Option<f64> {
        let (pair, ohms) = self.pairs.first()?;
        let (a, b) = pair.taps();
        let own = (self.turns.get(a)? - self.turns.get(b)?).abs();
        Some(ohms * turns / own)
    }

    /// The wire between two taps: as measured, or the difference along the winding.
    pub fn between(&self, pair: TapPair) -> Option<Wire> {
        let own = self.pairs.iter().find(|(other, _)| *other == pair);
        if let Some((_, ohms)) = own {
            return Some(Wire {
                ohms: *ohms,
                origin: WireOrigin::Measured,
            });
        }
        let (a, b) = pair.taps();
        let (a, b) = (self.at(a)?, self.at(b)?);
        let measured = a.origin == WireOrigin::Measured && b.origin == WireOrigin::Measured;
        Some(Wire {
            ohms: (a.ohms - b.ohms).abs(),
            origin: if measured {
                WireOrigin::Difference
            } else {
                WireOrigin::ByTurns
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::places_of_taps;
    use crate::transformer::read_taps;
    use tapwright_units::Unit;

    const OHMS: Expected = Expected {
        unit: Unit::Ohm,
        least: 1e-3,
        most: 2e4,
        example: "0.5, or 4: 0.3, 8: 0.5",
        noun: "a winding’s resistance",
        joined: true,
    };

    fn read(taps: &str, text: &str) -> Result<WindingResistance, Complaint> {
        WindingResistance::read(
            text,
            &OHMS,
            &places_of_taps(&read_taps(taps).expect("taps")),
        )
    }

    fn pair(a: usize, b: usize) -> TapPair {
        TapPair::new(a, b).expect("two taps")
    }

    /// 4 and 16 Ω taps: the 16 Ω tap has twice the turns. Exact arithmetic.
    #[test]
    fn one_reading_gives_the_rest_by_turns() {
        let winding = read("4, 16", "0.6").expect("reads");
        let whole = winding.at(1).expect("ohms");
        assert_eq!((whole.ohms, whole.origin), (0.6, WireOrigin::Measured));
        let half = winding.at(0).expect("ohms");
        assert!((half.ohms - 0.3).abs() < 1e-12);
        assert_eq!(half.origin, WireOrigin::ByTurns);
        assert!((winding.between(pair(0, 1)).expect("ohms").ohms - 0.3).abs() < 1e-12);
    }

    #[test]
    fn a_pair_is_the_difference_or_its_own_reading() {
        let winding = read("4, 8, 16", "0.3, 0.5, 0.8").expect("reads");
        let difference = winding.between(pair(1, 2)).expect("ohms");
        assert!((difference.ohms - 0.3).abs() < 1e-12);
        assert_eq!(difference.origin, WireOrigin::Difference);
        let own = read("4, 8, 16", "4: 0.3, 8: 0.5, 8-16: 0.35").expect("reads");
        let wire = own.between(pair(1, 2)).expect("ohms");
        assert_eq!((wire.ohms, wire.origin), (0.35, WireOrigin::Measured));
        let named = read("white 4, grey 8", "white 0.3, grey 0.5").expect("reads");
        assert_eq!(named.at(1).expect("ohms").ohms, 0.5);
    }

    /// Span two taps only: (√16 − √4) turns have 0.4 Ω, so √4 have 0.4 Ω as well.
    #[test]
    fn a_reading_between_taps_alone() {
        let winding = read("4, 16", "4-16: 0.4").expect("reads");
        assert!((winding.at(0).expect("ohms").ohms - 0.4).abs() < 1e-12);
    }

    /// Measured at 2 and 4 turns' worth; in between, between.
    #[test]
    fn in_between_the_resistance_lies_between() {
        let winding = read("4, 9, 16", "4: 0.3, 16: 0.8").expect("reads");
        assert!((winding.at(1).expect("ohms").ohms - 0.55).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_is_refused() {
        for (text, why) in [
            ("0", "is zero"),
            ("-0.4", "negative"),
            ("open", "not a number"),
            ("0.3, 0.5", "2 values for 3 leads"),
            ("4: 0.5, 8: 0.4", "the resistance grows"),
            ("4: 0.5, 8: 0.6, 4-8: 1.2", "by way of the common lead"),
            ("5: 0.5", "neither a name nor a rating"),
            ("4: 0.5, 4: 0.6", "twice"),
            ("4-8: 0.5, 8-4: 0.6", "twice"),
            ("4: 0.5, 0.6", "some have none"),
        ] {
            let complaint = read("4, 8, 16", text).expect_err(text);
            assert!(complaint.why.contains(why), "{text}: {}", complaint.why);
        }
    }
}
