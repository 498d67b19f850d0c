//! The stage whose model passes through what was measured.

use tapwright_stage::{Idle, ScreenFeed, Solver, Stage, StageError, Supply};
use tapwright_tube::{Bias, Model};
use tapwright_units::zero::{EXACT, rising_zero, zero_between};

use crate::currents::Currents;

/// A stage scaled to readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scaled {
    /// The stage; its bias is the one that the readings were taken at.
    pub stage: Stage,
    /// All currents over those of the model of the type, the mean of the sides.
    pub factor: f64,
    /// The screen's share over that of the model of the type.
    pub share_factor: f64,
    /// Grid volts by which the model is shifted; 0 unless a second reading asks for it.
    pub shift: f64,
}

/// The same stage at another setting of its cathode resistor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherSetting {
    /// The resistor, Ω.
    pub ohms: f64,
    /// The cathode there, V from ground.
    pub cathode_volts: f64,
}

/// How far the grid's contact potential is searched for a second reading, V either way.
const MOST_SHIFT: f64 = 6.0;

impl Scaled {
    /// Scales a stage so that it idles at these currents and volts: one factor on all currents,
    /// and one on the screen's share, which is 1 where the screen's current was not read. A pair
    /// whose tubes differ has the difference as its imbalance.
    pub fn new(stage: &Stage, currents: &Currents) -> Option<Self> {
        Self::shifted(stage, currents, 0.0)
    }

    /// As [`Self::new`], with a shift in grid volts such that a second setting comes out as it
    /// was read; `None` where no shift of some volts does that.
    pub fn with_second(stage: &Stage, currents: &Currents, other: OtherSetting) -> Option<Self> {
        let off = |shift: f64| {
            let scaled = Self::shifted(stage, currents, shift)?;
            let bias = Bias::Cathode(other.ohms);
            let idle = Idle::of(&Stage {
                bias,
                ..scaled.stage
            })
            .ok()?;
            Some(idle.cathode_volts - other.cathode_volts)
        };
        let steps = (-12..=12).map(|step| f64::from(step) * MOST_SHIFT / 12.0);
        let points: Vec<(f64, f64)> = steps.filter_map(|at| Some((at, off(at)?))).collect();
        let crossing = (points.windows(2))
            .filter(|two| (two[0].1 < 0.0) != (two[1].1 < 0.0))
            .min_by(|a, b| a[0].0.abs().total_cmp(&b[0].0.abs()))?;
        let shift = zero_between(crossing[0].0, crossing[1].0, |at| {
            off(at).unwrap_or(f64::NAN)
        });
        Self::shifted(stage, currents, shift)
    }

    fn shifted(stage: &Stage, currents: &Currents, shift: f64) -> Option<Self> {
        let first = currents.sides.first()?;
        let count = currents.sides.len() as f64;
        let mean = |of: &dyn Fn(&crate::SideFound) -> f64| {
            currents.sides.iter().map(of).sum::<f64>() / count
        };
        let (plate, screen) = (
            mean(&|side| side.plate_amps.value),
            mean(&|side| side.screen_amps.value),
        );
        let at = [
            mean(&|side| side.plate_volts.value),
            mean(&|side| side.screen_volts.value),
            mean(&|side| side.grid_volts),
        ];
        let model = moved(stage.model, shift);
        let (model, share_factor) = with_share(model, at, screen / plate)?;
        let of_model = total(&model, at);
        if of_model <= 0.0 {
            return None;
        }
        let factor = (plate + screen) / of_model;
        let unlike = match currents.sides.as_slice() {
            [one, other] => {
                let of = |side: &crate::SideFound| {
                    let at = [
                        side.plate_volts.value,
                        side.screen_volts.value,
                        side.grid_volts,
                    ];
                    (side.plate_amps.value + side.screen_amps.value) / total(&model, at)
                };
                2.0 * (of(one) - of(other)) / (of(one) + of(other))
            }
            _ => 0.0,
        };
        let mut scaled = *stage;
        scaled.model = times(model, factor);
        scaled.imbalance.current = unlike.clamp(-1.9, 1.9);
        if let Some(ohms) = currents.winding_ohms {
            scaled.primary_ohms = (count * ohms).max(0.0);
        }
        let (plates, screens) = currents.all_amps(stage.tubes_per_side);
        if stage.tap() == 0.0 {
            // What stands between the screens and their volts is kept; their source is such that
            // they stand where they were read.
            let ohms = match stage.screen {
                ScreenFeed::Own(own) => own.ohms,
                ScreenFeed::Dropper(ohms) => ohms,
                ScreenFeed::Tap(_) => 0.0,
            };
            let from_ground = first.cathode_volts.value + at[1];
            let drop = (ohms + stage.stoppers.common) * screens + stage.stoppers.each * screen;
            scaled.screen = ScreenFeed::Own(Supply {
                volts: from_ground + drop,
                ohms,
            });
        }
        let drawn = match scaled.screen {
            ScreenFeed::Own(_) => plates,
            _ => plates + screens,
        };
        scaled.plate_supply.volts = currents.supply_volts.value + stage.plate_supply.ohms * drawn;
        scaled.bias = match currents.cathode_ohms {
            Some(ohms) if matches!(stage.bias, Bias::Cathode(_)) => Bias::Cathode(ohms),
            _ => Bias::Fixed(first.grid_volts.min(0.0)),
        };
        Some(Self {
            stage: scaled,
            factor,
            share_factor,
            shift,
        })
    }

    /// Plate dissipation of each side's tubes at another bias, W for one tube.
    ///
    /// # Errors
    /// As [`Idle::of`].
    pub fn side_watts(&self, bias: Bias) -> Result<[f64; 2], StageError> {
        let cycle = Solver::new(Stage { bias, ..self.stage }).idle()?;
        let tubes = f64::from(self.stage.tubes_per_side);
        Ok(cycle.sides.map(|side| side.plate_watts / tubes))
    }
}

/// Currents of one tube together, A; volts of plate, screen and grid from the cathode.
fn total(model: &Model, [plate, screen, grid]: [f64; 3]) -> f64 {
    let flow = model.flow(plate, screen, grid);
    flow.plate.amps + flow.screen.amps
}

/// A model with all its currents times a factor: emission and the space charge's line alike.
pub fn times(model: Model, factor: f64) -> Model {
    match model {
        Model::Triode(mut triode) => {
            triode.perveance *= factor;
            Model::Triode(triode)
        }
        Model::Pentode(mut pentode) => {
            pentode.perveance *= factor;
            pentode.line *= factor;
            Model::Pentode(pentode)
        }
    }
}

/// A model that acts as if its grid were so much less negative.
fn moved(model: Model, volts: f64) -> Model {
    match model {
        Model::Triode(mut triode) => {
            triode.contact += volts;
            Model::Triode(triode)
        }
        Model::Pentode(mut pentode) => {
            pentode.contact += volts;
            Model::Pentode(pentode)
        }
    }
}

/// A model whose screen takes this share of what the plate takes at a point, and the factor on
/// its parameter; `None` where none does.
fn with_share(model: Model, [plate, screen, grid]: [f64; 3], wanted: f64) -> Option<(Model, f64)> {
    let Model::Pentode(pentode) = model else {
        return Some((model, 1.0));
    };
    let with = |log: f64| {
        let mut changed = pentode;
        changed.share *= log.exp();
        changed
    };
    let off = |log: f64| {
        let flow = with(log).flow(plate, screen, grid);
        flow.screen.amps / flow.plate.amps - wanted
    };
    let (least, most) = (-6.0, 6.0);
    if !(off(least) < 0.0 && off(most) > 0.0) {
        return None;
    }
    let log = rising_zero(least, most, 0.0, EXACT, |log| {
        let slope = (off(log + 1e-6) - off(log - 1e-6)) / 2e-6;
        (off(log), slope)
    });
    Some((Model::Pentode(with(log)), log.exp()))
}
