//! How long the whole table takes: 1050 different loads, one after the other.

use std::time::Instant;
use tapwright_core::stage::{Drive, Imbalance, ScreenFeed, Solver, Stage, Supply};
use tapwright_core::tube::{Bias, Topology, find};

fn main() {
    let Some(tube) = find("6AQ5") else { return };
    for topology in [Topology::SingleEnded, Topology::PushPull] {
        let stage = Stage {
            model: tube.model,
            topology,
            tubes_per_side: 1,
            plate_supply: Supply {
                volts: 265.0,
                ohms: 100.0,
            },
            screen: ScreenFeed::Dropper(470.0),
            bias: Bias::Cathode(250.0),
            primary_ohms: 300.0,
            imbalance: Imbalance::default(),
        };
        let mut solver = Solver::new(stage);
        let start = Instant::now();
        let loads = (0..1050).map(|i| 500.0 * 1.004_f64.powi(i));
        let solved = loads
            .filter(|load| solver.cycle(*load, Drive::OfGridCurrent(1.0)).is_ok())
            .count();
        println!("{topology:?}: {solved} loads in {:?}", start.elapsed());
    }
}
