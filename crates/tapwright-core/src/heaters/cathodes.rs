//! The volts between each heater and its cathode.

use serde::Serialize;

/// Which cathode it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// The output tubes.
    Output,
    /// The first driver.
    Driver,
    /// The second driver.
    SecondDriver,
    /// A long-tailed pair.
    LongTailed,
    /// A split load.
    SplitLoad,
}

/// One cathode, and what stands between it and its heater.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cathode {
    /// Whose it is.
    pub role: Role,
    /// The type of its tube.
    pub tube: &'static str,
    /// Volts from ground at rest; `None` where the circuit around it is not known yet.
    pub volts: Option<f64>,
    /// The most that its tube takes between the two, either way, V.
    pub limit: Option<f64>,
    /// The peak between the two, V; `None` without the cathode’s volts, or where nothing ties
    /// the heaters.
    pub peak: Option<f64>,
}

impl Cathode {
    /// With the heaters at `level` volts DC, and `swing` volts peak of AC at either end.
    pub(super) fn against(mut self, level: Option<f64>, swing: f64) -> Self {
        let both = self.volts.zip(level);
        self.peak = both.map(|(volts, level)| (volts - level).abs() + swing);
        self
    }

    /// Whether the limit is passed.
    pub fn is_over(&self) -> bool {
        matches!((self.peak, self.limit), (Some(peak), Some(limit)) if peak > limit)
    }
}

/// The levels between which the heaters may stand so that no limit is passed, V from ground;
/// `None` where no level does. Cathodes that are not known, or have no limit, count for nothing.
pub fn window(cathodes: &[Cathode], swing: f64) -> Option<[f64; 2]> {
    let known = cathodes.iter().filter_map(|cathode| {
        let room = cathode.limit? - swing;
        Some((cathode.volts?, room))
    });
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    for (volts, room) in known {
        low = low.max(volts - room);
        high = high.min(volts + room);
    }
    (low <= high).then_some([low, high])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cathode(volts: f64, limit: f64) -> Cathode {
        Cathode {
            role: Role::Driver,
            tube: "12AX7",
            volts: Some(volts),
            limit: Some(limit),
            peak: None,
        }
    }

    /// A split load at 100 V with 90 V allowed: the heaters stand at 10 V and more, less the
    /// swing of 4.45 V at either end.
    #[test]
    fn a_split_load_wants_its_heater_raised() {
        let swing = 6.3 * 0.5_f64.sqrt();
        let split = cathode(100.0, 90.0);
        assert!(split.against(Some(0.0), swing).is_over());
        assert!(split.against(Some(30.0), swing).peak.unwrap() < 90.0);
        let [low, high] = window(&[split, cathode(8.0, 100.0)], swing).expect("a level");
        assert!((low - (10.0 + swing)).abs() < 1e-9);
        assert!((high - (108.0 - swing)).abs() < 1e-9);
        for level in [low, high] {
            for one in [split, cathode(8.0, 100.0)] {
                let peak = one.against(Some(level), swing).peak.unwrap();
                assert!(peak <= one.limit.unwrap() + 1e-9);
            }
        }
    }

    #[test]
    fn far_apart_no_level_does() {
        assert_eq!(
            window(&[cathode(200.0, 90.0), cathode(2.0, 90.0)], 4.5),
            None
        );
    }
}
