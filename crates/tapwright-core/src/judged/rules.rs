//! The best verdict that each thing leaves to a connection.

use crate::matching::Verdict;
use tapwright_stage::stress::Passed;

/// Power lost against the target load up to which a load fits; about what one can just hear.
/// Common practice, no source.
pub const FITS_WITHIN_DECIBELS: f64 = 1.0;

/// Power lost against the target load up to which a load is usable: half the power.
pub const USABLE_WITHIN_DECIBELS: f64 = 3.0;

/// A connection is much dirtier than the target load above this many times its distortion, if
/// that is more than [`DIRTY`] too.
pub const DIRTIER: f64 = 1.5;
/// Distortion above which a stage counts as dirty, 0 to 1: most published examples of
/// pentodes state their power at it.
pub const DIRTY: f64 = 0.10;

/// Power beyond what a hookup takes, by up to this factor, is only usable.
const SPEAKERS_BEYOND: f64 = 2.0;

/// A load asks more of the tube than the target load above the first factor, and too much
/// above the second: screens are not predicted more nearly. Common practice, no source.
pub const MORE: f64 = 1.1;
const TOO_MUCH: f64 = 1.25;

/// The best verdict that limits passed into a load leave to it. Only what the load asks
/// beyond the target load counts: what the target load passes too is the stage's health.
pub fn by_limits(passed: &Passed, at_target: &Passed) -> Verdict {
    let worst = passed.iter().zip(at_target).map(|(passed, at_target)| {
        let Some(passed) = passed else {
            return Verdict::Fits;
        };
        let beyond = |value: f64, at_target: Option<f64>| {
            value / at_target.unwrap_or(passed.limit).max(passed.limit)
        };
        let up_to_full = beyond(passed.up_to_full, at_target.map(|target| target.up_to_full));
        let overdriven = beyond(passed.value, at_target.map(|target| target.value));
        if up_to_full > TOO_MUCH {
            Verdict::Avoid
        } else if up_to_full > MORE || overdriven > TOO_MUCH {
            Verdict::Usable
        } else {
            Verdict::Fits
        }
    });
    worst.fold(Verdict::Fits, Verdict::max)
}

/// The best verdict that power lost against the target load leaves, dB.
pub fn by_power(lost: f64) -> Verdict {
    if lost > USABLE_WITHIN_DECIBELS {
        Verdict::Avoid
    } else if lost > FITS_WITHIN_DECIBELS {
        Verdict::Usable
    } else {
        Verdict::Fits
    }
}

/// The best verdict that distortion leaves, 0 to 1, held against that into the target load.
pub fn by_distortion(thd: f64, at_target: f64) -> Verdict {
    match thd > DIRTY && thd > DIRTIER * at_target {
        true => Verdict::Usable,
        false => Verdict::Fits,
    }
}

/// The best verdict that power over what the hookup takes leaves.
pub fn by_speakers(over: f64) -> Verdict {
    if over > SPEAKERS_BEYOND {
        Verdict::Avoid
    } else if over > 1.001 {
        Verdict::Usable
    } else {
        Verdict::Fits
    }
}
