//! The person's own tube: fits of typed points.

use proptest::prelude::*;
use tapwright_tube::fit::{Against, Assumed, FitError, Given, Impossible, Quantity, own};
use tapwright_tube::{Kind, Model, TubeConnection, tubes};

const KINDS: [Kind; 3] = [Kind::Triode, Kind::Pentode, Kind::BeamTetrode];

fn sn7() -> Given {
    Given {
        plate_volts: 250.0,
        grid_volts: -8.0,
        plate_ma: 9.0,
        gm_ms: Some(2.6),
        rp_kohm: Some(7.7),
        mu: Some(20.0),
        ..Given::default()
    }
}

/// One published operating point of each tube in the table (sources there) gives a model that
/// meets it: plate current within 3 %, and nothing is called a contradiction.
#[test]
fn one_published_point_is_met() {
    let mut points = 0;
    for tube in tubes() {
        let statics = tube.points.iter().filter_map(|p| {
            let strapped = p.connection == TubeConnection::Triode;
            (strapped == (tube.kind == Kind::Triode)).then_some((
                p.plate_volts,
                p.screen_volts(),
                p.grid_volts,
                p.plate_ma.or(p.cathode_ma)?,
                p.screen_ma,
                p.gm_ms?,
                p.rp_kohm?,
            ))
        });
        let examples = tube.examples.iter().filter_map(|e| {
            use tapwright_tube::Bias;
            let Bias::Fixed(grid) = e.bias else {
                return None;
            };
            let strapped = e.connection == TubeConnection::Triode;
            (strapped == (tube.kind == Kind::Triode)).then_some((
                e.plate_volts,
                e.screen_volts(),
                grid,
                e.plate_ma.idle,
                e.screen_ma.map(|ma| ma.idle),
                e.gm_ms?,
                e.rp_kohm?,
            ))
        });
        for (plate_volts, screen, grid_volts, plate_ma, screen_ma, gm, rp) in
            statics.chain(examples)
        {
            let triode = tube.kind == Kind::Triode;
            let given = Given {
                plate_volts,
                screen_volts: (!triode).then_some(screen),
                grid_volts,
                plate_ma,
                screen_ma,
                gm_ms: Some(gm),
                rp_kohm: Some(rp),
                mu: tube.mu_screen,
            };
            let fit = own(tube.kind, &[given]).unwrap();
            let name = &tube.designation;
            assert!(
                fit.contradiction.is_none(),
                "{name} {:?}",
                fit.contradiction
            );
            assert!(
                (fit.residuals[0].fitted / plate_ma - 1.0).abs() < 0.03,
                "{name} {fit:?}"
            );
            points += 1;
        }
    }
    assert!(points > 40, "{points}");
}

/// A model's own currents and slopes, typed in, give its curves back between the points.
#[test]
fn a_known_tube_comes_back() {
    for tube in tubes() {
        let triode = tube.kind == Kind::Triode;
        let (volts, mu) = match tube.model {
            Model::Triode(t) => (250.0, t.mu),
            Model::Pentode(p) => (200.0, p.mu),
        };
        let at = |plate: f64, part: f64| {
            let grid_volts = -part * volts / mu;
            let flow = tube.model.flow(plate, volts, grid_volts);
            Given {
                plate_volts: plate,
                screen_volts: (!triode).then_some(volts),
                grid_volts,
                plate_ma: 1e3 * flow.plate.amps,
                screen_ma: (!triode).then_some(1e3 * flow.screen.amps),
                gm_ms: Some(1e3 * flow.plate.by_grid),
                rp_kohm: Some(1e-3 / flow.plate.by_plate),
                mu: None,
            }
        };
        let given = [
            at(volts, 0.3),
            at(volts, 0.6),
            at(volts, 0.9),
            at(0.2 * volts, 0.1),
        ];
        let fit = own(tube.kind, &given).unwrap();
        for (plate, part) in [(volts, 0.45), (1.2 * volts, 0.75), (0.6 * volts, 0.3)] {
            let there = at(plate, part);
            let found = fit.model.flow(plate, volts, there.grid_volts).plate.amps * 1e3;
            let error = found / there.plate_ma - 1.0;
            assert!(
                error.abs() < 0.03,
                "{} at {plate} {part}: {error}",
                tube.designation
            );
        }
    }
}

/// A full point leaves only the cut-off open; without plate resistance and screen current a
/// pentode's are taken as usual, and that is said.
#[test]
fn what_is_assumed_is_said() {
    assert_eq!(
        own(Kind::Triode, &[sn7()]).unwrap().assumed,
        [Assumed::CutOff]
    );
    let pentode = Given {
        screen_volts: Some(250.0),
        mu: Some(9.0),
        rp_kohm: None,
        ..sn7()
    };
    let assumed = own(Kind::Pentode, &[pentode]).unwrap().assumed;
    for what in [Assumed::PlateSlope, Assumed::ScreenCurrent, Assumed::Knee] {
        assert!(assumed.contains(&what), "{what:?}");
    }
}

/// Each way in which points can contradict each other names the point and the quantity.
#[test]
fn contradictions_are_named() {
    let other = Given {
        plate_ma: 14.0,
        ..sn7()
    };
    let same_volts = own(Kind::Triode, &[sn7(), other])
        .unwrap()
        .contradiction
        .unwrap();
    assert_eq!(
        (same_volts.point, same_volts.quantity),
        (1, Quantity::PlateCurrent)
    );
    assert_eq!(same_volts.against, Against::Point(0, 9.0));

    let product = Given {
        mu: Some(40.0),
        ..sn7()
    };
    let product = own(Kind::Triode, &[product])
        .unwrap()
        .contradiction
        .unwrap();
    assert_eq!((product.point, product.quantity), (0, Quantity::Mu));

    // More current at a more negative grid.
    let falls = Given {
        grid_volts: -11.0,
        plate_ma: 20.0,
        gm_ms: None,
        rp_kohm: None,
        mu: None,
        ..sn7()
    };
    let falls = own(Kind::Triode, &[sn7(), falls])
        .unwrap()
        .contradiction
        .unwrap();
    assert!(matches!(falls.against, Against::TheRest(_)), "{falls}");
    assert!(falls.to_string().starts_with("point "), "{falls}");
}

/// Each impossible input is refused with its point and reason.
#[test]
fn impossible_points_are_refused() {
    let refused = |kind, given: Given| match own(kind, &[sn7(), given]) {
        Err(FitError::Impossible { point: 1, what }) => what,
        other => panic!("{other:?}"),
    };
    let triode = |given| refused(Kind::Triode, given);
    assert_eq!(
        triode(Given {
            grid_volts: 2.0,
            ..sn7()
        }),
        Impossible::PositiveGrid(2.0)
    );
    assert!(matches!(
        triode(Given {
            grid_volts: -60.0,
            ..sn7()
        }),
        Impossible::CutOff(_)
    ));
    for broken in [
        Given {
            plate_ma: 0.0,
            ..sn7()
        },
        Given {
            plate_ma: f64::NAN,
            ..sn7()
        },
        Given {
            plate_volts: -1.0,
            ..sn7()
        },
        Given {
            gm_ms: Some(0.0),
            ..sn7()
        },
        Given {
            rp_kohm: Some(f64::INFINITY),
            ..sn7()
        },
        Given {
            grid_volts: f64::NAN,
            ..sn7()
        },
    ] {
        assert!(
            matches!(triode(broken), Impossible::OutOfRange(..)),
            "{broken:?}"
        );
    }
    assert_eq!(
        triode(Given {
            screen_volts: Some(1.0),
            ..sn7()
        }),
        Impossible::ScreenOfTriode
    );
    assert_eq!(
        own(Kind::Pentode, &[sn7()]),
        Err(FitError::Impossible {
            point: 0,
            what: Impossible::NoScreenVolts
        })
    );
    assert_eq!(own(Kind::Triode, &[]), Err(FitError::TooLittle));
    assert_eq!(
        own(
            Kind::Triode,
            &[Given {
                gm_ms: None,
                ..sn7()
            }]
        ),
        Err(FitError::TooLittle)
    );
    assert!(matches!(
        own(Kind::Triode, &[sn7(); 100]),
        Err(FitError::TooMany(_))
    ));
}

/// Mostly plausible, sometimes anything at all.
fn number(low: f64, high: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        12 => (0.0..=1.0_f64).prop_map(move |u| low * (high / low).powf(u)),
        1 => any::<f64>(),
        1 => Just(0.0),
    ]
}

fn given() -> impl Strategy<Value = Given> {
    (
        number(10.0, 2000.0),
        proptest::option::of(number(10.0, 1000.0)),
        number(0.01, 300.0),
        number(0.01, 1000.0),
        proptest::option::of(number(0.01, 300.0)),
        proptest::option::of(number(0.01, 100.0)),
        proptest::option::of(number(0.1, 1000.0)),
        proptest::option::of(number(1.0, 300.0)),
    )
        .prop_map(
            |(plate_volts, screen_volts, grid, plate_ma, screen_ma, gm_ms, rp_kohm, mu)| Given {
                plate_volts,
                screen_volts,
                grid_volts: -grid,
                plate_ma,
                screen_ma,
                gm_ms,
                rp_kohm,
                mu,
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    /// Whatever is typed: a model that is finite where it is used, or a reason.
    #[test]
    fn always_a_model_or_a_reason(kind in 0..3_usize, mut points in proptest::collection::vec(given(), 0..5)) {
        let kind = KINDS[kind];
        for point in &mut points {
            if kind == Kind::Triode {
                (point.screen_volts, point.screen_ma) = (None, None);
            } else if point.screen_volts.is_none() {
                point.screen_volts = Some(point.plate_volts);
            }
        }
        match own(kind, &points) {
            Ok(fit) => {
                prop_assert!(fit.residuals.iter().all(|r| r.fitted.is_finite() && r.given.is_finite()));
                for plate in [0.0, 1.0, 50.0, 300.0, 2000.0] {
                    for grid in [0.0, -1.0, -20.0, -300.0] {
                        let flow = fit.model.flow(plate, 200.0, grid);
                        prop_assert!(flow.plate.amps.is_finite() && flow.plate.amps >= 0.0);
                        prop_assert!(flow.screen.amps.is_finite() && flow.plate.by_plate >= 0.0);
                    }
                }
                if let Some(found) = fit.contradiction {
                    prop_assert!(found.point < points.len());
                }
            }
            Err(why) => prop_assert!(!why.to_string().is_empty()),
        }
    }
}
