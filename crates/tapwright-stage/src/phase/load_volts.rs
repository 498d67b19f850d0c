//! Both sides where the load's volts are given, and the search for these that cannot fail.

use super::{Circuit, Side, Slow, Start};
use tapwright_tube::Flow;
use tapwright_units::zero::{EXACT, rising_zero};

/// Both sides where given volts stand across a unit of turns.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct AtLoadVolts {
    pub side: [Side; 2],
    /// The ampere-turns `a_1 w_1 − a_2 w_2` that they drive, per unit of turns, A.
    pub turns_amps: f64,
    /// Their slope by the volts, which is never above zero.
    pub by_volts: f64,
    /// Their slope by the node of the screens.
    pub(super) by_node: f64,
    /// Slopes of both screens' current together.
    pub(super) screens_by_volts: f64,
    pub(super) screens_by_node: f64,
}

impl Circuit {
    /// Both sides where `u` volts stand across a unit of turns, with the node of the screens
    /// held steady.
    pub(super) fn at_load_volts_on_steady_node(
        &self,
        slow: &Slow,
        grid: [f64; 2],
        u: f64,
        start: &Start,
    ) -> AtLoadVolts {
        let rest = slow.supply - slow.cathode;
        let mut at = AtLoadVolts::default();
        for (index, &grid) in grid.iter().enumerate().take(self.sides()) {
            let turns = if index == 0 { 1.0 } else { -1.0 } * self.turns[index];
            let open = rest - turns * u;
            let side = self.plate_behind_winding(index, slow, open, grid, start);
            let (w, g) = self.winding_current(&side);
            let through = 1.0 / (1.0 + self.winding * g);
            let Flow { plate, screen } = side.flow;
            at.turns_amps += turns * w;
            at.by_volts -= turns * turns * g * through;
            at.by_node += turns * plate.by_screen * through;
            at.screens_by_volts -= screen.by_plate * turns * through;
            at.screens_by_node +=
                screen.by_screen - screen.by_plate * self.winding * plate.by_screen * through;
            at.side[index] = side;
        }
        at
    }

    /// The side whose plate and winding resistance together take `open` volts.
    fn plate_behind_winding(
        &self,
        index: usize,
        slow: &Slow,
        open: f64,
        grid: f64,
        start: &Start,
    ) -> Side {
        let at = |plate: f64| self.side(index, slow, plate, grid, start.screens[index]);
        if self.winding == 0.0 {
            return at(open);
        }
        let lowest = open - self.winding * self.winding_current(&at(open)).0;
        at(rising_zero(lowest, open, start.plates[index], EXACT, |v| {
            let (w, g) = self.winding_current(&at(v));
            (v + self.winding * w - open, 1.0 + self.winding * g)
        }))
    }

    /// The plate volts of both sides, by a search that cannot fail:
    /// `u/Q − (a_1 w_1(u) − a_2 w_2(u) − d)` rises with u, and each `v_j + r w_j(v_j)` rises
    /// with v_j, so both have one zero between known bounds.
    pub(super) fn bracketed(&self, slow: &Slow, grid: [f64; 2], start: &Start) -> [f64; 2] {
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
            let at = self.at_load_volts_on_steady_node(slow, grid, u, &start);
            start = Start::from(at.side);
            (
                u / self.load - at.turns_amps + slow.magnetising,
                1.0 / self.load - at.by_volts,
            )
        });
        start.plates
    }
}
