//! A hookup and what its drivers get.

use serde::Serialize;

use crate::connection::SpeakerLoad;
use crate::values::{HookupValues, Values};
use tapwright_speaker::sweep;
use tapwright_speaker::{
    Driver, DriverShare, Hookup, LOWEST_SHARE_OF_RATED, MixedHookup, SafePower,
};
use tapwright_units::{Ohms, Watts};

/// A hookup and what its drivers get.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolvedHookup {
    /// Its place in the set-up, counted from 0.
    pub place: usize,
    /// The speakers and how they are joined.
    pub speakers: Hookup,
    /// The drivers as they are, in the order of the hookup.
    #[serde(skip)]
    pub drivers: Vec<Driver>,
    /// Impedance from rated impedances.
    pub impedance: Ohms,
    /// The lowest impedance that these ratings allow in the rated band.
    pub lowest_impedance: Ohms,
    /// What each driver gets.
    pub shares: Vec<DriverShare>,
    /// Most power for the whole hookup, and the place of the driver that limits it.
    /// `None` until every driver has a rating.
    pub largest_power: Option<(Watts, usize)>,
    /// The same over frequency, when a driver is described as it is.
    pub safe: Option<SafePower>,
}

impl SolvedHookup {
    /// The hookup with its drivers, over frequency.
    pub fn mixed(&self) -> Option<MixedHookup<'_>> {
        MixedHookup::new(&self.speakers, &self.drivers)
    }

    /// The hookup as a load, from rated impedances; or from the impedance at `hertz`, where
    /// no rating says how low it may be: then the lowest from 20 Hz to 20 kHz counts.
    pub(crate) fn load(&self, hertz: Option<f64>) -> SpeakerLoad {
        let rated = SpeakerLoad {
            hookup: self.place,
            impedance: self.impedance,
            lowest: Ohms(LOWEST_SHARE_OF_RATED * self.impedance.0),
        };
        let Some((hertz, mixed)) = hertz.zip(self.mixed()) else {
            return rated;
        };
        let modulus = |hertz: f64| mixed.impedance_at(hertz).norm();
        let impedance = modulus(hertz);
        let all = sweep::frequencies().into_iter().map(modulus);
        SpeakerLoad {
            impedance: Ohms(impedance),
            lowest: Ohms(all.fold(impedance, f64::min)),
            ..rated
        }
    }

    /// The most power that the hookup takes, at rated impedances and over frequency.
    pub fn takes(&self) -> Option<Watts> {
        let safe = self.safe.map_or(f64::INFINITY, |safe| safe.watts.0);
        let (rated, _) = self.largest_power?;
        Some(Watts(rated.0.min(safe)))
    }
}

/// Every hookup that could be read.
pub(crate) fn every(values: &Values) -> Vec<SolvedHookup> {
    let read = values.hookups.iter().enumerate();
    read.filter_map(|(place, hookup)| {
        let hookup = hookup.as_ref()?;
        let shares = hookup.speakers.shares(&hookup.ratings);
        Some(SolvedHookup {
            place,
            impedance: hookup.speakers.impedance(),
            lowest_impedance: hookup.speakers.lowest_impedance(),
            largest_power: tapwright_speaker::largest_power(&shares),
            safe: safe(hookup),
            drivers: hookup.drivers.clone(),
            speakers: hookup.speakers.clone(),
            shares,
        })
    })
    .collect()
}

fn safe(hookup: &HookupValues) -> Option<SafePower> {
    if hookup.drivers.iter().all(|driver| driver.name.is_empty()) {
        // All of one kind: the shares are the rated ones at every frequency.
        return None;
    }
    let mixed = MixedHookup::new(&hookup.speakers, &hookup.drivers)?;
    mixed.safe_power(&sweep::frequencies(), &hookup.ratings)
}
