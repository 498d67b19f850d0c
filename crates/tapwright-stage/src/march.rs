//! One load after another along a row.

use super::cycle::{Cycle, Drive};
use super::phase::{Slow, Start};
use super::{Solver, Stage, StageError};

/// From which disagreement on, over the supply, the slow voltages go the last step along the
/// slopes: then what is neglected is about a millionth of the supply.
const LAST_STEP: f64 = 5e-4;

/// The same for the plates at each instant: then what is neglected is about a hundred-
/// thousandth of their currents.
const LAST_PLATE_STEP: f64 = 1e-3;

/// Where a solver came to rest at one load.
#[derive(Debug, Clone)]
struct Rest {
    load_ohms: f64,
    slow: Slow,
    starts: Vec<Start>,
}

/// Where a march came to rest, load after load. The next march along the same loads, of a
/// stage little different, goes in its steps and leaves its own.
#[derive(Debug, Clone, Default)]
pub(super) struct Trail(Vec<Rest>);

/// Solves one load after another along a geometric row: each from where the last two point,
/// or from the last as far on as the trail beside it goes.
pub(super) struct March<'a> {
    solver: Solver,
    /// The trail of the march before.
    beside: Vec<Rest>,
    trail: &'a mut Trail,
}

impl<'a> March<'a> {
    pub fn new(stage: Stage, trail: &'a mut Trail) -> Self {
        let mut solver = Solver::new(stage);
        solver.last_step = LAST_STEP;
        solver.last_plate_step = LAST_PLATE_STEP;
        Self {
            solver,
            beside: std::mem::take(&mut trail.0),
            trail,
        }
    }

    /// The next load; as [`Solver::cycle`].
    pub fn cycle(&mut self, load_ohms: f64, drive: Drive) -> Result<Cycle, StageError> {
        let own = &self.trail.0[..];
        let at = own.len();
        let here = self
            .beside
            .get(at)
            .filter(|rest| rest.load_ohms == load_ohms);
        let before = at.checked_sub(1).and_then(|at| self.beside.get(at));
        match (here, before, own) {
            (Some(here), Some(before), _) => self.solver.go_on(before, here),
            (Some(here), None, _) => {
                self.solver.slow = here.slow;
                self.solver.starts.clone_from(&here.starts);
            }
            (None, _, [.., before, last]) => self.solver.go_on(before, last),
            (None, ..) => {}
        }
        let cycle = self.solver.cycle(load_ohms, drive);
        self.trail.0.push(Rest {
            load_ohms,
            slow: self.solver.slow,
            starts: self.solver.starts.clone(),
        });
        cycle
    }
}

impl Solver {
    /// Goes on as far as it is from one rest to another. Only where a solution starts: it
    /// ends where it would without.
    fn go_on(&mut self, from: &Rest, to: &Rest) {
        let now = self.slow;
        let [supply, screen, cathode, magnetising] = to.slow.since(&from.slow);
        self.slow = Slow {
            supply: (now.supply + supply).clamp(0.0, self.stage.plate_supply.volts),
            screen: (now.screen + screen).max(0.0),
            cathode: (now.cathode + cathode).max(0.0),
            magnetising: now.magnetising + magnetising,
        };
        let moves = from.starts.iter().zip(&to.starts);
        for (now, (from, to)) in self.starts.iter_mut().zip(moves) {
            for j in 0..2 {
                let (plate, screen) = (&mut now.plates[j], &mut now.screens[j]);
                *plate = (*plate + to.plates[j] - from.plates[j]).max(0.5 * *plate);
                *screen = (*screen + to.screens[j] - from.screens[j]).max(0.0);
            }
        }
    }
}
