//! The person's own tube: a static model fitted to the numbers of a datasheet.
//!
//! Levenberg–Marquardt on all given values at once, each weighed by the error that is usual
//! for its kind, together with a [prior] on every parameter, which decides what the
//! values leave open.

mod points;
pub mod prior;
mod why;

use super::{Flow, Kind, Model};
use points::{assumed, beyond_cut_off, check, controlling, enough, mu_before};
use prior::{Anchor, Prior};
use tapwright_squares::{Precision, least_squares};
pub use why::{Against, Contradiction, FitError, Impossible};

/// One datasheet point as typed. Volts are from the cathode; what is not known is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Given {
    /// Plate, V: 1 to 5000.
    pub plate_volts: f64,
    /// Screen, V: 1 to 5000; `None` for a triode.
    pub screen_volts: Option<f64>,
    /// Control grid, V: −1000 to 0.
    pub grid_volts: f64,
    /// Plate current, mA: 0.001 to 10 000.
    pub plate_ma: f64,
    /// Screen current, mA: 0.001 to 10 000.
    pub screen_ma: Option<f64>,
    /// Transconductance, mS: 0.001 to 1000.
    pub gm_ms: Option<f64>,
    /// Plate resistance, kΩ: 0.01 to 100 000.
    pub rp_kohm: Option<f64>,
    /// Amplification factor, 1 to 1000: to the plate of a triode, from grid 1 to the screen
    /// otherwise.
    pub mu: Option<f64>,
}

/// What was given and fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Plate current, mA.
    PlateCurrent,
    /// Screen current, mA.
    ScreenCurrent,
    /// Transconductance, mS.
    Transconductance,
    /// Plate resistance, kΩ.
    PlateResistance,
    /// Amplification factor.
    Mu,
}

impl Quantity {
    const ALL: [Self; 5] = [
        Self::PlateCurrent,
        Self::ScreenCurrent,
        Self::Transconductance,
        Self::PlateResistance,
        Self::Mu,
    ];

    /// The name as one writes it in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::PlateCurrent => "plate current",
            Self::ScreenCurrent => "screen current",
            Self::Transconductance => "transconductance",
            Self::PlateResistance => "plate resistance",
            Self::Mu => "µ",
        }
    }

    /// The unit, with the space before it; empty for a ratio.
    pub fn unit(self) -> &'static str {
        match self {
            Self::PlateCurrent | Self::ScreenCurrent => " mA",
            Self::Transconductance => " mS",
            Self::PlateResistance => " kΩ",
            Self::Mu => "",
        }
    }

    /// Relative error that is usual (of the value, against the curve of an average tube).
    fn usual(self) -> f64 {
        match self {
            Self::PlateCurrent => 0.01,
            Self::ScreenCurrent => 0.05,
            Self::Transconductance | Self::Mu => 0.03,
            Self::PlateResistance => 0.1,
        }
    }

    /// Relative error beyond which a value does not belong to the rest.
    fn too_far(self) -> f64 {
        match self {
            Self::PlateCurrent => 0.10,
            Self::ScreenCurrent | Self::Transconductance | Self::Mu => 0.25,
            Self::PlateResistance => 0.40,
        }
    }
}

/// One given value beside what the fitted model makes of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// Which point, from 0.
    pub point: usize,
    /// What.
    pub quantity: Quantity,
    /// As typed, in the quantity's unit.
    pub given: f64,
    /// As the model has it.
    pub fitted: f64,
}

/// A property of the tube that no given value settles: what is usual was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Assumed {
    /// The amplification factor (to the screen, if there is one).
    Mu,
    /// How the current grows with the grid volts: the exponent of the law.
    Growth,
    /// How sharply the current ends near cut-off.
    CutOff,
    /// Plate resistance: how the current grows with plate volts.
    PlateSlope,
    /// What the screen takes of the current.
    ScreenCurrent,
    /// Where and how sharply the curves bend at low plate volts.
    Knee,
}

impl Assumed {
    /// The property as one writes it in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Mu => "µ",
            Self::Growth => "how the current grows with the grid volts",
            Self::CutOff => "how the current ends near cut-off",
            Self::PlateSlope => "plate resistance",
            Self::ScreenCurrent => "screen current",
            Self::Knee => "the knee at low plate volts",
        }
    }
}

/// A tube fitted to given values.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnFit {
    /// The model: every parameter finite and above zero.
    pub model: Model,
    /// Every given value and its fit, in the order given.
    pub residuals: Vec<Residual>,
    /// The given value that belongs least to the rest, if one does not.
    pub contradiction: Option<Contradiction>,
    /// What no given value settles.
    pub assumed: Vec<Assumed>,
}

/// Points that a fit takes at most: a datasheet has no more, and the fit stays quick.
pub const MOST_POINTS: usize = 19;

/// Fits a model to the points. One operating point is enough when it has plate current,
/// transconductance, and plate resistance or µ; without those, the current at three grid
/// voltages. Always ends, within about a hundred evaluations of the points for each unknown.
///
/// # Errors
/// [`FitError`] says what is missing, or which point is impossible and why. Points that are
/// possible and contradict each other give a fit with a [`Contradiction`].
///
/// ```
/// use tapwright_tube::{Kind, fit::{self, Given}};
/// // 6SN7 (RCA Receiving Tube Manual RC-30, from memory).
/// let point = Given {
///     plate_volts: 250.0, grid_volts: -8.0, plate_ma: 9.0,
///     gm_ms: Some(2.6), rp_kohm: Some(7.7), ..Given::default()
/// };
/// let own = fit::own(Kind::Triode, &[point])?;
/// assert!((own.residuals[0].fitted - 9.0).abs() < 0.2);
/// assert!(own.contradiction.is_none());
/// # Ok::<(), fit::FitError>(())
/// ```
pub fn own(kind: Kind, points: &[Given]) -> Result<OwnFit, FitError> {
    if points.len() > MOST_POINTS {
        return Err(FitError::TooMany(MOST_POINTS));
    }
    for (point, given) in points.iter().enumerate() {
        check(kind, given).map_err(|what| FitError::Impossible { point, what })?;
    }
    enough(points)?;
    let anchor = points
        .iter()
        .max_by(|a, b| a.plate_ma.total_cmp(&b.plate_ma))
        .ok_or(FitError::TooLittle)?;
    let (mu, mu_spread) = mu_before(points, anchor);
    if let Some((point, volts)) = beyond_cut_off(points, mu) {
        let what = Impossible::CutOff(volts);
        return Err(FitError::Impossible { point, what });
    }
    let prior = Prior::new(
        kind,
        Anchor {
            screen_volts: controlling(anchor),
            grid_volts: anchor.grid_volts,
            plate_ma: anchor.plate_ma,
        },
        mu,
        mu_spread,
    );

    let listed = listed(points);
    let residuals = |x: &[f64]| {
        let model = prior.model(x);
        let flows: Vec<Flow> = points.iter().map(|p| flow_at(&model, p)).collect();
        let of_values = listed.iter().map(|&(point, quantity, given)| {
            let fitted = value(&model, &flows[point], quantity);
            // Bounded, so that no point can throw the fit out of what it can compute.
            let off = (fitted.max(1e-9 * given) / given).ln().clamp(-20.0, 20.0);
            off / quantity.usual()
        });
        prior.residuals(x).chain(of_values).collect()
    };
    let precision = Precision {
        relative_step: 0.0,
        least_step: 1e-5,
        tolerance: 1e-8,
    };
    let minimum = least_squares(prior.means(), precision, residuals).ok_or(FitError::Unsolved)?;
    let model = prior.model(&minimum.unknowns);
    let residuals: Vec<Residual> = listed
        .iter()
        .map(|&(point, quantity, given)| Residual {
            point,
            quantity,
            given,
            fitted: value(&model, &flow_at(&model, &points[point]), quantity),
        })
        .collect();
    if residuals.iter().any(|r| !r.fitted.is_finite()) {
        return Err(FitError::Unsolved);
    }
    Ok(OwnFit {
        model,
        contradiction: why::contradiction(kind, points, &residuals),
        assumed: assumed(kind, points),
        residuals,
    })
}

/// Every given value with its point.
fn listed(points: &[Given]) -> Vec<(usize, Quantity, f64)> {
    let mut list = Vec::new();
    for (point, given) in points.iter().enumerate() {
        for quantity in Quantity::ALL {
            if let Some(value) = given.of(quantity) {
                list.push((point, quantity, value));
            }
        }
    }
    list
}

impl Given {
    /// The value of this quantity, if it was typed.
    fn of(&self, quantity: Quantity) -> Option<f64> {
        match quantity {
            Quantity::PlateCurrent => Some(self.plate_ma),
            Quantity::ScreenCurrent => self.screen_ma,
            Quantity::Transconductance => self.gm_ms,
            Quantity::PlateResistance => self.rp_kohm,
            Quantity::Mu => self.mu,
        }
    }
}

/// Currents and slopes at a point.
fn flow_at(model: &Model, at: &Given) -> Flow {
    let screen_volts = at.screen_volts.unwrap_or(at.plate_volts);
    model.flow(at.plate_volts, screen_volts, at.grid_volts)
}

/// What the model makes of a quantity, in the quantity's unit. A pentode's µ is the
/// parameter, for published values are that of the curve as a whole.
fn value(model: &Model, flow: &Flow, quantity: Quantity) -> f64 {
    // Not a division by zero where the tube is cut off.
    let conductance = flow.plate.by_plate.max(1e-15);
    match quantity {
        Quantity::PlateCurrent => 1e3 * flow.plate.amps,
        Quantity::ScreenCurrent => 1e3 * flow.screen.amps,
        Quantity::Transconductance => 1e3 * flow.plate.by_grid,
        Quantity::PlateResistance => 1e-3 / conductance,
        Quantity::Mu => match model {
            Model::Triode(_) => flow.plate.by_grid / conductance,
            Model::Pentode(pentode) => pentode.mu,
        },
    }
}
