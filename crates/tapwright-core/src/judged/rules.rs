//! The best verdict that each thing leaves to a connection.

use crate::matching::Verdict;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{Exceeded, Passed};

/// Power lost against the target load up to which a load fits; about what one can just hear.
/// Common practice, no source.
pub const FITS_WITHIN_DECIBELS: f64 = 1.0;

/// Power lost against the target load up to which a load is usable: half the power.
pub const USABLE_WITHIN_DECIBELS: f64 = 3.0;

/// Power beyond what a hookup takes, by up to this factor, is only usable.
const SPEAKERS_BEYOND: f64 = 2.0;

/// Above this factor a load counts as harder on a limit than the target load, and as beyond a
/// limit that the target load keeps: screens are not predicted more nearly.
const HARDER: f64 = 1.25;

/// Idling beyond a limit by up to this factor is only usable, further beyond it is to avoid:
/// dissipation and current, within the tolerance of a model or a meter; and volts, which old
/// insulation bears or does not. Beyond the first factor, too, a target load that is as hard on
/// the tube is no excuse. Common practice, no source.
const HEAT_BEYOND: f64 = 1.1;
const VOLTS_BEYOND: f64 = 1.25;

/// The best verdict that limits passed at idle leave to any load.
pub fn by_idle(passed: &[Exceeded]) -> Verdict {
    let worst = |passed: &Exceeded| {
        let beyond = match passed.burden.is_heat() {
            true => HEAT_BEYOND,
            false => VOLTS_BEYOND,
        };
        match passed.over() <= beyond {
            true => Verdict::Usable,
            false => Verdict::Avoid,
        }
    };
    passed.iter().map(worst).fold(Verdict::Fits, Verdict::max)
}

/// The best verdict that limits passed into a load leave to it.
pub fn by_limits(passed: &Passed, at_target: &Passed) -> Verdict {
    let worst = passed.iter().zip(at_target).map(|(passed, at_target)| {
        let Some(passed) = passed else {
            return Verdict::Fits;
        };
        // By a quarter beyond the limit, or beyond what the target load asks where that is more.
        let harder = |value: f64, at_target: Option<f64>| {
            value > HARDER * at_target.unwrap_or(passed.limit).max(passed.limit)
        };
        if passed.is_up_to_full() {
            if harder(passed.up_to_full, at_target.map(|target| target.up_to_full)) {
                Verdict::Avoid
            } else if passed.up_to_full > HEAT_BEYOND * passed.limit {
                Verdict::Usable
            } else {
                Verdict::Fits
            }
        } else if harder(passed.value, at_target.map(|target| target.value)) {
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

/// The best verdict that an odd operating point leaves to any load.
pub fn by_point(conditions: &[Condition]) -> Verdict {
    let odd = |condition: &Condition| {
        matches!(
            condition,
            Condition::CutOff
                | Condition::BelowKnee
                | Condition::ScreenAbovePlate
                | Condition::NoSwing
        )
    };
    match conditions.iter().any(odd) {
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
