//! The operating point at idle, and what is odd about it.

use serde::Serialize;

use super::phase::slopes_behind;
use super::{ScreenFeed, Solver, Stage, StageError};
use tapwright_tube::{Bias, Flow, Topology};

/// One tube at idle. An unbalanced pair's is the one whose plate runs hotter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Idle {
    /// Plate from cathode, V.
    pub plate_volts: f64,
    /// Screen from cathode, V; the plate's in triode connection.
    pub screen_volts: f64,
    /// Grid from cathode, V.
    pub grid_volts: f64,
    /// Cathode from ground, V.
    pub cathode_volts: f64,
    /// B+ at the primary, V from ground.
    pub supply_volts: f64,
    /// Screens' node before any resistor without a capacitor, V from ground.
    pub screen_node_volts: f64,
    /// Plate current, A.
    pub plate_amps: f64,
    /// Screen current, A.
    pub screen_amps: f64,
    /// Plate dissipation, W.
    pub plate_watts: f64,
    /// Screen dissipation, W.
    pub screen_watts: f64,
    /// Transconductance to the winding, S.
    pub transconductance: f64,
    /// Plate resistance as the winding sees it, Ω.
    pub plate_resistance: f64,
    /// Plate current of all tubes, A.
    pub all_plate_amps: f64,
    /// Screen current of all tubes, A.
    pub all_screen_amps: f64,
    /// Steady current that magnetises the core, A.
    pub magnetising_amps: f64,
    /// How far the solution still disagrees with itself, V.
    pub residual_volts: f64,
}

/// Screen over plate voltage from which it is odd. A little comes of the primary's winding.
const SCREEN_ABOVE: f64 = 1.15;

/// What is odd about an operating point; each is stated, none stops the computation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// Hardly any current at idle: the grid is too far negative for these voltages.
    CutOff,
    /// The plate stands below its knee: it takes less current than the cathode gives.
    BelowKnee,
    /// The screens stand well above the plates.
    ScreenAbovePlate,
    /// No grid swing is left: the grid idles at the cathode's voltage.
    NoSwing,
    /// The two sides of the pair differ so much that one does most of the work.
    GrossImbalance,
    /// No resistance in the supply is counted, so B+ does not sag.
    StiffSupply,
}

impl Idle {
    /// Solves the stage without drive.
    ///
    /// # Errors
    /// As [`Solver::cycle`].
    pub fn of(stage: &Stage) -> Result<Self, StageError> {
        let mut solver = Solver::new(*stage);
        let cycle = solver.idle()?;
        let tubes = f64::from(stage.tubes_per_side);
        // An unbalanced pair is held to its limits by the side that runs hotter.
        let hotter = usize::from(cycle.sides[1].plate_watts > cycle.sides[0].plate_watts);
        let side = &cycle.sides[hotter];
        let plate_volts = side.peak_plate_volts;
        let screen_volts = (solver.path().first()).map_or(0.0, |idle| idle.screen_volts[hotter]);
        let flow = stage
            .model
            .flow(plate_volts, screen_volts, cycle.grid_volts);
        let circuit = solver.circuit(1_000.0);
        let of_side = slopes_behind(circuit.screen_ohms(), flow.times(circuit.scale[hotter]));
        let (transconductance, conductance) = small_signal(&of_side, stage.tap());
        Ok(Self {
            plate_volts,
            screen_volts,
            grid_volts: cycle.grid_volts,
            cathode_volts: cycle.cathode_volts,
            supply_volts: cycle.supply_volts,
            screen_node_volts: cycle.screen_volts,
            plate_amps: side.plate_amps / tubes,
            screen_amps: side.screen_amps / tubes,
            plate_watts: side.plate_watts / tubes,
            screen_watts: side.screen_watts / tubes,
            transconductance: transconductance / tubes,
            plate_resistance: 1.0 / (conductance / tubes).max(1e-12),
            all_plate_amps: cycle.plate_amps(),
            all_screen_amps: cycle.screen_amps(),
            magnetising_amps: cycle.magnetising_amps,
            residual_volts: cycle.residual_volts,
        })
    }

    /// What is odd about this point.
    pub fn conditions(&self, stage: &Stage) -> Vec<Condition> {
        let full = stage
            .model
            .flow(self.plate_volts.max(1.0), self.screen_volts.max(1.0), 0.0);
        let emitted = full.plate.amps + full.screen.amps;
        let knee =
            full.plate.by_plate * self.plate_volts > 0.5 * full.plate.amps && !stage.is_strapped();
        let swing = match stage.bias {
            Bias::Fixed(volts) => volts,
            Bias::Cathode(_) => self.grid_volts,
        };
        let steady = stage.screen_is_steady();
        [
            (
                self.plate_amps + self.screen_amps < 0.01 * emitted,
                Condition::CutOff,
            ),
            (knee, Condition::BelowKnee),
            (
                steady && self.screen_volts > SCREEN_ABOVE * self.plate_volts,
                Condition::ScreenAbovePlate,
            ),
            (swing > -0.05, Condition::NoSwing),
            (
                stage.topology == Topology::PushPull
                    && [
                        stage.imbalance.current,
                        stage.imbalance.drive,
                        stage.imbalance.turns,
                    ]
                    .iter()
                    .any(|part| part.abs() > 0.5),
                Condition::GrossImbalance,
            ),
            (
                stage.plate_supply.ohms == 0.0
                    && !matches!(stage.screen, ScreenFeed::Own(own) if own.ohms > 0.0),
                Condition::StiffSupply,
            ),
        ]
        .into_iter()
        .filter_map(|(holds, condition)| holds.then_some(condition))
        .collect()
    }
}

/// Transconductance and plate conductance as the winding sees them, S, where the screen
/// moves with the plate by the fraction `tap`.
fn small_signal(flow: &Flow, tap: f64) -> (f64, f64) {
    let Flow { plate, screen } = flow;
    let by_grid = plate.by_grid + tap * screen.by_grid;
    let by_plate =
        plate.by_plate + tap * (plate.by_screen + screen.by_plate) + tap * tap * screen.by_screen;
    (by_grid, by_plate)
}
