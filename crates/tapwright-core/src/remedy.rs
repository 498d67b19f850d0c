//! What would suit, where nothing that is there does.

use serde::Serialize;

use crate::judged::Judged;
use crate::matching::{FITS_WITHIN, Match, Verdict};
use crate::published;
use crate::solved::Solved;
use tapwright_iron::transformer::{Secondary, Transformer};
use tapwright_units::{Ohms, Volts};

/// Impedances that hookups of common speakers have, Ω. Common practice, no source.
const CUSTOMARY: [f64; 5] = [2.0, 4.0, 8.0, 16.0, 32.0];

/// A tube is offered whose published plate voltage is within this factor of B+.
const NEAR: f64 = 1.1;

/// Most tubes that are offered.
const MOST_TUBES: usize = 3;

/// Something that would make a connection fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Remedy {
    /// A hookup of other ohms, on this lead and tap.
    Speaker {
        /// Its rated impedance.
        ohms: Ohms,
        /// Place of the lead.
        lead: usize,
        /// The tap.
        secondary: Secondary,
    },
    /// Another tube, for which the load of the nearest connection is published.
    Tube {
        /// Its type.
        designation: &'static str,
        /// The load that it wants.
        load: Ohms,
    },
}

/// What would suit in place of the best connection of a hookup, where that is one to avoid.
pub(crate) fn every(solved: &Solved, best: &Judged) -> Vec<Remedy> {
    let Some(transformer) = &solved.transformer else {
        return Vec::new();
    };
    if best.connection.load.verdict() != Verdict::Avoid {
        // The load would do: other speakers of the same ohms, or a healthier stage, are needed.
        return Vec::new();
    }
    let mut remedies: Vec<Remedy> = speaker(solved, transformer, best).into_iter().collect();
    remedies.extend(tubes(solved, best));
    remedies
}

/// The common speaker, nearest to the one that is there, that fits one of the taps.
fn speaker(solved: &Solved, transformer: &Transformer, best: &Judged) -> Option<Remedy> {
    let there = best.connection.impedance.0;
    let mut found: Option<(f64, Remedy)> = None;
    for (lead, secondary) in taps(transformer) {
        let Some(ratio) = transformer.turns_ratio(lead, secondary) else {
            continue;
        };
        let target = solved.target.on(transformer.leads[lead].rated);
        for ohms in CUSTOMARY {
            let load = Match {
                reflected: Ohms(ratio.powi(2) * ohms),
                target,
            };
            let far = (ohms / there).ln().abs() + load.distance();
            if load.verdict().is_fit() && found.as_ref().is_none_or(|(least, _)| far < *least) {
                let ohms = Ohms(ohms);
                found = Some((
                    far,
                    Remedy::Speaker {
                        ohms,
                        lead,
                        secondary,
                    },
                ));
            }
        }
    }
    found.map(|(_, remedy)| remedy)
}

/// Every primary lead with every single tap.
fn taps(transformer: &Transformer) -> impl Iterator<Item = (usize, Secondary)> + '_ {
    let leads = 0..transformer.leads.len();
    leads.flat_map(|lead| (0..transformer.taps.len()).map(move |tap| (lead, Secondary::Tap(tap))))
}

/// Tubes that want what the nearest connection reflects.
fn tubes(solved: &Solved, best: &Judged) -> Vec<Remedy> {
    let reflected = best.connection.load.reflected.0;
    let is_near = |volts: Volts| {
        solved
            .supply
            .is_none_or(|supply| (supply.0 / volts.0).max(volts.0 / supply.0) <= NEAR)
    };
    let mut found: Vec<(f64, Remedy)> = Vec::new();
    for tube in published::types() {
        let loads = published::loads(tube, solved.topology).into_iter();
        let off = |load: Ohms| (load.0 / reflected).ln().abs();
        let best = loads
            .filter(|load| is_near(load.plate) && off(load.load) <= FITS_WITHIN.ln())
            .min_by(|a, b| off(a.load).total_cmp(&off(b.load)));
        if let Some(load) = best {
            let remedy = Remedy::Tube {
                designation: load.tube,
                load: load.load,
            };
            found.push((off(load.load), remedy));
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.truncate(MOST_TUBES);
    found.into_iter().map(|(_, remedy)| remedy).collect()
}
