//! Push-pull amplifiers.

use anyhow::Result;
use tapwright_amplifier::{
    Amplifier, Bypass, Driver, Load, LongTailed, Output, SplitLoad, Splitter, TakeOff, Transformer,
    Volume,
};
use tapwright_stage::{ScreenFeed, Supply};
use tapwright_tube::{Bias, Topology};

use super::list::{List, own_divider, set_feedback, set_first};
use super::singles::single;
use super::{driver, feedback, output, transformer, triode};

fn pair_of_el84() -> Result<Output> {
    output("EL84", Topology::PushPull, 320.0, Bias::Cathode(130.0))
}

fn pair_transformer() -> Transformer {
    Transformer {
        primary_turns: 1200.0,
        inductance: Some(40.0),
        leakage: 12e-3,
        capacitance: 400e-12,
        core_ohms: 90e3,
        ..transformer(1200.0, &[(27.0, 0.25), (38.0, 0.4), (54.0, 0.6)])
    }
}

/// Two EL84 behind a long-tailed pair, and a driver or none before it.
pub(super) fn long_tailed(drivers: Vec<Driver>) -> Result<Amplifier> {
    Ok(Amplifier {
        drivers,
        splitter: Some(Splitter::LongTailed(LongTailed {
            tube: triode("12AX7")?,
            supply_volts: 300.0,
            plate_ohms: [82e3, 100e3],
            bias_ohms: 470.0,
            tail_ohms: 10e3,
            foot_ohms: 4.7e3,
            leak_ohms: 1e6,
            coupling_farads: 22e-9,
        })),
        output: pair_of_el84()?,
        transformer: pair_transformer(),
        feedback: feedback(TakeOff::Selected, 0, 47e3),
        ..single()?
    })
}

/// Two EL84 behind a split load on the plate of the last driver.
pub(super) fn split_load(drivers: Vec<Driver>) -> Result<Amplifier> {
    Ok(Amplifier {
        drivers,
        splitter: Some(Splitter::SplitLoad(SplitLoad {
            tube: triode("12AX7")?,
            supply_volts: 310.0,
            ohms: 100e3,
            grid_volts: None,
        })),
        output: pair_of_el84()?,
        transformer: pair_transformer(),
        feedback: feedback(TakeOff::Selected, 0, 33e3),
        ..single()?
    })
}

pub(super) fn before_split() -> Result<Driver> {
    driver("12AX7", [220e3, 1.5e3], 270.0)
}

pub(super) fn add(list: &mut List) -> Result<()> {
    let first = || driver("12AX7", [100e3, 1.5e3], 280.0);
    list.add("long_tail", long_tailed(vec![]), |_| {})?;
    list.driven(0.5);
    list.add("long_tail_without_feedback", long_tailed(vec![]), |a| {
        a.feedback = None;
    })?;
    list.add("long_tail_driver", long_tailed(vec![first()?]), |a| {
        set_first(a, |d| d.bypass = Bypass::Whole(25e-6));
    })?;
    let mut second = first()?;
    second.coupling_farads = Some(22e-9);
    second.volume = Some(Volume {
        ohms: 1e6,
        share: 0.2,
    });
    list.add(
        "long_tail_two_drivers_fixed_tap",
        long_tailed(vec![first()?, second]),
        |a| {
            a.feedback = feedback(TakeOff::Tap(0), 0, 33e3);
        },
    )?;
    list.add("long_tail_presence", long_tailed(vec![]), |a| {
        set_feedback(a, |f| f.presence = Some((100e-9, 5e3)));
    })?;
    let large = || -> Result<Amplifier> {
        let base = long_tailed(vec![])?;
        let pair = output("EL34", Topology::PushPull, 420.0, Bias::Fixed(-34.0))?;
        Ok(Amplifier {
            output: Output {
                leak_ohms: 220e3,
                coupling_farads: 47e-9,
                ..pair
            },
            ..base
        })
    };
    list.add("long_tail_fixed_bias", large(), |a| {
        a.output.stage.screen = ScreenFeed::Own(Supply {
            volts: 400.0,
            ohms: 500.0,
        });
        a.output.stage.stoppers.each = 1e3;
    })?;
    list.driven(1.0);
    list.add("long_tail_four_tubes", large(), |a| {
        a.output.stage.tubes_per_side = 2;
    })?;
    list.add("long_tail_tapped_screens", long_tailed(vec![]), |a| {
        a.output.stage.screen = ScreenFeed::Tap(0.43);
    })?;
    list.driven(0.5);
    list.add("long_tail_unlike_sides", long_tailed(vec![]), |a| {
        a.output.stage.imbalance.current = 0.2;
        a.transformer.unlike_turns = 0.04;
    })?;
    list.add("long_tail_tap_pair", long_tailed(vec![]), |a| {
        a.transformer.grounded = Some(0);
        a.transformer.selected = 2;
        a.load = Some(Load::rated(4.0));
    })?;
    list.add("long_tail_without_speaker", long_tailed(vec![]), |a| {
        a.load = None;
        set_feedback(a, |f| f.ohms = 150e3);
    })?;
    list.add("split_load", split_load(vec![before_split()?]), |_| {})?;
    list.driven(0.15);
    list.add(
        "split_load_own_divider",
        split_load(vec![first()?]),
        own_divider,
    )?;
    list.add("split_load_without_driver", split_load(vec![]), |a| {
        own_divider(a);
        a.feedback = None;
    })?;
    let two = || -> Result<Vec<Driver>> {
        let mut second = driver("12AU7", [47e3, 1.5e3], 220.0)?;
        second.coupling_farads = Some(22e-9);
        Ok(vec![driver("12AX7", [100e3, 2.2e3], 220.0)?, second])
    };
    list.add(
        "split_load_two_drivers_into_the_first",
        split_load(two()?),
        |a| {
            set_feedback(a, |f| f.ohms = 1e6);
        },
    )?;
    list.add(
        "split_load_two_drivers_into_the_second",
        split_load(two()?),
        |a| {
            a.feedback = feedback(TakeOff::Tap(0), 1, 10e3);
        },
    )?;
    list.driven(0.02);
    list.add(
        "split_load_triode_strapped",
        split_load(vec![before_split()?]),
        |a| {
            a.output.stage.screen = ScreenFeed::Tap(1.0);
            a.transformer.capacitance = 0.0;
        },
    )?;
    list.add(
        "split_load_partly_bypassed",
        split_load(vec![before_split()?]),
        |a| {
            set_first(a, |d| d.bypass = Bypass::Partly(22e-6, 100.0));
            a.feedback = feedback(TakeOff::Tap(2), 0, 4.7e3);
        },
    )?;
    list.add(
        "split_load_volume_without_feedback",
        split_load(vec![before_split()?]),
        |a| {
            set_first(a, |d| {
                d.bypass = Bypass::Whole(22e-6);
                d.volume = Some(Volume {
                    ohms: 1e6,
                    share: 0.1,
                });
            });
            a.feedback = None;
        },
    )?;
    list.add(
        "split_load_no_loss_in_the_core",
        split_load(vec![before_split()?]),
        |a| {
            a.transformer.core_ohms = f64::INFINITY;
            a.transformer.leakage = 0.0;
        },
    )?;
    list.add("pair_without_driver", long_tailed(vec![]), |a| {
        a.splitter = None;
        a.feedback = None;
    })?;
    list.driven(6.0);
    Ok(())
}
