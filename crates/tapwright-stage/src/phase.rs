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

use super::{Stage, Stoppers};
use tapwright_tube::{Flow, Model, Topology};

mod driven;
mod screens;

pub(super) use screens::{behind, screen_behind};

/// The search for an instant stops when the step of the plate volts is below this fraction of
/// the supply.
const FINE: f64 = 1e-9;

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
    pub fn new(stage: &Stage, load_ohms: f64) -> Self {
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

    fn side(&self, index: usize, slow: &Slow, plate: f64, grid: f64, screen: f64) -> Side {
        let scale = self.scale[index];
        let flow_at = |screen_volts: f64| self.model.flow(plate, screen_volts, grid).times(scale);
        let open = self.screen_volts(slow, plate);
        let ohms = self.screen_ohms();
        if ohms == 0.0 {
            return Side {
                plate_volts: plate,
                screen_volts: open,
                flow: flow_at(open),
            };
        }
        let (screen_volts, flow) = screen_behind(ohms, open, screen, flow_at);
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

    /// Winding current and its slope by plate volts.
    fn winding_current(&self, side: &Side) -> (f64, f64) {
        let f = self.tap;
        let Flow { plate, screen } = side.flow;
        (
            plate.amps + f * screen.amps,
            plate.by_plate + f * plate.by_screen + f * (screen.by_plate + f * screen.by_screen),
        )
    }

    /// Solves one instant with the node of the screens held steady.
    fn on_steady_node(
        &self,
        slow: &Slow,
        grid: [f64; 2],
        grid_by_cathode: [f64; 2],
        start: &Start,
    ) -> Solution {
        let rest = slow.supply - slow.cathode;
        let [a1, a2] = self.turns;
        let q = self.load;
        let Start {
            plates: mut v,
            mut screens,
        } = *start;
        for _ in 0..24 {
            let s1 = self.side(0, slow, v[0], grid[0], screens[0]);
            let (w1, g1) = self.winding_current(&s1);
            let (s2, w2, g2) = if self.sides() == 2 {
                let s2 = self.side(1, slow, v[1], grid[1], screens[1]);
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
            let fine = FINE * (1.0 + rest.abs());
            if step1.abs() < fine && step2.abs() < fine {
                return self.with_slopes(slow, [s1, s2], grid_by_cathode);
            }
        }
        let v = self.bracketed(slow, grid, start);
        let sides = [
            self.side(0, slow, v[0], grid[0], screens[0]),
            if self.sides() == 2 {
                self.side(1, slow, v[1], grid[1], screens[1])
            } else {
                Side::default()
            },
        ];
        self.with_slopes(slow, sides, grid_by_cathode)
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
        }
    }
}

/// Volts less a step, but never below a fifth of what they were: below the knee Newton's
/// method sees too steep a curve, and at the cathode's voltage none.
fn below(volts: f64, step: f64) -> f64 {
    let next = volts - step;
    if volts > 0.0 && next < 0.2 * volts {
        0.2 * volts
    } else {
        next
    }
}
