//! The slow voltages of a stage: supply, screens, cathode and the core's magnetisation move
//! with the averages of the currents until all agree.

use nalgebra::{Matrix4, Vector4};

use super::cycle::Drive;
use super::phase::{BySlow, CATHODE, Circuit, MAGNETISING, SCREEN, SUPPLY, Slow};
use super::solver::{Averages, Solver};
use super::{ScreenFeed, StageError};
use tapwright_tube::Bias;

/// The search for the slow voltages stops when they disagree by less than this fraction of the
/// supply.
pub(super) const TOLERANCE: f64 = 1e-6;

impl Solver {
    /// What the averages make of the slow voltages, minus what they are; and the slopes of
    /// that, one row for each.
    ///
    /// The magnetising current is multiplied by the load, so that all four are volts.
    pub(super) fn disagreement(
        &self,
        circuit: &Circuit,
        slow: &Slow,
        averages: &Averages,
    ) -> (Vector4<f64>, Matrix4<f64>) {
        let supply = self.stage.plate_supply;
        let [plate1, plate2] = averages.plate;
        let [screen1, screen2] = averages.screen;
        let (plates, screens) = (plate1 + plate2, screen1 + screen2);
        let all = plates + screens;
        let plates_by: BySlow = averages.plate_by_slow.iter().sum();
        let screens_by: BySlow = averages.screen_by_slow.iter().sum();
        let all_by = plates_by + screens_by;

        let (drawn, drawn_by) = match self.stage.screen {
            ScreenFeed::Own(_) if self.stage.tap() == 0.0 => (plates, plates_by),
            _ => (all, all_by),
        };
        let of_supply = supply.volts - supply.ohms * drawn - slow.supply;
        let of_supply_by = -supply.ohms * drawn_by - SUPPLY;

        let (source, source_by, ohms) = match self.stage.screen {
            ScreenFeed::Own(own) => (own.volts, BySlow::zeros(), own.ohms),
            ScreenFeed::Dropper(ohms) => (slow.supply, SUPPLY, ohms),
            ScreenFeed::Tap(_) => (slow.supply, SUPPLY, 0.0),
        };
        let of_screen = source - ohms * screens - slow.screen;
        let of_screen_by = source_by - ohms * screens_by - SCREEN;

        let ohms = match self.stage.bias {
            Bias::Fixed(_) => 0.0,
            Bias::Cathode(ohms) => ohms,
        };
        let of_cathode = ohms * all - slow.cathode;
        let of_cathode_by = ohms * all_by - CATHODE;

        let load = circuit.load;
        let (of_core, of_core_by) = if self.mirrored() {
            (0.0, -load * MAGNETISING)
        } else {
            let tap = self.stage.tap();
            let winding_amps = [plate1 + tap * screen1, plate2 + tap * screen2];
            let [one, other] =
                [0, 1].map(|j| averages.plate_by_slow[j] + tap * averages.screen_by_slow[j]);
            let amps_by = circuit.turns[0] * one - circuit.turns[1] * other;
            (
                load * (circuit.across_turns(winding_amps) - slow.magnetising),
                load * (amps_by - MAGNETISING),
            )
        };
        (
            Vector4::new(of_supply, of_screen, of_cathode, of_core),
            Matrix4::from_rows(&[of_supply_by, of_screen_by, of_cathode_by, of_core_by]),
        )
    }

    /// The highest voltage that feeds the stage: a screen that is fed well above the plate can
    /// lift the cathode above the plate supply.
    pub(super) fn highest_supply(&self) -> f64 {
        let plate = self.stage.plate_supply.volts;
        match self.stage.screen {
            ScreenFeed::Own(own) => own.volts.max(plate),
            _ => plate,
        }
    }

    /// The slow voltages less a step, as far as they can be.
    pub(super) fn stepped(&self, slow: &Slow, step: &Vector4<f64>) -> Slow {
        Slow {
            supply: (slow.supply - step[0]).clamp(0.0, self.stage.plate_supply.volts),
            screen: (slow.screen - step[1]).max(0.0),
            cathode: (slow.cathode - step[2]).clamp(0.0, self.highest_supply()),
            magnetising: slow.magnetising - step[3],
        }
    }

    /// Newton's method on the slow voltages; gives the averages and the largest disagreement
    /// that is left, V. Where a step does not help, the step is taken as the capacitors would
    /// take it, by implicit Euler steps in time that grow while they help (pseudo-transient
    /// continuation: C. T. Kelley and D. E. Keyes, SIAM J. Numer. Anal. 35, 1998).
    pub(super) fn settle(
        &mut self,
        circuit: &Circuit,
        drive: Drive,
    ) -> Result<(Averages, f64), StageError> {
        let tolerance = TOLERANCE * self.highest_supply();
        if self.mirrored() {
            self.slow.magnetising = 0.0;
        }
        let mut slow = self.slow;
        let mut averages = self.average(circuit, &slow, drive);
        let (mut wrong, mut slopes) = self.disagreement(circuit, &slow, &averages);
        let mut damping = 0.0;
        for _ in 0..200 {
            let before = wrong.amax();
            if before < tolerance {
                self.slow = slow;
                return Ok((averages, before));
            }
            let mut damped = slopes;
            for row in 0..4 {
                damped[(row, row)] -= damping * slopes[(row, row)].abs();
            }
            let Some(step) = damped.lu().solve(&wrong) else {
                damping = f64::max(4.0 * damping, 1.0);
                continue;
            };
            let tried = self.stepped(&slow, &step);
            let new_averages = self.average(circuit, &tried, drive);
            let (new_wrong, new_slopes) = self.disagreement(circuit, &tried, &new_averages);
            let after = new_wrong.amax();
            if !after.is_finite() {
                damping = f64::max(4.0 * damping, 1.0);
                continue;
            }
            if damping == 0.0 && after >= before {
                damping = 2.0;
                continue;
            }
            (slow, averages, wrong, slopes) = (tried, new_averages, new_wrong, new_slopes);
            damping *= (after / before).clamp(0.5, 3.0);
            if damping < 1e-3 {
                damping = 0.0;
            }
        }
        Err(StageError::NotSettled(wrong.amax()))
    }
}
