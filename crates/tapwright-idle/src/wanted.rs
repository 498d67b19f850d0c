//! The cathode resistor, or the grid voltage, at which a tube idles at the dissipation wanted.

use serde::Serialize;
use tapwright_stage::{Idle, Stage, StageError};
use tapwright_tube::Bias;
use tapwright_units::zero::zero_between;

/// How near to the watts wanted an answer is, W.
pub const RESOLUTION: f64 = 0.01;

/// The least and the most ohms that are tried.
const OHMS: (f64, f64) = (1.0, 1e5);

/// The most negative grid that is tried, V.
const MOST_NEGATIVE: f64 = -400.0;

/// Steps a decade in the search for a crossing.
const STEPS: usize = 12;

/// What the stage does at a bias.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtBias {
    /// Fixed grid volts, or the resistor common to all tubes.
    pub bias: Bias,
    /// One tube, the hotter of an unlike pair.
    pub idle: Idle,
    /// How much the plate dissipation of that tube changes, W for one Ω, or for one V.
    pub watts_per_step: f64,
}

impl AtBias {
    /// Solves a stage at a bias.
    ///
    /// # Errors
    /// As [`Idle::of`].
    pub fn of(stage: &Stage, bias: Bias) -> Result<Self, StageError> {
        let watts = |bias| Idle::of(&Stage { bias, ..*stage }).map(|idle| idle.plate_watts);
        let watts_per_step = match bias {
            Bias::Cathode(ohms) => {
                let step = 1e-3 * ohms;
                let (above, below) = (
                    watts(Bias::Cathode(ohms + step))?,
                    watts(Bias::Cathode(ohms - step))?,
                );
                (above - below) / (2.0 * step)
            }
            Bias::Fixed(volts) => {
                let step = 1e-3 * volts.abs().max(1.0);
                let below = watts(Bias::Fixed(volts - step))?;
                let above = watts(Bias::Fixed((volts + step).min(0.0)))?;
                (above - below) / ((volts + step).min(0.0) - (volts - step))
            }
        };
        Ok(Self {
            bias,
            idle: Idle::of(&Stage { bias, ..*stage })?,
            watts_per_step,
        })
    }

    /// Current of all tubes, A.
    pub fn all_amps(&self) -> f64 {
        self.idle.all_plate_amps + self.idle.all_screen_amps
    }

    /// What the resistor common to all cathodes dissipates, W; none at fixed bias.
    pub fn resistor_watts(&self) -> f64 {
        match self.bias {
            Bias::Cathode(ohms) => ohms * self.all_amps().powi(2),
            Bias::Fixed(_) => 0.0,
        }
    }
}

/// The cathode resistor at which the hotter tube's plate dissipates so many watts, Ω; `None`
/// where none from 1 Ω to 100 kΩ does. The answer is within [`RESOLUTION`].
///
/// ```
/// use tapwright_idle::wanted::cathode_for;
/// use tapwright_stage::{Idle, Imbalance, ScreenFeed, Stage, Stoppers, Supply};
/// use tapwright_tube::{Bias, Topology};
/// let stage = Stage {
///     model: tapwright_tube::find("EL84").unwrap().model,
///     topology: Topology::SingleEnded,
///     tubes_per_side: 1,
///     plate_supply: Supply { volts: 260.0, ohms: 0.0 },
///     screen: ScreenFeed::Dropper(0.0),
///     stoppers: Stoppers::default(),
///     bias: Bias::Cathode(140.0),
///     primary_ohms: 0.0,
///     imbalance: Imbalance::default(),
/// };
/// let ohms = cathode_for(&stage, 10.0).unwrap();
/// let idle = Idle::of(&Stage { bias: Bias::Cathode(ohms), ..stage }).unwrap();
/// assert!((idle.plate_watts - 10.0).abs() < 0.01);
/// ```
pub fn cathode_for(stage: &Stage, watts: f64) -> Option<f64> {
    let off = |log: f64| {
        let bias = Bias::Cathode(log.exp());
        Idle::of(&Stage { bias, ..*stage })
            .ok()
            .map(|idle| idle.plate_watts - watts)
    };
    let (least, most) = (OHMS.0.ln(), OHMS.1.ln());
    // From the cool side: the first crossing is the one with the least current.
    let steps = 5 * STEPS;
    let at = |step: usize| most - (most - least) * step as f64 / steps as f64;
    crossing(steps, at, off).map(f64::exp)
}

/// The fixed grid voltage at which the hotter tube's plate dissipates so many watts, V from the
/// cathode; `None` where none below zero does. The answer is within [`RESOLUTION`].
pub fn grid_for(stage: &Stage, watts: f64) -> Option<f64> {
    let off = |volts: f64| {
        let bias = Bias::Fixed(volts.min(0.0));
        Idle::of(&Stage { bias, ..*stage })
            .ok()
            .map(|idle| idle.plate_watts - watts)
    };
    let steps = 8 * STEPS;
    // Finer towards zero.
    let at = |step: usize| {
        let left = 1.0 - step as f64 / steps as f64;
        MOST_NEGATIVE * left * left
    };
    crossing(steps, at, off).map(|volts| volts.min(0.0))
}

/// Where a quantity that is negative at first becomes positive.
fn crossing(
    steps: usize,
    at: impl Fn(usize) -> f64,
    off: impl Fn(f64) -> Option<f64>,
) -> Option<f64> {
    let mut below: Option<f64> = None;
    for step in 0..=steps {
        let x = at(step);
        let Some(value) = off(x) else { continue };
        if value >= 0.0 {
            let root = zero_between(below?, x, |x| off(x).unwrap_or(f64::NAN));
            return (off(root)?.abs() < RESOLUTION).then_some(root);
        }
        below = Some(x);
    }
    None
}
