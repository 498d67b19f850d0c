//! What is known of a tube's parameters before anything is measured, and how the unknowns of
//! a fit become a model.
//!
//! The unknowns are the logarithms of the parameters, so that they stay above zero (for the
//! part ρ that the screen takes back, of its odds, so that it stays below one). The means of
//! the shape parameters are common practice for tubes of their kind (no source); a spread is
//! the standard deviation of the unknown, about the relative one of the parameter. The
//! contact potential of a triode is about what predicts a fitted row best from the others
//! (`cargo xtask fit --leave-one-out`). The sharpness of the cut-off goes with µ, for k_p/µ
//! is what shapes the curve: its argument is (k_p/µ)(1 + µ V_g/V).

use crate::{Kind, Model, Pentode, Triode};

/// Mean and spread of each unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    kind: Kind,
    means: Vec<f64>,
    spreads: Vec<f64>,
}

/// A point that carries current, from which the size of a tube is guessed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anchor {
    /// Screen, or the plate of a triode, V, above zero.
    pub screen_volts: f64,
    /// Control grid, V.
    pub grid_volts: f64,
    /// Plate current, mA, above zero.
    pub plate_ma: f64,
}

impl Prior {
    /// Of a tube of this kind with amplification factor `mu` (to the screen, if it has one),
    /// known within `mu_spread` (relative).
    pub fn new(kind: Kind, anchor: Anchor, mu: f64, mu_spread: f64) -> Self {
        let Anchor {
            screen_volts: screen,
            grid_volts: grid,
            plate_ma: ma,
        } = anchor;
        let drive = (screen / mu + grid).max(0.02 * screen / mu);
        let perveance = 1e-3 * ma / drive.powf(1.4);
        // Mean of each parameter (of the odds of ρ), and spread of its logarithm.
        let parameters = match kind {
            Kind::Triode => vec![
                (mu, mu_spread),
                (1.4, 0.08),
                (perveance, 2.0),
                (6.0 * mu, 0.8),
                (300.0, 1.0),
                (0.8, 0.5),
            ],
            Kind::Pentode | Kind::BeamTetrode => {
                let beam = kind == Kind::BeamTetrode;
                vec![
                    (mu, mu_spread),
                    (1.4, 0.08),
                    (1.1 * perveance, 2.0),
                    (5.0 * mu, 0.6),
                    (if beam { 0.08 } else { 0.15 }, 0.6),
                    (0.7, 0.4),
                    (if beam { 0.5 } else { 0.1 }, 0.6),
                    (3e-4, 0.7),
                    (4.5e-4 * (ma / 50.0).max(0.2).powf(0.7), 0.35),
                    (3.5, 0.3),
                    (0.7 / 0.3, 0.8),
                    (0.4, 1.0),
                ]
            }
        };
        Self {
            kind,
            means: parameters.iter().map(|(mean, _)| mean.ln()).collect(),
            spreads: parameters.iter().map(|(_, spread)| *spread).collect(),
        }
    }

    /// The means, where a fit starts.
    pub fn means(&self) -> &[f64] {
        &self.means
    }

    /// How far each unknown is from its mean, in spreads.
    pub fn residuals(&self, unknowns: &[f64]) -> impl Iterator<Item = f64> {
        let known = self.means.iter().zip(&self.spreads);
        (unknowns.iter().zip(known)).map(|(x, (mean, spread))| (x - mean) / spread)
    }

    /// The model that these unknowns stand for, as many as [`Self::means`] has. An unknown
    /// counts as at most six spreads from its mean, so that no values, however absurd, lead out
    /// of what can be computed.
    pub fn model(&self, unknowns: &[f64]) -> Model {
        let known = self.means.iter().zip(&self.spreads);
        let at: Vec<f64> = (unknowns.iter().zip(known))
            .map(|(x, (mean, spread))| x.clamp(mean - 6.0 * spread, mean + 6.0 * spread).exp())
            .collect();
        match self.kind {
            Kind::Triode => Model::Triode(Triode {
                mu: at[0],
                exponent: at[1],
                perveance: at[2],
                kp: at[3],
                kvb: at[4],
                contact: at[5],
            }),
            Kind::Pentode | Kind::BeamTetrode => Model::Pentode(Pentode {
                mu: at[0],
                exponent: at[1],
                perveance: at[2],
                kp: at[3],
                share: at[4],
                share_slope: at[5],
                share_drive: at[6],
                early: at[7],
                line: at[8],
                knee: at[9],
                returned: at[10] / (1.0 + at[10]),
                contact: at[11],
            }),
        }
    }
}
