//! The stages that are compared: between them every kind of feed, bias and asymmetry.

use tapwright_stage::{Drive, Imbalance, ScreenFeed, Stage, Stoppers, Supply};
use tapwright_tube::{Bias, Model, Topology, find};

/// A stage at one drive into several loads.
pub struct Case {
    /// What is particular about it.
    pub name: String,
    pub stage: Stage,
    pub drive: Drive,
    /// Ω.
    pub loads: Vec<f64>,
}

const SINGLE: Topology = Topology::SingleEnded;
const PAIR: Topology = Topology::PushPull;
const FULL: Drive = Drive::OfGridCurrent(1.0);

/// A stage of one tube a side on stiff supplies, without winding resistance.
pub fn plain(tube: &str, topology: Topology, volts: f64, screen: ScreenFeed, bias: Bias) -> Stage {
    Stage {
        model: model(tube),
        topology,
        tubes_per_side: 1,
        plate_supply: Supply { volts, ohms: 0.0 },
        screen,
        bias,
        stoppers: Stoppers::default(),
        primary_ohms: 0.0,
        imbalance: Imbalance::default(),
    }
}

/// The model of a type of the table.
#[allow(
    clippy::panic,
    reason = "a case without its tube is an error of this file"
)]
fn model(tube: &str) -> Model {
    let found = find(tube).map(|tube| tube.model);
    found.unwrap_or_else(|| panic!("no tube {tube} is in the table"))
}

fn own(volts: f64, ohms: f64) -> ScreenFeed {
    ScreenFeed::Own(Supply { volts, ohms })
}

/// All that are compared.
pub fn cases() -> Vec<Case> {
    let case = |name: &str, stage, drive, loads: &[f64]| Case {
        name: format!("stages::{name}"),
        stage,
        drive,
        loads: loads.to_vec(),
    };
    let mut cases = single_ended(&case);
    cases.extend(push_pull(&case));
    cases
}

type Make<'a> = &'a dyn Fn(&'static str, Stage, Drive, &[f64]) -> Case;

fn single_ended(case: Make<'_>) -> Vec<Case> {
    let real = |mut stage: Stage, supply_ohms, primary_ohms| {
        stage.plate_supply.ohms = supply_ohms;
        stage.primary_ohms = primary_ohms;
        stage
    };
    vec![
        case(
            "single_ended_pentode_fixed_bias",
            plain("6V6GT", SINGLE, 250.0, own(250.0, 0.0), Bias::Fixed(-12.5)),
            FULL,
            &[1_250.0, 5_000.0, 15_000.0],
        ),
        case(
            "single_ended_pentode_cathode_bias_dropper",
            real(
                plain(
                    "EL84",
                    SINGLE,
                    270.0,
                    ScreenFeed::Dropper(1_000.0),
                    Bias::Cathode(150.0),
                ),
                200.0,
                250.0,
            ),
            FULL,
            &[2_600.0, 5_200.0, 10_400.0],
        ),
        case(
            "single_ended_pentode_own_screen_supply_with_resistance",
            real(
                plain(
                    "6AQ5",
                    SINGLE,
                    230.0,
                    own(240.0, 2_200.0),
                    Bias::Cathode(270.0),
                ),
                150.0,
                300.0,
            ),
            Drive::Peak(8.0),
            &[5_000.0],
        ),
        case(
            "single_ended_triode_fixed_bias",
            plain(
                "2A3",
                SINGLE,
                250.0,
                ScreenFeed::Tap(1.0),
                Bias::Fixed(-45.0),
            ),
            FULL,
            &[1_250.0, 2_500.0, 10_000.0],
        ),
        case(
            "single_ended_triode_cathode_bias",
            real(
                plain(
                    "300B",
                    SINGLE,
                    380.0,
                    ScreenFeed::Tap(1.0),
                    Bias::Cathode(900.0),
                ),
                120.0,
                150.0,
            ),
            FULL,
            &[3_500.0],
        ),
        case(
            "single_ended_triode_strapped",
            real(
                plain(
                    "6L6GC",
                    SINGLE,
                    260.0,
                    ScreenFeed::Tap(1.0),
                    Bias::Cathode(350.0),
                ),
                100.0,
                180.0,
            ),
            FULL,
            &[2_500.0, 5_000.0],
        ),
        case(
            "single_ended_screen_tap",
            real(
                plain(
                    "KT88",
                    SINGLE,
                    350.0,
                    ScreenFeed::Tap(0.4),
                    Bias::Fixed(-36.0),
                ),
                80.0,
                220.0,
            ),
            FULL,
            &[1_500.0, 3_000.0, 6_000.0],
        ),
        case(
            "single_ended_parallel_pentodes",
            {
                let mut stage = real(
                    plain(
                        "50C5",
                        SINGLE,
                        125.0,
                        ScreenFeed::Dropper(470.0),
                        Bias::Cathode(75.0),
                    ),
                    100.0,
                    90.0,
                );
                stage.tubes_per_side = 2;
                stage
            },
            FULL,
            &[1_250.0],
        ),
        case(
            "single_ended_pentode_overdriven",
            plain("6V6GT", SINGLE, 250.0, own(250.0, 0.0), Bias::Fixed(-12.5)),
            Drive::Peak(25.0),
            &[2_500.0, 5_000.0, 10_000.0],
        ),
        case(
            "single_ended_screen_stoppers",
            {
                let mut stage = plain(
                    "EL84",
                    SINGLE,
                    250.0,
                    ScreenFeed::Dropper(0.0),
                    Bias::Cathode(135.0),
                );
                stage.stoppers = Stoppers {
                    each: 2_200.0,
                    common: 1_000.0,
                };
                stage
            },
            FULL,
            &[2_600.0, 5_200.0, 10_400.0],
        ),
        case(
            "single_ended_triode_strapped_through_a_stopper",
            {
                let mut stage = plain(
                    "6V6GT",
                    SINGLE,
                    270.0,
                    ScreenFeed::Tap(1.0),
                    Bias::Cathode(350.0),
                );
                stage.stoppers.each = 1_000.0;
                stage.primary_ohms = 250.0;
                stage
            },
            FULL,
            &[5_000.0],
        ),
        case(
            "single_ended_tap_at_the_supply_end",
            real(
                plain(
                    "6K6GT",
                    SINGLE,
                    250.0,
                    ScreenFeed::Tap(0.0),
                    Bias::Fixed(-18.0),
                ),
                200.0,
                400.0,
            ),
            Drive::OfGridCurrent(0.9),
            &[7_600.0],
        ),
        case(
            "single_ended_pentode_small_drive",
            plain("6F6", SINGLE, 250.0, own(250.0, 0.0), Bias::Fixed(-16.5)),
            Drive::OfGridCurrent(0.1),
            &[7_000.0],
        ),
    ]
}

fn push_pull(case: Make<'_>) -> Vec<Case> {
    let real = |mut stage: Stage, supply_ohms, primary_ohms| {
        stage.plate_supply.ohms = supply_ohms;
        stage.primary_ohms = primary_ohms;
        stage
    };
    let unlike = |mut stage: Stage, current, drive, turns| {
        stage.imbalance = Imbalance {
            current,
            drive,
            turns,
        };
        stage
    };
    let stopped = |mut stage: Stage, each, common| {
        stage.stoppers = Stoppers { each, common };
        stage
    };
    let fixed = plain("6L6GC", PAIR, 450.0, own(400.0, 0.0), Bias::Fixed(-37.0));
    let cathode = real(
        plain(
            "EL84",
            PAIR,
            310.0,
            ScreenFeed::Dropper(470.0),
            Bias::Cathode(130.0),
        ),
        150.0,
        240.0,
    );
    let tapped = real(
        plain(
            "EL34",
            PAIR,
            430.0,
            ScreenFeed::Tap(0.43),
            Bias::Fixed(-38.0),
        ),
        100.0,
        160.0,
    );
    vec![
        case(
            "push_pull_class_ab_fixed_bias",
            fixed,
            FULL,
            &[2_800.0, 5_600.0, 22_400.0],
        ),
        case(
            "push_pull_class_ab_sagging_supplies",
            {
                let mut stage = real(fixed, 150.0, 120.0);
                stage.screen = own(400.0, 1_500.0);
                stage
            },
            FULL,
            &[5_600.0],
        ),
        case(
            "push_pull_cathode_bias_dropper",
            cathode,
            FULL,
            &[4_000.0, 8_000.0, 16_000.0],
        ),
        case(
            "push_pull_screens_on_the_plate_supply",
            real(
                plain(
                    "6V6GT",
                    PAIR,
                    285.0,
                    ScreenFeed::Dropper(0.0),
                    Bias::Cathode(220.0),
                ),
                100.0,
                260.0,
            ),
            Drive::OfGridCurrent(0.9),
            &[8_000.0],
        ),
        case("push_pull_screen_taps", tapped, FULL, &[3_300.0, 6_600.0]),
        case(
            "push_pull_screen_stoppers",
            stopped(cathode, 1_000.0, 0.0),
            FULL,
            &[4_000.0, 8_000.0, 16_000.0],
        ),
        case(
            "push_pull_screen_stoppers_overdriven_two_tubes_a_side",
            {
                let mut stage = stopped(real(fixed, 60.0, 60.0), 470.0, 0.0);
                stage.tubes_per_side = 2;
                stage
            },
            Drive::Peak(60.0),
            &[2_800.0, 5_600.0],
        ),
        case(
            "push_pull_screen_stoppers_on_taps",
            stopped(tapped, 1_000.0, 0.0),
            FULL,
            &[3_300.0, 6_600.0],
        ),
        case(
            "push_pull_common_screen_resistor_without_a_capacitor",
            stopped(cathode, 0.0, 1_500.0),
            FULL,
            &[4_000.0, 8_000.0, 16_000.0],
        ),
        case(
            "push_pull_both_screen_resistors_unlike_tubes",
            unlike(stopped(cathode, 470.0, 1_000.0), 0.2, 0.1, 0.05),
            FULL,
            &[8_000.0],
        ),
        case(
            "push_pull_triode_strapped",
            real(
                plain(
                    "EL34",
                    PAIR,
                    400.0,
                    ScreenFeed::Tap(1.0),
                    Bias::Cathode(220.0),
                ),
                100.0,
                160.0,
            ),
            FULL,
            &[5_000.0],
        ),
        case(
            "push_pull_triodes",
            plain("2A3", PAIR, 300.0, ScreenFeed::Tap(1.0), Bias::Fixed(-62.0)),
            FULL,
            &[3_000.0],
        ),
        case(
            "push_pull_two_tubes_a_side",
            {
                let mut stage = real(fixed, 60.0, 60.0);
                stage.tubes_per_side = 2;
                stage
            },
            Drive::OfGridCurrent(0.8),
            &[2_800.0],
        ),
        case(
            "push_pull_unlike_tubes",
            unlike(cathode, 0.2, 0.0, 0.0),
            FULL,
            &[8_000.0],
        ),
        case(
            "push_pull_unlike_drive",
            unlike(fixed, 0.0, 0.15, 0.0),
            FULL,
            &[5_600.0],
        ),
        case(
            "push_pull_unlike_turns_and_tubes",
            unlike(tapped, -0.1, 0.05, 0.04),
            FULL,
            &[6_600.0],
        ),
        case(
            "push_pull_overdriven",
            cathode,
            Drive::Peak(22.0),
            &[8_000.0, 16_000.0],
        ),
        case(
            "push_pull_overdriven_unlike_fixed",
            unlike(fixed, 0.1, 0.1, 0.0),
            Drive::Peak(60.0),
            &[5_600.0],
        ),
    ]
}
