//! The slow voltages of a stage: supply, screens, cathode and the core's magnetisation move
//! with the averages of the currents until all agree.
#![allow(
    clippy::needless_range_loop,
    reason = "one index runs over rows, columns and the two sides at once"
)]

use super::cycle::Drive;
use super::linear;
use super::phase::{Circuit, Slow};
use super::solver::{Averages, Solver};
use super::{ScreenFeed, Stage, StageError};
use tapwright_tube::Bias;

impl Solver {
    /// What the averages make of the slow voltages, less what they are; and the slopes.
    ///
    /// The magnetising current is weighed with the load, so that all four are volts.
    pub(super) fn disagreement(
        &self,
        circuit: &Circuit,
        slow: &Slow,
        averages: &Averages,
    ) -> ([f64; 4], [[f64; 4]; 4]) {
        let Stage {
            plate_supply,
            screen,
            bias,
            ..
        } = self.stage;
        let tap = self.stage.tap();
        let screens_on_plate_supply = !matches!(screen, ScreenFeed::Own(_)) || tap > 0.0;
        let of = |pick: &dyn Fn(usize, usize) -> f64| -> f64 {
            (0..2)
                .map(|j| (0..2).map(|i| pick(j, i)).sum::<f64>())
                .sum()
        };
        let all = averages.plate[0] + averages.plate[1] + averages.screen[0] + averages.screen[1];
        let screens = averages.screen[0] + averages.screen[1];
        let drawn = if screens_on_plate_supply {
            all
        } else {
            all - screens
        };
        let mut wrong = [0.0; 4];
        let mut slopes = [[0.0; 4]; 4];
        let all_by = |x: usize| of(&|j, i| averages.slopes[j][i][x]);
        let screens_by = |x: usize| averages.slopes[0][1][x] + averages.slopes[1][1][x];
        let drawn_by = |x: usize| {
            if screens_on_plate_supply {
                all_by(x)
            } else {
                all_by(x) - screens_by(x)
            }
        };

        wrong[0] = plate_supply.volts - plate_supply.ohms * drawn - slow.supply;
        let (screen_source, screen_ohms, from_supply) = match screen {
            ScreenFeed::Own(own) => (own.volts, own.ohms, 0.0),
            ScreenFeed::Dropper(ohms) => (slow.supply, ohms, 1.0),
            ScreenFeed::Tap(_) => (slow.supply, 0.0, 1.0),
        };
        wrong[1] = screen_source - screen_ohms * screens - slow.screen;
        let cathode_ohms = match bias {
            Bias::Fixed(_) => 0.0,
            Bias::Cathode(ohms) => ohms,
        };
        wrong[2] = cathode_ohms * all - slow.cathode;
        let weight = circuit.load;
        let turns_current = |plate: [f64; 2], screen: [f64; 2]| {
            circuit.turns[0] * (plate[0] + tap * screen[0])
                - circuit.turns[1] * (plate[1] + tap * screen[1])
        };
        if !self.mirrored() {
            wrong[3] = weight * (turns_current(averages.plate, averages.screen) - slow.magnetising);
        }
        for x in 0..4 {
            let unit = |row: usize| if row == x { 1.0 } else { 0.0 };
            slopes[0][x] = -plate_supply.ohms * drawn_by(x) - unit(0);
            slopes[1][x] = from_supply * unit(0) - screen_ohms * screens_by(x) - unit(1);
            slopes[2][x] = cathode_ohms * all_by(x) - unit(2);
            slopes[3][x] = if self.mirrored() {
                -weight * unit(3)
            } else {
                let s = &averages.slopes;
                weight
                    * (turns_current([s[0][0][x], s[1][0][x]], [s[0][1][x], s[1][1][x]]) - unit(3))
            };
        }
        (wrong, slopes)
    }

    /// Newton's method on the slow voltages. Where a step does not help, the step is taken as
    /// the capacitors would, by implicit Euler steps in time that grow while they help
    /// (pseudo-transient continuation: C. T. Kelley and D. E. Keyes, SIAM J. Numer. Anal. 35,
    /// 1998).
    pub(super) fn settle(
        &mut self,
        circuit: &Circuit,
        drive: Drive,
    ) -> Result<(Averages, f64), StageError> {
        // A screen fed well above the plate can lift the cathode above the plate supply.
        let scale = match self.stage.screen {
            ScreenFeed::Own(own) => own.volts.max(self.stage.plate_supply.volts),
            _ => self.stage.plate_supply.volts,
        };
        let fine = 1e-6 * scale;
        let size = |wrong: &[f64; 4]| wrong.iter().fold(0.0_f64, |most, w| most.max(w.abs()));
        if self.mirrored() {
            self.slow.magnetising = 0.0;
        }
        let mut slow = self.slow;
        let mut averages = self.round(circuit, &slow, drive);
        let (mut wrong, mut slopes) = self.disagreement(circuit, &slow, &averages);
        let mut damping = 0.0;
        for _ in 0..200 {
            let before = size(&wrong);
            if before < fine {
                self.slow = slow;
                return Ok((averages, before));
            }
            let mut matrix = slopes;
            for (row, line) in matrix.iter_mut().enumerate() {
                line[row] -= damping * line[row].abs();
            }
            let Some(step) = linear::solve(matrix, wrong) else {
                damping = f64::max(4.0 * damping, 1.0);
                continue;
            };
            let tried = Slow {
                supply: (slow.supply - step[0]).clamp(0.0, self.stage.plate_supply.volts),
                screen: (slow.screen - step[1]).max(0.0),
                cathode: (slow.cathode - step[2]).clamp(0.0, scale),
                magnetising: slow.magnetising - step[3],
            };
            let new_averages = self.round(circuit, &tried, drive);
            let (new_wrong, new_slopes) = self.disagreement(circuit, &tried, &new_averages);
            let after = size(&new_wrong);
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
        Err(StageError::NotSettled(size(&wrong)))
    }
}
