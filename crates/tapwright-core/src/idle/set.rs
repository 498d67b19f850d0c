//! The bias for a dissipation, the parts to make it from, and what it changes.

use serde::Serialize;
use tapwright_idle::bypass::Bypass;
use tapwright_idle::currents::Currents;
use tapwright_idle::divider::Divider;
use tapwright_idle::scaled::times;
use tapwright_idle::trimmer::{Trimmer, rating_for};
use tapwright_idle::wanted::{AtBias, cathode_for, grid_for};
use tapwright_stage::{Drive, Idle, Solver, Stage, StageError};
use tapwright_tube::Bias;

use super::Limit;
use crate::output::SolvedStage;
use crate::solved::Solved;

/// Other tubes that are shown: how much more or less they pass than this one.
const OTHER_TUBES: [f64; 4] = [0.8, 0.9, 1.1, 1.2];

/// A setting of the bias, and what the hotter tube's plate then dissipates.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Setting {
    /// Ω, or grid volts from the cathode.
    pub bias: f64,
    /// W.
    pub watts: f64,
    /// Over the limit, where that is known.
    pub share: Option<f64>,
}

/// The parts of which the bias is made.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Made {
    /// A fixed resistor and a trimmer at the cathodes.
    Resistor {
        /// The two.
        trimmer: Trimmer,
        /// What the fixed part is to be rated for, W.
        fixed_rating: Option<f64>,
        /// What the whole trimmer is to be rated for, W.
        trimmer_rating: Option<f64>,
        /// The trimmer at none, and at all of it, which is what a lost wiper leaves.
        ends: [Setting; 2],
        /// The capacitor across it.
        bypass: Bypass,
    },
    /// A divider from a bias supply.
    Divider {
        /// Its parts.
        divider: Divider,
        /// The trimmer at none, and at all of it, which is what a lost wiper leaves.
        ends: [Setting; 2],
    },
}

/// What a stage gives at full drive into its load.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Driven {
    /// W into the load.
    pub watts: f64,
    /// Distortion, 0 to 1.
    pub thd: f64,
}

/// Another tube at the new setting, and the setting that it wants.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Later {
    /// What a meter shows at the cathode with the new setting, V from ground.
    pub cathode_volts: f64,
    /// What one tube then draws through its plate, A.
    pub plate_amps: f64,
    /// The bias for the same dissipation, Ω or V.
    pub bias: f64,
}

/// The bias that gives the dissipation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reached {
    /// The hotter tube there.
    pub at: AtBias,
    /// How far its dissipation may be off, W, as far as the readings tell: a standard
    /// uncertainty.
    pub uncertainty: Option<f64>,
    /// Each tube of a pair, W.
    pub sides: Option<[f64; 2]>,
    /// What the resistor dissipates, W.
    pub resistor_watts: Option<f64>,
    /// What it is to be rated for, W.
    pub resistor_rating: Option<f64>,
    /// Its parts.
    pub made: Option<Made>,
    /// Into the load in use at full drive: as it was, and as it will be.
    pub driven: Option<[Driven; 2]>,
    /// Other tubes in the same socket.
    pub later: Vec<Later>,
}

/// What was wanted, and the way there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WantedReport {
    /// W at one plate.
    pub watts: f64,
    /// Over the limit.
    pub share: Option<f64>,
    /// `None` where no bias gives it.
    pub reached: Option<Reached>,
}

pub(super) fn wanted(
    solved: &Solved,
    solved_stage: &SolvedStage,
    stage: &Stage,
    currents: Option<&Currents>,
    limit: Option<Limit>,
    watts: f64,
) -> Result<WantedReport, StageError> {
    let bias = bias_for(stage, watts);
    let reached = match bias {
        Some(bias) => Some(reached(solved, solved_stage, stage, currents, limit, bias)?),
        None => None,
    };
    Ok(WantedReport {
        watts,
        share: limit.map(|limit| watts / limit.plate_watts),
        reached,
    })
}

/// The bias of the same kind for a dissipation.
fn bias_for(stage: &Stage, watts: f64) -> Option<Bias> {
    match stage.bias {
        Bias::Cathode(_) => cathode_for(stage, watts).map(Bias::Cathode),
        Bias::Fixed(_) => grid_for(stage, watts).map(Bias::Fixed),
    }
}

fn reached(
    solved: &Solved,
    solved_stage: &SolvedStage,
    stage: &Stage,
    currents: Option<&Currents>,
    limit: Option<Limit>,
    bias: Bias,
) -> Result<Reached, StageError> {
    let at = AtBias::of(stage, bias)?;
    let uncertainty = currents.map(|currents| {
        let relative = (currents.sides.iter())
            .map(|side| side.plate_watts.uncertainty / side.plate_watts.value);
        at.idle.plate_watts * relative.fold(0.0, f64::max)
    });
    let sides = match stage.imbalance.current != 0.0 {
        true => {
            let cycle = Solver::new(Stage { bias, ..*stage }).idle()?;
            let tubes = f64::from(stage.tubes_per_side);
            Some(cycle.sides.map(|side| side.plate_watts / tubes))
        }
        false => None,
    };
    let is_resistor = matches!(bias, Bias::Cathode(_));
    let resistor_watts = is_resistor.then(|| at.resistor_watts());
    Ok(Reached {
        uncertainty,
        sides,
        resistor_watts,
        resistor_rating: resistor_watts.and_then(rating_for),
        made: made(solved, stage, &at, limit)?,
        driven: driven(solved, solved_stage, stage, bias),
        later: later(stage, &at),
        at,
    })
}

fn made(
    solved: &Solved,
    stage: &Stage,
    at: &AtBias,
    limit: Option<Limit>,
) -> Result<Option<Made>, StageError> {
    let hottest = limit.and_then(|limit| bias_for(stage, limit.plate_watts));
    let setting = |bias: Bias| -> Result<Setting, StageError> {
        let watts = Idle::of(&Stage { bias, ..*stage })?.plate_watts;
        Ok(Setting {
            bias: bias.value(),
            watts,
            share: limit.map(|limit| watts / limit.plate_watts),
        })
    };
    match at.bias {
        Bias::Cathode(ohms) => {
            let least = match hottest {
                Some(Bias::Cathode(least)) => least,
                _ => 0.0,
            };
            let Some(trimmer) = Trimmer::of(ohms, least) else {
                return Ok(None);
            };
            let amps = at.all_amps();
            Ok(Some(Made::Resistor {
                fixed_rating: rating_for(amps * amps * trimmer.fixed),
                trimmer_rating: rating_for(amps * amps * trimmer.trimmer),
                ends: [
                    setting(Bias::Cathode(trimmer.fixed))?,
                    setting(Bias::Cathode(trimmer.most()))?,
                ],
                bypass: Bypass::of(stage, at)?,
                trimmer,
            }))
        }
        Bias::Fixed(volts) => {
            let most = match hottest {
                Some(Bias::Fixed(most)) => most,
                _ => 0.0,
            };
            let supply = solved.readings.bias_supply;
            let Some(divider) = supply.and_then(|supply| Divider::of(volts, most, supply.0)) else {
                return Ok(None);
            };
            Ok(Some(Made::Divider {
                ends: [
                    setting(Bias::Fixed(divider.hottest_volts))?,
                    setting(Bias::Fixed(divider.coolest_volts))?,
                ],
                divider,
            }))
        }
    }
}

/// At full drive into the load of the connection that is followed, or into the target load.
fn driven(
    solved: &Solved,
    solved_stage: &SolvedStage,
    stage: &Stage,
    bias: Bias,
) -> Option<[Driven; 2]> {
    let followed = solved.followed().and_then(|judged| judged.output);
    let load = followed.map_or(solved_stage.target.0, |output| output.load.0);
    let at = |bias: Bias| {
        let mut solver = Solver::new(Stage { bias, ..*stage });
        let cycle = solver.cycle(load, Drive::OfGridCurrent(1.0)).ok()?;
        Some(Driven {
            watts: cycle.watts,
            thd: cycle.thd,
        })
    };
    Some([at(stage.bias)?, at(bias)?])
}

fn later(stage: &Stage, at: &AtBias) -> Vec<Later> {
    let other = |factor: f64| {
        let other = Stage {
            model: times(stage.model, factor),
            bias: at.bias,
            ..*stage
        };
        let idle = Idle::of(&other).ok()?;
        Some(Later {
            cathode_volts: idle.cathode_volts,
            plate_amps: idle.plate_amps,
            bias: bias_for(&other, at.idle.plate_watts)?.value(),
        })
    };
    OTHER_TUBES.into_iter().filter_map(other).collect()
}
