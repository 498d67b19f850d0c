//! A transformer with a load, as its equivalent circuit referred to the primary.
//!
//! From the source to the load: shunt capacitance across the primary; the primary's winding
//! resistance and the leakage inductance in series; core loss and primary inductance across;
//! then the secondary's winding resistance and the load, both times the turns ratio squared. The usual circuit
//! (F. Langford-Smith, Radiotron Designer's Handbook, 4th ed., chapter 5; from memory).

use num_complex::Complex64;
use serde::Serialize;

use crate::reflected_load::reflected_load;
use tapwright_units::Ohms;

/// What lies between the primary's terminals and the load.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Network {
    /// Turns of the primary divided by turns of the secondary in use, above zero.
    pub turns_ratio: f64,
    /// Winding resistance of the primary, Ω, zero or more.
    pub primary_ohms: f64,
    /// Winding resistance of the secondary in use, Ω, zero or more.
    pub secondary_ohms: f64,
    /// The core's loss as a resistance across the primary, Ω; `None` for no loss.
    pub core_ohms: Option<f64>,
    /// Primary inductance, H; `None` when it is infinite.
    pub inductance: Option<f64>,
    /// Leakage inductance of both windings, referred to the primary, H, zero or more.
    pub leakage: f64,
    /// Capacitance across the primary, F, zero or more.
    pub capacitance: f64,
}

impl Network {
    /// One that loses nothing.
    ///
    /// ```
    /// use tapwright_iron::network::Network;
    /// assert_eq!(Network::ideal(25.0).input_at_mid_band(8.0), 5_000.0);
    /// ```
    pub fn ideal(turns_ratio: f64) -> Self {
        Self {
            turns_ratio,
            primary_ohms: 0.0,
            secondary_ohms: 0.0,
            core_ohms: None,
            inductance: None,
            leakage: 0.0,
            capacitance: 0.0,
        }
    }

    /// Load behind the primary's copper at mid band, Ω: `n² (R_s + Z) ∥ R_core`. The load is
    /// above zero.
    ///
    /// ```
    /// use tapwright_iron::network::Network;
    /// let network = Network { secondary_ohms: 0.5, ..Network::ideal(25.0) };
    /// assert_eq!(network.behind_copper(8.0), 5_312.5);
    /// ```
    pub fn behind_copper(&self, load: f64) -> f64 {
        let reflected = self.with_secondary_copper(load);
        self.core_ohms
            .map_or(reflected, |core| core * reflected / (core + reflected))
    }

    /// The load and the secondary's copper, reflected: `n² (R_s + Z)`, Ω.
    fn with_secondary_copper(&self, load: f64) -> f64 {
        reflected_load(self.turns_ratio, Ohms(self.secondary_ohms + load)).0
    }

    /// What the tube sees at mid band, Ω: `R_p + n² (R_s + Z) ∥ R_core`.
    ///
    /// ```
    /// use tapwright_iron::network::Network;
    /// let network = Network { primary_ohms: 350.0, secondary_ohms: 0.5, ..Network::ideal(25.0) };
    /// assert_eq!(network.input_at_mid_band(8.0), 5_662.5);
    /// ```
    pub fn input_at_mid_band(&self, load: f64) -> f64 {
        self.primary_ohms + self.behind_copper(load)
    }

    /// Power in the load divided by power behind the primary's copper, 0 to 1. The part
    /// `(R_core ∥ n²(R_s + Z)) / n²(R_s + Z)` is not lost in the core, and of that
    /// `Z / (R_s + Z)` is not lost in the secondary's copper.
    ///
    /// ```
    /// use tapwright_iron::network::Network;
    /// assert_eq!(Network::ideal(25.0).share_behind_copper(8.0), 1.0);
    /// ```
    pub fn share_behind_copper(&self, load: f64) -> f64 {
        let reflected = self.with_secondary_copper(load);
        self.behind_copper(load) / reflected * load / (self.secondary_ohms + load)
    }

    /// Power in the load divided by power into the primary at mid band, 0 to 1.
    ///
    /// ```
    /// use tapwright_iron::network::Network;
    /// let network = Network { primary_ohms: 350.0, secondary_ohms: 0.5, ..Network::ideal(25.0) };
    /// assert!((network.efficiency(8.0) - 0.8830).abs() < 5e-5);
    /// ```
    pub fn efficiency(&self, load: f64) -> f64 {
        self.behind_copper(load) / self.input_at_mid_band(load) * self.share_behind_copper(load)
    }

    /// Power lost in the transformer, dB, zero or more: `−10 log10(efficiency)`.
    ///
    /// ```
    /// use tapwright_iron::network::Network;
    /// let network = Network { primary_ohms: 350.0, secondary_ohms: 0.5, ..Network::ideal(25.0) };
    /// assert!((network.insertion_loss(8.0) - 0.540).abs() < 5e-4);
    /// ```
    pub fn insertion_loss(&self, load: f64) -> f64 {
        // Not −0 where nothing is lost.
        (10.0 * self.efficiency(load).recip().log10()).max(0.0)
    }

    /// Impedance behind the primary's copper, Ω, and the volts at the load divided by the volts
    /// there. The frequency is in hertz, above zero. The shunt capacitance lies before the
    /// copper and does not count.
    pub fn past_copper(&self, hertz: f64, load: Complex64) -> (Complex64, Complex64) {
        let (of_core, whole) = self.inside(hertz, load);
        let behind = whole - self.primary_ohms;
        let into_load = load / (self.secondary_ohms + load) / self.turns_ratio;
        (behind, of_core * whole / behind * into_load)
    }

    /// Volts across the core divided by volts at the primary's terminals, and the impedance
    /// behind the shunt capacitance.
    fn inside(&self, hertz: f64, load: Complex64) -> (Complex64, Complex64) {
        let omega = std::f64::consts::TAU * hertz;
        let reflected = self.turns_ratio.powi(2) * (self.secondary_ohms + load);
        let magnetising = self.inductance.map_or(0.0, |henry| -1.0 / (omega * henry));
        let core = Complex64::new(self.core_ohms.map_or(0.0, f64::recip), magnetising);
        let behind = (core + reflected.inv()).inv();
        let whole = Complex64::new(self.primary_ohms, omega * self.leakage) + behind;
        (behind / whole, whole)
    }

    /// What the tube sees through the whole network, Ω, at a frequency in hertz, above zero.
    ///
    /// ```
    /// use num_complex::Complex64;
    /// use tapwright_iron::network::Network;
    /// let network = Network { leakage: 0.1, ..Network::ideal(25.0) };
    /// let input = network.input(1_000.0, Complex64::from(8.0));
    /// assert!((input.im - 628.3).abs() < 0.1);
    /// ```
    pub fn input(&self, hertz: f64, load: Complex64) -> Complex64 {
        let (_, inside) = self.inside(hertz, load);
        let shunt = Complex64::new(0.0, std::f64::consts::TAU * hertz * self.capacitance);
        (inside.inv() + shunt).inv()
    }

    /// Volts at the load divided by the volts of a source with `source` ohms, at a frequency in
    /// hertz, above zero.
    ///
    /// ```
    /// use num_complex::Complex64;
    /// use tapwright_iron::network::Network;
    /// let gain = Network::ideal(25.0).transfer(1_000.0, 5_000.0, Complex64::from(8.0));
    /// assert!((gain.re - 0.5 / 25.0).abs() < 1e-12);
    /// ```
    pub fn transfer(&self, hertz: f64, source: f64, load: Complex64) -> Complex64 {
        let (of_core, _) = self.inside(hertz, load);
        let input = self.input(hertz, load);
        let into_load = load / (self.secondary_ohms + load) / self.turns_ratio;
        input / (source + input) * of_core * into_load
    }

    /// The same as [`Self::transfer`], without inductances and capacitance.
    ///
    /// ```
    /// use tapwright_iron::network::Network;
    /// assert!((Network::ideal(25.0).transfer_at_mid_band(5_000.0, 8.0) - 0.02).abs() < 1e-12);
    /// ```
    pub fn transfer_at_mid_band(&self, source: f64, load: f64) -> f64 {
        self.behind_copper(load) / (source + self.input_at_mid_band(load)) * load
            / (self.secondary_ohms + load)
            / self.turns_ratio
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// n² = 625, R_p = 350, R_s = 0.5, 8 Ω. Exact arithmetic.
    #[test]
    fn copper_of_a_small_output_transformer() {
        let network = Network {
            primary_ohms: 350.0,
            secondary_ohms: 0.5,
            ..Network::ideal(25.0)
        };
        assert!((network.input_at_mid_band(8.0) - 5_662.5).abs() < 1e-9);
        assert!((network.efficiency(8.0) - 5_000.0 / 5_662.5).abs() < 1e-12);
        assert!((network.insertion_loss(8.0) - 0.540_38).abs() < 5e-6);
    }

    /// Power in the load over power into the terminals, from the phasors.
    #[test]
    fn efficiency_is_what_the_phasors_say() {
        let network = Network {
            primary_ohms: 350.0,
            secondary_ohms: 0.5,
            core_ohms: Some(60e3),
            ..Network::ideal(25.0)
        };
        let load = Complex64::from(8.0);
        let (source, hertz) = (10e3, 1_000.0);
        let input = network.input(hertz, load);
        let volts = input / (source + input);
        let into = (volts * (volts / input).conj()).re;
        let out = network.transfer(hertz, source, load).norm_sqr() / 8.0;
        assert!((network.efficiency(8.0) - out / into).abs() < 1e-12);
        assert!(
            (network.transfer_at_mid_band(source, 8.0)
                - network.transfer(hertz, source, load).norm())
            .abs()
                < 1e-15
        );
    }

    /// Far above the bass and without leakage the values are those of mid band.
    #[test]
    fn past_the_copper_at_a_frequency() {
        let network = Network {
            primary_ohms: 350.0,
            secondary_ohms: 0.5,
            core_ohms: Some(60e3),
            inductance: Some(1e9),
            ..Network::ideal(25.0)
        };
        let load = Complex64::from(8.0);
        let (behind, gain) = network.past_copper(1_000.0, load);
        assert!((behind.norm() / network.behind_copper(8.0) - 1.0).abs() < 1e-9);
        assert!((gain.norm() - 8.0 / 8.5 / 25.0).abs() < 1e-9);
        let share = gain.norm_sqr() * load.inv().re / behind.inv().re;
        assert!((share / network.share_behind_copper(8.0) - 1.0).abs() < 1e-9);
    }
}
