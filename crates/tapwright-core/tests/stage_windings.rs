//! A stage on windings that were not solved themselves, against those that were.
#![allow(clippy::expect_used, reason = "a test may fail by panicking")]
use tapwright_stage::{Drive, Imbalance, ScreenFeed, Solver, Stage, Stoppers, Supply, Windings};
use tapwright_tube::{Bias, Topology};

/// A pair of 6V6GT with cathode bias; the values are invented.
fn stage(primary_ohms: f64) -> Stage {
    let tube = tapwright_tube::find("6V6GT").expect("in the data");
    Stage {
        model: tube.model,
        topology: Topology::PushPull,
        tubes_per_side: 1,
        plate_supply: Supply {
            volts: 320.0,
            ohms: 150.0,
        },
        screen: ScreenFeed::Dropper(0.0),
        bias: Bias::Cathode(270.0),
        stoppers: Stoppers::default(),
        primary_ohms,
        imbalance: Imbalance::default(),
    }
}

const TARGET: f64 = 8_000.0;

/// Loads from an eighth to eight times the target.
fn loads() -> impl Iterator<Item = f64> {
    (-24..=24).map(|step| TARGET * (f64::from(step) / 8.0).exp2())
}

/// On windings between the three that are solved, power and distortion are what solving there
/// gives.
#[test]
fn between_solved_windings_it_is_as_if_solved() {
    let range = (TARGET / 8.0, TARGET * 8.0);
    for ohms in [
        [100.0, 150.0, 220.0, 300.0, 340.0],
        [0.0, 10.0, 50.0, 160.0, 200.0],
    ] {
        let stages = ohms.map(stage);
        let shared = Windings::solve(&stages, TARGET, range).expect("solvable");
        for load in loads() {
            for stage in stages {
                let exact = Solver::new(stage)
                    .cycle(load, Drive::OfGridCurrent(1.0))
                    .expect("solvable");
                let found = shared.delivered(stage.primary_ohms, load).expect("inside");
                let place = format!("{} Ω into {load:.0} Ω", stage.primary_ohms);
                assert!((found.watts / exact.watts - 1.0).abs() < 1e-3, "{place}");
                assert!((found.thd - exact.thd).abs() < 5e-4, "{place}");
                let stress = shared.stress(stage.primary_ohms, load).expect("inside")[1];
                let watts = exact.sides[0].plate_watts;
                assert!((stress.plate_watts / watts - 1.0).abs() < 0.01, "{place}");
            }
        }
    }
}

/// A stage between whose bias is not between is solved by itself, and so are windings far
/// apart; what each gives is its own.
#[test]
fn what_does_not_lie_between_is_solved_itself() {
    let mut odd = stage(150.0);
    odd.bias = Bias::Cathode(400.0);
    let stages = [
        stage(100.0),
        odd,
        stage(200.0),
        stage(900.0),
        stage(2_000.0),
    ];
    let shared = Windings::solve(&stages, TARGET, (TARGET / 8.0, TARGET * 8.0)).expect("solvable");
    for stage in stages {
        let alone =
            Windings::solve(&[stage], TARGET, (TARGET / 8.0, TARGET * 8.0)).expect("solvable");
        let winding = stage.primary_ohms;
        let (shared, alone) = (
            shared.delivered(winding, TARGET).expect("inside"),
            alone.delivered(winding, TARGET).expect("inside"),
        );
        assert!((shared.watts / alone.watts - 1.0).abs() < 1e-5, "{winding}");
    }
}

/// Nothing is given on a winding beyond the ones asked for.
#[test]
fn beyond_the_windings_there_is_nothing() {
    let stages = [100.0, 200.0].map(stage);
    let shared = Windings::solve(&stages, TARGET, (TARGET / 8.0, TARGET * 8.0)).expect("solvable");
    assert_eq!(shared.delivered(201.0, TARGET), None);
    assert_eq!(shared.delivered(99.0, TARGET), None);
    assert!(shared.delivered(150.0, TARGET).is_some());
}
