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

/// Unknowns of a triode.
pub const TRIODE: usize = 6;

/// Unknowns of a pentode or beam tetrode.
pub const PENTODE: usize = 12;

/// Mean and spread of each unknown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    kind: Kind,
    means: [f64; PENTODE],
    spreads: [f64; PENTODE],
    used: usize,
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
        let perveance = 1e-3 * ma * (-1.4 * drive.ln()).exp();
        let mut means = [0.0; PENTODE];
        let mut spreads = [0.0; PENTODE];
        let mut used = 0;
        let mut say = |mean: f64, spread: f64| {
            means[used] = mean.ln();
            spreads[used] = spread;
            used += 1;
        };
        say(mu, mu_spread);
        if kind == Kind::Triode {
            say(1.4, 0.08);
            say(perveance, 2.0);
            say(6.0 * mu, 0.8);
            say(300.0, 1.0);
            say(0.8, 0.5);
        } else {
            let beam = kind == Kind::BeamTetrode;
            say(1.4, 0.08);
            say(1.1 * perveance, 2.0);
            say(5.0 * mu, 0.6);
            say(if beam { 0.08 } else { 0.15 }, 0.6);
            say(0.7, 0.4);
            say(if beam { 0.5 } else { 0.1 }, 0.6);
            say(3e-4, 0.7);
            say(4.5e-4 * (0.7 * (ma / 50.0).max(0.2).ln()).exp(), 0.35);
            say(3.5, 0.3);
            say(0.7 / 0.3, 0.8);
            say(0.4, 1.0);
        }
        Self {
            kind,
            means,
            spreads,
            used,
        }
    }

    /// The means, where a fit starts.
    pub fn means(&self) -> &[f64] {
        &self.means[..self.used]
    }

    /// Writes how far each unknown is from its mean, in spreads.
    pub fn residuals(&self, unknowns: &[f64], out: &mut [f64]) {
        for (((r, x), mean), spread) in out
            .iter_mut()
            .zip(unknowns)
            .zip(&self.means)
            .zip(&self.spreads)
        {
            *r = (x - mean) / spread;
        }
    }

    /// The model that these unknowns stand for, as many as [`Self::means`] has. An unknown counts as at most six spreads from
    /// its mean, so that no values, however absurd, lead out of what can be computed.
    pub fn model(&self, unknowns: &[f64]) -> Model {
        let mut at = [0.0; PENTODE];
        for (i, (at, x)) in at.iter_mut().zip(unknowns).enumerate() {
            let reach = 6.0 * self.spreads[i];
            *at = x.clamp(self.means[i] - reach, self.means[i] + reach).exp();
        }
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
