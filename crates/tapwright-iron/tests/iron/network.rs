//! What holds for the network of every transformer, tried on random ones.

use num_complex::Complex64;
use proptest::prelude::*;
use tapwright_iron::flux::FluxLimit;
use tapwright_iron::inductance::{inductance_from_reading, leakage_from_reading};
use tapwright_iron::network::Network;

/// From one value to another, equal ratios equally often.
fn between(from: f64, to: f64) -> impl Strategy<Value = f64> {
    (from.ln()..to.ln()).prop_map(f64::exp)
}

/// Zero as often as not.
fn or_none(value: impl Strategy<Value = f64>) -> impl Strategy<Value = Option<f64>> {
    prop::option::of(value)
}

/// Far beyond what anybody would wind.
fn network() -> impl Strategy<Value = Network> {
    (
        between(0.5, 500.0),
        or_none(between(1e-3, 2e4)),
        or_none(between(1e-3, 100.0)),
        or_none(between(100.0, 1e7)),
        or_none(between(1e-3, 1e4)),
        or_none(between(1e-6, 10.0)),
        or_none(between(1e-12, 1e-6)),
    )
        .prop_map(
            |(turns_ratio, primary, secondary, core_ohms, inductance, leakage, capacitance)| {
                Network {
                    turns_ratio,
                    primary_ohms: primary.unwrap_or_default(),
                    secondary_ohms: secondary.unwrap_or_default(),
                    core_ohms,
                    inductance,
                    leakage: leakage.unwrap_or_default(),
                    capacitance: capacitance.unwrap_or_default(),
                }
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    /// No more comes out than goes in, the tube sees no less than the copper, and every
    /// number is a number.
    #[test]
    fn losses_only_lose(network in network(), load in between(0.1, 2e3), source in between(1.0, 1e6)) {
        let efficiency = network.efficiency(load);
        prop_assert!((0.0..=1.0 + 1e-12).contains(&efficiency), "{efficiency}");
        prop_assert!(network.insertion_loss(load) >= 0.0);
        prop_assert!(network.insertion_loss(load).is_sign_positive());
        prop_assert!(network.input_at_mid_band(load) > network.primary_ohms);
        if let Some(band) = network.band(source, load) {
            let (low, high) = (band.low.unwrap_or(0.0), band.high.unwrap_or(f64::INFINITY));
            prop_assert!(low < high, "{low} to {high}");
            prop_assert_eq!(band.low.is_some(), network.inductance.is_some());
            prop_assert_eq!(band.high.is_some(), network.leakage > 0.0 || network.capacitance > 0.0);
            let half = network.transfer_at_mid_band(source, load) / 2_f64.sqrt();
            for edge in [band.low, band.high].into_iter().flatten() {
                let there = network.transfer(edge, source, Complex64::from(load)).norm();
                prop_assert!((there / half - 1.0).abs() < 1e-6, "{there} and {half} at {edge} Hz");
            }
        }
    }

    /// At any frequency, into any load that gives nothing back: finite, and passive.
    #[test]
    fn it_is_passive_at_any_frequency(
        network in network(), hertz in between(1e-2, 1e6),
        ohms in between(0.1, 2e3), reactance in -2e3_f64..2e3, source in between(1.0, 1e6),
    ) {
        let load = Complex64::new(ohms, reactance);
        let input = network.input(hertz, load);
        let gain = network.transfer(hertz, source, load);
        prop_assert!(input.is_finite() && gain.is_finite());
        // What comes out went in: rounding may be of the size of what is reactive.
        prop_assert!(input.re >= -1e-9 * input.norm());
        let into = (input.re / (source + input).norm_sqr()).max(0.0);
        let out = gain.norm_sqr() * ohms / load.norm_sqr();
        prop_assert!(out <= into * (1.0 + 1e-6) + 1e-9 * (input.norm() / (source + input).norm_sqr()));
    }

    /// With everything that loses left out it is the ideal transformer again, exactly.
    #[test]
    fn without_losses_it_is_ideal(
        turns_ratio in between(0.5, 500.0), load in between(0.1, 2e3),
        hertz in between(1.0, 1e5), source in between(1.0, 1e6),
    ) {
        let ideal = Network::ideal(turns_ratio);
        let reflected = turns_ratio.powi(2) * load;
        prop_assert_eq!(ideal.input_at_mid_band(load), reflected);
        prop_assert_eq!(ideal.efficiency(load), 1.0);
        prop_assert_eq!(ideal.insertion_loss(load), 0.0);
        let input = ideal.input(hertz, Complex64::from(load));
        prop_assert!((input - reflected).norm() <= 1e-12 * reflected);
        let nearly = Network {
            primary_ohms: 1e-9, secondary_ohms: 1e-12, core_ohms: Some(1e18),
            inductance: Some(1e12), leakage: 1e-15, capacitance: 1e-24, ..ideal
        };
        let (a, b) = (
            ideal.transfer(hertz, source, Complex64::from(load)),
            nearly.transfer(hertz, source, Complex64::from(load)),
        );
        prop_assert!((a - b).norm() <= 1e-6 * a.norm(), "{a} and {b}");
    }

    /// A network read with a meter is found again, whatever else it loses.
    #[test]
    fn readings_find_the_inductances(
        network in network(), henry in between(0.5, 100.0), leakage in between(1e-3, 0.5),
    ) {
        let network = Network {
            turns_ratio: 25.0, primary_ohms: network.primary_ohms.min(2e3), secondary_ohms: 0.0,
            core_ohms: network.core_ohms.map(|ohms| ohms.max(30e3)),
            inductance: Some(henry), leakage: 0.0, capacitance: 0.0,
        };
        let open = network.input(50.0, Complex64::from(1e18)).norm();
        let found = inductance_from_reading(open, 1.0, 50.0, network.primary_ohms, network.core_ohms);
        prop_assert!((found.expect("found") / henry - 1.0).abs() < 1e-5);
        let shorted = Network { leakage, core_ohms: None, inductance: None, ..network };
        let ohms = shorted.input(10e3, Complex64::from(1e-18)).norm();
        let found = leakage_from_reading(ohms, 1.0, 10e3, network.primary_ohms);
        prop_assert!((found.expect("found") / leakage - 1.0).abs() < 1e-5);
    }

    /// Twice the frequency, four times the power; and the frequency is found again.
    #[test]
    fn flux_goes_with_volts_over_frequency(
        watts in between(0.1, 500.0), hertz in between(10.0, 500.0),
        reflected in between(100.0, 1e5), rated_load in between(100.0, 1e5), at in between(5.0, 1e4),
    ) {
        let rated = FluxLimit { watts, hertz };
        let one = rated.largest_power(at, reflected, rated_load);
        let two = rated.largest_power(2.0 * at, reflected, rated_load);
        prop_assert!((two / one - 4.0).abs() < 1e-9);
        prop_assert!((rated.lowest_hertz(one, reflected, rated_load) / at - 1.0).abs() < 1e-9);
    }
}
