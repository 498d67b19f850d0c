//! What the output stage delivers into each connection, and what that asks of the tubes.

use num_complex::Complex64;
use serde::Serialize;

use crate::assumed::{self, Assumed};
use crate::connection::Connection;
use crate::matching::Verdict;
use crate::reading::Reading;
use crate::setup::Setup;
use crate::speaker::Hookup;
use crate::stage::idle::Condition;
use crate::stage::reactive::whole_cycle;
use crate::stage::stress::{self, Borne, Burden, Exceeded, Stress};
use crate::stage::{
    Cycle, Delivered, Drive, Idle, Instant, LoadCurve, Loop, Solver, Stage, StageError, StressCurve,
};
use crate::tube_in_use::TubeInUse;
use crate::units::{Decibels, Ohms, Watts};

/// Power lost against the target load up to which a load fits; about what one can just hear.
/// Common practice, no source.
pub const FITS_WITHIN_DECIBELS: f64 = 1.0;

/// Power lost against the target load up to which a load is usable: half the power.
pub const USABLE_WITHIN_DECIBELS: f64 = 3.0;

/// A load counts as harder on a limit than the target load from this factor on.
const HARDER: f64 = 1.25;

/// Loads to the octave of the curve that is drawn.
const PER_OCTAVE: i32 = 16;

/// Drives at which the chosen connection's stress is computed.
const DRIVES: [f64; 9] = [0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0];

/// What the stage delivers into one connection.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Output {
    /// Power in the speakers at the onset of grid current.
    pub watts: Watts,
    /// That power over the power into the target load.
    pub against_target: Decibels,
    /// Total harmonic distortion there.
    pub thd: f64,
    /// Highest plate voltage up to full overdrive, V from the cathode.
    pub peak_plate_volts: f64,
    /// The limit that is passed by most up to full overdrive, if any.
    pub passes: Option<Exceeded>,
    /// The limit that is passed by most and by more than into the target load, if any.
    pub exceeds: Option<Exceeded>,
    /// What made the verdict worse than the ratio to the target alone.
    pub because: Option<Because>,
}

/// Why a connection is worse than its ratio to the target says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Because {
    /// Too much power is lost.
    PowerLost,
    /// A limit of the tube is passed.
    LimitPassed,
}

/// The output stage as a whole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageReport {
    /// The tube.
    pub tube: TubeInUse,
    /// What the stage was made of.
    pub assumed: Assumed,
    /// The stage as it was computed.
    pub stage: Stage,
    /// One tube at idle.
    pub idle: Idle,
    /// What is odd about it.
    pub conditions: Vec<Condition>,
    /// Limits that are passed at idle, whatever the load.
    pub idle_exceeds: Vec<Exceeded>,
    /// The load aimed at.
    pub target: Ohms,
    /// What goes into it at the onset of grid current.
    pub at_target: Delivered,
    /// Limits that the target load itself passes, up to full overdrive.
    pub target_exceeds: Vec<Exceeded>,
    /// Power and distortion against load, an eighth to eight times the target.
    pub curve: Vec<CurvePoint>,
}

/// One load of the curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Load, Ω.
    pub load: f64,
    /// Power at the onset of grid current, W.
    pub watts: f64,
    /// Distortion there.
    pub thd: f64,
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

/// What was solved last, to be used again while the stage stays what it was.
///
/// The result of a solve never depends on it: only how soon it is there.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    solved: Option<Solved>,
}

#[derive(Debug, Clone)]
struct Solved {
    stage: Stage,
    target: f64,
    loads: (f64, f64),
    curve: LoadCurve,
    stress: StressCurve,
}

/// The stage with everything that was solved on it.
pub(crate) struct Bench<'a> {
    pub report: StageReport,
    solved: &'a Solved,
}

/// The stage before its loads are known.
pub(crate) struct Prepared {
    tube: TubeInUse,
    stage: Stage,
    assumed: Assumed,
    idle: Idle,
}

/// Builds the stage and finds its idle point.
pub(crate) fn prepare(
    setup: &Setup,
    reading: &Reading,
    tube: TubeInUse,
) -> Result<Prepared, StageError> {
    let (stage, assumed) = assumed::stage(setup, reading, &tube)?;
    Ok(Prepared {
        idle: Idle::of(&stage)?,
        tube,
        stage,
        assumed,
    })
}

impl Prepared {
    /// Tubes in all.
    pub fn tubes(&self) -> u32 {
        self.assumed.tubes.0
    }

    /// The load to aim at where nothing is published or typed: the one with the most power
    /// at 5 % distortion (triodes) or 10 %, to two digits.
    pub fn best_load(&self) -> Option<Ohms> {
        let triode = self.stage.is_strapped();
        let most = if triode { 0.05 } else { 0.10 };
        let guess = 2.0 * self.idle.plate_volts / self.idle.all_plate_amps.max(1e-4);
        let curve = LoadCurve::solve(self.stage, guess, (guess / 16.0, guess * 16.0)).ok()?;
        let best = curve.best_load(most)?;
        let digit = 10_f64.powf(best.log10().floor() - 1.0);
        Some(Ohms((best / digit).round() * digit))
    }

    /// Solves the stage over the loads of all connections.
    pub fn solve<'a>(
        self,
        target: Ohms,
        connections: &[Connection],
        memory: &'a mut Memory,
    ) -> Result<Bench<'a>, StageError> {
        let Self {
            tube,
            stage,
            assumed,
            idle,
        } = self;
        let reflected = || connections.iter().map(|c| c.load.reflected.0);
        let loads = (
            reflected().fold(target.0, f64::min),
            reflected().fold(target.0, f64::max),
        );
        let solved = memory.solved(stage, target.0, loads)?;
        let at_target = solved
            .curve
            .at(target.0)
            .ok_or(StageError::OutOfRange("the target load", target.0))?;
        let curve = (-3 * PER_OCTAVE..=3 * PER_OCTAVE)
            .filter_map(|step| {
                let load = target.0 * (f64::from(step) / f64::from(PER_OCTAVE)).exp2();
                let Delivered { watts, thd } = solved.curve.at(load)?;
                Some(CurvePoint { load, watts, thd })
            })
            .collect();
        let target_stress = solved.stress.at(target.0);
        let target_exceeds = target_stress
            .map(|stresses| stress::exceeded(&stresses, &tube.bounds))
            .unwrap_or_default();
        let report = StageReport {
            conditions: idle.conditions(&stage),
            idle_exceeds: stress::exceeded_at_idle(&idle, &tube.bounds),
            tube,
            assumed,
            stage,
            idle,
            target,
            at_target,
            target_exceeds,
            curve,
        };
        Ok(Bench { report, solved })
    }
}

impl Memory {
    fn solved(
        &mut self,
        stage: Stage,
        target: f64,
        loads: (f64, f64),
    ) -> Result<&Solved, StageError> {
        let kept = self.solved.take().filter(|kept| {
            kept.stage == stage
                && kept.target == target
                && kept.loads.0 <= loads.0
                && kept.loads.1 >= loads.1
        });
        let solved = match kept {
            Some(kept) => kept,
            None => Solved::of(stage, target, loads)?,
        };
        Ok(self.solved.insert(solved))
    }
}

impl Solved {
    fn of(stage: Stage, target: f64, loads: (f64, f64)) -> Result<Self, StageError> {
        // Octaves around the target, so that the next edit often finds them solved.
        let low = ((loads.0 / target).log2().floor()).min(-3.0);
        let high = ((loads.1 / target).log2().ceil()).max(3.0);
        let loads = (target * low.exp2(), target * high.exp2());
        let curve = LoadCurve::solve(stage, target, loads)?;
        let stress = StressCurve::solve(stage, curve.every_other());
        Ok(Self {
            stage,
            target,
            loads,
            curve,
            stress,
        })
    }
}

impl Bench<'_> {
    /// Puts into each connection what the stage delivers, and makes its verdict worse where
    /// power is lost or a limit passed.
    pub fn judge(&self, connections: &mut [Connection]) {
        for connection in connections {
            let output = self.output(connection.load.reflected.0);
            connection.output = output.map(|output| {
                let (verdict, because) = worse(connection.verdict, &output);
                connection.verdict = verdict;
                Output { because, ..output }
            });
        }
    }

    fn output(&self, load: f64) -> Option<Output> {
        // Without any power at the target there is nothing to hold a load against.
        let target = Some(self.report.at_target.watts).filter(|watts| *watts > 1e-9)?;
        let delivered = self.solved.curve.at(load)?;
        let stresses = self.solved.stress.at(load);
        let bounds = &self.report.tube.bounds;
        let passed = stresses.map(|stresses| stress::exceeded(&stresses, bounds));
        let worst = |harder: bool| {
            let passed = passed.iter().flatten();
            passed
                .filter(|passed| {
                    !harder || passed.over() > HARDER * self.target_over(passed.burden)
                })
                .max_by(|a, b| a.over().total_cmp(&b.over()))
                .copied()
        };
        Some(Output {
            watts: Watts(delivered.watts),
            against_target: Decibels(10.0 * (delivered.watts / target).max(1e-12).log10()),
            thd: delivered.thd,
            peak_plate_volts: stresses.map_or(0.0, |stresses| {
                stresses
                    .iter()
                    .fold(0.0_f64, |most, stress| most.max(stress.peak_plate_volts))
            }),
            passes: worst(false),
            exceeds: worst(true),
            because: None,
        })
    }

    /// How far the target load itself goes beyond a limit; 1 where it does not.
    fn target_over(&self, burden: Burden) -> f64 {
        let report = &self.report;
        (report.target_exceeds.iter())
            .chain(&report.idle_exceeds)
            .filter(|passed| passed.burden == burden)
            .fold(1.0 / HARDER, |most, passed| passed.over().max(most))
    }

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
        let mut solver = Solver::new(stage);
        let onset = solver.cycle(load, Drive::OfGridCurrent(1.0))?;
        let wanted = if drive <= 1.0 {
            Drive::OfGridCurrent(drive)
        } else {
            Drive::Peak(drive * onset.drive_peak)
        };
        let cycle = solver.cycle(load, wanted)?;
        let half = solver.path().to_vec();
        let stresses = stress::against_drive(&mut solver, load, &DRIVES)?;
        let reactive = frequency.map(|(hertz, speakers)| {
            let reflected =
                |hertz: f64| connection.turns_ratio.powi(2) * speakers.impedance_at(hertz);
            Solver::new(stage)
                .reactive(hertz, &reflected, wanted)
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
    let screen = if stage.is_strapped() {
        at.screen_amps[0]
    } else {
        0.0
    };
    LinePoint {
        plate_volts: at.plate_volts[0],
        plate_amps: (at.plate_amps[0] + screen) / tubes,
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

/// The verdict with what the stage delivers counted; never better than before.
fn worse(verdict: Verdict, output: &Output) -> (Verdict, Option<Because>) {
    let lost = -output.against_target.0;
    let by_power = if lost > USABLE_WITHIN_DECIBELS {
        Verdict::Avoid
    } else if lost > FITS_WITHIN_DECIBELS {
        Verdict::Usable
    } else {
        Verdict::Fits
    };
    let by_limit = match output.exceeds {
        // Below the onset of grid current it is passed by music at any rate.
        Some(passed) if passed.drive <= 1.0 => Verdict::Avoid,
        Some(_) => Verdict::Usable,
        None => Verdict::Fits,
    };
    let worst = verdict.max(by_power).max(by_limit);
    let because = if worst == verdict {
        None
    } else if by_limit == worst {
        Some(Because::LimitPassed)
    } else {
        Some(Because::PowerLost)
    };
    (worst, because)
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
                    (plate, flow.plate.amps + stage.tap_share(&flow))
                })
                .collect(),
        })
        .collect()
}

/// 1, 2 or 5 times a power of ten, not below `least`.
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
