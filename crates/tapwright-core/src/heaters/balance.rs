//! Two resistors that make a virtual centre tap of a heater winding.

use serde::Serialize;

/// What trimmers come in, Ω. Common practice, no source.
const TRIMMERS: [f64; 8] = [10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1_000.0, 2_000.0];

/// How finely a trimmer can be set, as a share of its way. Common practice, no source.
const FINENESS: f64 = 0.01;

/// A resistor from each end of the heaters to ground, or to what raises them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Balance {
    /// Volts across the heaters, rms, above zero.
    pub volts: f64,
    /// The two resistors, Ω, above zero.
    pub ohms: [f64; 2],
    /// How far each may be off, as a fraction of one, below one.
    pub tolerance: f64,
}

/// A trimmer between the two resistors, its wiper to ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Trimmer {
    /// Its ohms end to end: enough for the worst pair.
    pub ohms: f64,
    /// Volts that are left at most, as finely as it can be set.
    pub leaves: f64,
}

impl Balance {
    /// The current through both resistors, A: `V/(R₁ + R₂)`.
    pub fn amps(self) -> f64 {
        self.volts / (self.ohms[0] + self.ohms[1])
    }

    /// What each resistor turns into heat, W: `I² R`; of equal ones `(V/2)²/R`.
    pub fn watts(self) -> [f64; 2] {
        self.ohms.map(|ohms| self.amps().powi(2) * ohms)
    }

    /// Volts rms that the middle of the heaters stands from ground: `V (R₁/(R₁ + R₂) − 1/2)`,
    /// without its sign.
    pub fn residual(self) -> f64 {
        self.volts * (self.larger() / (self.ohms[0] + self.ohms[1]) - 0.5)
    }

    /// The same with both resistors off by their tolerance, in the two directions that add.
    pub fn worst(self) -> f64 {
        let [upper, lower] = self.worst_pair();
        self.volts * (upper / (upper + lower) - 0.5)
    }

    /// The smallest trimmer that nulls the worst pair, from what trimmers come in; `None` where
    /// none of them is large enough.
    ///
    /// It needs `R₁(1 + t) − R₂(1 − t)` at least. One step of its setting moves the middle by
    /// its share of the whole chain, and half a step is left.
    pub fn trimmer(self) -> Option<Trimmer> {
        let [upper, lower] = self.worst_pair();
        let needs = upper - lower;
        let ohms = TRIMMERS.into_iter().find(|ohms| *ohms >= needs)?;
        let chain = upper + lower + ohms;
        Some(Trimmer {
            ohms,
            leaves: self.volts * 0.5 * FINENESS * ohms / chain,
        })
    }

    /// The larger resistor, Ω.
    pub fn larger(self) -> f64 {
        self.ohms[0].max(self.ohms[1])
    }

    /// The smaller resistor, Ω.
    pub fn smaller(self) -> f64 {
        self.ohms[0].min(self.ohms[1])
    }

    fn worst_pair(self) -> [f64; 2] {
        [
            self.larger() * (1.0 + self.tolerance),
            self.smaller() * (1.0 - self.tolerance),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const USUAL: Balance = Balance {
        volts: 6.3,
        ohms: [100.0; 2],
        tolerance: 0.05,
    };

    /// 6.3 V over 200 Ω is 31.5 mA; (3.15 V)²/100 Ω is 99.2 mW; 6.3 V × 0.05/2 is 0.158 V.
    /// Exact arithmetic.
    #[test]
    fn two_hundred_ohms_across_six_volts() {
        assert!((USUAL.amps() - 31.5e-3).abs() < 1e-12);
        for watts in USUAL.watts() {
            assert!((watts - 99.225e-3).abs() < 1e-12);
        }
        assert_eq!(USUAL.residual(), 0.0);
        assert!((USUAL.worst() - 0.1575).abs() < 1e-12);
    }

    /// 105 Ω and 95 Ω are 10 Ω apart, so 10 Ω do; a hundredth of them in 210 Ω, half of it left.
    #[test]
    fn a_trimmer_takes_up_the_worst_pair() {
        let trimmer = USUAL.trimmer().expect("one that is made");
        assert_eq!(trimmer.ohms, 10.0);
        assert!((trimmer.leaves - 6.3 * 0.05 / 210.0).abs() < 1e-12);
        let unlike = Balance {
            ohms: [100.0, 120.0],
            ..USUAL
        };
        assert_eq!(unlike.trimmer().map(|trimmer| trimmer.ohms), Some(50.0));
        let far = Balance {
            ohms: [5.0, 10e3],
            ..USUAL
        };
        assert_eq!(far.trimmer(), None);
    }

    /// With equal resistors the worst residual is `V t/2`, whatever their ohms; a wider
    /// tolerance never leaves less, and no pair leaves more than half of the volts.
    #[test]
    fn the_residual_grows_with_the_tolerance() {
        for ohms in [47.0, 100.0, 470.0] {
            let mut last = 0.0;
            for percent in 1..=30 {
                let tolerance = f64::from(percent) / 100.0;
                let balance = Balance {
                    ohms: [ohms; 2],
                    tolerance,
                    ..USUAL
                };
                assert!((balance.worst() - 6.3 * tolerance / 2.0).abs() < 1e-12);
                for other in [ohms, 1.2 * ohms, 10.0 * ohms] {
                    let unlike = Balance {
                        ohms: [other, ohms],
                        ..balance
                    };
                    assert!(unlike.worst() >= unlike.residual() && unlike.worst() < 3.15);
                    let trimmed = unlike.trimmer().map_or(0.0, |trimmer| trimmer.leaves);
                    assert!(trimmed < unlike.worst());
                }
                assert!(balance.worst() > last);
                last = balance.worst();
            }
        }
    }
}
