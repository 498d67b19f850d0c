//! Static model of a pentode or beam tetrode.
//!
//! A smooth minimum of what the cathode emits and what the space charge before the plate
//! lets through:
//!
//! - drive `E = (V_s/k_p) ln(1 + exp(k_p (1/µ + (V_g + V_c)/√(k_vb + V_s²))))` and emission
//!   `I_k = p E^x`, both Koren's (Glass Audio 8/5, 1996) but for the contact potential V_c, as
//!   in [`triode`](super::triode); µ is from grid 1 to the screen; k_vb is one constant, which
//!   lets the drive go to zero with the screen's voltage;
//! - the screen's share of it `σ = u/(1+u)` with
//!   `u = α (V_s / (¼V_s + ¾V_a))^s (µE/V_s)^q`;
//!   q is for beam tetrodes, whose screen takes less than its share of a thin beam;
//! - plate current as far as emission limits it: `A = I_k (1−σ) (1 + λ V_a)/(1 + λ V_s)`;
//! - and as far as space charge does: `B = c V_a^{3/2}` (Child's law);
//! - `I_a = A B / (A^m + B^m)^{1/m}`, `I_s = σ I_k + ρ (A − I_a)`.

use serde::{Deserialize, Serialize};

use super::softplus;

/// Bend of the drive at low screen voltage, k_vb, V²: matters below some 20 V, and is no
/// parameter because no published value tells.
pub const KVB: f64 = 100.0;

/// The parameters of one pentode or beam tetrode. All above zero, except `share_drive`,
/// which may be zero.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pentode {
    /// Amplification factor µ from grid 1 to the screen.
    pub mu: f64,
    /// Exponent x of the emission law, 1.2 to 1.7.
    pub exponent: f64,
    /// Perveance p, A/V^x.
    pub perveance: f64,
    /// Sharpness of the cut-off, k_p.
    pub kp: f64,
    /// Screen current over plate current where plate and screen are at one voltage, α.
    pub share: f64,
    /// How that ratio falls as the plate's voltage rises, s.
    pub share_slope: f64,
    /// How it falls as the beam thins, q.
    pub share_drive: f64,
    /// Rise of the plate current with plate voltage, λ, 1/V.
    pub early: f64,
    /// Space-charge line c, A/V^1.5.
    pub line: f64,
    /// Sharpness of the knee, m.
    pub knee: f64,
    /// Part of the current that the knee turns back which the screen takes, ρ, 0 to 1.
    pub returned: f64,
    /// Contact potential and initial velocity, V_c, V.
    pub contact: f64,
}

/// One current and its slopes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Current {
    /// A.
    pub amps: f64,
    /// By grid volts, S.
    pub by_grid: f64,
    /// By screen volts, S.
    pub by_screen: f64,
    /// By plate volts, S.
    pub by_plate: f64,
}

/// Plate and screen currents at one point.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flow {
    /// Into the plate.
    pub plate: Current,
    /// Into the screen.
    pub screen: Current,
}

impl Flow {
    /// What so many tubes pass.
    pub fn times(mut self, tubes: f64) -> Self {
        for current in [&mut self.plate, &mut self.screen] {
            current.amps *= tubes;
            current.by_grid *= tubes;
            current.by_screen *= tubes;
            current.by_plate *= tubes;
        }
        self
    }
}

/// What the cathode emits: depends on grid and screen, not on the plate.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Emission {
    screen_volts: f64,
    amps: f64,
    by_grid: f64,
    by_screen: f64,
    /// α (µE/V_s)^q, and its logarithm's slopes.
    share: f64,
    log_share_by_grid: f64,
    log_share_by_screen: f64,
}

impl Pentode {
    /// Where a fit starts from; no tube in particular.
    pub const UNFITTED: Self = Self {
        mu: 10.0,
        exponent: 1.4,
        perveance: 1.2e-3,
        kp: 40.0,
        share: 0.1,
        share_slope: 0.7,
        share_drive: 0.3,
        early: 3e-4,
        line: 4.5e-4,
        knee: 3.5,
        returned: 0.7,
        contact: 0.4,
    };

    /// The part of [`Self::flow`] that does not depend on the plate, to be kept while only
    /// the plate moves.
    pub fn emission(&self, screen_volts: f64, grid_volts: f64) -> Emission {
        if screen_volts <= 0.0 {
            return Emission::default();
        }
        let grid_volts = grid_volts + self.contact;
        let root = (KVB + screen_volts * screen_volts).sqrt();
        let (soft, slope) = softplus(self.kp * (1.0 / self.mu + grid_volts / root));
        let e = screen_volts / self.kp * soft;
        if e < 1e-12 {
            return Emission::default();
        }
        let log_e = e.ln();
        let part = screen_volts / root;
        let e_by_grid = slope * part / e;
        let e_by_screen = (soft / self.kp - slope * grid_volts / root * part * part) / e;
        let amps = self.perveance * (self.exponent * log_e).exp();
        let thinness = log_e + (self.mu / screen_volts).ln();
        Emission {
            screen_volts,
            amps,
            by_grid: self.exponent * amps * e_by_grid,
            by_screen: self.exponent * amps * e_by_screen,
            share: self.share * (self.share_drive * thinness).exp(),
            log_share_by_grid: self.share_drive * e_by_grid,
            log_share_by_screen: self.share_drive * (e_by_screen - 1.0 / screen_volts),
        }
    }

    /// Plate and screen current with their analytic derivatives.
    ///
    /// Valid for any plate voltage (no plate current at and below 0 V) and grid volts at or
    /// below zero. The plate current rises with grid, screen (while the plate is above the
    /// knee) and plate volts; plate and screen current together never exceed `I_k (1 + λV_a)`.
    pub fn flow(&self, plate_volts: f64, screen_volts: f64, grid_volts: f64) -> Flow {
        self.flow_from(&self.emission(screen_volts, grid_volts), plate_volts)
    }

    /// As [`Self::flow`], from an emission already known.
    pub fn flow_from(&self, emission: &Emission, plate_volts: f64) -> Flow {
        if emission.amps <= 0.0 {
            return Flow::default();
        }
        let plate_volts_here = plate_volts.max(0.0);
        let vs = emission.screen_volts;
        let field = 0.25 * vs + 0.75 * plate_volts_here;
        let u = emission.share * (self.share_slope * (vs / field).ln()).exp();
        let share = u / (1.0 + u);
        let log_share = 1.0 - share;
        let plate_side = if plate_volts > 0.0 { 1.0 } else { 0.0 };
        let share_by_grid = share * log_share * emission.log_share_by_grid;
        let share_by_screen = share
            * log_share
            * (emission.log_share_by_screen + self.share_slope * (1.0 / vs - 0.25 / field));
        let share_by_plate = -share * log_share * self.share_slope * 0.75 / field * plate_side;

        let rise = (1.0 + self.early * plate_volts_here) / (1.0 + self.early * vs);
        let a = emission.amps * (1.0 - share) * rise;
        let a_by_grid = rise * (emission.by_grid * (1.0 - share) - emission.amps * share_by_grid);
        let a_by_screen = rise
            * (emission.by_screen * (1.0 - share) - emission.amps * share_by_screen)
            - a * self.early / (1.0 + self.early * vs);
        let a_by_plate = -emission.amps * rise * share_by_plate
            + plate_side * emission.amps * (1.0 - share) * self.early / (1.0 + self.early * vs);

        let mut plate = Current::default();
        // Nothing is left for the plate where the screen takes all.
        if plate_volts > 0.0 && a > 0.0 {
            let b = self.line * plate_volts * plate_volts.sqrt();
            let t = (self.knee * (a / b).ln()).min(700.0).exp();
            let amps = a * (-t.ln_1p() / self.knee).exp();
            let from_a = 1.0 / (1.0 + t);
            let by_a = amps / a * from_a;
            plate = Current {
                amps,
                by_grid: by_a * a_by_grid,
                by_screen: by_a * a_by_screen,
                by_plate: by_a * a_by_plate + amps * (1.0 - from_a) * 1.5 / plate_volts,
            };
        }
        let rho = self.returned;
        Flow {
            plate,
            screen: Current {
                amps: share * emission.amps + rho * (a - plate.amps),
                by_grid: share * emission.by_grid
                    + share_by_grid * emission.amps
                    + rho * (a_by_grid - plate.by_grid),
                by_screen: share * emission.by_screen
                    + share_by_screen * emission.amps
                    + rho * (a_by_screen - plate.by_screen),
                by_plate: share_by_plate * emission.amps + rho * (a_by_plate - plate.by_plate),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A screen that takes everything leaves a plate without current, and no NaN.
    #[test]
    fn nothing_for_the_plate_is_nothing() {
        let greedy = Pentode {
            share: 1e40,
            ..Pentode::UNFITTED
        };
        let flow = greedy.flow(100.0, 200.0, -5.0);
        assert_eq!((flow.plate.amps, flow.plate.by_plate), (0.0, 0.0));
        assert!(flow.screen.amps > 0.0 && flow.screen.by_grid.is_finite());
    }
}
