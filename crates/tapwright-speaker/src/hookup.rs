//! Drivers wired in series and in parallel, as their ratings say.

use serde::{Deserialize, Serialize};

use crate::nominal::LOWEST_SHARE_OF_RATED;
use tapwright_units::{Ohms, Watts};

/// Most drivers in one hookup. More do not fit behind one output transformer.
pub const MOST_DRIVERS: usize = 64;

/// One or more drivers wired in series or in parallel. Never empty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hookup {
    /// A single driver with its rated impedance.
    Driver(Ohms),
    /// One current through both.
    Series(Box<(Hookup, Hookup)>),
    /// One voltage across both.
    Parallel(Box<(Hookup, Hookup)>),
}

/// What one driver gets, as shares of what the whole hookup gets.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DriverShare {
    /// Rated impedance of the driver.
    pub rated: Ohms,
    /// Voltage across the driver divided by the voltage across the hookup, 0 to 1.
    pub voltage: f64,
    /// Current through the driver divided by the current into the hookup, 0 to 1.
    pub current: f64,
    /// Power in the driver divided by the power in the hookup, 0 to 1. The shares of all
    /// drivers add up to 1.
    pub power: f64,
    /// The power that the driver may be given, where the person typed it.
    pub rating: Option<Watts>,
    /// Power in the whole hookup at which this driver reaches its rating.
    pub hookup_power_at_rating: Option<Watts>,
}

impl Hookup {
    /// Impedance of the whole hookup made from rated impedances.
    ///
    /// ```
    /// # use tapwright_speaker::Hookup;
    /// # use tapwright_units::Ohms;
    /// assert_eq!(Hookup::read("8//8").unwrap().impedance(), Ohms(4.0));
    /// ```
    pub fn impedance(&self) -> Ohms {
        match self {
            Self::Driver(rated) => *rated,
            Self::Series(pair) => pair.0.impedance().in_series(pair.1.impedance()),
            Self::Parallel(pair) => pair.0.impedance().in_parallel(pair.1.impedance()),
        }
    }

    /// The lowest impedance that the hookup may have in the rated band, where every driver is
    /// at 80 % of its rating (IEC 60268-5): 80 % of the whole, in series and in parallel.
    ///
    /// ```
    /// # use tapwright_speaker::Hookup;
    /// # use tapwright_units::Ohms;
    /// assert_eq!(Hookup::read("8+8").unwrap().lowest_impedance(), Ohms(12.8));
    /// ```
    pub fn lowest_impedance(&self) -> Ohms {
        Ohms(LOWEST_SHARE_OF_RATED * self.impedance().0)
    }

    /// What each driver gets, in the order typed. `ratings` holds no rating, one for all drivers,
    /// or one for each.
    ///
    /// In series the voltage divides as the rated impedances, in parallel the current divides
    /// as their inverses. Power is voltage times current.
    ///
    /// ```
    /// # use tapwright_speaker::Hookup;
    /// let shares = Hookup::read("15//8").unwrap().shares(&[]);
    /// assert!((shares[1].power - 15.0 / 23.0).abs() < 1e-12);
    /// ```
    pub fn shares(&self, ratings: &[Watts]) -> Vec<DriverShare> {
        let mut shares = Vec::new();
        self.share_into(1.0, 1.0, &mut shares);
        for (index, share) in shares.iter_mut().enumerate() {
            share.rating = match ratings {
                [all] => Some(*all),
                each => each.get(index).copied(),
            };
            share.hookup_power_at_rating = share.rating.map(|rating| Watts(rating.0 / share.power));
        }
        shares
    }

    fn share_into(&self, voltage: f64, current: f64, shares: &mut Vec<DriverShare>) {
        match self {
            Self::Driver(rated) => shares.push(DriverShare {
                rated: *rated,
                voltage,
                current,
                power: voltage * current,
                rating: None,
                hookup_power_at_rating: None,
            }),
            Self::Series(pair) => {
                let total = self.impedance().0;
                for part in [&pair.0, &pair.1] {
                    part.share_into(voltage * part.impedance().0 / total, current, shares);
                }
            }
            Self::Parallel(pair) => {
                let total = self.impedance().0;
                for part in [&pair.0, &pair.1] {
                    part.share_into(voltage, current * total / part.impedance().0, shares);
                }
            }
        }
    }

    /// How many drivers there are: one or more.
    ///
    /// ```
    /// # use tapwright_speaker::Hookup;
    /// assert_eq!(Hookup::read("8+8").unwrap().drivers(), 2);
    /// ```
    pub fn drivers(&self) -> usize {
        match self {
            Self::Driver(_) => 1,
            Self::Series(pair) | Self::Parallel(pair) => pair.0.drivers() + pair.1.drivers(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Power shares add up to one; so do voltages along a series path and currents at a junction.
    #[test]
    fn shares_of_an_unlike_hookup() {
        let shares = Hookup::read("4+(8//16)").unwrap().shares(&[]);
        let total = 4.0 + 16.0 / 3.0;
        assert!((shares[0].voltage - 4.0 / total).abs() < 1e-12);
        assert!((shares[1].voltage - shares[2].voltage).abs() < 1e-12);
        assert!((shares[1].current + shares[2].current - 1.0).abs() < 1e-12);
        assert!((shares.iter().map(|s| s.power).sum::<f64>() - 1.0).abs() < 1e-12);
    }
}
