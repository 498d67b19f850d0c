//! Loops meant to oscillate.

use anyhow::Result;
use tapwright_amplifier::{Amplifier, Bypass, TakeOff};

use super::list::{List, own_divider, set_feedback, set_first};
use super::pairs::{before_split, long_tailed, split_load};
use super::singles::{long_single, single};
use super::{driver, feedback};

/// Loops meant to oscillate, for one reason each: turned round, too strong, too many corners.
pub(super) fn add(list: &mut List) -> Result<()> {
    let turned = |a: &mut Amplifier| a.transformer.reversed = true;
    list.add("howls_single_turned_round", single(), |a| {
        turned(a);
        set_feedback(a, |f| f.ohms = 3.3e3);
    })?;
    list.add("howls_long_tail_turned_round", long_tailed(vec![]), |a| {
        turned(a);
        set_feedback(a, |f| f.ohms = 10e3);
    })?;
    list.add(
        "howls_split_load_turned_round",
        split_load(vec![before_split()?]),
        turned,
    )?;
    list.add("howls_two_drivers_turned_round", long_single(), turned)?;
    list.add("holds_single_turned_round_weakly", single(), |a| {
        turned(a);
        set_feedback(a, |f| f.ohms = 470e3);
    })?;
    list.add("howls_two_drivers_strong", long_single(), |a| {
        a.feedback = feedback(TakeOff::Tap(2), 0, 2.2e3);
    })?;
    list.add("howls_single_strong_and_slow_iron", single(), |a| {
        a.transformer.leakage = 150e-3;
        a.transformer.capacitance = 2e-9;
        set_first(a, |d| d.bypass = Bypass::Partly(25e-6, 470.0));
        set_feedback(a, |f| f.ohms = 470.0);
    })?;
    list.add(
        "howls_split_load_strong",
        split_load(vec![before_split()?]),
        |a| {
            a.transformer.leakage = 60e-3;
            a.transformer.capacitance = 1e-9;
            set_feedback(a, |f| f.ohms = 820.0);
        },
    )?;
    list.add("howls_long_tail_strong", long_tailed(vec![]), |a| {
        a.transformer.leakage = 100e-3;
        a.transformer.capacitance = 3e-9;
        a.output.grid_ohms = 47e3;
        set_feedback(a, |f| f.ohms = 1e3);
    })?;
    let mut slow = driver("12AX7", [220e3, 1.5e3], 270.0)?;
    slow.leak_ohms = 220e3;
    list.add("howls_low_down", split_load(vec![slow]), |a| {
        a.transformer.inductance = Some(3.0);
        a.output.coupling_farads = 2.2e-9;
        own_divider(a);
        set_feedback(a, |f| f.ohms = 1e3);
    })?;
    list.add("howls_capacitor_across_the_wrong_way", long_single(), |a| {
        a.feedback = feedback(TakeOff::Tap(2), 0, 100e3);
        set_feedback(a, |f| f.across = Some(2.2e-9));
    })?;
    list.add(
        "howls_two_drivers_before_a_split",
        {
            let mut second = driver("12AU7", [47e3, 1.5e3], 220.0)?;
            second.coupling_farads = Some(10e-9);
            split_load(vec![driver("12AX7", [100e3, 2.2e3], 220.0)?, second])
        },
        |a| {
            set_feedback(a, |f| f.ohms = 10e3);
        },
    )?;
    list.add("howls_tap_pair_behind_the_ground", single(), |a| {
        // The take-off lies on the other side of the grounded tap.
        a.transformer.grounded = Some(2);
        a.transformer.selected = 1;
        a.feedback = feedback(TakeOff::Tap(0), 0, 1e3);
    })?;
    list.add("howls_without_speaker", single(), |a| {
        a.load = None;
        a.transformer.leakage = 60e-3;
        set_feedback(a, |f| f.ohms = 680.0);
    })?;
    Ok(())
}
