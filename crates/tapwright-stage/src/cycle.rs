//! One cycle of a sine: its instants, and the powers, harmonics and dissipation they add up to.

use serde::Serialize;

use super::phase::{Circuit, Side};
use super::solver::{Averages, Solver};
use super::{ScreenFeed, Stage};
use tapwright_tube::{Bias, Topology};

/// Harmonics reported, from the first.
pub const HARMONICS: usize = 7;

/// How hard the grids are driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drive {
    /// Not at all.
    Idle,
    /// Until the grid's positive peak just reaches the cathode's potential, times this
    /// fraction (0 to 1). With cathode bias the bias that counts is the one at that drive.
    OfGridCurrent(f64),
    /// This peak voltage on each grid, V. Beyond the onset of grid current the grid is
    /// clipped at the cathode's potential, as by a driver of high source resistance.
    Peak(f64),
}

/// What one side of the stage does, averaged over the cycle, all its tubes together.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct SideAverages {
    /// Plate current, A.
    pub plate_amps: f64,
    /// Screen current, A; 0 where the screen is the plate.
    pub screen_amps: f64,
    /// Plate dissipation, W. In triode connection the screen's is in `screen_watts`.
    pub plate_watts: f64,
    /// Screen dissipation, W.
    pub screen_watts: f64,
    /// Highest plate voltage from the cathode, V.
    pub peak_plate_volts: f64,
    /// Lowest plate voltage from the cathode, V.
    pub lowest_plate_volts: f64,
    /// Highest cathode current, A.
    pub peak_amps: f64,
}

impl SideAverages {
    /// Both sides along a path of equal instants that is a whole cycle, or the half of a
    /// symmetrical one.
    pub(super) fn along(path: &[Instant]) -> [Self; 2] {
        let count = path.len() as f64;
        std::array::from_fn(|j| {
            let lowest_plate_volts =
                (path.iter().map(|at| at.plate_volts[j])).fold(f64::INFINITY, f64::min);
            let mut side = Self {
                lowest_plate_volts,
                ..Self::default()
            };
            for at in path {
                let (plate, screen) = (at.plate_amps[j], at.screen_amps[j]);
                side.plate_amps += plate / count;
                side.screen_amps += screen / count;
                side.plate_watts += at.plate_volts[j] * plate / count;
                side.screen_watts += at.screen_volts[j] * screen / count;
                side.peak_plate_volts = side.peak_plate_volts.max(at.plate_volts[j]);
                side.peak_amps = side.peak_amps.max(plate + screen);
            }
            side
        })
    }
}

/// Total harmonic distortion, as a ratio to the fundamental, from the mean squares of the
/// alternating volts and of their fundamental; 0 where there is none.
pub(super) fn distortion(mean_square: f64, fundamental: f64) -> f64 {
    if fundamental > 1e-12 {
        ((mean_square - fundamental).max(0.0) / fundamental).sqrt()
    } else {
        0.0
    }
}

/// One instant of the cycle.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Instant {
    /// Angle of the drive, radians from its positive peak on side 1, 0 to π. The second half
    /// of the cycle is the first one backwards, for the load is resistive.
    pub angle: f64,
    /// Grid volts of each side, from the cathode.
    pub grid_volts: [f64; 2],
    /// Plate volts of each side, from the cathode.
    pub plate_volts: [f64; 2],
    /// Screen volts of each side, from the cathode.
    pub screen_volts: [f64; 2],
    /// Plate current of each side, A.
    pub plate_amps: [f64; 2],
    /// Screen current of each side, A.
    pub screen_amps: [f64; 2],
    /// Volts across the load: from supply to plate, or plate to plate.
    pub load_volts: f64,
}

impl Instant {
    pub(super) fn new(
        angle: f64,
        grid_volts: [f64; 2],
        sides: &[Side; 2],
        load_volts: f64,
    ) -> Self {
        Self {
            angle,
            grid_volts,
            plate_volts: sides.map(|side| side.plate_volts),
            screen_volts: sides.map(|side| side.screen_volts),
            plate_amps: sides.map(|side| side.flow.plate.amps),
            screen_amps: sides.map(|side| side.flow.screen.amps),
            load_volts,
        }
    }
}

/// What the stage does at one drive into one load.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Cycle {
    /// Load, Ω.
    pub load_ohms: f64,
    /// Peak drive on each grid (the mean of the two, if unlike), V.
    pub drive_peak: f64,
    /// Grid from cathode without the drive, V.
    pub grid_volts: f64,
    /// Cathode from ground, V.
    pub cathode_volts: f64,
    /// Supply at the primary, V from ground.
    pub supply_volts: f64,
    /// Screen node before any resistor without a capacitor, V from ground; the supply's where
    /// the screens follow the plates.
    pub screen_volts: f64,
    /// Side 1 and, in push-pull, side 2.
    pub sides: [SideAverages; 2],
    /// Peak volts of H1 to H7 across the load, signed as cosines from the drive's peak.
    pub harmonics: [f64; HARMONICS],
    /// Power in the load, W, all harmonics.
    pub watts: f64,
    /// Total harmonic distortion, all harmonics over the first; 0 without drive.
    pub thd: f64,
    /// Power lost in the primary's winding resistance, W.
    pub copper_watts: f64,
    /// Power out of the supplies, W, before their source resistances.
    pub supplied_watts: f64,
    /// Power lost in source and screen resistances and the cathode resistor, W.
    pub resistor_watts: f64,
    /// Of that, what the hottest of the resistors at each screen takes, and the one common to
    /// all screens without a capacitor.
    pub stopper_watts: [f64; 2],
    /// Steady current that magnetises the core, A: the whole plate current in a single-ended
    /// stage, half the difference of the two sides in push-pull (as if it flowed through the
    /// whole primary).
    pub magnetising_amps: f64,
    /// How far the averages still disagree, V: the residual of the solution.
    pub residual_volts: f64,
}

impl Cycle {
    /// What the path that was solved last adds up to. `residual` is the largest disagreement
    /// that is left, V.
    pub(super) fn from_path(
        solver: &Solver,
        circuit: &Circuit,
        load_ohms: f64,
        drive: Drive,
        averages: &Averages,
        residual: f64,
    ) -> Self {
        let stage = &solver.stage;
        let slow = solver.slow;
        let path = solver.path();
        let tap = stage.tap();
        let count = path.len() as f64;
        let mut sides = SideAverages::along(path);
        for (j, side) in sides.iter_mut().enumerate() {
            side.plate_amps = averages.plate[j];
            side.screen_amps = averages.screen[j];
        }
        let mut copper_watts = 0.0;
        let mut mean_volts = 0.0;
        let mut mean_square = 0.0;
        let mut harmonics = [0.0; HARMONICS];
        for instant in path {
            for (plate, screen) in instant.plate_amps.iter().zip(instant.screen_amps) {
                let winding = plate + tap * screen;
                let heat =
                    circuit.winding * winding * winding + circuit.tap_ohms() * screen * screen;
                copper_watts += heat / count;
            }
            let volts = instant.load_volts;
            mean_volts += volts / count;
            mean_square += volts * volts / count;
            // cos (m + 1)θ = 2 cos θ cos mθ − cos (m − 1)θ: one cosine serves all harmonics.
            let cosine = instant.angle.cos();
            let (mut before, mut now) = (1.0, cosine);
            for harmonic in &mut harmonics {
                *harmonic += 2.0 / count * volts * now;
                (before, now) = (now, 2.0 * cosine * now - before);
            }
        }
        let mut watts = mean_square / load_ohms;
        if matches!(drive, Drive::Idle) {
            (harmonics, watts) = ([0.0; HARMONICS], 0.0);
        }
        let first = harmonics[0] * harmonics[0] / 2.0;
        let [hottest, of_each, common] = stage.stopper_watts(path);
        let still = solver.still_grid(&slow);
        let plate: f64 = averages.plate.iter().sum();
        let screen: f64 = averages.screen.iter().sum();
        let (supplied_watts, source_watts) = supplied(stage, plate, screen);
        let cathode_watts = match stage.bias {
            Bias::Fixed(_) => 0.0,
            Bias::Cathode(ohms) => ohms * (plate + screen) * (plate + screen),
        };
        let winding_amps = [0, 1].map(|j| averages.plate[j] + tap * averages.screen[j]);
        let primary_amps = circuit.across_turns(winding_amps);
        Self {
            load_ohms,
            drive_peak: match drive {
                Drive::Idle => 0.0,
                Drive::OfGridCurrent(part) => -still * part / stage.imbalance.larger_drive(),
                Drive::Peak(volts) => volts,
            },
            grid_volts: still,
            cathode_volts: slow.cathode,
            supply_volts: slow.supply,
            screen_volts: if stage.screen_is_steady() {
                slow.screen
            } else {
                slow.supply
            },
            sides,
            harmonics,
            watts,
            thd: distortion(watts * load_ohms - mean_volts * mean_volts, first),
            copper_watts,
            supplied_watts,
            resistor_watts: source_watts + cathode_watts + of_each + common,
            stopper_watts: [hottest, common],
            magnetising_amps: match stage.topology {
                Topology::SingleEnded => primary_amps,
                Topology::PushPull => 0.5 * primary_amps,
            },
            residual_volts: residual,
        }
    }

    /// Plate current of all tubes, A.
    pub fn plate_amps(&self) -> f64 {
        self.sides.iter().map(|s| s.plate_amps).sum()
    }

    /// Screen current of all tubes, A.
    pub fn screen_amps(&self) -> f64 {
        self.sides.iter().map(|s| s.screen_amps).sum()
    }

    /// Plate efficiency: power in the load over power into plates, load and winding.
    pub fn efficiency(&self) -> f64 {
        let input: f64 =
            self.sides.iter().map(|s| s.plate_watts).sum::<f64>() + self.watts + self.copper_watts;
        if input > 0.0 { self.watts / input } else { 0.0 }
    }

    /// Power that went in and is not accounted for, over the power that went in.
    ///
    /// Every term is an average of its own, so this is a check on the solution.
    pub fn energy_error(&self) -> f64 {
        let tubes: f64 = self
            .sides
            .iter()
            .map(|s| s.plate_watts + s.screen_watts)
            .sum();
        let out = tubes + self.watts + self.copper_watts + self.resistor_watts;
        if self.supplied_watts.abs() < 1e-12 {
            0.0
        } else {
            (self.supplied_watts - out) / self.supplied_watts
        }
    }
}

/// Power out of the supplies at these average currents, A, and what their source resistances
/// and the screens' dropping resistor take of it, W.
fn supplied(stage: &Stage, plate: f64, screen: f64) -> (f64, f64) {
    let supply = stage.plate_supply;
    let all = plate + screen;
    let from_supply = |amps: f64| (supply.volts * amps, supply.ohms * amps * amps);
    match stage.screen {
        ScreenFeed::Own(own) if stage.tap() == 0.0 => {
            let (watts, source) = from_supply(plate);
            (
                watts + own.volts * screen,
                source + own.ohms * screen * screen,
            )
        }
        ScreenFeed::Dropper(ohms) if stage.tap() == 0.0 => {
            let (watts, source) = from_supply(all);
            (watts, source + ohms * screen * screen)
        }
        _ => from_supply(all),
    }
}
