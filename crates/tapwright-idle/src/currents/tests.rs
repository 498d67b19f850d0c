use super::*;
use crate::reading::{Reading, Resistor, SideReadings};
use crate::wiring::ScreenResistor;
use tapwright_tube::Model;

/// Numbers from −1 to 1, each as likely, the same in every run.
struct Even(u64);

impl Even {
    fn next(&mut self) -> f64 {
        self.0 = (self.0)
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        // The upper bits of such a sequence are the random ones.
        2.0 * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64) - 1.0
    }
}

fn model(name: &str) -> Model {
    tapwright_tube::find(name).map_or_else(|| panic!("{name}"), |tube| tube.model)
}

fn shown(volts: f64, counts: f64) -> Option<Reading> {
    Some(Reading {
        volts,
        share: 0.005,
        counts,
        source_ohms: 0.0,
    })
}

fn resistor(ohms: f64, tolerance: f64) -> Resistor {
    Resistor { ohms, tolerance }
}

fn single(cathode: f64, winding: Option<f64>) -> Wiring {
    Wiring {
        sides: 1,
        tubes_per_side: 1,
        cathode: CathodePath::Common(resistor(cathode, 0.05)),
        winding: winding.map(|ohms| resistor(ohms, 0.05)),
        screen: ScreenPath::Steady,
        screen_resistor: Some(ScreenResistor::Common(resistor(1_000.0, 0.05))),
    }
}

fn taken(name: &str, screen_volts: f64) -> Taken {
    Taken {
        model: model(name),
        supply: None,
        screen_volts,
        grid_volts: 0.0,
    }
}

fn one_side(side: SideReadings) -> Readings {
    Readings {
        supply: None,
        sides: [side, SideReadings::default()],
    }
}

fn found(wiring: &Wiring, readings: &Readings, taken: &Taken) -> Currents {
    find(wiring, readings, taken).unwrap_or_else(|why| panic!("{why:?}"))
}

/// 7.0 V over 130 Ω are 53.8 mA; 0.5 V over 1 kΩ of them are the screen's, so the plate has
/// 53.3 mA and, 243 V above its cathode, 12.96 W. Exact arithmetic.
#[test]
fn currents_by_ohms_law() {
    let readings = one_side(SideReadings {
        plate: shown(250.0, 0.2),
        screen: shown(249.5, 0.2),
        cathode: shown(7.0, 0.02),
        screen_drop: shown(0.5, 0.002),
        ..SideReadings::default()
    });
    let currents = found(&single(130.0, None), &readings, &taken("EL84", 250.0));
    let side = &currents.sides[0];
    let cathode = 7.0 / 130.0;
    assert!((side.cathode_amps.value - cathode).abs() < 1e-9);
    assert!((side.screen_amps.value - 0.5e-3).abs() < 1e-9);
    assert!((side.plate_amps.value - (cathode - 0.5e-3)).abs() < 1e-9);
    assert!((side.plate_watts.value - 243.0 * (cathode - 0.5e-3)).abs() < 1e-6);
    assert!((side.screen_watts.value - 242.5 * 0.5e-3).abs() < 1e-6);
    assert!((side.grid_volts + 7.0).abs() < 1e-6);
    assert_eq!(currents.doubt, None);
    // By hand: even limits over √3, in squares (JCGM 100:2008, 5.1.6).
    let root = 3_f64.sqrt();
    let relative = (0.05_f64).hypot(0.005).hypot(0.02 / 7.0) / root;
    let ratio = side.cathode_amps.uncertainty / (cathode * relative);
    assert!((ratio - 1.0).abs() < 1e-3, "{ratio}");
}

/// Published idle points: the volts and currents of the row put in as readings come out as its
/// currents, and P = V I. Sources as in the table of tubes: EL84 and 6V6GT, single-ended
/// (Philips data handbook; 6V6GT maker's data sheet), EL84 push-pull on a common 130 Ω.
#[test]
fn published_idle_points_come_out() {
    let mut rows = 0;
    for tube in tapwright_tube::tubes() {
        for example in &tube.examples {
            let (Some(screen), tapwright_tube::Topology::SingleEnded) =
                (&example.screen_ma, example.topology)
            else {
                continue;
            };
            let (plate_amps, screen_amps) = (example.plate_ma.idle / 1e3, screen.idle / 1e3);
            let cathode = 10.0;
            let wiring = single(cathode / (plate_amps + screen_amps), None);
            let readings = one_side(SideReadings {
                plate: shown(cathode + example.plate_volts, 0.1),
                screen: shown(cathode + example.screen_volts(), 0.1),
                cathode: shown(cathode, 0.01),
                screen_drop: shown(1e3 * screen_amps, 0.01),
                ..SideReadings::default()
            });
            let taken = Taken {
                model: tube.model,
                ..taken("EL84", 250.0)
            };
            let side = found(&wiring, &readings, &taken).sides[0];
            let watts = plate_amps * example.plate_volts;
            assert!((side.plate_watts.value / watts - 1.0).abs() < 1e-6);
            assert!((side.plate_amps.value / plate_amps - 1.0).abs() < 1e-6);
            assert!((side.screen_amps.value / screen_amps - 1.0).abs() < 1e-6);
            rows += 1;
        }
    }
    assert!(rows > 15, "{rows}");
}

/// EL84 push-pull, 300 V, common 130 Ω: 72 mA and 8 mA together (Philips data handbook, from
/// memory), so 10.4 V at the cathodes and, each, 10.8 W.
#[test]
fn a_published_pair_on_a_common_resistor() {
    let wiring = Wiring {
        sides: 2,
        cathode: CathodePath::Common(resistor(130.0, 0.01)),
        screen_resistor: None,
        ..single(130.0, None)
    };
    let readings = one_side(SideReadings {
        plate: shown(310.4, 0.2),
        screen: shown(310.4, 0.2),
        cathode: shown(10.4, 0.01),
        ..SideReadings::default()
    });
    let currents = found(&wiring, &readings, &taken("EL84", 310.0));
    for side in &currents.sides {
        assert!((side.cathode_amps.value - 0.04).abs() < 1e-6);
        // Only the model divides the current here; published 4 mA of screen current.
        assert!(
            (side.plate_watts.value / 10.8 - 1.0).abs() < 0.02,
            "{side:?}"
        );
    }
    assert!(currents.stands.contains(&Stands::SidesAlike));
    assert_eq!(currents.apart, None);
}

/// 10.4 V over 130 Ω are 80 mA; 4.2 V over a half of 100 Ω are 42 mA of plate current on one
/// side, so the other has what is left.
#[test]
fn one_drop_of_a_pair_tells_the_other_side_too() {
    let wiring = Wiring {
        sides: 2,
        cathode: CathodePath::Common(resistor(130.0, 0.01)),
        winding: Some(resistor(100.0, 0.01)),
        screen: ScreenPath::Absent,
        screen_resistor: None,
        tubes_per_side: 1,
    };
    let readings = one_side(SideReadings {
        plate: shown(310.0, 0.2),
        cathode: shown(10.4, 0.01),
        primary_drop: shown(4.2, 0.01),
        ..SideReadings::default()
    });
    let currents = found(&wiring, &readings, &taken("2A3", 310.0));
    let amps = |side: usize| currents.sides[side].plate_amps.value;
    assert!((amps(0) - 0.042).abs() < 1e-6 && (amps(1) - 0.038).abs() < 1e-6);
    let apart = currents.apart.unwrap_or_else(|| panic!("both are known"));
    assert!((apart.value - 0.1).abs() < 1e-4);
}

/// Two readings against ground of one meter: its gain error does not make the difference of
/// them worthless. 0.5 % of 250 V twice would be ±1.8 V on 8 V.
#[test]
fn a_gain_error_is_common_to_the_two_readings_of_a_drop() {
    let mut wiring = single(130.0, Some(160.0));
    wiring.cathode = CathodePath::Grounded;
    wiring.screen = ScreenPath::Absent;
    wiring.screen_resistor = None;
    let readings = Readings {
        supply: shown(258.0, 0.2),
        sides: [
            SideReadings {
                plate: shown(250.0, 0.2),
                ..SideReadings::default()
            },
            SideReadings::default(),
        ],
    };
    let side = found(&wiring, &readings, &taken("2A3", 250.0)).sides[0];
    let amps = 8.0 / 160.0;
    assert!((side.plate_amps.value - amps).abs() < 1e-9);
    let counts = 2_f64.sqrt() * 0.2 / 8.0;
    let relative = counts.hypot(0.005).hypot(0.05) / 3_f64.sqrt();
    let ratio = side.plate_amps.uncertainty / (amps * relative);
    assert!((ratio - 1.0).abs() < 2e-3, "{ratio}");
}

/// What is not enough says what would do.
#[test]
fn missing_readings_are_named() {
    let plate_only = one_side(SideReadings {
        plate: shown(250.0, 0.2),
        ..SideReadings::default()
    });
    let lists = |wiring: &Wiring, readings: &Readings| match find(
        wiring,
        readings,
        &taken("EL84", 250.0),
    ) {
        Err(NotEnough::AnyOf(lists)) => lists,
        other => panic!("{other:?}"),
    };
    use crate::enough::Wanting::{CathodeVolts, PlateVolts, PrimaryDrop, PrimaryOhms};
    let known = single(130.0, None);
    assert_eq!(
        lists(&known, &plate_only),
        [vec![CathodeVolts], vec![PrimaryDrop, PrimaryOhms]]
    );
    let cathode_only = one_side(SideReadings {
        cathode: shown(7.0, 0.01),
        ..SideReadings::default()
    });
    assert_eq!(lists(&known, &cathode_only), [vec![PlateVolts]]);
}

/// A slip of the hand in one of many readings is that reading, by name; with one reading more
/// than needed either may be wrong, and both ways are told.
#[test]
fn the_reading_that_disagrees_is_named() {
    let wiring = Wiring {
        sides: 2,
        cathode: CathodePath::Common(resistor(130.0, 0.01)),
        winding: Some(resistor(100.0, 0.01)),
        screen: ScreenPath::Absent,
        screen_resistor: None,
        tubes_per_side: 1,
    };
    let side = |drop: f64, plate: f64| SideReadings {
        plate: shown(plate, 0.1),
        primary_drop: shown(drop, 0.01),
        ..SideReadings::default()
    };
    let mut readings = Readings {
        supply: shown(310.0, 0.1),
        sides: [side(4.0, 306.0), side(4.0, 306.0)],
    };
    readings.sides[0].cathode = shown(10.4, 0.01);
    let taken = taken("2A3", 300.0);
    assert_eq!(found(&wiring, &readings, &taken).doubt, None);
    // 360 for 306.
    readings.sides[1].plate = shown(360.0, 0.1);
    let doubt = found(&wiring, &readings, &taken).doubt;
    let doubt = doubt.unwrap_or_else(|| panic!("the readings contradict each other"));
    assert_eq!(doubt.suspects, [Which::Plate(1)]);
    let two = one_side(SideReadings {
        plate: shown(250.0, 0.2),
        cathode: shown(7.0, 0.02),
        primary_drop: shown(12.0, 0.02),
        ..SideReadings::default()
    });
    let mut wiring = single(130.0, Some(160.0));
    wiring.screen_resistor = None;
    let currents = found(&wiring, &two, &self::taken("EL84", 250.0));
    let suspects = currents
        .doubt
        .unwrap_or_else(|| panic!("48 mA are not 75"))
        .suspects;
    assert!(suspects.contains(&Which::Cathode(0)) && suspects.contains(&Which::PrimaryDrop(0)));
    assert!((currents.ways[0].plate_amps.value - 0.0487).abs() < 1e-3);
    assert!((currents.ways[1].plate_amps.value - 0.075).abs() < 1e-3);
}

/// One draw of everything that is uncertain, each even within its limits.
fn drawn(
    wiring: &Wiring,
    readings: &Readings,
    taken: &Taken,
    even: &mut Even,
) -> (Wiring, Readings, Taken) {
    let gain = even.next();
    let common = |shown: &mut Option<Reading>, even: &mut Even| {
        if let Some(shown) = shown {
            shown.volts *= 1.0 + shown.share * gain;
            shown.volts += shown.counts * even.next();
        }
    };
    let mut readings = *readings;
    common(&mut readings.supply, even);
    for side in &mut readings.sides {
        common(&mut side.plate, even);
    }
    let own = |shown: &mut Option<Reading>, even: &mut Even| {
        if let Some(shown) = shown {
            let share = shown.share * even.next();
            shown.volts = shown.volts * (1.0 + share) + shown.counts * even.next();
        }
    };
    for side in &mut readings.sides {
        own(&mut side.screen, even);
        own(&mut side.cathode, even);
        own(&mut side.primary_drop, even);
        own(&mut side.screen_drop, even);
    }
    let mut turned = |resistor: Resistor| Resistor {
        ohms: resistor.ohms * (1.0 + resistor.tolerance * even.next()),
        ..resistor
    };
    let mut wiring = *wiring;
    wiring.cathode = match wiring.cathode {
        CathodePath::Common(one) => CathodePath::Common(turned(one)),
        other => other,
    };
    wiring.winding = wiring.winding.map(&mut turned);
    wiring.screen_resistor = wiring.screen_resistor.map(|one| match one {
        ScreenResistor::Common(one) => ScreenResistor::Common(turned(one)),
        ScreenResistor::Each(one) => ScreenResistor::Each(turned(one)),
    });
    let mut taken = *taken;
    if let Model::Pentode(pentode) = &mut taken.model {
        pentode.share *= 1.0 + 0.25 * even.next();
    }
    taken.screen_volts *= 1.0 + 0.03 * even.next();
    (wiring, readings, taken)
}

/// Readings that are just enough: plate and cathode volts, the rest from model and parts.
#[test]
fn uncertainty_of_few_readings_is_what_a_monte_carlo_finds() {
    let readings = one_side(SideReadings {
        plate: shown(250.0, 0.2),
        cathode: shown(7.3, 0.02),
        ..SideReadings::default()
    });
    agrees_with_monte_carlo(&single(140.0, None), &readings);
}

/// Readings that tell everything twice.
#[test]
fn uncertainty_of_many_readings_is_what_a_monte_carlo_finds() {
    let readings = Readings {
        supply: shown(257.9, 0.2),
        sides: [
            SideReadings {
                plate: shown(250.0, 0.2),
                screen: shown(248.0, 0.2),
                cathode: shown(7.3, 0.02),
                primary_drop: shown(7.8, 0.02),
                screen_drop: shown(5.2, 0.02),
                ..SideReadings::default()
            },
            SideReadings::default(),
        ],
    };
    agrees_with_monte_carlo(&single(140.0, Some(160.0)), &readings);
}

/// The uncertainties stated are those of 100,000 draws through the whole solution, within 5 %.
/// Distributions: readings and tolerances even within their limits, the gain common to plate
/// and B+, the share of the screen even within 25 %.
fn agrees_with_monte_carlo(wiring: &Wiring, readings: &Readings) {
    let taken = taken("EL84", 250.0);
    let stated = found(wiring, readings, &taken).sides[0];
    let near = (Sheet::new(wiring, readings, &taken).fit()).unwrap_or_else(|| panic!("it fits"));
    let quantities = |side: &Point| {
        let plate = side.plate - side.cathode;
        [
            side.plate_amps + side.screen_amps,
            side.screen_amps,
            side.plate_amps,
            plate * side.plate_amps,
            (side.screen - side.cathode) * side.screen_amps,
        ]
    };
    let mut even = Even(20);
    let draws = 100_000;
    let mut sums = [[0.0; 2]; 5];
    for _ in 0..draws {
        let (wiring, readings, taken) = drawn(wiring, readings, &taken, &mut even);
        let sheet = Sheet::new(&wiring, &readings, &taken);
        let fitted = (sheet.fit_near(near.at)).unwrap_or_else(|| panic!("it comes to rest"));
        let values = quantities(&sheet.points(&fitted.at)[0]);
        for (sum, value) in sums.iter_mut().zip(values) {
            sum[0] += value;
            sum[1] += value * value;
        }
    }
    let stated = [
        stated.cathode_amps,
        stated.screen_amps,
        stated.plate_amps,
        stated.plate_watts,
        stated.screen_watts,
    ];
    for (which, ([sum, squares], stated)) in sums.into_iter().zip(stated).enumerate() {
        let mean = sum / f64::from(draws);
        let deviation = (squares / f64::from(draws) - mean * mean).sqrt();
        let ratio = stated.uncertainty / deviation;
        assert!((ratio - 1.0).abs() < 0.05, "quantity {which}: {ratio}");
    }
}
