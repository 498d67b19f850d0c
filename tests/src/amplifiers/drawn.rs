//! Amplifiers drawn at random.

use anyhow::{Context, Result};
use fastrand::Rng;
use tapwright_amplifier::{
    Amplifier, Bypass, Driver, Load, LongTailed, SplitLoad, Splitter, TakeOff, Volume,
};
use tapwright_stage::{ScreenFeed, Supply};
use tapwright_tube::{Bias, Kind, Topology, tubes};

use super::{Case, driver, feedback, output, transformer, triode};

/// An ordinary amplifier that a number draws: any output tube of the table at a published
/// operating point, with drivers, a splitter and feedback of ordinary values.
///
/// # Errors
/// When there is nothing to draw from.
pub fn drawn(seed: u64) -> Result<Case> {
    let mut rng = Rng::with_seed(seed);
    let examples: Vec<_> = tubes()
        .iter()
        .flat_map(|tube| tube.examples.iter().map(move |example| (tube, example)))
        .collect();
    let (tube, example) = *rng.choice(&examples).context("no published example")?;
    let between = |rng: &mut Rng, low: f64, high: f64| low * (high / low).powf(rng.f64());
    let spread = |rng: &mut Rng| 0.85 + 0.3 * rng.f64();
    let supply = example.plate_volts * spread(&mut rng);
    let is_pair = example.topology == Topology::PushPull;
    let mut stage_output = output(
        tube.designation.as_ref(),
        example.topology,
        supply,
        example.bias,
    )?;
    stage_output.stage.tubes_per_side = rng.u32(1..=2);
    if let (Bias::Cathode(ohms), 2) = (
        &mut stage_output.stage.bias,
        stage_output.stage.tubes_per_side,
    ) {
        *ohms *= 0.5;
    }
    stage_output.stage.plate_supply.ohms = if rng.bool() { 300.0 * rng.f64() } else { 0.0 };
    stage_output.stage.screen = match (tube.kind, rng.u32(0..4)) {
        (Kind::Triode, _) | (_, 0) => ScreenFeed::Tap(1.0),
        (_, 1) => ScreenFeed::Tap(rng.f64()),
        (_, 2) => ScreenFeed::Dropper(between(&mut rng, 100.0, 5e3)),
        _ => ScreenFeed::Own(Supply {
            volts: example.screen_volts().min(supply),
            ohms: 500.0 * rng.f64(),
        }),
    };
    stage_output.stage.stoppers.each = if rng.bool() { 1e3 * rng.f64() } else { 0.0 };
    stage_output.coupling_farads = between(&mut rng, 4.7e-9, 470e-9);
    stage_output.leak_ohms = between(&mut rng, 47e3, 1e6);
    stage_output.grid_ohms = if rng.bool() {
        between(&mut rng, 470.0, 47e3)
    } else {
        0.0
    };
    let a_driver = |rng: &mut Rng, place: usize| -> Result<Driver> {
        let name = *rng
            .choice(&["12AX7", "12AU7", "12AT7", "6SN7", "6SL7"])
            .context("no triode")?;
        let high = matches!(name, "12AX7" | "6SL7");
        let plate = if high {
            between(rng, 68e3, 330e3)
        } else {
            between(rng, 15e3, 100e3)
        };
        let cathode = if high {
            between(rng, 820.0, 4.7e3)
        } else {
            between(rng, 330.0, 2.2e3)
        };
        let mut made = driver(name, [plate, cathode], 150.0 + 200.0 * rng.f64())?;
        made.bypass = match rng.u32(0..3) {
            0 => Bypass::None,
            1 => Bypass::Whole(25e-6),
            _ => Bypass::Partly(25e-6, 0.1 * cathode),
        };
        made.coupling_farads = (place > 0 || rng.bool()).then(|| between(rng, 4.7e-9, 470e-9));
        made.volume = rng.bool().then(|| Volume {
            ohms: 1e6,
            share: rng.f64(),
        });
        Ok(made)
    };
    let count = rng.usize(0..=2);
    let drivers = (0..count)
        .map(|place| a_driver(&mut rng, place))
        .collect::<Result<Vec<_>>>()?;
    let splitter = match (is_pair, rng.bool()) {
        (false, _) => None,
        (true, true) => Some(Splitter::SplitLoad(SplitLoad {
            tube: triode(if rng.bool() { "12AX7" } else { "12AU7" })?,
            supply_volts: 300.0 * spread(&mut rng),
            ohms: between(&mut rng, 22e3, 120e3),
            grid_volts: (drivers.is_empty() || rng.bool()).then(|| 50.0 + 50.0 * rng.f64()),
        })),
        (true, false) => Some(Splitter::LongTailed(LongTailed {
            tube: triode(if rng.bool() { "12AX7" } else { "12AT7" })?,
            supply_volts: 320.0 * spread(&mut rng),
            plate_ohms: [82e3, 100e3].map(|ohms| ohms * spread(&mut rng)),
            bias_ohms: between(&mut rng, 330.0, 1.5e3),
            tail_ohms: between(&mut rng, 6.8e3, 47e3),
            foot_ohms: between(&mut rng, 47.0, 4.7e3),
            leak_ohms: 1e6,
            coupling_farads: between(&mut rng, 4.7e-9, 100e-9),
        })),
    };
    let turns = |ohms: f64| (ohms / example.load_ohms).sqrt() * 1e3;
    let wire = between(&mut rng, 0.01, 0.08);
    let mut iron = transformer(
        1e3,
        &[4.0, 8.0, 16.0].map(|ohms| (turns(ohms), wire * ohms)),
    );
    iron.primary_ohms = wire * example.load_ohms;
    iron.inductance = rng.bool().then(|| between(&mut rng, 4.0, 100.0));
    iron.leakage = if rng.bool() {
        between(&mut rng, 2e-3, 100e-3)
    } else {
        0.0
    };
    iron.capacitance = if rng.bool() {
        between(&mut rng, 100e-12, 3e-9)
    } else {
        0.0
    };
    iron.core_ohms = if rng.bool() {
        between(&mut rng, 10.0, 50.0) * example.load_ohms
    } else {
        f64::INFINITY
    };
    iron.selected = rng.usize(0..3);
    let takes = match &splitter {
        Some(Splitter::LongTailed(_)) => true,
        _ => matches!(
            drivers.first().map(|d| d.bypass),
            Some(Bypass::None | Bypass::Partly(..))
        ),
    };
    let from = if rng.bool() {
        TakeOff::Selected
    } else {
        TakeOff::Tap(rng.usize(0..3))
    };
    let ohms = between(&mut rng, 1e3, 220e3);
    Ok(Case {
        name: format!("drawn::{seed}_{}", tube.designation),
        amplifier: Amplifier {
            source_ohms: between(&mut rng, 100.0, 100e3),
            drivers,
            splitter,
            output: stage_output,
            load: rng
                .bool()
                .then(|| Load::rated([4.0, 8.0, 16.0][iron.selected])),
            transformer: iron,
            feedback: if takes { feedback(from, 0, ohms) } else { None },
        },
        drive: None,
    })
}
