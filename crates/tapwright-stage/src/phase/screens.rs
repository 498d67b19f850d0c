//! Screens behind resistors without a capacitor: what they draw at an instant takes its volts
//! at that instant.
//!
//! One at each screen belongs to the curves of its side. One common to both sides moves the
//! node of the screens: the instant is solved with the node held steady, and the node found
//! at which the resistor carries what the screens then draw. That grows with the node, so
//! there is one such voltage, between ground and what is behind the resistor.

use super::{Circuit, Driven, Slow, Solution, Start};
use tapwright_tube::{Current, Flow};
use tapwright_units::zero::{EXACT, rising_zero};

impl Circuit {
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
        self.node(slow, start.screens, |node| {
            at.screen = node;
            solution = held.on_steady_node(&at, grid, grid_by_cathode, &start);
            start = solution.start();
            screens_by =
                std::array::from_fn(|x| solution.slopes[0][1][x] + solution.slopes[1][1][x]);
            (start.screens, screens_by[1])
        });
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
        solution
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

    /// The same circuit with the node of the screens held steady.
    fn held(&self) -> Self {
        Self {
            common: 0.0,
            ..*self
        }
    }

    /// Where the screens' node stands, V from ground, behind their common resistor: `screens`
    /// gives their currents at a voltage of the node, and the slope of the sum.
    fn node(&self, slow: &Slow, start: [f64; 2], mut screens: impl FnMut(f64) -> ([f64; 2], f64)) {
        let drop = |amps: [f64; 2]| self.common * (amps[0] + amps[1]);
        let start = slow.screen - drop(start);
        rising_zero(0.0, slow.screen, start, EXACT, |node| {
            let (amps, by_node) = screens(node);
            (node - slow.screen + drop(amps), 1.0 + self.common * by_node)
        });
    }
}

/// The voltage of a screen that hangs on `open` volts through a resistance, and the flow
/// there, from a screen current nearby.
pub(crate) fn screen_behind(
    ohms: f64,
    open: f64,
    start_amps: f64,
    mut flow_at: impl FnMut(f64) -> Flow,
) -> (f64, Flow) {
    let (mut at, mut flow) = (open, Flow::default());
    let (low, start) = (open.min(0.0), open - ohms * start_amps);
    rising_zero(low, open, start, EXACT, |volts| {
        (at, flow) = (volts, flow_at(volts));
        let Current {
            amps, by_screen, ..
        } = flow.screen;
        (volts - open + ohms * amps, 1.0 + ohms * by_screen)
    });
    (at, flow)
}

/// The same currents with the slopes that they have by the voltage before a resistance that
/// the screen current flows through.
pub(crate) fn behind(ohms: f64, flow: Flow) -> Flow {
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
