//! What a solved cycle adds up to: powers, harmonics, dissipation.
#![allow(
    clippy::needless_range_loop,
    reason = "one index runs over rows, columns and the two sides at once"
)]

use super::cycle::{Cycle, Drive, HARMONICS, SideAverages, distortion};
use super::phase::Circuit;
use super::solver::{Averages, Solver};
use super::{ScreenFeed, Stage};
use tapwright_tube::{Bias, Topology};

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
        let mut sides = SideAverages::along(&self.path);
        let mut copper = 0.0;
        let mut load_power = 0.0;
        let mut harmonics = [0.0; HARMONICS];
        let mut mean_load_volts = 0.0;
        for instant in &self.path {
            for j in 0..2 {
                if circuit.scale[j] == 0.0 {
                    continue;
                }
                let screen = instant.screen_amps[j];
                let winding = instant.plate_amps[j] + tap * screen;
                let heat =
                    circuit.winding * winding * winding + circuit.tap_ohms() * screen * screen;
                copper += heat / count;
            }
            load_power += instant.load_volts * instant.load_volts / load_ohms / count;
            mean_load_volts += instant.load_volts / count;
            // cos (m + 1)θ = 2 cos θ cos mθ − cos (m − 1)θ: one cosine serves all harmonics.
            let cosine = instant.angle.cos();
            let (mut before, mut now) = (1.0, cosine);
            for harmonic in &mut harmonics {
                *harmonic += 2.0 / count * instant.load_volts * now;
                (before, now) = (now, 2.0 * cosine * now - before);
            }
        }
        let [hottest, of_each, common] = self.stage.stopper_watts(&self.path);
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
            thd: distortion(alternating, first),
            copper_watts: copper,
            supplied_watts: supplied,
            resistor_watts: source_loss + cathode_loss + of_each + common,
            stopper_watts: [hottest, common],
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
