//! One instant of the cycle: the tubes' curves against the load.
//!
//! Side j's plate stands at `v_j` above the cathode and drives `w_j = i_a + f·i_s` into its
//! part of the winding, of turns `a_j` (f: the screen tap). With `u` the volts across a unit
//! of turns and `d` the steady ampere-turns, which the primary inductance carries:
//!
//! - `v_1 + k = b − r w_1 − a_1 u`, `v_2 + k = b − r w_2 + a_2 u`
//! - `u = Q (a_1 w_1 − a_2 w_2 − d)`, where Q is the load in a single-ended stage, a quarter
//!   of the plate-to-plate load in push-pull.
//!
//! A screen at a tap stands at `(1−f)(b − k) + f v_j − f(1−f) r i_s`: its own current flows
//! through its part of the winding's resistance only, and all of it. A resistor of its own
//! without a capacitor adds to that part; one common to both sides moves the node of the
//! screens from instant to instant.
//!
//! Newton's method on `v_1, v_2` from the last solution nearby. `w` never falls as `v`
//! rises, so the solution is unique, and where Newton wanders off, a bracketed search on `u`
//! finds it without fail.

use super::linear::along;
use super::zero::{EXACT, rising_zero};
use super::{Stage, Stoppers};
use crate::tube::pentode::{Emission, Pentode};
use crate::tube::{Current, Flow, Model, Topology};

/// What stands still over the cycle.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Slow {
    /// Plate supply at the primary, V from ground.
    pub supply: f64,
    /// Screen node, V from ground. Not used where the screen follows the plate.
    pub screen: f64,
    /// Cathode, V from ground.
    pub cathode: f64,
    /// Steady ampere-turns in the core, per unit of turns, A.
    pub magnetising: f64,
}

/// What does not change over a whole run on one load.
#[derive(Debug, Clone, Copy)]
pub(super) struct Circuit {
    model: Model,
    /// Currents of side 1 and 2 over those of one average tube. Side 2 is 0 if single-ended.
    pub scale: [f64; 2],
    /// Turns of each part.
    pub turns: [f64; 2],
    /// Winding resistance of each part, Ω.
    pub winding: f64,
    /// Q above, Ω.
    pub load: f64,
    tap: f64,
    steady_screen: bool,
    /// Resistor between the screens of a side and their node or tap, Ω.
    stopper: f64,
    /// Resistor between the node of both sides' screens and what holds it steady, Ω.
    common: f64,
    /// Step of the plate volts, over the supply, from which down it is taken along the slopes
    /// in hand instead of evaluating again: what that neglects is of the order of the step
    /// squared.
    last_step: f64,
}

/// Both currents of one side and their slopes by plate, screen and grid volts.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Side {
    pub plate_volts: f64,
    pub screen_volts: f64,
    pub flow: Flow,
}

/// Where the solution of an instant starts: that of the last one nearby.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Start {
    /// Plate volts of each side.
    pub plates: [f64; 2],
    /// Screen current of each side, A.
    pub screens: [f64; 2],
}

/// The solution at one instant, with its slopes by [`Slow`] (in the order of its fields) and
/// by the grid's common movement.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Solution {
    pub side: [Side; 2],
    /// Volts across a unit of turns.
    pub load_volts: f64,
    /// Slopes of plate and screen currents of each side: `[side][plate, screen][slow]`.
    pub slopes: [[[f64; 4]; 2]; 2],
    /// Slopes of each side's plate volts.
    pub plate_slopes: [[f64; 4]; 2],
}

/// Both sides where given volts stand across a unit of turns.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Driven {
    pub side: [Side; 2],
    /// The ampere-turns `a_1 w_1 − a_2 w_2` that they drive, per unit of turns, A.
    pub turns_amps: f64,
    /// Their slope by the volts, which is never above zero.
    pub by_volts: f64,
    /// Their slope by the node of the screens.
    by_node: f64,
    /// Slopes of both screens' current together.
    screens_by_volts: f64,
    screens_by_node: f64,
}

impl Start {
    pub fn of(side: &[Side; 2]) -> Self {
        Self {
            plates: side.map(|side| side.plate_volts),
            screens: side.map(|side| side.flow.screen.amps),
        }
    }
}

impl Solution {
    /// Where a solution nearby starts.
    pub fn start(&self) -> Start {
        Start::of(&self.side)
    }
}

impl Slow {
    /// How far each value moved since `before`, in the order of the fields.
    pub fn since(&self, before: &Self) -> [f64; 4] {
        [
            self.supply - before.supply,
            self.screen - before.screen,
            self.cathode - before.cathode,
            self.magnetising - before.magnetising,
        ]
    }
}

impl Circuit {
    pub fn new(stage: &Stage, load_ohms: f64, last_step: f64) -> Self {
        let n = f64::from(stage.tubes_per_side);
        let unlike = stage.imbalance;
        let (scale, turns, winding, load) = match stage.topology {
            Topology::SingleEnded => ([n, 0.0], [1.0, 0.0], stage.primary_ohms, load_ohms),
            Topology::PushPull => (
                [
                    n * (1.0 + unlike.current / 2.0),
                    n * (1.0 - unlike.current / 2.0),
                ],
                [1.0 + unlike.turns / 2.0, 1.0 - unlike.turns / 2.0],
                stage.primary_ohms / 2.0,
                load_ohms / 4.0,
            ),
        };
        let Stoppers { each, common } = stage.stoppers;
        // One side alone has all of a common resistor to itself.
        let (own, common) = match stage.topology {
            Topology::SingleEnded => (common, 0.0),
            Topology::PushPull => (0.0, common),
        };
        Self {
            model: stage.model,
            scale,
            turns,
            winding,
            load,
            tap: stage.tap(),
            steady_screen: stage.screen_is_steady(),
            stopper: each / n + own,
            common,
            last_step,
        }
    }

    fn sides(&self) -> usize {
        if self.scale[1] > 0.0 { 2 } else { 1 }
    }

    /// Screen volts from the cathode, when the plate is at `plate`, but for [`Self::screen_ohms`].
    fn screen_volts(&self, slow: &Slow, plate: f64) -> f64 {
        if self.steady_screen {
            slow.screen - slow.cathode
        } else {
            (1.0 - self.tap) * (slow.supply - slow.cathode) + self.tap * plate
        }
    }

    fn emission(&self, slow: &Slow, grid: f64) -> Option<(Pentode, Emission)> {
        match self.model {
            Model::Pentode(p) if self.steady_screen && self.stopper == 0.0 => {
                Some((p, p.emission(slow.screen - slow.cathode, grid)))
            }
            _ => None,
        }
    }

    fn side(
        &self,
        index: usize,
        slow: &Slow,
        plate: f64,
        grid: f64,
        screen: f64,
        kept: &Option<(Pentode, Emission)>,
    ) -> Side {
        let scale = self.scale[index];
        let flow_at = |screen_volts: f64| {
            let mut flow = match kept {
                Some((pentode, emission)) => pentode.flow_from(emission, plate),
                None => self.model.flow(plate, screen_volts, grid),
            };
            for current in [&mut flow.plate, &mut flow.screen] {
                current.amps *= scale;
                current.by_grid *= scale;
                current.by_screen *= scale;
                current.by_plate *= scale;
            }
            flow
        };
        let open = self.screen_volts(slow, plate);
        let ohms = self.screen_ohms();
        if ohms == 0.0 {
            return Side {
                plate_volts: plate,
                screen_volts: open,
                flow: flow_at(open),
            };
        }
        let (screen_volts, flow) = screen_behind(ohms, open, screen, self.last_step, flow_at);
        Side {
            plate_volts: plate,
            screen_volts,
            flow: behind(ohms, flow),
        }
    }

    /// What the screen's current drops its own voltage by, at a given plate voltage, Ω.
    pub fn screen_ohms(&self) -> f64 {
        self.tap_ohms() + self.stopper
    }

    /// The winding's part of that, Ω.
    pub fn tap_ohms(&self) -> f64 {
        self.tap * (1.0 - self.tap) * self.winding
    }

    /// Power in the screens' resistors without a capacitor, W, at these screen currents.
    pub fn stopper_watts(&self, screens: [f64; 2]) -> f64 {
        let [one, other] = screens;
        self.stopper * (one * one + other * other) + self.common * (one + other).powi(2)
    }

    /// Winding current and its slope by plate volts.
    fn winding_current(&self, side: &Side) -> (f64, f64) {
        let f = self.tap;
        let Flow { plate, screen } = side.flow;
        (
            plate.amps + f * screen.amps,
            plate.by_plate + f * plate.by_screen + f * (screen.by_plate + f * screen.by_screen),
        )
    }

    /// Solves one instant. `grid` and `grid_by_cathode` are the grid volts of each side and
    /// their slope by the cathode's voltage.
    pub fn solve(
        &self,
        slow: &Slow,
        grid: [f64; 2],
        grid_by_cathode: [f64; 2],
        start: &Start,
    ) -> Solution {
        if self.common == 0.0 {
            return self.on_steady_node(slow, grid, grid_by_cathode, start);
        }
        // The node stands at some voltage: the one at which the resistor carries what the
        // screens draw.
        let held = self.held();
        let (mut at, mut solution, mut start) = (*slow, Solution::default(), *start);
        let mut screens_by = [0.0; 4];
        let node = self.node(slow, start.screens, |node| {
            at.screen = node;
            solution = held.on_steady_node(&at, grid, grid_by_cathode, &start);
            start = solution.start();
            screens_by =
                std::array::from_fn(|x| solution.slopes[0][1][x] + solution.slopes[1][1][x]);
            (start.screens, screens_by[1])
        });
        let step = node - at.screen;
        at.screen = node;
        held.carry(&mut solution, &at, &[0.0, step, 0.0, 0.0]);
        // A movement of anything moves the node as well.
        let by_own = 1.0 / (1.0 + self.common * screens_by[1]);
        let node_by: [f64; 4] = std::array::from_fn(|x| {
            let steady = if x == 1 {
                1.0
            } else {
                -self.common * screens_by[x]
            };
            steady * by_own
        });
        let through = |slopes: &mut [f64; 4]| {
            let by_node = slopes[1];
            slopes[1] = 0.0;
            for (slope, node_by) in slopes.iter_mut().zip(&node_by) {
                *slope += by_node * node_by;
            }
        };
        solution.slopes.iter_mut().flatten().for_each(through);
        solution.plate_slopes.iter_mut().for_each(through);
        solution
    }

    /// The same circuit with the node of the screens held steady.
    fn held(&self) -> Self {
        Self {
            common: 0.0,
            ..*self
        }
    }

    /// Where the screens' node stands, V from ground, behind their common resistor: `screens`
    /// gives their currents at a voltage of the node, and the slope of the sum.
    fn node(
        &self,
        slow: &Slow,
        start: [f64; 2],
        mut screens: impl FnMut(f64) -> ([f64; 2], f64),
    ) -> f64 {
        let drop = |amps: [f64; 2]| self.common * (amps[0] + amps[1]);
        let start = slow.screen - drop(start);
        rising_zero(0.0, slow.screen, start, self.last_step, |node| {
            let (amps, by_node) = screens(node);
            (node - slow.screen + drop(amps), 1.0 + self.common * by_node)
        })
    }

    fn on_steady_node(
        &self,
        slow: &Slow,
        grid: [f64; 2],
        grid_by_cathode: [f64; 2],
        start: &Start,
    ) -> Solution {
        let kept = [self.emission(slow, grid[0]), self.emission(slow, grid[1])];
        let rest = slow.supply - slow.cathode;
        let [a1, a2] = self.turns;
        let q = self.load;
        let Start {
            plates: mut v,
            mut screens,
        } = *start;
        for _ in 0..24 {
            let s1 = self.side(0, slow, v[0], grid[0], screens[0], &kept[0]);
            let (w1, g1) = self.winding_current(&s1);
            let (s2, w2, g2) = if self.sides() == 2 {
                let s2 = self.side(1, slow, v[1], grid[1], screens[1], &kept[1]);
                let (w2, g2) = self.winding_current(&s2);
                (s2, w2, g2)
            } else {
                (Side::default(), 0.0, 0.0)
            };
            screens = [s1.flow.screen.amps, s2.flow.screen.amps];
            let turns_current = a1 * w1 - a2 * w2 - slow.magnetising;
            let f1 = v[0] - rest + self.winding * w1 + a1 * q * turns_current;
            let f2 = v[1] - rest + self.winding * w2 - a2 * q * turns_current;
            let j11 = 1.0 + (self.winding + a1 * a1 * q) * g1;
            let j22 = 1.0 + (self.winding + a2 * a2 * q) * g2;
            let j12 = -a1 * a2 * q * g2;
            let j21 = -a1 * a2 * q * g1;
            let det = j11 * j22 - j12 * j21;
            let step1 = (f1 * j22 - f2 * j12) / det;
            let step2 = (f2 * j11 - f1 * j21) / det;
            v = [below(v[0], step1), below(v[1], step2)];
            if !(v[0].is_finite() && v[1].is_finite()) {
                break;
            }
            let fine = self.last_step * (1.0 + rest.abs());
            if step1.abs() < fine && step2.abs() < fine {
                let sides = [self.moved(s1, -step1), self.moved(s2, -step2)];
                return self.with_slopes(slow, sides, grid_by_cathode);
            }
        }
        let v = self.bracketed(slow, grid, start);
        let sides = [
            self.side(0, slow, v[0], grid[0], screens[0], &kept[0]),
            if self.sides() == 2 {
                self.side(1, slow, v[1], grid[1], screens[1], &kept[1])
            } else {
                Side::default()
            },
        ];
        self.with_slopes(slow, sides, grid_by_cathode)
    }

    /// Both sides where `u` volts stand across a unit of turns.
    pub fn at_load_volts(&self, slow: &Slow, grid: [f64; 2], u: f64, start: &Start) -> Driven {
        if self.common == 0.0 {
            return self.driven(slow, grid, u, start);
        }
        let held = self.held();
        let (mut at, mut driven, mut start) = (*slow, Driven::default(), *start);
        self.node(slow, start.screens, |node| {
            at.screen = node;
            driven = held.driven(&at, grid, u, &start);
            start = Start::of(&driven.side);
            (start.screens, driven.screens_by_node)
        });
        let node_by_volts =
            -self.common * driven.screens_by_volts / (1.0 + self.common * driven.screens_by_node);
        driven.by_volts += driven.by_node * node_by_volts;
        driven
    }

    fn driven(&self, slow: &Slow, grid: [f64; 2], u: f64, start: &Start) -> Driven {
        let rest = slow.supply - slow.cathode;
        let mut driven = Driven::default();
        for (index, &grid) in grid.iter().enumerate().take(self.sides()) {
            let turns = if index == 0 { 1.0 } else { -1.0 } * self.turns[index];
            let kept = self.emission(slow, grid);
            let open = rest - turns * u;
            let side = self.plate_behind_winding(index, slow, open, grid, start, &kept);
            let (w, g) = self.winding_current(&side);
            let through = 1.0 / (1.0 + self.winding * g);
            let Flow { plate, screen } = side.flow;
            driven.turns_amps += turns * w;
            driven.by_volts -= turns * turns * g * through;
            driven.by_node += turns * plate.by_screen * through;
            driven.screens_by_volts -= screen.by_plate * turns * through;
            driven.screens_by_node +=
                screen.by_screen - screen.by_plate * self.winding * plate.by_screen * through;
            driven.side[index] = side;
        }
        driven
    }

    /// The side whose plate and winding resistance together take `open` volts.
    fn plate_behind_winding(
        &self,
        index: usize,
        slow: &Slow,
        open: f64,
        grid: f64,
        start: &Start,
        kept: &Option<(Pentode, Emission)>,
    ) -> Side {
        let at = |v: f64| self.side(index, slow, v, grid, start.screens[index], kept);
        if self.winding == 0.0 {
            return at(open);
        }
        let lowest = open - self.winding * self.winding_current(&at(open)).0;
        at(rising_zero(lowest, open, start.plates[index], EXACT, |v| {
            let (w, g) = self.winding_current(&at(v));
            (v + self.winding * w - open, 1.0 + self.winding * g)
        }))
    }

    /// Without fail: `u/Q − (a_1 w_1(u) − a_2 w_2(u) − d)` rises with u, and each
    /// `v_j + r w_j(v_j)` rises with v_j, so both have one zero between known bounds.
    fn bracketed(&self, slow: &Slow, grid: [f64; 2], start: &Start) -> [f64; 2] {
        let rest = slow.supply - slow.cathode;
        let turns = if self.sides() == 2 {
            self.turns[0].min(self.turns[1])
        } else {
            self.turns[0]
        };
        // A screen on a tap draws current until its own voltage is gone, and pulls the plate
        // below the cathode with it.
        let tap = if self.tap > 0.0 { self.tap } else { 1.0 };
        let reach = rest.abs() / turns / tap + self.load * slow.magnetising.abs() + 1.0;
        let mut start = *start;
        rising_zero(-reach, reach, 0.0, EXACT, |u| {
            let driven = self.driven(slow, grid, u, &start);
            start = Start::of(&driven.side);
            (
                u / self.load - driven.turns_amps + slow.magnetising,
                1.0 / self.load - driven.by_volts,
            )
        });
        start.plates
    }

    /// A side whose plate has moved so far.
    fn moved(&self, mut side: Side, by: f64) -> Side {
        let before = side.flow.screen.amps;
        for current in [&mut side.flow.plate, &mut side.flow.screen] {
            current.amps += (current.by_plate + self.tap * current.by_screen) * by;
        }
        side.plate_volts += by;
        side.screen_volts += self.tap * by - self.screen_ohms() * (side.flow.screen.amps - before);
        side
    }

    /// Moves a solution along its slopes, where the slow voltages have moved so far to `slow`.
    pub fn carry(&self, solution: &mut Solution, slow: &Slow, moved: &[f64; 4]) {
        for j in 0..self.sides() {
            let side = &mut solution.side[j];
            side.plate_volts += along(&solution.plate_slopes[j], moved);
            side.flow.plate.amps += along(&solution.slopes[j][0], moved);
            side.flow.screen.amps += along(&solution.slopes[j][1], moved);
        }
        let [one, other] = solution.start().screens;
        let common = self.common * (one + other);
        for side in &mut solution.side {
            side.screen_volts = self.screen_volts(slow, side.plate_volts)
                - common
                - self.screen_ohms() * side.flow.screen.amps;
        }
        let [w1, w2] = [0, 1].map(|j| self.winding_current(&solution.side[j]).0);
        solution.load_volts = self.volts_of(w1, w2, slow);
    }

    /// Volts across a unit of turns.
    fn volts_of(&self, w1: f64, w2: f64, slow: &Slow) -> f64 {
        let [a1, a2] = self.turns;
        self.load * (a1 * w1 - a2 * w2 - slow.magnetising)
    }

    fn with_slopes(&self, slow: &Slow, side: [Side; 2], grid_by_cathode: [f64; 2]) -> Solution {
        let [a1, a2] = self.turns;
        let q = self.load;
        let (w1, g1) = self.winding_current(&side[0]);
        let (w2, g2) = self.winding_current(&side[1]);
        let j11 = 1.0 + (self.winding + a1 * a1 * q) * g1;
        let j22 = 1.0 + (self.winding + a2 * a2 * q) * g2;
        let j12 = -a1 * a2 * q * g2;
        let j21 = -a1 * a2 * q * g1;
        let det = j11 * j22 - j12 * j21;
        // Screen volts by supply, screen node, cathode at a fixed plate.
        let screen_by = if self.steady_screen {
            [0.0, 1.0, -1.0, 0.0]
        } else {
            [1.0 - self.tap, 0.0, self.tap - 1.0, 0.0]
        };
        let rest_by = [1.0, 0.0, -1.0, 0.0];
        let mut slopes = [[[0.0; 4]; 2]; 2];
        let mut plate_slopes = [[0.0; 4]; 2];
        for x in 0..4 {
            let mut still = [[0.0; 2]; 2];
            for j in 0..self.sides() {
                let grid_by = if x == 2 { grid_by_cathode[j] } else { 0.0 };
                for (i, current) in [side[j].flow.plate, side[j].flow.screen].iter().enumerate() {
                    still[j][i] = current.by_screen * screen_by[x] + current.by_grid * grid_by;
                }
            }
            let w_by = [
                still[0][0] + self.tap * still[0][1],
                still[1][0] + self.tap * still[1][1],
            ];
            let turns_by = a1 * w_by[0] - a2 * w_by[1] - if x == 3 { 1.0 } else { 0.0 };
            let f1 = -rest_by[x] + self.winding * w_by[0] + a1 * q * turns_by;
            let f2 = -rest_by[x] + self.winding * w_by[1] - a2 * q * turns_by;
            let plate_by = [-(f1 * j22 - f2 * j12) / det, -(f2 * j11 - f1 * j21) / det];
            for j in 0..self.sides() {
                plate_slopes[j][x] = plate_by[j];
                for (i, current) in [side[j].flow.plate, side[j].flow.screen].iter().enumerate() {
                    slopes[j][i][x] = still[j][i]
                        + (current.by_plate + self.tap * current.by_screen) * plate_by[j];
                }
            }
        }
        Solution {
            side,
            load_volts: self.volts_of(w1, w2, slow),
            slopes,
            plate_slopes,
        }
    }
}

/// The voltage of a screen that hangs on `open` volts through a resistance, and the flow
/// there, from a screen current nearby.
pub(super) fn screen_behind(
    ohms: f64,
    open: f64,
    start_amps: f64,
    fine: f64,
    mut flow_at: impl FnMut(f64) -> Flow,
) -> (f64, Flow) {
    let (mut at, mut flow) = (open, Flow::default());
    let (low, start) = (open.min(0.0), open - ohms * start_amps);
    let volts = rising_zero(low, open, start, fine, |volts| {
        (at, flow) = (volts, flow_at(volts));
        let Current {
            amps, by_screen, ..
        } = flow.screen;
        (volts - open + ohms * amps, 1.0 + ohms * by_screen)
    });
    for current in [&mut flow.plate, &mut flow.screen] {
        current.amps += current.by_screen * (volts - at);
    }
    (volts, flow)
}

/// The same currents with the slopes that they have by the voltage before a resistance that
/// the screen current flows through.
pub(super) fn behind(ohms: f64, flow: Flow) -> Flow {
    let Flow { plate, screen } = flow;
    let through = 1.0 / (1.0 + ohms * screen.by_screen);
    let slopes = |of: Current| Current {
        amps: of.amps,
        by_grid: of.by_grid - of.by_screen * ohms * through * screen.by_grid,
        by_screen: of.by_screen * through,
        by_plate: of.by_plate - of.by_screen * ohms * through * screen.by_plate,
    };
    Flow {
        plate: slopes(plate),
        screen: slopes(screen),
    }
}

/// Volts less a step, but never below a fifth of what they were: below the knee Newton's
/// method sees too steep a curve, and at the cathode's voltage none.
pub(super) fn below(volts: f64, step: f64) -> f64 {
    let next = volts - step;
    if volts > 0.0 && next < 0.2 * volts {
        0.2 * volts
    } else {
        next
    }
}
