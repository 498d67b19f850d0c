//! What holds for every supply, over a grid of them.

use tapwright_supply::{
    Capacitor, Circuit, Feed, Law, SAFE_VOLTS, Section, Series, Steady, Supply, cold_start,
    seconds_until_safe,
};

/// Every circuit with both laws, and with nothing, a resistor, and a choke and a resistor behind
/// the first capacitor.
fn grid() -> Vec<Supply> {
    let capacitor = |farads, amps, bleeder_ohms| Capacitor {
        farads,
        amps,
        bleeder_ohms,
    };
    let section = |series, capacitor| Section { series, capacitor };
    let circuits = [
        Circuit::FullWave,
        Circuit::Bridge,
        Circuit::HalfWave,
        Circuit::Doubler,
    ];
    let laws = [Law::of_drop(20.0, 0.09), Law::Silicon];
    let lines = [
        vec![],
        vec![section(
            Series::Resistor(470.0),
            capacitor(32e-6, 0.008, None),
        )],
        vec![
            section(Series::Choke(8.0, 200.0), capacitor(47e-6, 0.01, None)),
            section(Series::Resistor(22e3), capacitor(16e-6, 0.001, Some(470e3))),
        ],
    ];
    let mut grid = Vec::new();
    for circuit in circuits {
        for law in laws {
            for line in &lines {
                grid.push(Supply {
                    feed: Feed {
                        volts: 250.0,
                        ohms: 140.0,
                        hertz: 50.0,
                    },
                    circuit,
                    law,
                    first: capacitor(47e-6, 0.04, Some(220e3)),
                    sections: line.clone(),
                });
            }
        }
    }
    grid
}

fn scaled(supply: &Supply, by: [f64; 4]) -> Supply {
    let [volts, amps, ohms, farads] = by;
    let capacitor = |one: Capacitor| Capacitor {
        farads: one.farads * farads,
        amps: one.amps * amps,
        bleeder_ohms: one.bleeder_ohms.map(|bleeder| bleeder * ohms),
    };
    Supply {
        feed: Feed {
            volts: supply.feed.volts * volts,
            ohms: supply.feed.ohms * ohms,
            ..supply.feed
        },
        first: capacitor(supply.first),
        sections: (supply.sections.iter())
            .map(|section| Section {
                series: match section.series {
                    Series::Resistor(r) => Series::Resistor(r * ohms),
                    // Henries are ohms at a frequency.
                    Series::Choke(l, r) => Series::Choke(l * ohms, r * ohms),
                },
                capacitor: capacitor(section.capacitor),
            })
            .collect(),
        ..supply.clone()
    }
}

#[expect(clippy::expect_used, reason = "a test stops here")]
fn volts(supply: &Supply) -> Vec<f64> {
    let steady = Steady::of(supply).expect("it settles");
    steady.nodes.iter().map(|node| node.volts).collect()
}

fn assert_close(a: &[f64], b: &[f64], within: f64, what: &Supply) {
    for (a, b) in a.iter().zip(b) {
        assert!((a / b - 1.0).abs() < within, "{a} {b} {what:#?}");
    }
}

/// Volts times k, currents times k^1.5, resistances over √k and capacitances times √k is again a
/// solution of the 3/2 law: every term of every equation scales alike. Exact.
#[test]
fn the_vacuum_law_scales() {
    let k: f64 = 1.7;
    let vacuum = grid().into_iter().filter(|one| one.law != Law::Silicon);
    for supply in vacuum {
        let other = scaled(&supply, [k, k.powf(1.5), k.powf(-0.5), k.sqrt()]);
        let expected: Vec<f64> = volts(&supply).iter().map(|v| v * k).collect();
        assert_close(&volts(&other), &expected, 1e-7, &supply);
    }
}

/// With a rectifier that drops next to nothing and resistive loads everything scales with the
/// mains. The silicon law's 0.7 V in some 300 is what may be left.
#[test]
fn a_nearly_ideal_rectifier_scales_with_the_mains() {
    let silicon = grid().into_iter().filter(|one| one.law == Law::Silicon);
    for mut supply in silicon {
        supply = supply.unloaded();
        supply.first.bleeder_ohms = Some(6_000.0);
        let mut higher = supply.clone();
        higher.feed.volts *= 1.1;
        let expected: Vec<f64> = volts(&supply).iter().map(|v| 1.1 * v).collect();
        assert_close(&volts(&higher), &expected, 1e-3, &supply);
    }
}

/// More current at any capacitor leaves less at every capacitor.
#[test]
fn more_load_never_raises_the_volts() {
    for supply in grid() {
        let before = volts(&supply);
        let amps: Vec<f64> = supply.capacitors().map(|one| one.amps).collect();
        for at in 0..amps.len() {
            let mut more = amps.clone();
            more[at] += 0.002;
            let after = volts(&supply.with_amps(&more));
            for (after, before) in after.iter().zip(&before) {
                assert!(after < before, "{after} {before} {supply:#?}");
            }
        }
        let without = volts(&supply.unloaded());
        assert!(without.iter().zip(&before).all(|(a, b)| a > b));
    }
}

/// What the winding gives is what the parts take. The trapezoidal rule keeps it to a thousandth.
#[test]
fn energy_balances() {
    for supply in grid() {
        let steady = Steady::of(&supply).unwrap();
        let sum: f64 = [
            &steady.section_watts,
            &steady.bleeder_watts,
            &steady.load_watts,
        ]
        .into_iter()
        .flatten()
        .sum();
        let taken = sum + steady.rectifier_watts + steady.winding_watts;
        assert!(
            (taken / steady.source_watts - 1.0).abs() < 1e-3,
            "{taken} W of {} W in {supply:#?}",
            steady.source_watts
        );
    }
}

/// Charge: what one rectifier passes on average, times how many take turns, is what is drawn.
#[test]
fn charge_balances() {
    for supply in grid() {
        let steady = Steady::of(&supply).unwrap();
        let bleeders: f64 = (supply.capacitors().zip(&steady.nodes))
            .filter_map(|(one, node)| Some(node.volts / one.bleeder_ohms?))
            .sum();
        let drawn = supply.amps() + bleeders;
        // A doubler's two pass the same current one after the other.
        let turns = if supply.circuit == Circuit::FullWave || supply.circuit == Circuit::Bridge {
            2.0
        } else {
            1.0
        };
        let given = turns * steady.rectifier.mean;
        assert!((given / drawn - 1.0).abs() < 1e-6, "{given} A of {drawn} A");
    }
}

/// Without a bleeder and without tubes every capacitor stands at the peak for ever; with one it
/// gets there within the bleeder's drop, and is safe after R C ln(V/60).
#[test]
fn a_bleeder_empties_the_capacitors() {
    for mut supply in grid() {
        supply = supply.unloaded();
        supply.first.bleeder_ohms = None;
        for section in &mut supply.sections {
            section.capacitor.bleeder_ohms = None;
        }
        let peak = 250.0 * 2.0_f64.sqrt() * supply.circuit.peaks();
        assert_close(&volts(&supply), &[peak; 3], 1e-12, &supply);
        let at = vec![peak; 1 + supply.sections.len()];
        let never = seconds_until_safe(&supply, &at);
        assert!(never.iter().all(Option::is_none), "{never:?}");
        supply.sections.clear();
        supply.first.bleeder_ohms = Some(100e3);
        let farads = supply.first.farads / supply.circuit.peaks();
        let expected = 100e3 * farads * (peak / SAFE_VOLTS).ln();
        let found = seconds_until_safe(&supply, &at[..1])[0].unwrap();
        assert!((found / expected - 1.0).abs() < 0.01, "{found} {expected}");
    }
}

/// A cold start reaches the peak of a mains 10 % high.
#[test]
fn a_cold_start_reaches_the_peak() {
    for supply in grid() {
        let cold = cold_start(&supply, 0.1).unwrap();
        let peak = 1.1 * 250.0 * 2.0_f64.sqrt() * supply.circuit.peaks();
        // Bleeders of this grid take some volts.
        assert!(cold[0] > 0.9 * peak && cold[0] <= peak, "{cold:?} {peak}");
    }
}

/// Behind a choke a small capacitor swings above the first: that is followed, not the peak taken.
#[test]
fn a_choke_swings_its_capacitor_above_the_peak() {
    let mut supply = grid().swap_remove(5);
    supply.feed.ohms = 30.0;
    supply.sections.truncate(1);
    supply.sections[0].capacitor.farads = 8e-6;
    assert!(matches!(supply.sections[0].series, Series::Choke(..)));
    let cold = cold_start(&supply, 0.1).unwrap();
    let peak = 1.1 * 250.0 * 2.0_f64.sqrt();
    assert!(cold[1] > 1.2 * peak && cold[1] < 2.0 * peak, "{cold:?}");
}

/// A current that the winding cannot give is refused, not answered by negative volts.
#[test]
fn too_much_current_is_refused() {
    for supply in grid() {
        let amps = vec![3.0; 1 + supply.sections.len()];
        assert!(Steady::of(&supply.with_amps(&amps)).is_err());
    }
}
