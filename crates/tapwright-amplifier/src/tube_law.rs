//! A tube as a device of a circuit: its static model, and a grid that conducts.

use std::fmt::Write as _;

use tapwright_circuit::{Law, Slopes};
use tapwright_tube::{Model, deck, softplus};

/// A grid draws `p (V_t ln(1 + e^{V/V_t}))^{3/2}`: space charge again. At +1 V it is this, A.
/// Common practice, no source.
const GRID_PERVEANCE: f64 = 5e-4;

/// How softly the grid starts to conduct, V. Common practice, no source.
const GRID_SOFTNESS: f64 = 0.1;

/// So many tubes side by side, of one static model.
///
/// Terminals: plate, screen, grid, cathode; a triode has no screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeLaw {
    /// The static model.
    pub model: Model,
    /// How many tubes, or a factor on one tube's currents: above zero.
    pub tubes: f64,
}

impl TubeLaw {
    fn has_screen(&self) -> bool {
        matches!(self.model, Model::Pentode(_))
    }

    /// The current of one grid, A, and its slope, S.
    fn grid(volts: f64) -> (f64, f64) {
        let (soft, slope) = softplus(volts / GRID_SOFTNESS);
        let over = GRID_SOFTNESS * soft;
        (
            GRID_PERVEANCE * over.powf(1.5),
            GRID_PERVEANCE * 1.5 * over.sqrt() * slope,
        )
    }
}

impl Law for TubeLaw {
    fn terminals(&self) -> usize {
        if self.has_screen() { 4 } else { 3 }
    }

    fn at(&self, volts: &[f64]) -> Slopes {
        let (grid, cathode) = match self.has_screen() {
            true => (2, 3),
            false => (1, 2),
        };
        let from_cathode = |at: usize| volts[at] - volts[cathode];
        let screen = if self.has_screen() {
            from_cathode(1)
        } else {
            0.0
        };
        // The model is made for grids below the cathode; above, it goes on as at zero.
        let drive = from_cathode(grid).min(0.0);
        let moves = if from_cathode(grid) < 0.0 { 1.0 } else { 0.0 };
        let flow = (self.model)
            .flow(from_cathode(0).max(0.0), screen.max(0.0), drive)
            .times(self.tubes);
        let mut slopes = Slopes::none(self.terminals());
        let mut into = |terminal: usize, current: tapwright_tube::Current| {
            let by_grid = moves * current.by_grid;
            let by_cathode = -(current.by_plate + current.by_screen + by_grid);
            let mut by = vec![
                (0, current.by_plate),
                (grid, by_grid),
                (cathode, by_cathode),
            ];
            if self.has_screen() {
                by.push((1, current.by_screen));
            }
            slopes.add(terminal, cathode, current.amps, &by);
        };
        into(0, flow.plate);
        if self.has_screen() {
            into(1, flow.screen);
        }
        let (amps, by) = Self::grid(from_cathode(grid));
        slopes.add(
            grid,
            cathode,
            self.tubes * amps,
            &[(grid, self.tubes * by), (cathode, -self.tubes * by)],
        );
        slopes
    }

    fn deck(&self, name: &str, nodes: &[&str]) -> Vec<String> {
        let kind = format!("tube_{name}");
        let (grid, cathode) = (nodes[nodes.len() - 2], nodes[nodes.len() - 1]);
        let mut text =
            deck::subcircuit(&self.model).replace(".subckt tube ", &format!(".subckt {kind} "));
        // What is written into a string cannot fail.
        let _ = writeln!(
            text,
            "X{name} {} {kind} many={:e}",
            nodes.join(" "),
            self.tubes
        );
        let over =
            format!("({GRID_SOFTNESS}*ln(1+exp(min(V({grid},{cathode})/{GRID_SOFTNESS},200))))");
        let _ = write!(
            text,
            "Bgrid_{name} {grid} {cathode} I={:e}*pow({over},1.5)",
            self.tubes * GRID_PERVEANCE
        );
        text.lines().map(str::to_owned).collect()
    }
}
