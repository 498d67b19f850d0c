//! Screens behind resistors without a capacitor: what they draw at an instant takes its volts
//! at that instant.
//!
//! One at each screen belongs to the curves of its side. One common to both sides moves the
//! node of the screens: the instant is solved with the node held steady, and a search finds
//! the node at which the resistor carries what the screens then draw. What they draw grows
//! with the node, so there is one such voltage, between ground and what is behind the resistor.

use super::{AtLoadVolts, BySlow, Circuit, SCREEN, Slow, Solution, Start};
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
            return self.solve_on_steady_node(slow, grid, grid_by_cathode, start);
        }
        let (mut at, mut solution, mut start) = (*slow, Solution::default(), *start);
        let mut screens_by = BySlow::zeros();
        self.find_node(slow, start.screens, |node| {
            at.screen = node;
            solution = self.solve_on_steady_node(&at, grid, grid_by_cathode, &start);
            start = Start::from(solution.side);
            let [one, other] = solution.screen_by_slow;
            screens_by = one + other;
            (start.screens, screens_by[1])
        });
        // A movement of anything moves the node as well.
        let by_node = screens_by[1];
        screens_by[1] = 0.0;
        let node_by = (SCREEN - self.common * screens_by) / (1.0 + self.common * by_node);
        for slopes in [&mut solution.plate_by_slow, &mut solution.screen_by_slow] {
            for slopes in slopes {
                let by_node = slopes[1];
                slopes[1] = 0.0;
                *slopes += by_node * node_by;
            }
        }
        solution
    }

    /// Both sides where `u` volts stand across a unit of turns.
    pub fn at_load_volts(&self, slow: &Slow, grid: [f64; 2], u: f64, start: &Start) -> AtLoadVolts {
        if self.common == 0.0 {
            return self.at_load_volts_on_steady_node(slow, grid, u, start);
        }
        let (mut at, mut found, mut start) = (*slow, AtLoadVolts::default(), *start);
        self.find_node(slow, start.screens, |node| {
            at.screen = node;
            found = self.at_load_volts_on_steady_node(&at, grid, u, &start);
            start = Start::from(found.side);
            (start.screens, found.screens_by_node)
        });
        let node_by_volts =
            -self.common * found.screens_by_volts / (1.0 + self.common * found.screens_by_node);
        found.by_volts += found.by_node * node_by_volts;
        found
    }

    /// Searches for the voltage of the screens' node behind their common resistor. `screens`
    /// gives both screen currents at a voltage of the node, and the slope of their sum; the
    /// last voltage that it is asked for is the one found. `start` are currents nearby.
    fn find_node(
        &self,
        slow: &Slow,
        start: [f64; 2],
        mut screens: impl FnMut(f64) -> ([f64; 2], f64),
    ) {
        let drop = |amps: [f64; 2]| self.common * (amps[0] + amps[1]);
        let start = slow.screen - drop(start);
        rising_zero(0.0, slow.screen, start, EXACT, |node| {
            let (amps, by_node) = screens(node);
            (node - slow.screen + drop(amps), 1.0 + self.common * by_node)
        });
    }
}

/// The voltage of a screen behind a resistance from `open` volts, and the currents there;
/// `start_amps` is a screen current nearby.
pub(crate) fn flow_behind(
    ohms: f64,
    open: f64,
    start_amps: f64,
    mut flow_at: impl FnMut(f64) -> Flow,
) -> (f64, Flow) {
    let (mut at, mut flow) = (open, Flow::default());
    let (low, start) = (open.min(0.0), open - ohms * start_amps);
    rising_zero(low, open, start, EXACT, |volts| {
        (at, flow) = (volts, flow_at(volts));
        let screen = flow.screen;
        (
            volts - open + ohms * screen.amps,
            1.0 + ohms * screen.by_screen,
        )
    });
    (at, flow)
}

/// The same currents with their slopes by the voltage before a resistance that the screen
/// current flows through.
pub(crate) fn slopes_behind(ohms: f64, flow: Flow) -> Flow {
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
