//! Inductances from readings of a meter, or from what a maker states.

use std::f64::consts::TAU;

/// Primary inductance, H, from volts across the primary, amperes through it and the frequency
/// in hertz, with nothing connected to the secondary. All values are above zero.
///
/// `Z = R_p + 1/(1/R_core − j/ωL)` and `|Z| = V/I`, solved for `ωL`. The copper's `series` ohms
/// and the core's loss are subtracted where they are known. `None` when they alone make up the
/// reading, so that nothing is left for an inductance.
///
/// ```
/// use tapwright_iron::inductance::inductance_from_reading;
/// let henry = inductance_from_reading(6.3, 0.001_67, 50.0, 0.0, None).unwrap();
/// assert!((henry - 12.0).abs() < 0.01);
/// assert_eq!(inductance_from_reading(1.0, 0.01, 50.0, 350.0, None), None);
/// ```
pub fn inductance_from_reading(
    volts: f64,
    amps: f64,
    hertz: f64,
    series: f64,
    core: Option<f64>,
) -> Option<f64> {
    let left = (volts / amps).powi(2) - series.powi(2);
    let core = core.map_or(0.0, f64::recip);
    // |Z|² = R_p² + (1 + 2 R_p G) / (G² + B²), with G = 1/R_core and B = 1/ωL.
    let susceptance = (1.0 + 2.0 * series * core) / left - core.powi(2);
    (left > 0.0 && susceptance > 0.0).then(|| 1.0 / (TAU * hertz * susceptance.sqrt()))
}

/// Primary inductance, H, from a stated lower −3 dB point in hertz. The statement is taken to be
/// for the rated load on both sides, so that `ωL` is half of `rated` there.
///
/// ```
/// use tapwright_iron::inductance::inductance_from_minus_3_db;
/// assert!((inductance_from_minus_3_db(40.0, 8_000.0) - 15.92).abs() < 0.005);
/// ```
pub fn inductance_from_minus_3_db(hertz: f64, rated: f64) -> f64 {
    rated / 2.0 / (TAU * hertz)
}

/// Leakage inductance referred to the primary, H, from volts, amperes and hertz at the primary
/// with the whole secondary shorted. `copper` is the resistance of both windings referred to the
/// primary: `|V/I|² = R² + (ωL)²`. `None` when the copper alone makes up the reading.
///
/// ```
/// use tapwright_iron::inductance::leakage_from_reading;
/// let henry = leakage_from_reading(5.0, 0.01, 1_000.0, 300.0).unwrap();
/// assert!((henry - 0.0637).abs() < 1e-4);
/// assert_eq!(leakage_from_reading(5.0, 0.02, 1_000.0, 300.0), None);
/// ```
pub fn leakage_from_reading(volts: f64, amps: f64, hertz: f64, copper: f64) -> Option<f64> {
    let squared = (volts / amps).powi(2) - copper.powi(2);
    (squared > 0.0).then(|| squared.sqrt() / (TAU * hertz))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::Network;
    use num_complex::Complex64;

    /// Readings of a known transformer lead back to its values.
    #[test]
    fn readings_of_a_known_transformer_find_it_again() {
        for (copper, core, henry) in [
            (0.0, None, 12.0),
            (350.0, Some(60e3), 12.0),
            (900.0, Some(20e3), 3.0),
        ] {
            let network = Network {
                primary_ohms: copper,
                secondary_ohms: 0.5,
                core_ohms: core,
                inductance: Some(henry),
                ..Network::ideal(25.0)
            };
            // As good as open.
            let open = network.input(50.0, Complex64::from(1e15)).norm();
            let found = inductance_from_reading(open * 0.01, 0.01, 50.0, copper, core);
            assert!((found.expect("found") / henry - 1.0).abs() < 1e-9);
        }
        let shorted = Network {
            primary_ohms: 350.0,
            secondary_ohms: 0.5,
            leakage: 0.04,
            ..Network::ideal(25.0)
        };
        let ohms = shorted.input(1_000.0, Complex64::from(1e-15)).norm();
        let found = leakage_from_reading(ohms * 0.01, 0.01, 1_000.0, 350.0 + 625.0 * 0.5);
        assert!((found.expect("found") / 0.04 - 1.0).abs() < 1e-9);
    }

    /// When core loss makes up the whole reading there is no inductance to find.
    #[test]
    fn a_reading_that_is_all_core_loss() {
        assert_eq!(
            inductance_from_reading(100.0, 0.01, 50.0, 0.0, Some(10e3)),
            None
        );
        assert_eq!(
            inductance_from_reading(100.0, 0.01, 50.0, 0.0, Some(9e3)),
            None
        );
        assert!(inductance_from_reading(100.0, 0.01, 50.0, 0.0, Some(11e3)).is_some());
    }
}
