//! The readings with what they were taken over, as the stage is made.

use tapwright_idle::{
    CathodePath, Reading, Readings, Resistor, ScreenPath, ScreenResistor, SideReadings, Taken,
    Wiring,
};
use tapwright_stage::ScreenFeed;
use tapwright_tube::{Bias, Kind, Topology};

use crate::amplifier::LEAK_OHMS;
use crate::assumed::Why;
use crate::output::SolvedStage;
use crate::solved::Solved;
use crate::values::Shown;

/// Tolerance of resistors unless another is typed. Common practice, no source.
const TOLERANCE: f64 = 0.1;

/// How far a winding's resistance is off: it is measured, and then copper warms by 0.4 % for
/// each kelvin. Common practice, no source.
const WINDING: f64 = 0.05;

/// How far B+ as typed may be from what it was when the rest was read: mains move. Own estimate.
const SUPPLY: f64 = 0.01;

/// What was read, and over what.
pub(super) struct OnBench {
    pub wiring: Wiring,
    pub readings: Readings,
    pub taken: Taken,
    /// Whether anything was read at all.
    pub is_read: bool,
}

/// The grid leak, Ω.
pub(super) fn leak_ohms(solved: &Solved) -> f64 {
    solved.amplifier.drive.grid_leak.unwrap_or(LEAK_OHMS)
}

pub(super) fn bench(solved: &Solved, stage: &SolvedStage) -> OnBench {
    let wiring = wiring(solved, stage);
    let values = &solved.readings.shown;
    let winding = wiring.winding.map_or(0.0, |winding| winding.ohms);
    let cathode = match wiring.cathode {
        CathodePath::Common(one) | CathodePath::Each(one) => one.ohms,
        CathodePath::Unknown | CathodePath::Grounded => 0.0,
    };
    let screen = match wiring.screen_resistor {
        Some(ScreenResistor::Each(one) | ScreenResistor::Common(one)) => one.ohms,
        None => 0.0,
    };
    let reading = |shown: Option<Shown>, source_ohms: f64| {
        shown.map(|shown| Reading {
            volts: shown.volts,
            share: shown.share,
            counts: shown.counts,
            source_ohms,
        })
    };
    let leak = leak_ohms(solved);
    let readings = Readings {
        supply: reading(values.read_supply, 0.0),
        sides: [
            SideReadings {
                plate: reading(values.read_plate, winding),
                screen: reading(values.read_screen, screen),
                cathode: reading(values.read_cathode, cathode),
                grid: reading(values.read_grid, leak),
                primary_drop: reading(values.read_primary_drop, winding),
                screen_drop: reading(values.read_screen_drop, screen),
            },
            SideReadings {
                plate: reading(values.read2_plate, winding),
                screen: reading(values.read2_screen, screen),
                cathode: reading(values.read2_cathode, cathode),
                grid: reading(values.read2_grid, leak),
                primary_drop: reading(values.read2_primary_drop, winding),
                screen_drop: reading(values.read2_screen_drop, screen),
            },
        ],
    };
    let any = |side: &SideReadings| {
        let all = [
            side.plate,
            side.screen,
            side.cathode,
            side.primary_drop,
            side.screen_drop,
        ];
        all.iter().any(Option::is_some)
    };
    OnBench {
        is_read: readings.sides.iter().any(any),
        taken: taken(solved, stage),
        wiring,
        readings,
    }
}

fn wiring(solved: &Solved, stage: &SolvedStage) -> Wiring {
    let tolerance = solved.readings.tolerance.unwrap_or(TOLERANCE);
    let resistor = |ohms| Resistor { ohms, tolerance };
    let made = &stage.stage;
    let sides = match made.topology {
        Topology::SingleEnded => 1,
        Topology::PushPull => 2,
    };
    let (bias, why) = stage.assumed.bias;
    let reads_cathode = solved.readings.shown.read_cathode.is_some();
    let cathode = match (solved.readings.each_cathode, bias, why) {
        (Some(ohms), ..) => CathodePath::Each(resistor(ohms)),
        (None, Bias::Cathode(ohms), Why::Typed) => CathodePath::Common(resistor(ohms)),
        // Nothing says what a cathode that stands above ground stands on.
        _ if reads_cathode => CathodePath::Unknown,
        _ => CathodePath::Grounded,
    };
    let before_screens = match made.screen {
        ScreenFeed::Own(own) => own.ohms,
        ScreenFeed::Dropper(ohms) => ohms,
        ScreenFeed::Tap(_) => 0.0,
    };
    let is_typed = |ohms: f64| ohms > 0.0;
    let common = before_screens + made.stoppers.common;
    let screen_resistor = match (made.stoppers.each, common, stage.assumed.screen_resistor.1) {
        (each, ..) if is_typed(each) => Some(ScreenResistor::Each(resistor(each))),
        (_, ohms, Why::Typed) if is_typed(ohms) => Some(ScreenResistor::Common(resistor(ohms))),
        _ => None,
    };
    Wiring {
        sides,
        tubes_per_side: made.tubes_per_side,
        cathode,
        winding: (made.primary_ohms > 0.0).then(|| Resistor {
            ohms: made.primary_ohms / sides as f64,
            tolerance: WINDING,
        }),
        screen: match (stage.tube.kind, made.tap()) {
            (Kind::Triode, _) => ScreenPath::Absent,
            (_, 1.0) => ScreenPath::OnPlate,
            (_, 0.0) => ScreenPath::Steady,
            (_, fraction) => ScreenPath::Tap(fraction),
        },
        screen_resistor,
    }
}

fn taken(solved: &Solved, stage: &SolvedStage) -> Taken {
    let idle = &stage.idle;
    Taken {
        model: stage.stage.model,
        supply: solved.supply.map(|volts| (volts.0, SUPPLY * volts.0)),
        screen_volts: idle.screen_volts + idle.cathode_volts,
        grid_volts: match stage.assumed.bias.0 {
            Bias::Fixed(volts) => volts,
            Bias::Cathode(_) => 0.0,
        },
    }
}
