//! Preferred values of resistors and capacitors (IEC 60063, from memory).

/// A series of preferred values, the same in each decade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ESeries {
    /// The decade from 10 to 99, rising.
    decade: &'static [u8],
}

/// Three values a decade.
pub const E3: ESeries = ESeries {
    decade: &[10, 22, 47],
};

/// Six values a decade, for parts of 20 %.
pub const E6: ESeries = ESeries {
    decade: &[10, 15, 22, 33, 47, 68],
};

/// Twelve values a decade, for parts of 10 %.
pub const E12: ESeries = ESeries {
    decade: &[10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82],
};

/// Twenty-four values a decade, for parts of 5 %.
pub const E24: ESeries = ESeries {
    decade: &[
        10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82,
        91,
    ],
};

impl ESeries {
    /// The values from `least` to `most`, both above zero and included, rising. Each is the
    /// number nearest to the decimal one: 820, 0.047.
    ///
    /// ```
    /// use tapwright_units::e_series::E12;
    /// assert_eq!(E12.between(680.0, 1_500.0).collect::<Vec<_>>(), [680.0, 820.0, 1_000.0, 1_200.0, 1_500.0]);
    /// assert_eq!(E12.between(0.04, 0.05).collect::<Vec<_>>(), [0.047]);
    /// ```
    pub fn between(self, least: f64, most: f64) -> impl Iterator<Item = f64> {
        let decade_of = |value: f64| value.log10().floor() as i32;
        // One decade more at each end: a logarithm may be rounded down or up.
        let decades = decade_of(least) - 1..=decade_of(most) + 1;
        let values = decades.flat_map(move |decade| {
            let power = decade - 1;
            let scale = 10_f64.powi(power.abs());
            self.decade.iter().map(move |value| match power {
                0.. => f64::from(*value) * scale,
                _ => f64::from(*value) / scale,
            })
        });
        values.filter(move |value| (least..=most).contains(value))
    }

    /// The value nearest by ratio to one above zero.
    ///
    /// ```
    /// use tapwright_units::e_series::{E12, E24};
    /// assert_eq!(E12.nearest(205e3), 220e3);
    /// assert_eq!(E24.nearest(205e3), 200e3);
    /// ```
    pub fn nearest(self, value: f64) -> f64 {
        let off = |one: &f64| (one / value).ln().abs();
        // A step of the coarsest series is less than this.
        let near = self.between(value / 2.5, value * 2.5);
        near.min_by(|a, b| off(a).total_cmp(&off(b)))
            .unwrap_or(value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every second value of a series is one of the next coarser.
    #[test]
    fn the_coarse_series_is_part_of_the_fine_one() {
        for (fine, coarse) in [(E24, E12), (E12, E6), (E6, E3)] {
            let every_second: Vec<u8> = fine.decade.iter().step_by(2).copied().collect();
            assert_eq!(every_second, coarse.decade);
        }
    }

    /// The steps are near to equal ratios: no value is off the twenty-fourth root of ten by
    /// more than half of the tolerance of 10 %.
    #[test]
    fn the_steps_are_near_to_equal_ratios() {
        for (at, value) in (0..).zip(E24.decade) {
            let ideal = 10_f64.powf(1.0 + f64::from(at) / 24.0);
            assert!((f64::from(*value) / ideal - 1.0).abs() < 0.05, "{value}");
        }
    }

    #[test]
    fn decades_join_without_a_gap_or_a_value_twice() {
        let values: Vec<f64> = E24.between(1e-12, 1e7).collect();
        assert_eq!(values.len(), 19 * 24 + 1);
        assert!(values.windows(2).all(|two| two[0] < two[1]));
        assert_eq!(values.first(), Some(&1e-12));
        assert_eq!(values.last(), Some(&1e7));
    }
}
