//! A fixed bias from a divider with a trimmer.
//!
//! From the bias supply a resistor to the grids' node, and from there a fixed part and a trimmer
//! to ground, its wiper joined to the end at ground. A wiper that loses contact leaves the whole
//! trimmer in circuit, and an open one leaves the whole supply on the grids: both are cooler. The
//! wiper of a trimmer *across* the supply would leave the grids at nothing, and the tubes would
//! burn. Common practice, no source.

use serde::Serialize;
use tapwright_units::e_series::{E3, E24};

/// The trimmer, Ω. Common practice, no source; grid leaks of 100 kΩ and more hardly load it.
const TRIMMER: f64 = 22e3;

/// The divider.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Divider {
    /// From the bias supply to the grids' node, Ω, of E24.
    pub upper: f64,
    /// From there to the trimmer, Ω, of E24.
    pub lower: f64,
    /// The trimmer end to end, Ω, of E3.
    pub trimmer: f64,
    /// Where it comes to stand, 0 at no ohms to 1 at all of them.
    pub position: f64,
    /// The grids with the trimmer at none: the hottest, V.
    pub hottest_volts: f64,
    /// The grids with all of it: what a lost wiper leaves, V.
    pub coolest_volts: f64,
}

impl Divider {
    /// For a grid voltage, where `hottest` is the one beyond which the tube passes its limit,
    /// and `supply` the bias supply; all below zero, V from ground. `None` where the supply is
    /// not well beyond the grid voltage.
    ///
    /// ```
    /// use tapwright_idle::divider::Divider;
    /// let made = Divider::of(-37.0, -33.0, -60.0).unwrap();
    /// assert!(made.hottest_volts <= -33.0 && made.coolest_volts < -38.0);
    /// ```
    pub fn of(grid: f64, hottest: f64, supply: f64) -> Option<Self> {
        let share = grid / supply;
        if !(0.02..=0.9).contains(&share) {
            return None;
        }
        let trimmers = E3.between(0.4 * TRIMMER, 2.5 * TRIMMER);
        let made = trimmers.flat_map(|trimmer| {
            E24.between(0.2 * trimmer, 30.0 * trimmer)
                .flat_map(move |lower| {
                    // The upper part for which the wiper stands in the middle, or near by.
                    let upper = (lower + 0.5 * trimmer) * (1.0 / share - 1.0);
                    E24.between(0.95 * upper, 1.06 * upper).map(move |upper| {
                        let wanted = upper * share / (1.0 - share);
                        let at = |below: f64| supply * below / (upper + below);
                        Self {
                            upper,
                            lower,
                            trimmer,
                            position: (wanted - lower) / trimmer,
                            hottest_volts: at(lower),
                            coolest_volts: at(lower + trimmer),
                        }
                    })
                })
        });
        // Safe first; then a range of about a quarter of the volts, set near the middle.
        let off = |made: &Self| {
            let range = (made.coolest_volts - made.hottest_volts) / grid;
            (made.position - 0.5).abs() + (range / 0.25).ln().abs()
        };
        let is_safe = |made: &Self| made.hottest_volts <= hottest;
        made.filter(|made| (0.15..=0.85).contains(&made.position))
            .min_by(|a, b| {
                let safe = is_safe(b).cmp(&is_safe(a));
                safe.then(off(a).total_cmp(&off(b)))
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_divider_gives_the_grid_volts_where_its_trimmer_stands() {
        for (grid, hottest, supply) in [
            (-15.0, -13.0, -45.0),
            (-37.0, -34.0, -60.0),
            (-45.0, -40.0, -75.0),
        ] {
            let made = Divider::of(grid, hottest, supply).unwrap_or_else(|| panic!("{grid}"));
            let below = made.lower + made.position * made.trimmer;
            let volts = supply * below / (made.upper + below);
            assert!((volts - grid).abs() < 1e-9, "{made:?}");
            assert!(
                made.hottest_volts <= hottest && made.coolest_volts < grid,
                "{made:?}"
            );
        }
        assert_eq!(Divider::of(-37.0, -34.0, -38.0), None);
    }
}
