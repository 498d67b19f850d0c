//! What of a cycle reaches the speakers, harmonic by harmonic.

use std::f64::consts::TAU;

use num_complex::Complex64;
use serde::Serialize;

use tapwright_stage::{Delivered, Instant};

/// Steps of the wave that is put together from harmonics.
const STEPS: u32 = 128;

/// One instant at the speakers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WavePoint {
    /// Degrees of the drive's cycle, from its positive peak on side 1.
    pub degrees: f64,
    /// Volts across the speakers.
    pub volts: f64,
    /// Volts of the fundamental alone.
    pub fundamental: f64,
}

/// A cycle at the speakers.
pub(super) struct AtSpeakers {
    /// Peak volts of each harmonic, the first in front.
    volts: Vec<Complex64>,
    /// Power in the speakers, W, and the distortion of their volts.
    pub delivered: Delivered,
    /// H2 to H7 over the first.
    pub harmonics: [f64; 6],
}

impl AtSpeakers {
    /// From the load's volts along a whole cycle. `through` gives the speakers' volts over
    /// those, and the speakers' impedance, Ω, at a harmonic.
    ///
    /// Power is `Σ |V_k|² / 2 × Re 1/Z_k`, distortion `√(Σ |V_k|², k > 1) / |V_1|`.
    pub fn through(
        path: &[Instant],
        harmonics: usize,
        through: &dyn Fn(f64) -> (Complex64, Complex64),
    ) -> Self {
        let share = 2.0 / path.len().max(1) as f64;
        let (mut volts, mut watts) = (Vec::new(), 0.0);
        for harmonic in 1..=harmonics {
            let times = harmonic as f64;
            let part = |angle: f64| share * Complex64::cis(-times * angle);
            let load: Complex64 = path.iter().map(|at| at.load_volts * part(at.angle)).sum();
            let (gain, impedance) = through(times);
            let here = load * gain;
            watts += 0.5 * here.norm_sqr() * impedance.inv().re;
            volts.push(here);
        }
        let size = |at: usize| volts.get(at).map_or(0.0, |volts: &Complex64| volts.norm());
        let first = size(0).max(1e-12);
        let above: f64 = volts.iter().skip(1).map(Complex64::norm_sqr).sum();
        Self {
            delivered: Delivered {
                watts,
                thd: above.sqrt() / first,
            },
            harmonics: std::array::from_fn(|m| size(m + 1) / first),
            volts,
        }
    }

    /// The wave from 0° to 360°, put together from its harmonics.
    pub fn wave(&self) -> Vec<WavePoint> {
        let at = |step: u32| {
            // The end is the beginning, to the last bit.
            let angle = TAU * f64::from(step % STEPS) / f64::from(STEPS);
            let each = self.volts.iter().enumerate();
            let volts =
                each.map(|(m, volts)| (volts * Complex64::cis((m as f64 + 1.0) * angle)).re);
            WavePoint {
                degrees: (TAU * f64::from(step) / f64::from(STEPS)).to_degrees(),
                ..self.point(angle, volts.sum())
            }
        };
        (0..=STEPS).map(at).collect()
    }

    /// The load's volts along a whole cycle, `gain` times: a wave with corners, which a
    /// resistance leaves as it is. The instants lie in the middle of their parts of the cycle,
    /// so both ends are put in between their neighbours.
    pub fn scaled(&self, path: &[Instant], gain: f64) -> Vec<WavePoint> {
        let [a, b, .., y, z] = path else {
            return Vec::new();
        };
        // The cubic through the four instants around the seam.
        let seam = (9.0 * (a.load_volts + z.load_volts) - b.load_volts - y.load_volts) / 16.0;
        let inner = path.iter().map(|at| (at.angle, at.load_volts));
        (std::iter::once((0.0, seam))
            .chain(inner)
            .chain([(TAU, seam)]))
        .map(|(angle, volts)| self.point(angle, gain * volts))
        .collect()
    }

    fn point(&self, angle: f64, volts: f64) -> WavePoint {
        let first = self.volts.first().copied().unwrap_or_default();
        WavePoint {
            degrees: angle.to_degrees(),
            volts,
            fundamental: (first * Complex64::cis(angle)).re,
        }
    }
}
