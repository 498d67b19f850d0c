//! The tubes that are present, and where their cathodes stand.

use serde::Serialize;
use tapwright_amplifier::feedback::{Linear, opened};
use tapwright_tube::{Heater, Topology};

use super::cathodes::{Cathode, Role};
use crate::amplifier::{self, usual_stages};
use crate::setup::SplitterKind;
use crate::solved::Solved;

/// Bottles of one type.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Heated {
    /// The type.
    pub tube: &'static str,
    /// How many bottles.
    pub bottles: u32,
    /// The heater of one.
    pub heater: Heater,
    /// Whether the winding has the volts that it wants.
    pub is_on_winding: bool,
}

impl Heated {
    /// What all of them draw, A.
    pub fn amps(&self) -> f64 {
        f64::from(self.bottles) * self.heater.amps
    }
}

/// The output tubes and the drivers, as far as they are known.
pub(super) fn tubes(solved: &Solved) -> Vec<Heated> {
    let heated = |tube, bottles, heater: Option<Heater>| {
        heater.map(|heater| Heated {
            tube,
            bottles,
            heater,
            is_on_winding: false,
        })
    };
    let output = solved.stage().and_then(|stage| {
        let sides = if splitter(solved).is_some() { 2 } else { 1 };
        let tube = stage.tube.designation?;
        heated(
            tube,
            sides * stage.stage.tubes_per_side,
            solved.heaters.output,
        )
    });
    let driver = solved.amplifier.driver.and_then(|driver| {
        let name = driver.designation?;
        let systems = tapwright_tube::find(name)?.systems;
        heated(
            name,
            triodes(solved).div_ceil(systems),
            solved.heaters.driver,
        )
    });
    let rectifier = solved.heaters.rectifier_tube;
    let rectifier = rectifier.and_then(|(tube, heater)| heated(tube, 1, Some(heater)));
    output.into_iter().chain(driver).chain(rectifier).collect()
}

/// Whether a tube typed from its datasheet is there, of which no heater is known.
pub(super) fn has_own_tube(solved: &Solved) -> bool {
    let output = solved.stage().map(|stage| stage.tube.designation);
    let driver = solved.amplifier.driver.map(|driver| driver.designation);
    output == Some(None) || driver == Some(None)
}

/// What turns the phase: `None` in a single-ended stage.
fn splitter(solved: &Solved) -> Option<SplitterKind> {
    (solved.topology == Topology::PushPull).then_some(solved.amplifier.splitter)
}

/// Driver stages before the output stage, the splitter not counted.
fn stages(solved: &Solved) -> u32 {
    let long_tailed = splitter(solved) == Some(SplitterKind::LongTailed);
    let typed = solved.amplifier.drive.driver_stages;
    typed.unwrap_or(usual_stages(long_tailed)) as u32
}

/// Driver triodes before the output stage, the splitter’s included.
fn triodes(solved: &Solved) -> u32 {
    let splitter = match splitter(solved) {
        None => 0,
        Some(SplitterKind::SplitLoad) => 1,
        Some(SplitterKind::LongTailed) => 2,
    };
    stages(solved) + splitter
}

/// Every cathode of the tubes on the winding; the volts of the drivers’ from the circuit at rest.
pub(super) fn cathodes(solved: &Solved, tubes: &[Heated]) -> Vec<Cathode> {
    let cathode = |role, tube: &'static str, volts| {
        let found = tubes.iter().find(|found| found.tube == tube)?;
        (found.is_on_winding && !found.heater.is_filament).then_some(Cathode {
            role,
            tube,
            volts,
            limit: found.heater.cathode_volts,
            peak: None,
        })
    };
    let output = solved.stage().and_then(|stage| {
        let volts = stage.idle.cathode_volts;
        cathode(Role::Output, stage.tube.designation?, Some(volts))
    });
    let mut all: Vec<Cathode> = output.into_iter().collect();
    let Some(driver) = solved
        .amplifier
        .driver
        .and_then(|driver| driver.designation)
    else {
        return all;
    };
    let of_stages = [
        (Role::Driver, "v1 cathode"),
        (Role::SecondDriver, "v2 cathode"),
    ];
    let of_splitter = splitter(solved).map(|splitter| match splitter {
        SplitterKind::SplitLoad => (Role::SplitLoad, "split cathode"),
        SplitterKind::LongTailed => (Role::LongTailed, "pair cathode"),
    });
    let every = (of_stages.into_iter())
        .take(stages(solved) as usize)
        .chain(of_splitter);
    let rest = at_rest(solved);
    let volts = |node: &str| rest.as_ref()?.volts_at(node);
    all.extend(every.filter_map(|(role, node)| cathode(role, driver, volts(node))));
    all
}

/// The amplifier at rest, without feedback where its own circuit is refused.
fn at_rest(solved: &Solved) -> Option<Linear> {
    let amplifier = amplifier::parts(solved)?.amplifier;
    let linear = Linear::of(&amplifier).or_else(|_| Linear::of(&opened(&amplifier)));
    linear.ok()
}
