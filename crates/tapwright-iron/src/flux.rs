//! How much power a core passes before it saturates, by frequency and load.

/// The rating of a transformer: this power at this lowest frequency, into the rated load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FluxLimit {
    /// Power, W, above zero.
    pub watts: f64,
    /// Lowest frequency at full power, Hz, above zero.
    pub hertz: f64,
}

impl FluxLimit {
    /// The power at which the core has the same flux as at the rated point, W. The load is
    /// `reflected` at `hertz`; `rated_load` is the rating of the lead in use. Both are in ohms,
    /// all values above zero.
    ///
    /// `V_rms = 4.44 f N A B` with `V² = P Z′` gives
    /// `P_max = P_rated (f / f_rated)² (Z′_rated / Z′)`.
    ///
    /// ```
    /// use tapwright_iron::flux::FluxLimit;
    /// let rated = FluxLimit { watts: 10.0, hertz: 50.0 };
    /// assert_eq!(rated.largest_power(25.0, 8_000.0, 8_000.0), 2.5);
    /// assert_eq!(rated.largest_power(50.0, 4_000.0, 8_000.0), 20.0);
    /// ```
    pub fn largest_power(&self, hertz: f64, reflected: f64, rated_load: f64) -> f64 {
        self.watts * (hertz / self.hertz).powi(2) * rated_load / reflected
    }

    /// The lowest frequency at which `watts` into `reflected` ohms give no more flux than the
    /// rated point, Hz: the same formula solved for the frequency.
    ///
    /// ```
    /// use tapwright_iron::flux::FluxLimit;
    /// let rated = FluxLimit { watts: 10.0, hertz: 50.0 };
    /// assert_eq!(rated.lowest_hertz(40.0, 8_000.0, 8_000.0), 100.0);
    /// ```
    pub fn lowest_hertz(&self, watts: f64, reflected: f64, rated_load: f64) -> f64 {
        self.hertz * (watts / self.watts * reflected / rated_load).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_the_inverse_of_the_other() {
        let rated = FluxLimit {
            watts: 12.0,
            hertz: 60.0,
        };
        for (watts, reflected) in [(3.0, 4e3), (12.0, 8e3), (50.0, 20e3)] {
            let hertz = rated.lowest_hertz(watts, reflected, 8e3);
            assert!((rated.largest_power(hertz, reflected, 8e3) / watts - 1.0).abs() < 1e-12);
        }
    }
}
