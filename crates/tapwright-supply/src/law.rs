//! What a rectifier conducts.

use serde::Serialize;

/// What one rectifier conducts at volts across it. It blocks what comes the wrong way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Law {
    /// A vacuum rectifier: `i = K v^1.5`, with K in A/V^1.5 (Child and Langmuir's law).
    Vacuum(f64),
    /// A silicon rectifier: `i = I (exp(v/U) − 1)`, with [`Law::SILICON_AMPS`] and
    /// [`Law::SILICON_VOLTS`].
    Silicon,
}

/// The current through a rectifier with a resistance in series, and how it follows the volts.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flow {
    /// Through both, A.
    pub amps: f64,
    /// Its change with the volts across both, S.
    pub slope: f64,
    /// Across the rectifier alone, V.
    pub drop: f64,
}

impl Law {
    /// So that a silicon rectifier drops 0.70 V at 10 mA, A.
    pub const SILICON_AMPS: f64 = 8.3e-9;
    /// So that it drops 0.93 V at 1 A: within the 1.1 V at most that makers print for rectifiers
    /// of that size (common practice, no source).
    pub const SILICON_VOLTS: f64 = 0.05;

    /// The vacuum law through one published drop: volts at amperes.
    ///
    /// ```
    /// use tapwright_supply::Law;
    /// let law = Law::of_drop(17.0, 0.225);
    /// assert!((law.behind(0.0, 1, 17.0).amps - 0.225).abs() < 1e-12);
    /// ```
    pub fn of_drop(volts: f64, amps: f64) -> Self {
        Self::Vacuum(amps / volts.powf(1.5))
    }

    /// The current where `volts` stand across a resistance and `count` such rectifiers in series.
    ///
    /// Newton's method from above on a convex function, so that every step comes nearer; it ends
    /// when a step is below 1e-13 of the unknown.
    pub fn behind(self, ohms: f64, count: u32, volts: f64) -> Flow {
        if volts <= 0.0 {
            return Flow::default();
        }
        let count = f64::from(count);
        match self {
            Self::Vacuum(k) => {
                // With s² volts across each: count·s² + ohms·K·s³ = volts.
                let resistive = ohms * k;
                let mut s = (volts / count).sqrt();
                if resistive > 0.0 {
                    s = s.min((volts / resistive).cbrt());
                }
                for _ in 0..40 {
                    let value = s * s * (count + resistive * s) - volts;
                    let step = value / (s * (2.0 * count + 3.0 * resistive * s));
                    s -= step;
                    if step <= 1e-13 * s {
                        break;
                    }
                }
                Flow {
                    amps: k * s * s * s,
                    slope: 1.0 / (ohms + count / (1.5 * k * s)),
                    drop: s * s,
                }
            }
            Self::Silicon => {
                let (amps, unit) = (Self::SILICON_AMPS, Self::SILICON_VOLTS);
                let mut drop = volts / count;
                if ohms > 0.0 {
                    drop = drop.min(unit * (volts / (ohms * amps)).ln_1p());
                }
                for _ in 0..60 {
                    let growth = (drop / unit).exp();
                    let value = count * drop + ohms * amps * (growth - 1.0) - volts;
                    let step = value / (count + ohms * amps * growth / unit);
                    drop -= step;
                    if step <= 1e-13 * drop {
                        break;
                    }
                }
                let growth = (drop / unit).exp();
                Flow {
                    amps: amps * (growth - 1.0),
                    slope: 1.0 / (ohms + count * unit / (amps * growth)),
                    drop,
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The current and the drop that come out satisfy the equation that went in, and the slope
    /// is the difference of two neighbours.
    #[test]
    fn the_equation_holds() {
        for law in [Law::of_drop(20.0, 0.09), Law::Silicon] {
            for (ohms, count, volts) in [(0.5, 1, 0.9), (150.0, 2, 40.0), (1e4, 1, 300.0)] {
                let flow = law.behind(ohms, count, volts);
                let sum = f64::from(count) * flow.drop + ohms * flow.amps;
                assert!((sum - volts).abs() < 1e-9 * volts, "{law:?} {volts}");
                let step = 1e-6 * volts;
                let [low, high] =
                    [-step, step].map(|step| law.behind(ohms, count, volts + step).amps);
                let slope = (high - low) / (2.0 * step);
                assert!((flow.slope / slope - 1.0).abs() < 1e-4, "{law:?} {volts}");
            }
            assert_eq!(law.behind(1.0, 1, -5.0).amps, 0.0);
        }
    }
}
