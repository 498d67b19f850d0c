//! Every connection: primary lead × tap or tap pair × speaker hookup, by its geometry alone.

use serde::Serialize;

use crate::matching::{Match, Verdict};

use tapwright_iron::measured::findings::Findings;
use tapwright_iron::measured::turns::TurnsRatio;
use tapwright_iron::reflected_load::reflected_load;
use tapwright_iron::transformer::{Choice, Degenerate, Secondary, Transformer};
use tapwright_units::{Decibels, Ohms};

/// One connection and the load that the tube sees through it. Made once, never changed: what
/// comes of it stands in [`crate::judged::Judged`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Connection {
    /// Lead, tap or pair, and hookup.
    #[serde(flatten)]
    pub choice: Choice,
    /// Turns of the primary divided by turns of the secondary in use.
    pub turns_ratio: f64,
    /// Relative standard uncertainty of the turns ratio, where it was measured.
    pub uncertainty: Option<f64>,
    /// Impedance of the hookup: rated, or at the frequency typed.
    pub impedance: Ohms,
    /// Reflected load and target load.
    #[serde(flatten)]
    pub load: Match,
    /// Reflected load divided by target load.
    pub ratio: f64,
    /// What a matched source would lose.
    pub mismatch_loss: Decibels,
    /// Reflected load where the speakers' impedance, and a measured ratio, are at their lowest.
    pub lowest_reflected: Ohms,
    /// The verdict on that.
    pub lowest_verdict: Verdict,
    /// Why this pair of taps is shown and not recommended.
    pub degenerate: Option<Degenerate>,
}

/// A hookup as the load of a transformer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeakerLoad {
    /// Place of the hookup in the set-up, counted from 0.
    pub hookup: usize,
    /// The impedance that loads are made from.
    pub impedance: Ohms,
    /// The lowest impedance that counts.
    pub lowest: Ohms,
}

impl Connection {
    /// The loads that hold what is reflected in 95 of 100 cases, where the ratio was measured:
    /// `u(Z′)/Z′ = 2 u(n)/n` (JCGM 100:2008, 5.1).
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let report = solve(&link::parse("primary=8k&taps=8&hookup=8").setup);
    /// assert_eq!(report.solved.connections[0].connection.range(), None);
    /// ```
    pub fn range(&self) -> Option<(Ohms, Ohms)> {
        let (low, high) = factors(self.uncertainty?);
        let reflected = self.load.reflected.0;
        Some((Ohms(reflected * low), Ohms(reflected * high)))
    }

    /// Whether it uses a pair of taps.
    pub fn is_pair(&self) -> bool {
        matches!(self.choice.secondary, Secondary::Pair(_))
    }
}

/// The factors on the load between which a measured turns ratio leaves it.
fn factors(relative: f64) -> (f64, f64) {
    let (low, high) = TurnsRatio { n: 1.0, relative }.range();
    (low * low, high * high)
}

/// Every connection of `transformer` with the hookups, in the order hookup, lead, secondary;
/// `target` gives the target load on a lead, by its place. Of a measured transformer those are
/// left out whose ratio the readings leave open.
///
/// Linear in the number of connections.
///
/// ```
/// use tapwright_core::connection::{self, SpeakerLoad};
/// use tapwright_iron::transformer::*;
/// use tapwright_units::Ohms;
/// let transformer = Transformer {
///     leads: read_leads("8k").unwrap(), taps: read_taps("3, 8, 15").unwrap(), line: None,
/// };
/// let speakers = [SpeakerLoad { hookup: 0, impedance: Ohms(8.0), lowest: Ohms(6.4) }];
/// let all = connection::every(&transformer, None, &speakers, |_| Some(Ohms(8_000.0)));
/// assert_eq!(all.len(), 6);
/// assert!((all[1].load.reflected.0 - 8_000.0).abs() < 1e-6);
/// ```
pub fn every(
    transformer: &Transformer,
    measured: Option<&Findings>,
    speakers: &[SpeakerLoad],
    target: impl Fn(usize) -> Option<Ohms>,
) -> Vec<Connection> {
    let mut all = Vec::new();
    for speakers in speakers {
        for lead in 0..transformer.leads.len() {
            let Some(target) = target(lead) else { continue };
            all.extend(transformer.secondaries().filter_map(|secondary| {
                let choice = Choice {
                    lead,
                    secondary,
                    hookup: speakers.hookup,
                };
                let uncertainty = match measured {
                    Some(measured) => {
                        let transformer = measured.transformer.as_ref()?;
                        Some(transformer.ratio(lead, secondary)?.relative)
                    }
                    None => None,
                };
                connect(transformer, choice, uncertainty, speakers, target)
            }));
        }
    }
    all
}

fn connect(
    transformer: &Transformer,
    choice: Choice,
    uncertainty: Option<f64>,
    speakers: &SpeakerLoad,
    target: Ohms,
) -> Option<Connection> {
    let turns_ratio = transformer.turns_ratio(choice.lead, choice.secondary)?;
    let reflect = |ohms: Ohms, factor: f64| Match {
        reflected: Ohms(factor * reflected_load(turns_ratio, ohms).0),
        target,
    };
    let load = reflect(speakers.impedance, 1.0);
    let low = uncertainty.map_or(1.0, |relative| factors(relative).0);
    let lowest = reflect(speakers.lowest, low);
    Some(Connection {
        choice,
        turns_ratio,
        uncertainty,
        impedance: speakers.impedance,
        load,
        ratio: load.ratio(),
        mismatch_loss: load.mismatch_loss(),
        lowest_reflected: lowest.reflected,
        lowest_verdict: lowest.verdict(),
        degenerate: transformer.degenerate(choice.secondary),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use tapwright_iron::transformer::{read_leads, read_taps};

    /// 8 kΩ : 15 Ω and an 8 Ω speaker reflect 4266.7 Ω. Exact arithmetic.
    #[test]
    fn reflected_load() {
        let transformer = Transformer {
            leads: read_leads("8k").expect("leads"),
            taps: read_taps("15").expect("taps"),
            line: None,
        };
        let speakers = SpeakerLoad {
            hookup: 0,
            impedance: Ohms(8.0),
            lowest: Ohms(6.4),
        };
        let all = every(&transformer, None, &[speakers], |_| Some(Ohms(8_000.0)));
        assert!((all[0].turns_ratio - 23.094).abs() < 5e-4);
        assert!((all[0].load.reflected.0 - 4_266.7).abs() < 0.05);
        assert!((all[0].lowest_reflected.0 - 3_413.3).abs() < 0.05);
    }
}
