//! Single-ended amplifiers.

use anyhow::Result;
use tapwright_amplifier::{Amplifier, Bypass, Load, Output, TakeOff, Volume};
use tapwright_stage::{ScreenFeed, Supply};
use tapwright_tube::{Bias, Topology};

use super::list::{List, set_feedback, set_first};
use super::{driver, feedback, output, transformer};

/// 4, 8 and 16 Ω.
const TAPS: [(f64, f64); 3] = [(28.0, 0.2), (40.0, 0.3), (56.0, 0.45)];

/// One EL84 behind one 12AX7.
pub(super) fn single() -> Result<Amplifier> {
    Ok(Amplifier {
        source_ohms: 10e3,
        drivers: vec![driver("12AX7", [100e3, 1.5e3], 250.0)?],
        splitter: None,
        output: output("EL84", Topology::SingleEnded, 285.0, Bias::Cathode(130.0))?,
        transformer: transformer(1000.0, &TAPS),
        load: Some(Load::rated(8.0)),
        feedback: feedback(TakeOff::Selected, 0, 15e3),
    })
}

/// Two stages before one EL84.
pub(super) fn long_single() -> Result<Amplifier> {
    let mut second = driver("12AU7", [47e3, 1.5e3], 250.0)?;
    second.coupling_farads = Some(22e-9);
    let mut amplifier = single()?;
    amplifier.drivers.push(second);
    amplifier.feedback = feedback(TakeOff::Selected, 1, 4.7e3);
    Ok(amplifier)
}

pub(super) fn add(list: &mut List) -> Result<()> {
    list.add("single", single(), |_| {})?;
    list.driven(0.15);
    list.add("single_without_feedback", single(), |a| a.feedback = None)?;
    list.driven(0.08);
    list.add("single_fixed_tap", single(), |a| {
        a.feedback = feedback(TakeOff::Tap(0), 0, 10e3);
        a.transformer.selected = 2;
        a.load = Some(Load::rated(16.0));
    })?;
    list.add("single_partly_bypassed", single(), |a| {
        set_first(a, |d| d.bypass = Bypass::Partly(25e-6, 100.0));
        set_feedback(a, |f| f.ohms = 2.2e3);
    })?;
    list.driven(0.08);
    list.add("single_wholly_bypassed", single(), |a| {
        set_first(a, |d| d.bypass = Bypass::Whole(25e-6));
        a.feedback = None;
    })?;
    list.add("single_two_drivers_into_the_second", long_single(), |_| {})?;
    list.driven(0.01);
    list.add("single_two_drivers_into_the_first", long_single(), |a| {
        a.feedback = feedback(TakeOff::Tap(2), 0, 220e3);
    })?;
    list.add("single_two_drivers_volume_between", long_single(), |a| {
        if let Some(second) = a.drivers.last_mut() {
            second.volume = Some(Volume {
                ohms: 500e3,
                share: 0.3,
            });
        }
    })?;
    list.add("single_without_driver", single(), |a| {
        a.drivers.clear();
        a.feedback = None;
    })?;
    list.driven(5.0);
    list.add("single_volume_at_the_input", single(), |a| {
        set_first(a, |d| {
            d.volume = Some(Volume {
                ohms: 1e6,
                share: 0.5,
            });
            d.coupling_farads = Some(47e-9);
        });
    })?;
    list.add("single_volume_at_full", single(), |a| {
        set_first(a, |d| {
            d.volume = Some(Volume {
                ohms: 1e6,
                share: 1.0,
            });
        });
    })?;
    list.add("single_fixed_bias", single(), |a| {
        a.output.stage.bias = Bias::Fixed(-8.0);
    })?;
    list.add("single_triode_strapped", single(), |a| {
        a.output.stage.screen = ScreenFeed::Tap(1.0);
    })?;
    list.add("single_screen_tap", single(), |a| {
        a.output.stage.screen = ScreenFeed::Tap(0.3);
    })?;
    let triode_amplifier = || -> Result<Amplifier> {
        let mut drivers = vec![
            driver("6SN7", [47e3, 1e3], 320.0)?,
            driver("6SN7", [33e3, 820.0], 350.0)?,
        ];
        drivers[1].coupling_farads = Some(220e-9);
        Ok(Amplifier {
            drivers,
            output: Output {
                coupling_farads: 220e-9,
                leak_ohms: 220e3,
                ..output("300B", Topology::SingleEnded, 400.0, Bias::Cathode(1e3))?
            },
            feedback: feedback(TakeOff::Tap(2), 1, 3.3e3),
            ..single()?
        })
    };
    list.add("single_300B", triode_amplifier(), |_| {})?;
    list.driven(0.8);
    list.add("single_ideal_iron", single(), |a| {
        let iron = &mut a.transformer;
        (iron.primary_ohms, iron.leakage, iron.capacitance) = (0.0, 0.0, 0.0);
        (iron.inductance, iron.core_ohms) = (None, f64::INFINITY);
        iron.taps.iter_mut().for_each(|tap| tap.ohms = 0.0);
    })?;
    list.add("single_copper_alone", single(), |a| {
        let iron = &mut a.transformer;
        (iron.leakage, iron.capacitance) = (0.0, 0.0);
        (iron.inductance, iron.core_ohms) = (None, f64::INFINITY);
    })?;
    list.add("single_leakage_without_capacitance", single(), |a| {
        a.transformer.capacitance = 0.0;
        a.transformer.core_ohms = f64::INFINITY;
    })?;
    list.add("single_capacitor_across_feedback", single(), |a| {
        set_feedback(a, |f| f.across = Some(470e-12));
    })?;
    list.add("single_presence", single(), |a| {
        set_feedback(a, |f| f.presence = Some((100e-9, 2e3)));
    })?;
    list.add("single_tap_pair", single(), |a| {
        a.transformer.grounded = Some(0);
        a.transformer.selected = 2;
        a.load = Some(Load::rated(4.0));
    })?;
    list.add("single_without_speaker", single(), |a| a.load = None)?;
    list.add("single_screen_supply", single(), |a| {
        a.output.stage.screen = ScreenFeed::Own(Supply {
            volts: 240.0,
            ohms: 470.0,
        });
        a.output.stage.stoppers.common = 220.0;
    })?;
    list.add("single_two_in_parallel", single(), |a| {
        a.output.stage.tubes_per_side = 2;
        a.output.stage.bias = Bias::Cathode(68.0);
    })?;
    list.add("single_cathode_without_capacitor", single(), |a| {
        a.output.cathode_farads = 0.0;
    })?;
    list.driven(0.3);
    list.add("single_stiff_supply", single(), |a| {
        a.output.stage.plate_supply.ohms = 0.0;
        a.output.stage.screen = ScreenFeed::Dropper(0.0);
        a.output.stage.stoppers.each = 0.0;
        a.output.grid_ohms = 0.0;
    })?;
    list.add("extreme_plate_load_of_an_ohm", single(), |a| {
        set_first(a, |d| d.plate_ohms = 1.0);
        // What is left of the gain is less than what goes straight on through the network.
        a.feedback = None;
    })?;
    list.add("extreme_plate_load_of_ten_megohms", single(), |a| {
        set_first(a, |d| d.plate_ohms = 10e6);
    })?;
    list.add("extreme_driver_biased_off", single(), |a| {
        set_first(a, |d| d.cathode_ohms = 1e6);
        set_feedback(a, |f| f.ohms = 1e6);
    })?;
    list.add("extreme_feedback_without_resistance", single(), |a| {
        set_feedback(a, |f| f.ohms = 0.0);
    })?;
    list.add("extreme_feedback_open", single(), |a| {
        set_feedback(a, |f| f.ohms = 1e9);
    })?;
    Ok(())
}
