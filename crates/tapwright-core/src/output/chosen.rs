//! The chosen connection, solved exactly, with what the charts show of it.

use num_complex::Complex64;
use serde::Serialize;

use super::Bench;
use crate::connection::Connection;
use crate::speaker::Mixed;
use crate::stage::reactive::whole_cycle;
use crate::stage::stress::{self, Borne, Stress};
use crate::stage::{Cycle, Delivered, Drive, Idle, Instant, Loop, Solver, Stage, StageError};

/// Drives at which the chosen connection's stress is computed.
const DRIVES: [f64; 9] = [0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0];

/// Instants in half a cycle of the chosen connection: clipped waves have corners.
const INSTANTS: usize = 64;

/// The chosen connection, solved.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChosenOutput {
    /// The load, Ω.
    pub load: f64,
    /// Drive over the one at which grid current starts.
    pub drive: f64,
    /// The cycle at that drive.
    pub cycle: Cycle,
    /// The cycle at the onset of grid current.
    pub onset: Cycle,
    /// One tube's plate over the cycle: half of it without reactance, where the other half
    /// goes back the same way.
    pub load_line: Vec<LinePoint>,
    /// Volts at the speakers over the cycle, and their fundamental.
    pub wave: Vec<WavePoint>,
    /// H2 to H7 of the volts at the speakers, over the first.
    pub harmonics: [f64; 6],
    /// Power in the speakers at that drive, W, and the distortion of their volts.
    pub delivered: Delivered,
    /// What the tubes bear from idle to full overdrive.
    pub stresses: Vec<Stress>,
    /// The most of each burden, with its limit.
    pub burdens: Vec<Borne>,
    /// The load with the speakers' reactance, when a frequency is typed.
    pub reactive: Option<Result<Loop, String>>,
    /// Plate current against plate voltage of one tube, a grid voltage each.
    pub family: Vec<PlateCurve>,
    /// Where the plate dissipates what it may: plate volts and amperes, lowest volts first.
    pub hyperbola: Vec<(f64, f64)>,
}

/// One instant of one tube.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LinePoint {
    /// Plate from cathode, V.
    pub plate_volts: f64,
    /// Plate current; with the screen's where the two are tied together, A.
    pub plate_amps: f64,
    /// Grid from cathode, V.
    pub grid_volts: f64,
}

/// One instant at the speakers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WavePoint {
    /// Degrees of the drive's cycle, from its positive peak on side 1.
    pub degrees: f64,
    /// Volts across the speakers.
    pub volts: f64,
    /// Volts of the fundamental alone.
    pub fundamental: f64,
}

/// Plate current of one tube against plate voltage at one grid voltage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlateCurve {
    /// Grid from cathode, V.
    pub grid_volts: f64,
    /// Plate volts from cathode and plate amperes.
    pub points: Vec<(f64, f64)>,
}

impl Bench<'_> {
    /// The chosen connection solved exactly, at the drive that was typed and, where a
    /// frequency is, with the speakers as they are there.
    pub fn chosen(
        &self,
        connection: &Connection,
        drive: f64,
        frequency: Option<(f64, Mixed)>,
    ) -> Result<ChosenOutput, StageError> {
        let report = &self.report;
        let (stage, bounds) = (report.stage, &report.tube.bounds);
        let load = connection.load.reflected.0;
        let mut solver = Solver::with_instants(stage, INSTANTS);
        let onset = solver.cycle(load, Drive::OfGridCurrent(1.0))?;
        let wanted = if drive <= 1.0 {
            Drive::OfGridCurrent(drive)
        } else {
            Drive::Peak(drive * onset.drive_peak)
        };
        let cycle = solver.cycle(load, wanted)?;
        let half = solver.path().to_vec();
        let stresses = stress::against_drive(&mut Solver::new(stage), load, &DRIVES)?;
        let reactive = frequency.map(|(hertz, speakers)| {
            let reflected =
                |hertz: f64| connection.turns_ratio.powi(2) * speakers.impedance_at(hertz);
            Solver::new(stage)
                .reactive(hertz, &reflected, wanted)
                .map(|found| Loop {
                    // The drive that clips is the one into the resistive load.
                    stress: Stress {
                        drive,
                        ..found.stress
                    },
                    ..found
                })
                .map_err(|error| error.to_string())
        });
        let line = match &reactive {
            Some(Ok(found)) => &found.path,
            _ => &half,
        };
        let whole = match &reactive {
            Some(Ok(found)) => found.path.clone(),
            _ => whole_cycle(&half),
        };
        let spectrum = spectrum(&whole);
        let first = spectrum[0].norm().max(1e-12);
        let load_line: Vec<LinePoint> = line.iter().map(|at| line_point(&stage, at)).collect();
        let family = family(&stage, &report.idle, &load_line, &onset);
        Ok(ChosenOutput {
            load,
            drive,
            delivered: match &reactive {
                Some(Ok(found)) => Delivered {
                    watts: found.watts,
                    thd: found.thd,
                },
                _ => Delivered {
                    watts: cycle.watts,
                    thd: cycle.thd,
                },
            },
            wave: wave(&whole, spectrum[0], connection.turns_ratio),
            harmonics: std::array::from_fn(|m| spectrum[m + 1].norm() / first),
            burdens: stress::burdens(&report.idle, &stresses, bounds),
            hyperbola: hyperbola(bounds.plate_watts, &family),
            load_line,
            family,
            cycle,
            onset,
            stresses,
            reactive,
        })
    }
}

fn line_point(stage: &Stage, at: &Instant) -> LinePoint {
    let tubes = f64::from(stage.tubes_per_side);
    LinePoint {
        plate_volts: at.plate_volts[0],
        plate_amps: (at.plate_amps[0] + stage.in_plate_wire(at.screen_amps[0])) / tubes,
        grid_volts: at.grid_volts[0],
    }
}

/// Peak amplitudes of H1 to H7 of the load's volts, with their phase.
fn spectrum(path: &[Instant]) -> [Complex64; 7] {
    let share = 2.0 / path.len().max(1) as f64;
    std::array::from_fn(|m| {
        let turn = |angle: f64| Complex64::from_polar(share, -(m as f64 + 1.0) * angle);
        path.iter().map(|at| at.load_volts * turn(at.angle)).sum()
    })
}

/// Volts at the speakers and their fundamental, from 0° to 360°.
fn wave(path: &[Instant], first: Complex64, turns_ratio: f64) -> Vec<WavePoint> {
    path.iter()
        .map(|at| WavePoint {
            degrees: at.angle.to_degrees(),
            volts: at.load_volts / turns_ratio,
            fundamental: (first * Complex64::from_polar(1.0, at.angle)).re / turns_ratio,
        })
        .collect()
}

/// The plate's limit over the range of the family.
fn hyperbola(watts: Option<f64>, family: &[PlateCurve]) -> Vec<(f64, f64)> {
    let Some((watts, curve)) = watts.zip(family.first()) else {
        return Vec::new();
    };
    let most_volts = curve.points.last().map_or(0.0, |point| point.0);
    let most_amps = curve
        .points
        .iter()
        .map(|point| point.1)
        .fold(1e-6, f64::max);
    let least_volts = watts / (1.3 * most_amps);
    (0..=24)
        .map(|n| {
            let volts = least_volts * (most_volts / least_volts).powf(f64::from(n) / 24.0);
            (volts, watts / volts)
        })
        .take_while(|point| point.0 <= most_volts * 1.001)
        .collect()
}

/// Plate curves of one tube at round grid voltages from zero down to where it is cut off.
fn family(stage: &Stage, idle: &Idle, line: &[LinePoint], onset: &Cycle) -> Vec<PlateCurve> {
    let highest = line
        .iter()
        .map(|point| point.plate_volts)
        .fold(1.3 * idle.plate_volts, f64::max)
        .max(onset.sides[0].peak_plate_volts)
        * 1.05;
    let deepest = (2.0 * idle.grid_volts).min(-1.0);
    let step = round_step(-deepest / 8.0);
    let screen = |plate: f64| stage.screen_volts(idle, plate);
    (0..)
        .map(|n| -step * f64::from(n))
        .take_while(|grid| *grid >= deepest * 1.001)
        .take(9)
        .map(|grid_volts| PlateCurve {
            grid_volts,
            points: (0..=36)
                .map(|n| {
                    // Close together at the knee.
                    let plate = highest * (f64::from(n) / 36.0).powf(1.8);
                    let flow = stage.model.flow(plate, screen(plate), grid_volts);
                    (
                        plate,
                        flow.plate.amps + stage.in_plate_wire(flow.screen.amps),
                    )
                })
                .collect(),
        })
        .collect()
}

/// 1, 2, 2.5 or 5 times a power of ten, not below `least`.
fn round_step(least: f64) -> f64 {
    let decade = 10_f64.powf(least.log10().floor());
    let over = least / decade;
    let factor = if over <= 1.0 {
        1.0
    } else if over <= 2.0 {
        2.0
    } else if over <= 2.5 {
        2.5
    } else if over <= 5.0 {
        5.0
    } else {
        10.0
    };
    factor * decade
}
