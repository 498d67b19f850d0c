//! The stage scaled to readings, and the bias for the dissipation wanted.
#![allow(clippy::expect_used, reason = "a test that cannot go on has failed")]

use tapwright_idle::bypass::Bypass;
use tapwright_idle::scaled::OtherSetting;
use tapwright_idle::wanted::{AtBias, RESOLUTION, cathode_for, grid_for};
use tapwright_idle::{
    CathodePath, Currents, Reading, Readings, Resistor, Scaled, ScreenPath, ScreenResistor,
    SideReadings, Taken, Wiring, currents,
};
use tapwright_stage::{Idle, Imbalance, ScreenFeed, Solver, Stage, Stoppers, Supply};
use tapwright_tube::{Bias, Kind, Model, Topology, Tube};

fn stage(tube: &Tube, topology: Topology, volts: f64) -> Stage {
    let strapped = tube.kind == Kind::Triode;
    Stage {
        model: tube.model,
        topology,
        tubes_per_side: 1,
        plate_supply: Supply { volts, ohms: 0.0 },
        screen: match strapped {
            true => ScreenFeed::Tap(1.0),
            false => ScreenFeed::Dropper(500.0),
        },
        stoppers: Stoppers::default(),
        bias: Bias::Fixed(0.0),
        primary_ohms: 200.0,
        imbalance: Imbalance::default(),
    }
}

/// Power tubes at volts that they are published at.
fn power_tubes() -> Vec<(&'static Tube, f64)> {
    tapwright_tube::tubes()
        .iter()
        .filter_map(|tube| Some((tube, tube.examples.first()?.plate_volts.min(400.0))))
        .collect()
}

/// What exact instruments would read at a stage that idles so.
fn readings_of(stage: &Stage) -> (Wiring, Readings, Taken) {
    let cycle = Solver::new(*stage).idle().expect("it idles");
    let shown = |volts: f64| {
        Some(Reading {
            volts,
            share: 0.005,
            counts: 0.01,
            source_ohms: 0.0,
        })
    };
    let one = |side: usize| {
        let (at, strapped) = (&cycle.sides[side], stage.is_strapped());
        let cathode = cycle.cathode_volts;
        let in_winding = match strapped {
            true => at.plate_amps + at.screen_amps,
            false => at.plate_amps,
        };
        let halves = if stage.topology == Topology::PushPull {
            2.0
        } else {
            1.0
        };
        SideReadings {
            plate: shown(at.peak_plate_volts + cathode),
            screen: shown(cycle.screen_volts),
            cathode: if side == 0 { shown(cathode) } else { None },
            grid: None,
            primary_drop: shown(in_winding * stage.primary_ohms / halves),
            screen_drop: None,
        }
    };
    let ohms = |ohms| Resistor {
        ohms,
        tolerance: 0.01,
    };
    let sides = if stage.topology == Topology::PushPull {
        2
    } else {
        1
    };
    let wiring = Wiring {
        sides,
        tubes_per_side: stage.tubes_per_side,
        cathode: match stage.bias {
            Bias::Cathode(cathode) => CathodePath::Common(ohms(cathode)),
            Bias::Fixed(_) => CathodePath::Grounded,
        },
        winding: Some(ohms(stage.primary_ohms / sides as f64)),
        screen: match (stage.model, stage.is_strapped()) {
            (Model::Triode(_), _) => ScreenPath::Absent,
            (_, true) => ScreenPath::OnPlate,
            _ => ScreenPath::Steady,
        },
        screen_resistor: None::<ScreenResistor>,
    };
    let taken = Taken {
        model: stage.model,
        supply: None,
        screen_volts: cycle.screen_volts,
        grid_volts: match stage.bias {
            Bias::Fixed(volts) => volts,
            Bias::Cathode(_) => 0.0,
        },
    };
    let readings = Readings {
        supply: None,
        sides: [one(0), one(1)],
    };
    (wiring, readings, taken)
}

fn found(stage: &Stage) -> Currents {
    let (wiring, readings, taken) = readings_of(stage);
    currents::find(&wiring, &readings, &taken).expect("the readings are enough")
}

/// Over many tubes and targets: the resistor and the grid volts give the dissipation asked for
/// within 0.01 W, and more resistance is less heat.
#[test]
fn the_bias_proposed_gives_the_dissipation_within_a_hundredth_of_a_watt() {
    let (mut resistors, mut grids) = (0, 0);
    for (tube, volts) in power_tubes() {
        let limit = tube
            .limits
            .first()
            .map_or(10.0, |limits| limits.plate_watts);
        for topology in [Topology::SingleEnded, Topology::PushPull] {
            let stage = stage(tube, topology, volts);
            for share in [0.3, 0.5, 0.7, 0.85, 1.0] {
                let watts = share * limit;
                let at = |bias| AtBias::of(&stage, bias).expect("it idles");
                if let Some(ohms) = cathode_for(&stage, watts) {
                    let at = at(Bias::Cathode(ohms));
                    let off = at.idle.plate_watts - watts;
                    assert!(
                        off.abs() < RESOLUTION,
                        "{} {watts} W: {off}",
                        tube.designation
                    );
                    assert!(at.watts_per_step < 0.0, "{}", tube.designation);
                    resistors += 1;
                }
                if let Some(grid) = grid_for(&stage, watts) {
                    let at = at(Bias::Fixed(grid));
                    let off = at.idle.plate_watts - watts;
                    assert!(
                        off.abs() < RESOLUTION,
                        "{} {watts} W: {off}",
                        tube.designation
                    );
                    assert!(at.watts_per_step > 0.0, "{}", tube.designation);
                    grids += 1;
                }
            }
        }
    }
    assert!(resistors > 150 && grids > 150, "{resistors} and {grids}");
}

/// A stage whose tube passes so much more or less than its type is found again from what is read
/// at it: factor, idle point, and the resistor for any dissipation.
#[test]
fn a_tube_unlike_its_type_is_found_again() {
    let mut found_again = 0;
    for (tube, volts) in power_tubes() {
        for (factor, topology) in [
            (0.75, Topology::SingleEnded),
            (1.2, Topology::SingleEnded),
            (0.9, Topology::PushPull),
        ] {
            let of_type = stage(tube, topology, volts);
            let limit = tube
                .limits
                .first()
                .map_or(10.0, |limits| limits.plate_watts);
            let Some(ohms) = cathode_for(&of_type, 0.7 * limit) else {
                continue;
            };
            let real = Stage {
                model: match tube.model {
                    Model::Triode(mut triode) => {
                        triode.perveance *= factor;
                        Model::Triode(triode)
                    }
                    Model::Pentode(mut pentode) => {
                        pentode.perveance *= factor;
                        pentode.line *= factor;
                        Model::Pentode(pentode)
                    }
                },
                bias: Bias::Cathode(ohms),
                ..of_type
            };
            let scaled = Scaled::new(
                &Stage {
                    bias: real.bias,
                    ..of_type
                },
                &found(&real),
            )
            .expect("it scales");
            assert!(
                (scaled.factor / factor - 1.0).abs() < 1e-3,
                "{}: {scaled:?}",
                tube.designation
            );
            assert!(
                (scaled.share_factor - 1.0).abs() < 1e-3,
                "{}",
                tube.designation
            );
            let (one, other) = (
                Idle::of(&real).expect("idles"),
                Idle::of(&scaled.stage).expect("idles"),
            );
            assert!(
                (one.plate_watts - other.plate_watts).abs() < 0.01,
                "{}",
                tube.designation
            );
            for share in [0.5, 0.9] {
                let answers = [&real, &scaled.stage].map(|stage| cathode_for(stage, share * limit));
                if let [Some(of_real), Some(of_scaled)] = answers {
                    let off = (of_scaled / of_real - 1.0).abs();
                    assert!(off < 0.01, "{} {share}: {answers:?}", tube.designation);
                    found_again += 1;
                }
            }
        }
    }
    assert!(found_again > 60, "{found_again}");
}

/// The two tubes of a pair, 16 % apart at the same volts, come out so; the hotter one is the one
/// that the answer is for.
#[test]
fn an_unlike_pair_is_set_by_its_hotter_tube() {
    let tube = tapwright_tube::find("EL84").expect("known");
    let mut real = stage(tube, Topology::PushPull, 300.0);
    real.imbalance.current = 0.16;
    real.bias = Bias::Cathode(140.0);
    let currents = found(&real);
    assert!(
        currents
            .apart
            .is_some_and(|apart| (apart.value - 0.16).abs() < 0.005)
    );
    let scaled = Scaled::new(&stage(tube, Topology::PushPull, 300.0), &currents);
    let scaled = Scaled {
        stage: Stage {
            bias: real.bias,
            ..scaled.expect("scales").stage
        },
        ..scaled.expect("scales")
    };
    assert!((scaled.stage.imbalance.current - 0.16).abs() < 1e-3);
    let ohms = cathode_for(&scaled.stage, 9.0).expect("reached");
    let [one, other] = scaled.side_watts(Bias::Cathode(ohms)).expect("idles");
    assert!((one - 9.0).abs() < 0.01 && other < 8.0, "{one} {other}");
}

/// A tube shifted by half a volt and 10 % weaker: one setting cannot tell, two can.
#[test]
fn a_second_setting_tells_a_shift_from_a_factor() {
    let tube = tapwright_tube::find("6V6GT").expect("known");
    let of_type = Stage {
        bias: Bias::Cathode(250.0),
        ..stage(tube, Topology::SingleEnded, 265.0)
    };
    let mut real = of_type;
    if let Model::Pentode(pentode) = &mut real.model {
        pentode.contact += 0.5;
        pentode.perveance *= 0.9;
        pentode.line *= 0.9;
    }
    let other = Stage {
        bias: Bias::Cathode(400.0),
        ..real
    };
    let second = OtherSetting {
        ohms: 400.0,
        cathode_volts: Idle::of(&other).expect("idles").cathode_volts,
    };
    let currents = found(&real);
    let scaled = Scaled::with_second(&of_type, &currents, second).expect("it fits");
    assert!((scaled.shift - 0.5).abs() < 0.01, "{scaled:?}");
    assert!((scaled.factor - 0.9).abs() < 0.01, "{scaled:?}");
    assert!(Scaled::new(&of_type, &currents).is_some_and(|one| one.shift == 0.0));
}

/// An EL84 at 140 Ω conducts some 11 mS beside 7 mS of the resistor: 150 µF keep 20 Hz. With the
/// resistor open its cathode drifts to where hardly anything flows, above `V_s/(µ + 1)`.
#[test]
fn the_bypass_keeps_twenty_hertz_and_bears_an_open_resistor() {
    let tube = tapwright_tube::find("EL84").expect("known");
    let stage = Stage {
        bias: Bias::Cathode(140.0),
        ..stage(tube, Topology::SingleEnded, 260.0)
    };
    let at = AtBias::of(&stage, stage.bias).expect("idles");
    let bypass = Bypass::of(&stage, &at).expect("idles");
    let least =
        (1.0 / 140.0 + 1.1 * at.idle.transconductance) / (2.0 * std::f64::consts::PI * 20.0);
    assert!(
        bypass.farads >= 0.98 * least && bypass.farads < 1.6 * least,
        "{bypass:?}"
    );
    assert!(bypass.open_volts > 250.0 / 20.0, "{bypass:?}");
    assert!(
        bypass
            .rated_volts
            .is_some_and(|volts| volts >= bypass.open_volts)
    );
    let triode = tapwright_tube::find("300B").expect("known");
    let stage = self::stage(triode, Topology::SingleEnded, 380.0);
    let at = AtBias::of(&stage, Bias::Cathode(1_000.0)).expect("idles");
    let bypass = Bypass::of(&stage, &at).expect("idles");
    assert!(bypass.open_volts > 75.0, "{bypass:?}");
}
