//! Turns from voltages, on synthetic transformers. Invented data.

use crate::bench_noise::Noise;
use tapwright_iron::measured::meter::Accuracy;
use tapwright_iron::measured::turns::{TurnsFit, Voltage, fit};
use tapwright_iron::measured::windings::{Resistance, Winding, find};
use tapwright_iron::measured::{Lead, Pair};
use tapwright_units::uncertainty::Uncertain;

const ONE_PERCENT: Accuracy = Accuracy {
    share: 0.01,
    counts: 0.0,
};

/// The leads of a winding from end to end, with the turns up to each.
type Order = Vec<(Lead, f64)>;

/// Windings in this order of leads; every neighbour read, with resistances as turns.
fn windings(orders: &[Order]) -> Vec<Winding> {
    let mut readings = Vec::new();
    for winding in orders {
        for (at, a) in winding.iter().enumerate() {
            for b in &winding[at + 1..] {
                let value = (a.1 - b.1).abs();
                let uncertainty = 0.01 * value;
                readings.push(Resistance {
                    pair: (a.0, b.0),
                    ohms: Some(Uncertain { value, uncertainty }),
                });
            }
        }
    }
    let leads = orders.iter().map(Vec::len).sum();
    find(leads, &readings, &[]).windings
}

fn turns(orders: &[Order], pair: Pair) -> f64 {
    let of = |lead: Lead| {
        let mut all = orders.iter().flatten();
        all.find(|(other, _)| *other == lead).expect("a lead").1
    };
    (of(pair.0) - of(pair.1)).abs()
}

fn shown(value: f64, accuracy: Accuracy, count: f64) -> Uncertain {
    Uncertain {
        value,
        uncertainty: accuracy.uncertainty(value, count),
    }
}

fn volts(test: usize, pair: Pair, value: f64) -> Voltage {
    Voltage {
        test,
        pair,
        joined: None,
        volts: shown(value, ONE_PERCENT, 0.0),
    }
}

/// Five leads: 1,000 turns tapped at 430, and 40.
fn five_leads() -> Vec<Order> {
    vec![
        vec![(0, 0.0), (1, 430.0), (2, 1_000.0)],
        vec![(3, 0.0), (4, 40.0)],
    ]
}

/// 6.31 V and 0.2442 V at 1 % each: n = 25.839, and 8 Ω reflect 5341 Ω ± 151 Ω. Exact
/// arithmetic, JCGM 100:2008, 5.1.6.
#[test]
fn two_readings_as_by_hand() {
    let windings = windings(&[vec![(0, 0.0), (1, 350.0)], vec![(2, 0.0), (3, 0.5)]]);
    let readings = [volts(0, (0, 1), 6.31), volts(0, (2, 3), 0.244_2)];
    let fit = fit(&windings, &readings).expect("a fit");
    let ratio = fit.ratio((0, 1), (2, 3)).expect("known");
    assert!((ratio.n - 25.839).abs() < 5e-4, "{ratio:?}");
    let reflected = 8.0 * ratio.n.powi(2);
    assert!((reflected - 5_341.0).abs() < 1.0, "{reflected}");
    let uncertainty = 2.0 * ratio.relative * reflected;
    assert!((uncertainty - 151.0).abs() < 0.5, "{uncertainty}");
    assert_eq!(fit.spare, 0);
    assert!(fit.suspects.is_empty());
}

/// The stated standard uncertainty against the scatter of 100,000 draws, for a plain ratio,
/// one that is over-determined, and one from two tests with a tap in between.
#[test]
fn uncertainty_as_a_hundred_thousand_draws_scatter() {
    let orders = five_leads();
    let windings = windings(&orders);
    let mut noise = Noise(11);
    let cases: [&[(usize, Pair)]; 3] = [
        &[(0, (0, 2)), (0, (3, 4))],
        &[
            (0, (0, 2)),
            (0, (3, 4)),
            (0, (0, 1)),
            (0, (1, 2)),
            (1, (0, 2)),
            (1, (3, 4)),
        ],
        &[(0, (0, 1)), (0, (3, 4)), (1, (0, 2)), (1, (1, 2))],
    ];
    for (case, pairs) in cases.iter().enumerate() {
        let per_turn = [6.3e-3, 4.1e-3];
        let exact: Vec<Voltage> = (pairs.iter())
            .map(|(test, pair)| volts(*test, *pair, per_turn[*test] * turns(&orders, *pair)))
            .collect();
        let stated = fit(&windings, &exact).expect("a fit");
        let stated = stated.ratio((0, 2), (3, 4)).expect("known");
        assert!((stated.n - 25.0).abs() < 1e-5, "{stated:?}");
        let draws = 100_000;
        let (mut sum, mut squares) = (0.0, 0.0);
        for _ in 0..draws {
            let drawn: Vec<Voltage> = (exact.iter())
                .map(|reading| {
                    let u = reading.volts.uncertainty;
                    let value = reading.volts.value + u * noise.normal();
                    Voltage {
                        volts: Uncertain {
                            value,
                            uncertainty: u,
                        },
                        ..*reading
                    }
                })
                .collect();
            let ratio = fit(&windings, &drawn).expect("a fit").ratio((0, 2), (3, 4));
            let off = ratio.expect("known").n - 25.0;
            sum += off;
            squares += off * off;
        }
        let mean = sum / f64::from(draws);
        let scatter = (squares / f64::from(draws) - mean * mean).sqrt();
        let off = stated.relative * 25.0 / scatter - 1.0;
        assert!(off.abs() < 0.03, "case {case}: off by {off}");
    }
}

/// A transformer of 2 or 3 windings with up to two taps each, and readings of it: more than
/// it takes, or just as many, in one test or three, in any order.
fn trial(noise: &mut Noise) -> (Vec<Order>, Vec<(usize, Pair)>) {
    let mut lead = 0;
    let mut orders = Vec::new();
    for winding in 0..noise.count(2, 3) {
        let whole = if winding == 0 {
            noise.between(500.0, 3_000.0)
        } else {
            noise.between(20.0, 150.0)
        };
        let mut parts: Vec<f64> = (0..noise.count(0, 2))
            .map(|_| noise.between(0.15, 0.85))
            .collect();
        parts.extend([0.0, 1.0]);
        parts.sort_by(f64::total_cmp);
        if parts.windows(2).any(|pair| pair[1] - pair[0] < 0.1) {
            parts = vec![0.0, 1.0];
        }
        let leads: Vec<(Lead, f64)> = (parts.iter().enumerate())
            .map(|(at, part)| (lead + at, whole * part))
            .collect();
        lead += leads.len();
        orders.push(leads);
    }
    let mut pairs = Vec::new();
    for winding in &orders {
        for (at, a) in winding.iter().enumerate() {
            pairs.extend(winding[at + 1..].iter().map(|b| (a.0, b.0)));
        }
    }
    let tests = noise.count(1, 3);
    let mut readings: Vec<(usize, Pair)> = Vec::new();
    for test in 0..tests {
        for pair in &pairs {
            if test == 0 || noise.chance(0.5) {
                readings.push((test, *pair));
            }
        }
    }
    noise.shuffle(&mut readings);
    // Some are left out again, as long as each winding keeps one in the first test.
    readings.retain(|(test, _)| *test > 0 || noise.chance(0.9));
    (orders, readings)
}

/// The true ratio of any two pairs of leads lies inside the stated interval in 93 to 97 of 100 trials.
#[test]
fn the_interval_holds_what_it_says() {
    let mut noise = Noise(12);
    let (mut known, mut inside, mut open) = (0, 0, 0);
    while known < 10_000 {
        let (orders, pairs) = trial(&mut noise);
        let windings = windings(&orders);
        let per_turn: Vec<f64> = (0..3).map(|_| noise.decade(1e-3, 1e-2)).collect();
        let readings: Vec<Voltage> = (pairs.iter())
            .map(|(test, pair)| {
                let exact = per_turn[*test] * turns(&orders, *pair);
                volts(*test, *pair, exact * (1.0 + 0.01 * noise.normal()))
            })
            .collect();
        let mut any = |winding: &[(Lead, f64)]| {
            let last = winding.len() - 1;
            let from = noise.count(0, last - 1);
            (winding[from].0, winding[noise.count(from + 1, last)].0)
        };
        let (over, under) = (any(&orders[0]), any(&orders[1]));
        let truth = turns(&orders, over) / turns(&orders, under);
        let found = fit(&windings, &readings).and_then(|fit| fit.ratio(over, under));
        let Some(ratio) = found else {
            open += 1;
            continue;
        };
        known += 1;
        let (low, high) = ratio.range();
        inside += usize::from(low <= truth && truth <= high);
    }
    assert!(
        (9_300..=9_700).contains(&inside),
        "{inside} of {known}, {open} open"
    );
}

fn fitted(orders: &[Order], readings: &[Voltage]) -> TurnsFit {
    fit(&windings(orders), readings).expect("a fit")
}

/// Series readings: the sum says that like ends were apart, the difference that they were
/// joined. 100 and 40 turns at 10 mV a turn.
#[test]
fn phase_from_sum_and_difference() {
    let orders = [vec![(0, 0.0), (1, 100.0)], vec![(2, 0.0), (3, 40.0)]];
    // Lead 1 joined to lead 2, read from 0 to 3.
    for (value, alike) in [(1.4, [(0, 2), (1, 3)]), (0.6, [(0, 3), (1, 2)])] {
        let mut readings = vec![volts(0, (0, 1), 1.0), volts(0, (2, 3), 0.4)];
        readings.push(Voltage {
            joined: Some((1, 2)),
            ..volts(0, (0, 3), value)
        });
        let fit = fitted(&orders, &readings);
        let [ends] = fit.like_ends[..] else {
            panic!("{:?}", fit.like_ends)
        };
        assert!(ends.known);
        let same = |a: Pair| a == ends.alike || (a.1, a.0) == ends.alike;
        assert!(alike.into_iter().any(same), "{value}: {ends:?}");
        assert!((fit.ratio((0, 1), (2, 3)).expect("known").n - 2.5).abs() < 1e-5);
    }
}

/// A meter too coarse to tell the sum from the difference says so.
#[test]
fn a_phase_that_the_meter_cannot_tell_is_not_known() {
    let orders = [vec![(0, 0.0), (1, 1_000.0)], vec![(2, 0.0), (3, 10.0)]];
    let mut readings = vec![volts(0, (0, 1), 10.0), volts(0, (2, 3), 0.1)];
    readings.push(Voltage {
        joined: Some((1, 2)),
        ..volts(0, (0, 3), 10.1)
    });
    assert!(!fitted(&orders, &readings).like_ends[0].known);
}

#[test]
fn what_is_not_read_is_not_known() {
    let orders = five_leads();
    let fit = fitted(&orders, &[volts(0, (0, 2), 6.3), volts(1, (3, 4), 0.25)]);
    assert_eq!(
        fit.ratio((0, 2), (3, 4)),
        None,
        "two tests with nothing in common"
    );
    let bridged = fitted(
        &orders,
        &[
            volts(0, (0, 2), 6.3),
            volts(0, (0, 1), 2.709),
            volts(1, (3, 4), 0.4),
            volts(1, (0, 1), 4.3),
        ],
    );
    let ratio = bridged.ratio((0, 2), (3, 4)).expect("the tap bridges them");
    assert!((ratio.n - 25.0).abs() < 1e-5);
    assert!((ratio.relative - 0.02).abs() < 1e-6, "four readings at 1 %");
    assert!(fit_is_none());
}

fn fit_is_none() -> bool {
    fit(&windings(&five_leads()), &[]).is_none()
}

/// A reading that is 10 % off among many is named, and no other.
#[test]
fn the_outlier_is_named() {
    let mut noise = Noise(13);
    let orders = five_leads();
    let pairs = [(0, 2), (0, 1), (1, 2), (3, 4)];
    let (mut named, mut false_alarms) = (0, 0);
    for _ in 0..500 {
        let mut readings = Vec::new();
        for test in 0..3 {
            for pair in pairs {
                let exact = 6.3e-3 * turns(&orders, pair);
                readings.push(volts(test, pair, exact * (1.0 + 0.01 * noise.normal())));
            }
        }
        false_alarms += usize::from(!fitted(&orders, &readings).suspects.is_empty());
        let victim = noise.count(0, readings.len() - 1);
        readings[victim].volts.value *= 1.1;
        named += usize::from(fitted(&orders, &readings).suspects == [victim]);
    }
    assert!(named >= 485, "{named} of 500");
    // Twelve readings, each suspected once in a thousand.
    assert!(false_alarms <= 20, "{false_alarms} of 500");
}

/// Readings that only together can be told from the rest are all named.
#[test]
fn of_two_that_disagree_both_are_named() {
    let orders = [vec![(0, 0.0), (1, 1_000.0)], vec![(2, 0.0), (3, 40.0)]];
    let readings = [
        volts(0, (0, 1), 6.3),
        volts(0, (2, 3), 0.252),
        volts(0, (2, 3), 0.3),
    ];
    assert_eq!(fitted(&orders, &readings).suspects, [1, 2]);
}

/// Taps whose order the resistances leave open are put in order by the voltages.
#[test]
fn voltages_settle_an_order() {
    let ohms = |pair, value: f64| Resistance {
        pair,
        ohms: Some(Uncertain {
            value,
            uncertainty: 0.05 * value,
        }),
    };
    let star = [ohms((0, 1), 4.0), ohms((0, 2), 8.0), ohms((3, 4), 300.0)];
    let found = find(5, &star, &[]);
    assert_eq!(found.windings[1].orders.len(), 2);
    let readings = [
        volts(0, (3, 4), 6.3),
        volts(0, (0, 1), 0.1),
        volts(0, (0, 2), 0.25),
        volts(0, (1, 2), 0.35),
    ];
    let fit = fit(&found.windings, &readings).expect("a fit");
    assert_eq!(fit.possible_orders()[1].len(), 1);
    assert!(
        [vec![1, 0, 2], vec![2, 0, 1]].contains(&fit.orders()[1]),
        "{:?}",
        fit.orders()
    );
    assert!((fit.ratio((3, 4), (1, 2)).expect("known").n - 18.0).abs() < 0.01);
}
