//! What a solved cycle adds up to: powers, harmonics, dissipation.
#![allow(
    clippy::needless_range_loop,
    reason = "one index runs over rows, columns and the two sides at once"
)]

use super::cycle::{Cycle, Drive, HARMONICS, SideAverages};
use super::phase::Circuit;
use super::solver::{Averages, Solver};
use super::{ScreenFeed, Stage};
use crate::tube::{Bias, Topology};

impl Solver {
    pub(super) fn report(
        &self,
        circuit: &Circuit,
        load_ohms: f64,
        drive: Drive,
        averages: &Averages,
        residual: f64,
    ) -> Cycle {
        let slow = self.slow;
        let tap = self.stage.tap();
        let count = self.path.len() as f64;
        let mut sides = [SideAverages::default(); 2];
        let mut copper = 0.0;
        let mut load_power = 0.0;
        let mut harmonics = [0.0; HARMONICS];
        let mut mean_load_volts = 0.0;
        for instant in &self.path {
            for j in 0..2 {
                if circuit.scale[j] == 0.0 {
                    continue;
                }
                let side = &mut sides[j];
                let (v, plate, screen) = (
                    instant.plate_volts[j],
                    instant.plate_amps[j],
                    instant.screen_amps[j],
                );
                if side.peak_amps == 0.0 && side.peak_plate_volts == 0.0 {
                    side.lowest_plate_volts = v;
                }
                side.plate_watts += v * plate / count;
                side.screen_watts += instant.screen_volts[j] * screen / count;
                side.peak_plate_volts = side.peak_plate_volts.max(v);
                side.lowest_plate_volts = side.lowest_plate_volts.min(v);
                side.peak_amps = side.peak_amps.max(plate + screen);
                let winding = plate + tap * screen;
                let heat =
                    circuit.winding * winding * winding + circuit.tap_ohms() * screen * screen;
                copper += heat / count;
            }
            load_power += instant.load_volts * instant.load_volts / load_ohms / count;
            mean_load_volts += instant.load_volts / count;
            for (m, harmonic) in harmonics.iter_mut().enumerate() {
                *harmonic +=
                    2.0 / count * instant.load_volts * ((m + 1) as f64 * instant.angle).cos();
            }
        }
        for j in 0..2 {
            sides[j].plate_amps = averages.plate[j];
            sides[j].screen_amps = averages.screen[j];
        }
        if matches!(drive, Drive::Idle) {
            harmonics = [0.0; HARMONICS];
            load_power = 0.0;
        }
        let first = harmonics[0] * harmonics[0] / 2.0;
        let alternating = load_power * load_ohms - mean_load_volts * mean_load_volts;
        let thd = if first > 1e-12 {
            ((alternating - first).max(0.0) / first).sqrt()
        } else {
            0.0
        };
        let plate: f64 = averages.plate.iter().sum();
        let screen: f64 = averages.screen.iter().sum();
        let all = plate + screen;
        let Stage { plate_supply, .. } = self.stage;
        let (supplied, source_loss) = match self.stage.screen {
            ScreenFeed::Own(own) if tap == 0.0 => (
                plate_supply.volts * plate + own.volts * screen,
                plate_supply.ohms * plate * plate + own.ohms * screen * screen,
            ),
            ScreenFeed::Dropper(ohms) if tap == 0.0 => (
                plate_supply.volts * all,
                plate_supply.ohms * all * all + ohms * screen * screen,
            ),
            _ => (plate_supply.volts * all, plate_supply.ohms * all * all),
        };
        let cathode_loss = match self.stage.bias {
            Bias::Fixed(_) => 0.0,
            Bias::Cathode(ohms) => ohms * all * all,
        };
        let still = self.still_grid(&slow);
        let largest = 1.0 + self.stage.imbalance.drive.abs() / 2.0;
        Cycle {
            load_ohms,
            drive_peak: match drive {
                Drive::Idle => 0.0,
                Drive::OfGridCurrent(part) => -still * part / largest,
                Drive::Peak(volts) => volts,
            },
            grid_volts: still,
            cathode_volts: slow.cathode,
            supply_volts: slow.supply,
            screen_volts: if self.stage.screen_is_steady() {
                slow.screen
            } else {
                slow.supply
            },
            sides,
            harmonics,
            watts: load_power,
            thd,
            copper_watts: copper,
            supplied_watts: supplied,
            resistor_watts: source_loss + cathode_loss,
            magnetising_amps: match self.stage.topology {
                Topology::SingleEnded => averages.plate[0] + tap * averages.screen[0],
                Topology::PushPull => {
                    0.5 * (circuit.turns[0] * (averages.plate[0] + tap * averages.screen[0])
                        - circuit.turns[1] * (averages.plate[1] + tap * averages.screen[1]))
                }
            },
            residual_volts: residual,
        }
    }
}
