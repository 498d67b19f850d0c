//! What to beware of at idle.

use serde::Serialize;
use tapwright_idle::CathodePath;
use tapwright_tube::{Bias, Topology};

use super::on_bench::OnBench;
use super::{Limit, Read, WantedReport};
use crate::output::SolvedStage;

/// Share of the plate's limit at idle above which a fixed-bias pair in class AB runs too hot
/// with a signal. Common practice, no source.
pub const HOT_PAIR: f64 = 0.7;

/// What a resistor in a cathode or a screen is hardly ever made for, W. Own estimate.
const BURNS: f64 = 12.0;

/// What to beware of.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Note {
    /// As read the plate passes its limit by this share.
    PlateOverLimit(f64),
    /// As read the screen passes its limit by this share.
    ScreenOverLimit(f64),
    /// As read a fixed-bias pair idles at this share of the limit.
    HotPair(f64),
    /// What is wanted is more than the limit, this share of it.
    WantedOverLimit(f64),
    /// What is wanted is this share of the limit in a fixed-bias pair.
    WantedHotPair(f64),
    /// Watts are wanted as a share of a limit that is not known.
    LimitUnknown,
    /// The resistor that the cathode's volts were read over would dissipate so many watts.
    CathodeResistorBurns(f64),
    /// The screen resistor would dissipate so many watts.
    ScreenResistorBurns(f64),
    /// A grid stands above ground.
    PositiveGrid,
    /// The readings contradict each other.
    Contradiction,
    /// No tube like this one has both settings that were read.
    OtherSettingOdd,
    /// The parts typed cannot be scaled to these readings.
    NotScaled,
}

pub(super) fn notes(
    stage: &SolvedStage,
    limit: Option<Limit>,
    read: &Read,
    wanted: Option<&WantedReport>,
    leaks: bool,
    bench: &OnBench,
) -> Vec<Note> {
    let mut notes = Vec::new();
    let fixed = matches!(stage.stage.bias, Bias::Fixed(_));
    let is_fixed_pair = fixed && stage.stage.topology == Topology::PushPull;
    if leaks {
        notes.push(Note::PositiveGrid);
    }
    if let Read::Found(found) = read {
        if found.doubt.is_some() {
            notes.push(Note::Contradiction);
        }
        let hottest = |of: &dyn Fn(&super::SideShare) -> Option<f64>| {
            found.sides.iter().filter_map(of).fold(0.0, f64::max)
        };
        let plate = hottest(&|side| side.plate_share.map(|share| share.value));
        let screen = hottest(&|side| side.screen_share.map(|share| share.value));
        match plate {
            plate if plate > 1.0 => notes.push(Note::PlateOverLimit(plate)),
            plate if plate > HOT_PAIR && is_fixed_pair => notes.push(Note::HotPair(plate)),
            _ => {}
        }
        if screen > 1.0 {
            notes.push(Note::ScreenOverLimit(screen));
        }
        if found.other_is_odd {
            notes.push(Note::OtherSettingOdd);
        }
        if found.factor.is_none() && !leaks {
            notes.push(Note::NotScaled);
        }
        notes.extend(burning(bench));
    }
    if let (Some(wanted), Some(limit)) = (wanted, limit) {
        let share = wanted.watts / limit.plate_watts;
        match share {
            share if share > 1.0 => notes.push(Note::WantedOverLimit(share)),
            share if share > HOT_PAIR && is_fixed_pair => notes.push(Note::WantedHotPair(share)),
            _ => {}
        }
    }
    notes
}

/// Resistors that would burn at the volts that were read over them.
fn burning(bench: &OnBench) -> Vec<Note> {
    let sides = &bench.readings.sides;
    let watts = |volts: f64, ohms: f64| volts * volts / ohms;
    let mut notes = Vec::new();
    if let CathodePath::Common(one) | CathodePath::Each(one) = bench.wiring.cathode {
        let read = sides.iter().filter_map(|side| side.cathode);
        let most = read.fold(0.0, |most: f64, shown| {
            most.max(watts(shown.volts, one.ohms))
        });
        if most > BURNS {
            notes.push(Note::CathodeResistorBurns(most));
        }
    }
    use tapwright_idle::ScreenResistor::{Common, Each};
    if let Some(Common(one) | Each(one)) = bench.wiring.screen_resistor {
        let read = sides.iter().filter_map(|side| side.screen_drop);
        let most = read.fold(0.0, |most: f64, shown| {
            most.max(watts(shown.volts, one.ohms))
        });
        if most > BURNS {
            notes.push(Note::ScreenResistorBurns(most));
        }
    }
    notes
}
