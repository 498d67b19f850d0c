//! The capacitor across a cathode resistor, and what an open resistor does to it.

use serde::Serialize;
use tapwright_stage::{Idle, Stage, StageError};
use tapwright_tube::Bias;
use tapwright_units::e_series::E6;

use crate::wanted::AtBias;

/// The lowest frequency that shall keep its gain within 3 dB, Hz. Below the lowest string of a
/// guitar (82 Hz) by two octaves; common practice, no source.
const LOWEST_HERTZ: f64 = 20.0;

/// Rated volts of electrolytic capacitors. Common practice, no source.
const RATED_VOLTS: [f64; 9] = [16.0, 25.0, 40.0, 63.0, 100.0, 160.0, 250.0, 350.0, 450.0];

/// What the capacitor is rated for, over what it has to bear: tails of real tubes beyond their
/// cut-off are longer than the model’s. Common practice, no source.
const MARGIN: f64 = 1.5;

/// What leaks past a resistor that is open, Ω: heater insulation and the capacitor itself.
/// Common practice, no source.
const LEAKAGE_OHMS: f64 = 1e6;

/// The capacitor to buy.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bypass {
    /// F.
    pub farads: f64,
    /// Rated volts; `None` where no usual one is enough.
    pub rated_volts: Option<f64>,
    /// Volts across it with the resistor open and 1 MΩ of leakage left.
    pub open_volts: f64,
}

impl Bypass {
    /// Across the resistor of a stage at a bias.
    ///
    /// With all gain left at 20 Hz but 3 dB: `C = (1/R + g)/(2π f)`, where g is what all
    /// cathodes together conduct, the transconductance of plate and screen. Rated for half as much
    /// again as the open resistor leaves across it.
    ///
    /// # Errors
    /// As [`Idle::of`].
    pub fn of(stage: &Stage, at: &AtBias) -> Result<Self, StageError> {
        let ohms = match at.bias {
            Bias::Cathode(ohms) => ohms,
            Bias::Fixed(_) => f64::INFINITY,
        };
        let plates = at.idle.transconductance * tubes(stage);
        let conductance = plates * at.all_amps() / at.idle.all_plate_amps;
        let least = (1.0 / ohms + conductance) / (2.0 * std::f64::consts::PI * LOWEST_HERTZ);
        let open = Idle::of(&Stage {
            bias: Bias::Cathode(LEAKAGE_OHMS),
            ..*stage
        })?;
        let bears = MARGIN * open.cathode_volts.max(at.idle.cathode_volts);
        Ok(Self {
            farads: E6.between(least, 10.0 * least).next().unwrap_or(least),
            rated_volts: RATED_VOLTS.into_iter().find(|volts| *volts >= bears),
            open_volts: open.cathode_volts,
        })
    }
}

fn tubes(stage: &Stage) -> f64 {
    let sides = match stage.topology {
        tapwright_tube::Topology::SingleEnded => 1.0,
        tapwright_tube::Topology::PushPull => 2.0,
    };
    sides * f64::from(stage.tubes_per_side)
}
