//! The points read so far from a file.

use super::Line;
use crate::ImpedancePoint;
use tapwright_units::entry::shortest;

/// Most points that a file may hold.
pub const MOST_POINTS: usize = 200_000;

/// The points read so far. Each was checked to be one that a speaker can have.
#[derive(Debug, Clone, Default)]
pub(super) struct Points {
    pub all: Vec<ImpedancePoint>,
}

impl Points {
    /// Takes one more point, in Hz, Ω and degrees.
    pub fn add(&mut self, hertz: f64, ohms: f64, degrees: f64) -> Line {
        let before = self.all.last().map_or(0.0, |point| point.hertz);
        let why = if self.all.len() == MOST_POINTS {
            format!("there are more than {MOST_POINTS} points; save fewer")
        } else if hertz <= 0.0 {
            "its frequency is not above zero".to_owned()
        } else if !(0.01..=1e7).contains(&hertz) {
            "its frequency is far beyond sound; are the units right?".to_owned()
        } else if ohms <= 0.0 {
            "its ohms are not above zero".to_owned()
        } else if ohms < 0.001 {
            "so few ohms are a short circuit, not a speaker".to_owned()
        } else if ohms > 1e6 {
            "so many ohms are an open circuit, not a speaker".to_owned()
        } else if degrees.abs() >= 90.0 {
            "its phase is impossible: that of a speaker stays within ±90°".to_owned()
        } else if hertz == before {
            format!(
                "it repeats {} Hz; each frequency stands there once",
                shortest(hertz)
            )
        } else if hertz < before {
            let (hertz, before) = (shortest(hertz), shortest(before));
            format!("{hertz} Hz comes after {before} Hz; frequencies rise from line to line")
        } else {
            let point = ImpedancePoint {
                hertz,
                ohms,
                degrees,
            };
            self.all.push(point);
            return Ok(());
        };
        Err(why)
    }
}
