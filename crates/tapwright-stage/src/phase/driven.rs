//! Both sides where the load's volts are given, and the search for these that cannot fail.

use super::{Circuit, Driven, Side, Slow, Start};
use tapwright_tube::Flow;
use tapwright_units::zero::{EXACT, rising_zero};

impl Circuit {
    /// Both sides where `u` volts stand across a unit of turns.
    pub(super) fn driven(&self, slow: &Slow, grid: [f64; 2], u: f64, start: &Start) -> Driven {
        let rest = slow.supply - slow.cathode;
        let mut driven = Driven::default();
        for (index, &grid) in grid.iter().enumerate().take(self.sides()) {
            let turns = if index == 0 { 1.0 } else { -1.0 } * self.turns[index];
            let open = rest - turns * u;
            let side = self.plate_behind_winding(index, slow, open, grid, start);
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
    ) -> Side {
        let at = |v: f64| self.side(index, slow, v, grid, start.screens[index]);
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
            let driven = self.driven(slow, grid, u, &start);
            start = Start::of(&driven.side);
            (
                u / self.load - driven.turns_amps + slow.magnetising,
                1.0 / self.load - driven.by_volts,
            )
        });
        start.plates
    }
}
