//! Unlike drivers in one hookup, over frequency.

use num_complex::Complex64;
use serde::Serialize;

use super::{Driver, Hookup};
use tapwright_units::Watts;

/// A hookup with a driver for each of its places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MixedHookup<'a> {
    hookup: &'a Hookup,
    drivers: &'a [Driver],
}

/// What one driver gets at one frequency, as shares of what the whole hookup gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShareAt {
    /// Voltage across the driver divided by the voltage across the hookup, with its phase.
    pub voltage: Complex64,
    /// Current through the driver divided by the current into the hookup, with its phase.
    pub current: Complex64,
    /// Real power in the driver divided by the real power in the hookup. The shares of all
    /// drivers add up to 1.
    pub power: f64,
}

/// The largest power that keeps every driver within its rating, anywhere in a band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SafePower {
    /// Power in the whole hookup.
    pub watts: Watts,
    /// The frequency that allows no more, Hz.
    pub hertz: f64,
    /// The place of the driver that reaches its rating first there.
    pub driver: usize,
}

impl<'a> MixedHookup<'a> {
    /// A hookup of these drivers, in the order of the places in the hookup. `None` when there
    /// are not as many drivers as places.
    pub fn new(hookup: &'a Hookup, drivers: &'a [Driver]) -> Option<Self> {
        (hookup.drivers() == drivers.len()).then_some(Self { hookup, drivers })
    }

    /// Impedance of the whole hookup in Ω at a frequency in Hz, above zero.
    ///
    /// ```
    /// use tapwright_speaker::{Driver, Hookup, MixedHookup};
    /// use tapwright_units::Ohms;
    /// let hookup = Hookup::read("8+8").unwrap();
    /// let drivers = [8.0, 8.0].map(|rated| Driver::generic(Ohms(rated)));
    /// let two = MixedHookup::new(&hookup, &drivers).unwrap();
    /// assert!((two.impedance_at(80.0) - 2.0 * drivers[0].impedance(80.0)).norm() < 1e-9);
    /// ```
    pub fn impedance_at(&self, hertz: f64) -> Complex64 {
        self.at(hertz).0
    }

    /// At a frequency in Hz, above zero: the impedance of the whole hookup in Ω, and what each
    /// driver gets, in the order of the places.
    ///
    /// Power is `Re(V·I*)`: what heats the coil and moves the cone. Unlike drivers are not in
    /// phase, so the moduli of the shares of voltage or current need not add up to 1.
    ///
    /// ```
    /// use tapwright_speaker::{Driver, Hookup, MixedHookup};
    /// use tapwright_units::Ohms;
    /// let hookup = Hookup::read("15//8").unwrap();
    /// let drivers = [15.0, 8.0].map(|rated| Driver::generic(Ohms(rated)));
    /// let (_, shares) = MixedHookup::new(&hookup, &drivers).unwrap().at(400.0);
    /// assert!((shares[1].power - 15.0 / 23.0).abs() < 1e-12);
    /// ```
    pub fn at(&self, hertz: f64) -> (Complex64, Vec<ShareAt>) {
        let whole = ShareAt {
            voltage: 1.0.into(),
            current: 1.0.into(),
            power: 1.0,
        };
        let mut shares = vec![whole; self.drivers.len()];
        let z = share(self.hookup, &mut self.drivers.iter(), hertz, &mut shares);
        for share in &mut shares {
            share.power = (share.voltage * share.current.conj() * z).re / z.re;
        }
        (z, shares)
    }

    /// The largest power in the whole hookup that keeps every driver within its rating at each
    /// of these frequencies, Hz. `ratings` holds one rating for all or one for each; `None` when
    /// a driver has no rating.
    ///
    /// ```
    /// use tapwright_speaker::{Driver, Hookup, MixedHookup};
    /// use tapwright_units::{Ohms, Watts};
    /// let hookup = Hookup::read("15//8").unwrap();
    /// let drivers = [15.0, 8.0].map(|rated| Driver::generic(Ohms(rated)));
    /// let mixed = MixedHookup::new(&hookup, &drivers).unwrap();
    /// let safe = mixed.safe_power(&[80.0, 400.0], &[Watts(15.0)]).unwrap();
    /// assert!((safe.watts.0 - 23.0).abs() < 1e-9 && safe.driver == 1);
    /// ```
    pub fn safe_power(&self, frequencies: &[f64], ratings: &[Watts]) -> Option<SafePower> {
        let mut safe: Option<SafePower> = None;
        for &hertz in frequencies {
            for (driver, share) in self.at(hertz).1.iter().enumerate() {
                let rating = match ratings {
                    [all] => all,
                    each => each.get(driver)?,
                };
                let watts = Watts(rating.0 / share.power.max(1e-9));
                // A difference of rounding does not count as lower.
                if safe.is_none_or(|so_far| watts.0 < so_far.watts.0 * (1.0 - 1e-9)) {
                    safe = Some(SafePower {
                        watts,
                        hertz,
                        driver,
                    });
                }
            }
        }
        safe
    }
}

type Leaves<'a> = std::slice::Iter<'a, Driver>;

/// The impedance of a part of the hookup at `hertz`, in Ω. The shares of its own drivers, as
/// many as `shares` has, are multiplied by what the part's drivers get of the part.
fn share(hookup: &Hookup, leaves: &mut Leaves, hertz: f64, shares: &mut [ShareAt]) -> Complex64 {
    let (pair, series) = match hookup {
        Hookup::Driver(_) => {
            return (leaves.next()).map_or(1.0.into(), |driver| driver.impedance(hertz));
        }
        Hookup::Series(pair) => (pair, true),
        Hookup::Parallel(pair) => (pair, false),
    };
    let middle = pair.0.drivers().min(shares.len());
    let (first, second) = shares.split_at_mut(middle);
    let a = share(&pair.0, leaves, hertz, first);
    let b = share(&pair.1, leaves, hertz, second);
    let (of_first, of_second) = (a / (a + b), b / (a + b));
    if series {
        first.iter_mut().for_each(|share| share.voltage *= of_first);
        second
            .iter_mut()
            .for_each(|share| share.voltage *= of_second);
        a + b
    } else {
        first
            .iter_mut()
            .for_each(|share| share.current *= of_second);
        second
            .iter_mut()
            .for_each(|share| share.current *= of_first);
        a * of_second
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{ImpedanceModel, Motor, Size};
    use tapwright_units::Ohms;

    fn sized(size: Size, rated: f64) -> Driver {
        Driver {
            model: ImpedanceModel::Generic(Motor::of_size(size, Ohms(rated)), Some(size)),
            ..Driver::generic(Ohms(rated))
        }
    }

    /// At every frequency the shares of power add up to one (Tellegen), and so do voltages along
    /// a path and currents at a junction (Kirchhoff).
    #[test]
    fn shares_of_unlike_drivers_add_up() {
        let hookup = Hookup::read("4+(8//16)").expect("a hookup");
        let drivers = [
            sized(Size::Fifteen, 4.0),
            sized(Size::Eight, 8.0),
            sized(Size::Elliptical, 16.0),
        ];
        let mixed = MixedHookup::new(&hookup, &drivers).expect("three");
        for hertz in [20.0, 65.0, 90.0, 110.0, 140.0, 400.0, 5e3, 20e3] {
            let (_, shares) = mixed.at(hertz);
            let power: f64 = shares.iter().map(|share| share.power).sum();
            assert!((power - 1.0).abs() < 1e-12, "{hertz}: {power}");
            let along = shares[0].voltage + shares[1].voltage;
            assert!((along - 1.0).norm() < 1e-12);
            assert!((shares[1].current + shares[2].current - 1.0).norm() < 1e-12);
        }
    }

    /// Of two drivers in series, the one that resonates takes nearly all the power there, so the
    /// hookup takes little more than that one driver's rating.
    #[test]
    fn the_one_that_resonates_reaches_its_rating_first() {
        let hookup = Hookup::read("8+8").expect("a hookup");
        let drivers = [sized(Size::Fifteen, 8.0), sized(Size::Elliptical, 8.0)];
        let mixed = MixedHookup::new(&hookup, &drivers).expect("two");
        let band = (0..=180).map(|n| 20.0 * 10_f64.powf(f64::from(n) / 60.0));
        let band: Vec<f64> = band.collect();
        let safe = mixed.safe_power(&band, &[Watts(10.0)]).expect("rated");
        assert_eq!(safe.driver, 0);
        assert!((60.0..70.0).contains(&safe.hertz), "{safe:?}");
        assert!((11.0..13.0).contains(&safe.watts.0), "{safe:?}");
        assert_eq!(mixed.safe_power(&[100.0], &[]), None);
    }

    #[test]
    fn as_many_drivers_as_places() {
        let hookup = Hookup::read("8+8").expect("a hookup");
        assert!(MixedHookup::new(&hookup, &[Driver::generic(Ohms(8.0))]).is_none());
    }
}
