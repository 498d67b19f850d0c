//! A hand meter: digits, ranges, and errors within what such meters state.

use fastrand::Rng;

use super::wound::between;

/// A range: digits after the point, and the most that is shown.
type Range = (usize, f64);

/// Ranges of ohmmeters with 2,000 and with 6,000 counts.
const OHMS: [&[Range]; 2] = [&[(1, 200.0), (0, 2_000.0)], &[(1, 600.0), (0, 6_000.0)]];

/// Ranges of voltmeters with as many.
const VOLTS: [&[Range]; 2] = [
    &[(4, 0.2), (3, 2.0), (2, 20.0), (1, 200.0)],
    &[(3, 6.0), (2, 60.0)],
];

/// What such meters state, as a part of the reading: what the page takes where nothing is typed.
const SHARE: f64 = 0.01;

/// This part of the meters has errors that change from one reading to the next.
const UNSTEADY: f64 = 0.25;

/// The source and the contacts change by this part from one reading to the next.
const DRIFT: f64 = 0.001;

/// A meter with errors of its own.
#[derive(Debug, Clone)]
pub struct Multimeter {
    ranges: &'static [Range],
    /// Errors of each range: of its gain, and of its zero in counts.
    errors: Vec<(f64, f64)>,
    /// Whether each reading has other errors, as large as these may be.
    is_unsteady: bool,
    counts: f64,
}

impl Multimeter {
    /// One that shows ohms.
    pub fn ohmmeter(rng: &mut Rng) -> Self {
        Self::new(rng, OHMS, 2.0)
    }

    /// One that shows volts AC.
    pub fn voltmeter(rng: &mut Rng) -> Self {
        Self::new(rng, VOLTS, 3.0)
    }

    fn new(rng: &mut Rng, kinds: [&'static [Range]; 2], counts: f64) -> Self {
        let ranges = kinds[rng.usize(..kinds.len())];
        // The reference is common to all ranges, the dividers are not.
        let common = 0.6 * SHARE * between(rng, -1.0, 1.0);
        let errors = ranges.iter().map(|_| {
            let gain = common + 0.4 * SHARE * between(rng, -1.0, 1.0);
            // A meter whose probes were shorted first has half of its counts left.
            (gain, 0.5 * counts * between(rng, -1.0, 1.0))
        });
        Self {
            ranges,
            errors: errors.collect(),
            is_unsteady: rng.f64() < UNSTEADY,
            counts,
        }
    }

    /// What it shows, as digits; on a range too high when the person is not careful.
    pub fn shows(&self, rng: &mut Rng, value: f64, is_careless: bool) -> String {
        let last = self.ranges.len() - 1;
        let fits = (self.ranges.iter()).position(|(_, most)| value < *most);
        let range = (fits.unwrap_or(last) + usize::from(is_careless)).min(last);
        let (digits, _) = self.ranges[range];
        let (gain, zero) = if self.is_unsteady {
            let even = |rng: &mut Rng| between(rng, -1.0, 1.0);
            (SHARE * even(rng), self.counts * even(rng))
        } else {
            let (gain, zero) = self.errors[range];
            (gain + DRIFT * between(rng, -2.0, 2.0), zero)
        };
        let count = 0.1_f64.powf(digits as f64);
        let shown = value * (1.0 + gain) + zero * count;
        format!("{:.digits$}", shown.max(count))
    }
}
