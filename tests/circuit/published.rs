//! The stages of the published operating examples, one of each tube type.

use tapwright_stage::{Drive, Imbalance, ScreenFeed, Stage, Stoppers, Supply};
use tapwright_tube::{Kind, OperatingExample, Tube, TubeConnection, tubes};

use crate::parts::Case;

/// Parts of the published load.
const LOADS: [f64; 2] = [0.5, 2.0];
/// Part of the drive at which grid current starts.
const DRIVE: f64 = 0.7;

/// Each type's first example, below full signal, with loads about its own.
pub fn cases() -> impl Iterator<Item = Case> {
    tubes().iter().filter_map(|tube| {
        let example = tube.examples.first()?;
        Some(Case {
            name: format!("published::{}", tube.designation),
            stage: stage(tube, example),
            drive: Drive::OfGridCurrent(DRIVE),
            loads: LOADS.iter().map(|part| part * example.load_ohms).collect(),
        })
    })
}

fn stage(tube: &Tube, example: &OperatingExample) -> Stage {
    let strapped = tube.kind == Kind::Triode || example.connection == TubeConnection::Triode;
    Stage {
        model: tube.model,
        topology: example.topology,
        tubes_per_side: 1,
        plate_supply: Supply {
            volts: example.plate_volts,
            ohms: 0.0,
        },
        screen: if strapped {
            ScreenFeed::Tap(1.0)
        } else {
            ScreenFeed::Own(Supply {
                volts: example.screen_volts(),
                ohms: 0.0,
            })
        },
        bias: example.bias,
        stoppers: Stoppers {
            each: 0.0,
            common: example.screen_ohms,
        },
        primary_ohms: 0.0,
        imbalance: Imbalance::default(),
    }
}
