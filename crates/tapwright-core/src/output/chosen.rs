//! The chosen connection, solved exactly, with what the charts show of it.

use std::f64::consts::TAU;

use num_complex::Complex64;
use serde::Serialize;

use super::{Bench, LITTLE_DISTORTION, LITTLE_DISTORTION_OF_TRIODES};
use crate::connection::Connection;
use crate::speaker::Hookup;
use crate::stage::reactive::{Impedance, whole_cycle};
use crate::stage::stress::{self, Borne, Passed, Stress};
use crate::stage::{Cycle, Delivered, Drive, Idle, Instant, Loop, Solver, Stage, StageError};

/// Drives at which the chosen connection's stress is computed.
const DRIVES: [f64; 9] = [0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0];

/// Instants in half a cycle of the chosen connection: clipped waves have corners.
const INSTANTS: usize = 64;

/// A drive below full, and what it gives.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtDrive {
    /// Drive over the one at which grid current starts.
    pub drive: f64,
    /// Drive on each grid, V peak.
    pub drive_peak: f64,
    /// Power in the speakers, W, and the distortion of their volts.
    pub delivered: Delivered,
    /// The distortion that was looked for.
    pub wanted_thd: f64,
}

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
    /// Where distortion comes to 10 % (triodes: 5 %), if that is below full drive.
    pub clean: Option<AtDrive>,
    /// One tube's plate over the cycle: half of it without reactance, where the other half
    /// goes back the same way.
    pub load_line: Vec<LinePoint>,
    /// Volts at the speakers over the cycle, and their fundamental.
    pub wave: Vec<WavePoint>,
    /// H2 to H7 of the volts at the speakers, over the first.
    pub harmonics: [f64; 6],
    /// Power in the speakers at that drive, W, and the distortion of their volts.
    pub delivered: Delivered,
    /// What the tubes bear at that drive.
    pub stress: Stress,
    /// What the tubes bear up to full overdrive, with the speakers' reactance when a
    /// frequency is typed.
    pub stresses: Vec<Stress>,
    /// The most of each burden, with its limit.
    pub burdens: Vec<Borne>,
    /// The limits that are passed without the speakers' reactance.
    pub passed: Passed,
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
    /// frequency is, with the reactance of generic speakers.
    pub fn chosen(
        &self,
        connection: &Connection,
        drive: f64,
        frequency: Option<(f64, &Hookup)>,
    ) -> Result<ChosenOutput, StageError> {
        let report = &self.report;
        let (stage, bounds) = (report.stage, &report.tube.bounds);
        let load = connection.load.reflected.0;
        let mut solver = Solver::with_instants(stage, INSTANTS);
        let onset = solver.cycle(load, Drive::OfGridCurrent(1.0))?;
        let cycle = match drive {
            1.0 => onset,
            _ => solver.cycle(load, wanted(drive, onset.drive_peak))?,
        };
        let half = solver.path().to_vec();
        let reactive = frequency.map(|(hertz, speakers)| {
            let reflected =
                |hertz: f64| connection.turns_ratio.powi(2) * speakers.impedance_at(hertz);
            self.reactive(hertz, &reflected, drive, onset.drive_peak)
                .map_err(|error| error.to_string())
        });
        let stresses = stress::against_drive(&mut Solver::new(stage), load, &DRIVES)?;
        let passed = stress::exceeded(&report.idle, &stresses, bounds);
        let (reactive, stresses) = match reactive {
            Some(Ok((found, stresses))) => (Some(Ok(found)), stresses),
            Some(Err(why)) => (Some(Err(why)), stresses),
            None => (None, stresses),
        };
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
            clean: self.clean(&onset)?,
            stress: match &reactive {
                Some(Ok(found)) => found.stress,
                _ => Stress::of(&stage, &cycle, drive),
            },
            burdens: stress::burdens(&report.idle, &stresses, bounds),
            hyperbola: hyperbola(bounds.plate_watts, &family),
            load_line,
            family,
            cycle,
            onset,
            passed,
            stresses,
            reactive,
        })
    }

    /// The cycle with reactance at the drive wanted, and what the tubes bear at it and at
    /// [`stress::DRIVES`], from the least drive to the most.
    fn reactive(
        &self,
        hertz: f64,
        reflected: Impedance,
        drive: f64,
        onset_peak: f64,
    ) -> Result<(Loop, Vec<Stress>), StageError> {
        let at = |drive: f64| {
            let mut solver = Solver::new(self.report.stage);
            let found = solver.reactive(hertz, reflected, wanted(drive, onset_peak))?;
            // The drive at which grid current starts is the one into the resistive load.
            let stress = Stress {
                drive,
                ..found.stress
            };
            Ok(Loop { stress, ..found })
        };
        let found = at(drive)?;
        let mut stresses = Vec::new();
        for other in stress::DRIVES {
            if (stresses.last()).is_none_or(|last: &Stress| last.drive < drive) && drive <= other {
                stresses.push(found.stress);
            }
            if drive != other {
                stresses.push(at(other)?.stress);
            }
        }
        Ok((found, stresses))
    }

    /// Where distortion comes to what counts as little, below full drive; by false position,
    /// to a thousandth of it.
    fn clean(&self, onset: &Cycle) -> Result<Option<AtDrive>, StageError> {
        let stage = self.report.stage;
        let most = match stage.is_strapped() {
            true => LITTLE_DISTORTION_OF_TRIODES,
            false => LITTLE_DISTORTION,
        };
        if onset.thd <= most {
            return Ok(None);
        }
        let mut solver = Solver::new(stage);
        let (mut low, mut high) = ((0.0, -most), (1.0, onset.thd - most));
        let mut found = None;
        for _ in 0..20 {
            let drive = low.0 - low.1 * (high.0 - low.0) / (high.1 - low.1);
            let cycle = solver.cycle(onset.load_ohms, Drive::OfGridCurrent(drive))?;
            let off = cycle.thd - most;
            found = Some(AtDrive {
                drive,
                drive_peak: cycle.drive_peak,
                wanted_thd: most,
                delivered: Delivered {
                    watts: cycle.watts,
                    thd: cycle.thd,
                },
            });
            if off.abs() < 1e-3 * most {
                break;
            }
            // The end that stays twice counts half (Illinois), or it would stay for ever.
            if off < 0.0 {
                low = (drive, off);
                high.1 *= 0.5;
            } else {
                high = (drive, off);
                low.1 *= 0.5;
            }
        }
        Ok(found)
    }
}

/// A drive relative to the one at which grid current starts; beyond that, the volts count.
fn wanted(drive: f64, onset_peak: f64) -> Drive {
    if drive <= 1.0 {
        Drive::OfGridCurrent(drive)
    } else {
        Drive::Peak(drive * onset_peak)
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

/// Volts at the speakers and their fundamental, from 0° to 360°. The instants lie in the
/// middle of their parts of the cycle, so both ends are put in between their neighbours.
fn wave(path: &[Instant], first: Complex64, turns_ratio: f64) -> Vec<WavePoint> {
    let at = |angle: f64, volts: f64| WavePoint {
        degrees: angle.to_degrees(),
        volts: volts / turns_ratio,
        fundamental: (first * Complex64::from_polar(1.0, angle)).re / turns_ratio,
    };
    let [a, b, .., y, z] = path else {
        return Vec::new();
    };
    // The cubic through the four instants around the seam.
    let seam = (9.0 * (a.load_volts + z.load_volts) - b.load_volts - y.load_volts) / 16.0;
    std::iter::once(at(0.0, seam))
        .chain(
            path.iter()
                .map(|instant| at(instant.angle, instant.load_volts)),
        )
        .chain(std::iter::once(at(TAU, seam)))
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
