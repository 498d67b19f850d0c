//! One load after another along a row.

use super::cycle::{Cycle, Drive};
use super::phase::Slow;
use super::{Solver, Stage, StageError};
use crate::decimal::within;

/// From which disagreement on, over the supply, the slow voltages go the last step along the
/// slopes: then what is neglected is about a millionth of the supply.
const LAST_STEP: f64 = 5e-4;

/// Solves one load after another along a geometric row, each from where the last two
/// point.
pub(super) struct March {
    solver: Solver,
    before: Option<(Slow, Vec<[f64; 2]>)>,
}

impl March {
    pub fn new(stage: Stage) -> Self {
        let mut solver = Solver::new(stage);
        solver.last_step = LAST_STEP;
        Self {
            solver,
            before: None,
        }
    }

    /// The next load; as [`Solver::cycle`].
    pub fn cycle(&mut self, load_ohms: f64, drive: Drive) -> Result<Cycle, StageError> {
        let cycle = self.solver.cycle(load_ohms, drive);
        let stand = (self.solver.slow, self.solver.plates.clone());
        if let Some((slow, plates)) = self.before.replace(stand) {
            self.solver.extrapolate(slow, &plates);
        }
        cycle
    }
}

impl Solver {
    /// Goes on from the last two solutions as on a straight line. Only where a solution
    /// starts: it ends where it would without.
    fn extrapolate(&mut self, then: Slow, plates: &[[f64; 2]]) {
        let on = |now: f64, before: f64| 2.0 * now - before;
        let now = self.slow;
        self.slow = Slow {
            supply: within(
                on(now.supply, then.supply),
                0.0,
                self.stage.plate_supply.volts,
            ),
            screen: on(now.screen, then.screen).max(0.0),
            cathode: on(now.cathode, then.cathode).max(0.0),
            magnetising: on(now.magnetising, then.magnetising),
        };
        for (now, before) in self.plates.iter_mut().zip(plates) {
            for j in 0..2 {
                now[j] = on(now[j], before[j]).max(0.5 * now[j]);
            }
        }
    }
}
