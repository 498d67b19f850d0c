//! The −3 dB points of a transformer with a load.

use num_complex::Complex64;
use serde::Serialize;

use crate::network::Network;
use tapwright_units::zero::zero_between;

/// Where the response is 3 dB below its middle; `None` where it never is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// Lower −3 dB point, Hz.
    pub low: Option<f64>,
    /// Upper −3 dB point, Hz.
    pub high: Option<f64>,
}

/// Ratio of the other end of the search to the corner frequency, when there is only one corner.
const FAR: f64 = 1e4;

/// Volts at half the power.
const EDGE: f64 = std::f64::consts::FRAC_1_SQRT_2;

impl Network {
    /// The band between the −3 dB points of the whole network. `source` is the resistance of the
    /// source and `load` that of the load, both in ohms and above zero. `None` when the response
    /// nowhere comes within 3 dB of the response without inductances and capacitance.
    ///
    /// ```
    /// use tapwright_iron::network::Network;
    /// // r_p 40 k, load 5 k, 12 H: ωL = 40 k ∥ 5 k at 58.95 Hz.
    /// let network = Network { inductance: Some(12.0), ..Network::ideal(25.0) };
    /// let band = network.band(40e3, 8.0).unwrap();
    /// assert!((band.low.unwrap() - 58.95).abs() < 0.005);
    /// assert_eq!(band.high, None);
    /// ```
    pub fn band(&self, source: f64, load: f64) -> Option<Band> {
        let (before, behind) = (source + self.primary_ohms, self.behind_copper(load));
        let low = self
            .inductance
            .map(|henry| before * behind / (before + behind) / henry);
        let by_leakage = (before + behind) / self.leakage;
        let input = self.input_at_mid_band(load);
        let by_capacitance = (source + input) / (source * input * self.capacitance);
        let high = Some(by_leakage.min(by_capacitance)).filter(|corner| corner.is_finite());
        let middle = match (low, high) {
            (None, None) => {
                return Some(Band {
                    low: None,
                    high: None,
                });
            }
            (Some(low), Some(high)) => (low * high).sqrt(),
            (Some(low), None) => low * FAR,
            (None, Some(high)) => high / FAR,
        } / std::f64::consts::TAU;
        let flat = self.transfer_at_mid_band(source, load) * EDGE;
        let above =
            |hertz: f64| (self.transfer(hertz, source, Complex64::from(load)).norm() / flat).ln();
        (above(middle) >= 0.0).then(|| Band {
            low: low.and_then(|_| crossing(&above, middle, 0.5)),
            high: high.and_then(|_| crossing(&above, middle, 2.0)),
        })
    }
}

/// The frequency at which `above` becomes negative, searched from `inside` in factors of `step`.
fn crossing(above: &impl Fn(f64) -> f64, inside: f64, step: f64) -> Option<f64> {
    let mut near = inside;
    for _ in 0..100 {
        let far = near * step;
        if above(far) < 0.0 {
            return Some(zero_between(near.ln(), far.ln(), |x| above(x.exp())).exp());
        }
        near = far;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Leakage alone: ωL = R_source + R_load. Exact arithmetic.
    #[test]
    fn leakage_alone_ends_the_treble() {
        let network = Network {
            leakage: 0.05,
            ..Network::ideal(25.0)
        };
        let band = network.band(5_000.0, 8.0).expect("a band");
        let exact = 10_000.0 / (std::f64::consts::TAU * 0.05);
        assert!((band.high.expect("an edge") / exact - 1.0).abs() < 1e-9);
        assert_eq!(band.low, None);
    }

    /// Capacitance alone: 1/ωC = R_source ∥ R_load. Exact arithmetic.
    #[test]
    fn capacitance_alone_ends_the_treble() {
        let network = Network {
            capacitance: 1e-9,
            ..Network::ideal(25.0)
        };
        let band = network.band(5_000.0, 8.0).expect("a band");
        let exact = 1.0 / (std::f64::consts::TAU * 2_500.0 * 1e-9);
        assert!((band.high.expect("an edge") / exact - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_transformer_without_a_middle_has_no_band() {
        let network = Network {
            inductance: Some(0.01),
            leakage: 10.0,
            ..Network::ideal(25.0)
        };
        assert_eq!(network.band(5_000.0, 8.0), None);
        let ideal = Network::ideal(25.0).band(5_000.0, 8.0);
        assert_eq!(
            ideal,
            Some(Band {
                low: None,
                high: None
            })
        );
    }
}
