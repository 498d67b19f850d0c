//! The mains transformer.

use serde::Serialize;

/// What is stamped on a mains transformer, or measured on it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MainsTransformer {
    /// The mains that the primary, or the tap of it that the rest belongs to, is rated for, V.
    pub rated_volts: f64,
    /// The secondary as stamped, at its stamped load, V; of half the winding where it has a
    /// centre tap.
    pub stamped_volts: f64,
    /// Its stamped current, A; 0 where the volts are those without load.
    pub stamped_amps: f64,
    /// The wire of the secondary, or of half of it, Ω.
    pub winding_ohms: f64,
    /// The wire of the primary at that tap, Ω.
    pub primary_ohms: f64,
}

impl MainsTransformer {
    /// The secondary without load, V: the stamped volts are those under load, so the drop of the
    /// stamped current in all resistance comes on top.
    ///
    /// The primary's share depends on the turns ratio and so on the result: `E = V + I (R_s +
    /// R_p E²/U²)`, of whose two roots the smaller is meant.
    ///
    /// ```
    /// use tapwright_supply::MainsTransformer;
    /// let transformer = MainsTransformer {
    ///     rated_volts: 230.0,
    ///     stamped_volts: 250.0,
    ///     stamped_amps: 0.1,
    ///     winding_ohms: 100.0,
    ///     primary_ohms: 20.0,
    /// };
    /// let open = transformer.open_volts();
    /// let ohms = 100.0 + 20.0 * (open / 230.0_f64).powi(2);
    /// assert!((open - 250.0 - 0.1 * ohms).abs() < 1e-9);
    /// ```
    pub fn open_volts(&self) -> f64 {
        let square = self.stamped_amps * self.primary_ohms / self.rated_volts.powi(2);
        let sum = self.stamped_volts + self.stamped_amps * self.winding_ohms;
        // Where the wire could not carry the stamped current at all, the bare sum.
        let root = (1.0 - 4.0 * square * sum).max(0.0).sqrt();
        2.0 * sum / (1.0 + root)
    }

    /// Turns of the secondary, or of half of it, over those of the primary up to a tap rated for
    /// `tap` volts.
    pub fn turns(&self, tap: f64) -> f64 {
        self.open_volts() / tap
    }

    /// Volts without load and ohms in series, of the secondary or of half of it, with this mains
    /// on a tap rated for `tap` volts. The wire up to another tap is taken as its share of the
    /// turns.
    ///
    /// ```
    /// # use tapwright_supply::MainsTransformer;
    /// let transformer = MainsTransformer {
    ///     rated_volts: 230.0,
    ///     stamped_volts: 250.0,
    ///     stamped_amps: 0.0,
    ///     winding_ohms: 100.0,
    ///     primary_ohms: 23.0,
    /// };
    /// let (volts, ohms) = transformer.feed(240.0, 230.0);
    /// assert!((volts - 250.0 * 240.0 / 230.0).abs() < 1e-9);
    /// assert!((ohms - 100.0 - 23.0 * (250.0_f64 / 230.0).powi(2)).abs() < 1e-9);
    /// ```
    pub fn feed(&self, mains: f64, tap: f64) -> (f64, f64) {
        let turns = self.turns(tap);
        let primary = self.primary_ohms * tap / self.rated_volts;
        (mains * turns, self.winding_ohms + turns * turns * primary)
    }

    /// The tap that suits a mains: of those whose rating the mains does not pass by more than
    /// 5 %, the nearest; where it passes all of them, the highest.
    ///
    /// ```
    /// use tapwright_supply::MainsTransformer;
    /// assert_eq!(MainsTransformer::tap_for(231.0, &[220.0, 230.0, 250.0]), Some(230.0));
    /// assert_eq!(MainsTransformer::tap_for(233.0, &[220.0, 250.0]), Some(250.0));
    /// ```
    pub fn tap_for(mains: f64, taps: &[f64]) -> Option<f64> {
        let allowed = taps.iter().copied().filter(|tap| mains <= 1.05 * tap);
        (allowed.min_by(|a, b| (a - mains).abs().total_cmp(&(b - mains).abs())))
            .or_else(|| taps.iter().copied().max_by(f64::total_cmp))
    }
}
