//! How much power drivers may be given, and how much a whole hookup of them.

use crate::hookup::{DriverShare, MOST_DRIVERS};
use tapwright_units::entry::{Complaint, Expected};
use tapwright_units::{Unit, Watts};

const RATING: Expected = Expected {
    unit: Unit::Watt,
    least: 0.1,
    most: 5_000.0,
    example: "30, or 30, 15 for one and the other",
    noun: "a speaker's power rating",
    joined: false,
};

/// Reads power ratings: none where nothing is typed, one for all drivers, or one for each.
///
/// # Errors
/// A [`Complaint`] when a value cannot be read, or when there are more than one and not as many
/// as there are drivers.
///
/// ```
/// use tapwright_speaker::read_ratings;
/// use tapwright_units::Watts;
/// assert_eq!(read_ratings("30 W", 2).unwrap(), [Watts(30.0)]);
/// assert!(read_ratings("30, 15, 15", 2).is_err());
/// ```
pub fn read_ratings(text: &str, drivers: usize) -> Result<Vec<Watts>, Complaint> {
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    let ratings = tapwright_units::list::read(text, &RATING, MOST_DRIVERS)?;
    if ratings.len() != 1 && ratings.len() != drivers {
        return Err(Complaint::new(
            format!(
                "{} ratings for {drivers} speakers: one for all, or one each",
                ratings.len()
            ),
            RATING.example,
        ));
    }
    Ok(ratings.iter().map(|rating| Watts(rating.value)).collect())
}

/// The power in the whole hookup at which the first driver reaches its rating, and
/// that driver's place among `shares`. `None` unless every driver has a rating.
///
/// ```
/// use tapwright_speaker::{largest_power, Hookup};
/// use tapwright_units::Watts;
/// let shares = Hookup::read("15//8").unwrap().shares(&[Watts(15.0), Watts(15.0)]);
/// let (power, first) = largest_power(&shares).unwrap();
/// assert_eq!((power, first), (Watts(23.0), 1));
/// ```
pub fn largest_power(shares: &[DriverShare]) -> Option<(Watts, usize)> {
    let mut least: Option<(Watts, usize)> = None;
    for (index, share) in shares.iter().enumerate() {
        let power = share.hookup_power_at_rating?;
        if least.is_none_or(|(so_far, _)| power.0 < so_far.0 * (1.0 - 1e-12)) {
            least = Some((power, index));
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Hookup;

    #[test]
    fn ratings_one_for_all_or_one_each() {
        assert!(read_ratings(" ", 2).unwrap().is_empty());
        assert_eq!(
            read_ratings("30, 15", 2).unwrap(),
            [Watts(30.0), Watts(15.0)]
        );
        assert!(read_ratings("30, 0", 2).is_err());
        let alike = Hookup::read("8//8").unwrap().shares(&[Watts(10.0)]);
        assert_eq!(largest_power(&alike), Some((Watts(20.0), 0)));
        assert_eq!(largest_power(&Hookup::read("8").unwrap().shares(&[])), None);
    }
}
