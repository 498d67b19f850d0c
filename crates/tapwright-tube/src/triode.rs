//! Static model of a triode: Koren's.
//!
//! `E = (V_a/k_p) ln(1 + exp(k_p (1/µ + (V_g + V_c)/√(k_vb + V_a²))))`, `I_a = p E^x`
//! (N. Koren, "Improved vacuum tube models for SPICE simulations", Glass Audio 8/5, 1996).
//!
//! `V_c`, which Koren's form lacks, is the contact potential and the electrons' initial
//! velocity together: the grid acts as if it were some tenths of a volt less negative. A
//! tube of high µ needs it: the 12AX7 still passes 0.5 mA where `V_a/µ + V_g` is zero.

use serde::{Deserialize, Serialize};

use super::softplus;

/// The parameters of one triode. All above zero.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Triode {
    /// Amplification factor µ.
    pub mu: f64,
    /// Exponent x of the current law, 1.2 to 1.7.
    pub exponent: f64,
    /// Perveance p, A/V^x.
    pub perveance: f64,
    /// Sharpness of the cut-off, k_p.
    pub kp: f64,
    /// Bend at low plate voltage, k_vb, V².
    pub kvb: f64,
    /// Contact potential and initial velocity, V_c, V.
    pub contact: f64,
}

/// Plate current and its slopes at one point.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flow {
    /// Plate current, A.
    pub amps: f64,
    /// Transconductance ∂I_a/∂V_g, S.
    pub by_grid: f64,
    /// Plate conductance ∂I_a/∂V_a, S.
    pub by_plate: f64,
}

impl Triode {
    /// Where a fit starts from; no tube in particular.
    pub const UNFITTED: Self = Self {
        mu: 20.0,
        exponent: 1.4,
        perveance: 1e-3,
        kp: 100.0,
        kvb: 300.0,
        contact: 0.4,
    };

    /// Plate current with its analytic derivatives.
    ///
    /// Valid for any plate voltage (zero current at and below 0 V) and for grid volts at
    /// or below zero; rises with both. Cost: two roots, four exponentials or logarithms.
    pub fn flow(&self, plate_volts: f64, grid_volts: f64) -> Flow {
        if plate_volts <= 0.0 {
            return Flow::default();
        }
        let root = (self.kvb + plate_volts * plate_volts).sqrt();
        let grid_volts = grid_volts + self.contact;
        let argument = self.kp * (1.0 / self.mu + grid_volts / root);
        let (soft, slope) = softplus(argument);
        let e = plate_volts / self.kp * soft;
        if e < 1e-12 {
            return Flow::default();
        }
        let e_by_grid = plate_volts / root * slope;
        let e_by_plate =
            soft / self.kp - plate_volts * slope * grid_volts * plate_volts / (root * root * root);
        // Not `powf`: no other part of the page needs that function.
        let amps = self.perveance * (self.exponent * e.ln()).exp();
        let by_e = self.exponent * amps / e;
        Flow {
            amps,
            by_grid: by_e * e_by_grid,
            by_plate: by_e * e_by_plate,
        }
    }
}
