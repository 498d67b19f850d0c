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
//! As vectors, with `a = (a_1, −a_2)`: `v = b − k − R w + Q d a`, where the matrix
//! `R = r + Q a aᵀ` takes currents in both parts to volts.
//!
//! A screen at a tap stands at `(1−f)(b − k) + f v_j − f(1−f) r i_s`: its own current flows
//! through its part of the winding's resistance only, and all of it. A resistor of its own
//! without a capacitor adds to that part; one common to both sides moves the node of the
//! screens from instant to instant.
//!
//! The solver is Newton's method on `v_1, v_2` from the last solution nearby. `w` never falls
//! as `v` rises, so the solution is unique. Where Newton's method diverges, a bracketed search
//! on `u` finds it without fail.

use nalgebra::{Matrix2, Matrix2x4, RowVector4, Vector2, Vector4};

use super::{Stage, Stoppers};
use tapwright_tube::{Current, Flow, Model, Topology};

mod load_volts;
mod screens;

pub(super) use load_volts::AtLoadVolts;
pub(super) use screens::{flow_behind, slopes_behind};

/// The search for an instant stops when the step of the plate volts is below this fraction of
/// the supply.
const TOLERANCE: f64 = 1e-9;

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

/// Slopes of a quantity by the values of [`Slow`], in the order of its fields.
pub(super) type BySlow = RowVector4<f64>;

/// Slopes of a quantity that is the supply, the screen node, the cathode's voltage or the
/// magnetising current itself.
pub(super) const SUPPLY: BySlow = BySlow::new(1.0, 0.0, 0.0, 0.0);
pub(super) const SCREEN: BySlow = BySlow::new(0.0, 1.0, 0.0, 0.0);
pub(super) const CATHODE: BySlow = BySlow::new(0.0, 0.0, 1.0, 0.0);
pub(super) const MAGNETISING: BySlow = BySlow::new(0.0, 0.0, 0.0, 1.0);

/// What does not change over a whole run on one load.
#[derive(Debug, Clone, Copy)]
pub(super) struct Circuit {
    model: Model,
    /// Currents of side 1 and 2 divided by those of one average tube. Side 2 is 0 if
    /// single-ended.
    pub scale: [f64; 2],
    /// Turns of each part.
    pub turns: [f64; 2],
    /// Winding resistance of each part, Ω.
    pub winding: f64,
    /// a above.
    signed_turns: Vector2<f64>,
    /// Q above, Ω.
    pub load: f64,
    /// R above, Ω.
    resistance: Matrix2<f64>,
    tap: f64,
    steady_screen: bool,
    /// Resistor between the screens of a side and their node or tap, Ω.
    stopper: f64,
    /// Resistor between the node of both sides' screens and what holds it steady, Ω.
    common: f64,
}

/// One side: its voltages from the cathode, and its currents with their slopes.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Side {
    pub plate_volts: f64,
    pub screen_volts: f64,
    pub flow: Flow,
}

/// Where the search for an instant starts: the last solution nearby.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Start {
    /// Plate volts of each side.
    pub plates: [f64; 2],
    /// Screen current of each side, A.
    pub screens: [f64; 2],
}

/// The solution at one instant.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Solution {
    pub side: [Side; 2],
    /// Volts across a unit of turns.
    pub load_volts: f64,
    /// Slopes of each side's plate current.
    pub plate_by_slow: [BySlow; 2],
    /// Slopes of each side's screen current.
    pub screen_by_slow: [BySlow; 2],
}

impl From<[Side; 2]> for Start {
    fn from(sides: [Side; 2]) -> Self {
        Self {
            plates: sides.map(|side| side.plate_volts),
            screens: sides.map(|side| side.flow.screen.amps),
        }
    }
}

impl From<Slow> for Vector4<f64> {
    fn from(slow: Slow) -> Self {
        Self::new(slow.supply, slow.screen, slow.cathode, slow.magnetising)
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
        let a = Vector2::new(turns[0], -turns[1]);
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
            signed_turns: a,
            load,
            resistance: Matrix2::from_diagonal_element(winding) + load * a * a.transpose(),
            tap: stage.tap(),
            steady_screen: stage.screen_is_steady(),
            stopper: each / n + own,
            common,
        }
    }

    /// How many sides have tubes.
    fn sides(&self) -> usize {
        if self.scale[1] > 0.0 { 2 } else { 1 }
    }

    /// `a_1 x_1 − a_2 x_2`: of currents in both parts of the winding, their ampere-turns.
    pub fn across_turns(&self, of_side: [f64; 2]) -> f64 {
        self.turns[0] * of_side[0] - self.turns[1] * of_side[1]
    }

    /// What a screen current drops its own voltage by, at a given plate voltage, Ω.
    pub fn screen_ohms(&self) -> f64 {
        self.tap_ohms() + self.stopper
    }

    /// The winding's part of that, Ω.
    pub fn tap_ohms(&self) -> f64 {
        self.tap * (1.0 - self.tap) * self.winding
    }

    /// Volts of a screen from the cathode without current, where its plate is at `plate`.
    fn open_screen_volts(&self, slow: &Slow, plate: f64) -> f64 {
        if self.steady_screen {
            slow.screen - slow.cathode
        } else {
            (1.0 - self.tap) * (slow.supply - slow.cathode) + self.tap * plate
        }
    }

    /// One side, where its plate and grid stand so far from the cathode. `screen_amps` is a
    /// screen current nearby, from which a search starts. A side without tubes is empty.
    fn side(&self, index: usize, slow: &Slow, plate: f64, grid: f64, screen_amps: f64) -> Side {
        let scale = self.scale[index];
        if scale == 0.0 {
            return Side::default();
        }
        let flow_at = |screen_volts| self.model.flow(plate, screen_volts, grid).times(scale);
        let open = self.open_screen_volts(slow, plate);
        let ohms = self.screen_ohms();
        let (screen_volts, flow) = if ohms == 0.0 {
            (open, flow_at(open))
        } else {
            let (screen_volts, flow) = flow_behind(ohms, open, screen_amps, flow_at);
            (screen_volts, slopes_behind(ohms, flow))
        };
        Side {
            plate_volts: plate,
            screen_volts,
            flow,
        }
    }

    /// Winding current of a side and its slope by plate volts.
    fn winding_current(&self, side: &Side) -> (f64, f64) {
        let f = self.tap;
        let Flow { plate, screen } = side.flow;
        (
            plate.amps + f * screen.amps,
            plate.by_plate + f * plate.by_screen + f * (screen.by_plate + f * screen.by_screen),
        )
    }

    /// The inverse of the slopes of `v + R w` by the plate volts, from the slopes of w.
    fn plates_by_wrong(&self, conductances: [f64; 2]) -> Option<Matrix2<f64>> {
        let by_plates = self.resistance * Matrix2::from_diagonal(&conductances.into());
        (Matrix2::identity() + by_plates).try_inverse()
    }

    /// Solves one instant with the node of the screens held steady. `grid` and
    /// `grid_by_cathode` are the grid volts of each side and their slope by the cathode's
    /// voltage.
    fn solve_on_steady_node(
        &self,
        slow: &Slow,
        grid: [f64; 2],
        grid_by_cathode: [f64; 2],
        start: &Start,
    ) -> Solution {
        let rest = slow.supply - slow.cathode;
        let open = Vector2::repeat(rest) + self.load * slow.magnetising * self.signed_turns;
        let Start {
            mut plates,
            mut screens,
        } = *start;
        if self.sides() == 1 {
            // Nothing flows there.
            plates[1] = open[1];
        }
        let at = |plates: [f64; 2], screens: [f64; 2]| {
            [0, 1].map(|j| self.side(j, slow, plates[j], grid[j], screens[j]))
        };
        for _ in 0..24 {
            let sides = at(plates, screens);
            screens = sides.map(|side| side.flow.screen.amps);
            let [(w1, by_v1), (w2, by_v2)] = sides.map(|side| self.winding_current(&side));
            let wrong = Vector2::from(plates) + self.resistance * Vector2::new(w1, w2) - open;
            let Some(plates_by_wrong) = self.plates_by_wrong([by_v1, by_v2]) else {
                break;
            };
            let step = plates_by_wrong * wrong;
            if step.amax() < TOLERANCE * (1.0 + rest.abs()) {
                return self.with_slopes(sides, slow, grid_by_cathode, &plates_by_wrong);
            }
            plates = [0, 1].map(|j| limited(plates[j], step[j]));
            if !plates.iter().all(|volts| volts.is_finite()) {
                break;
            }
        }
        let plates = self.bracketed(slow, grid, start);
        let sides = at(plates, screens);
        let conductances = sides.map(|side| self.winding_current(&side).1);
        // Of a matrix that is not finite there is no inverse, and no slope either.
        let plates_by_wrong = self.plates_by_wrong(conductances).unwrap_or_default();
        self.with_slopes(sides, slow, grid_by_cathode, &plates_by_wrong)
    }

    fn with_slopes(
        &self,
        side: [Side; 2],
        slow: &Slow,
        grid_by_cathode: [f64; 2],
        plates_by_wrong: &Matrix2<f64>,
    ) -> Solution {
        let rest_by = SUPPLY - CATHODE;
        // Screen volts at a fixed plate.
        let screen_by = if self.steady_screen {
            SCREEN - CATHODE
        } else {
            (1.0 - self.tap) * rest_by
        };
        // Slopes of the currents while the plates stand still.
        let still = |current: fn(&Flow) -> Current| {
            [0, 1].map(|j| {
                let current = current(&side[j].flow);
                current.by_screen * screen_by + current.by_grid * grid_by_cathode[j] * CATHODE
            })
        };
        let (plate_still, screen_still) = (still(|flow| flow.plate), still(|flow| flow.screen));
        let windings = [0, 1].map(|j| plate_still[j] + self.tap * screen_still[j]);
        let open_by = Vector2::repeat(1.0) * rest_by + self.load * self.signed_turns * MAGNETISING;
        let wrong_by: Matrix2x4<f64> = self.resistance * Matrix2x4::from_rows(&windings) - open_by;
        let plates_by = -plates_by_wrong * wrong_by;
        let moving = |current: fn(&Flow) -> Current, still: [BySlow; 2]| {
            [0, 1].map(|j| {
                let current = current(&side[j].flow);
                let by_plate = current.by_plate + self.tap * current.by_screen;
                still[j] + by_plate * plates_by.row(j)
            })
        };
        let winding_amps = side.map(|side| self.winding_current(&side).0);
        Solution {
            side,
            load_volts: self.load * (self.across_turns(winding_amps) - slow.magnetising),
            plate_by_slow: moving(|flow| flow.plate, plate_still),
            screen_by_slow: moving(|flow| flow.screen, screen_still),
        }
    }
}

/// Volts less a step, but never below a fifth of what they were: below the knee Newton's
/// method sees too steep a curve, and at the cathode's voltage none.
fn limited(volts: f64, step: f64) -> f64 {
    let next = volts - step;
    if volts > 0.0 && next < 0.2 * volts {
        0.2 * volts
    } else {
        next
    }
}
