//! What the output stage delivers into each connection, and what that asks of the tubes.

use serde::Serialize;
use std::f64::consts::LN_2;

use crate::assumed::{self, Assumed};
use crate::connection::Connection;
use crate::matching::Verdict;
use crate::setup::Setup;
use crate::tube_in_use::TubeInUse;
use crate::values::Values;
use tapwright_iron::network::Network;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{self, Exceeded, Passed};
use tapwright_stage::{Delivered, Idle, LoadCurve, Stage, StageError, Windings};
use tapwright_units::rounding::to_significant_digits;
use tapwright_units::{Decibels, Ohms, Watts};

mod chosen;

pub use chosen::{AtDrive, ChosenOutput, LinePoint, PlateCurve, WavePoint};

/// Power lost against the target load up to which a load fits; about what one can just hear.
/// Common practice, no source.
pub const FITS_WITHIN_DECIBELS: f64 = 1.0;

/// Power lost against the target load up to which a load is usable: half the power.
pub const USABLE_WITHIN_DECIBELS: f64 = 3.0;

/// Distortion up to which power counts as clean: what most published examples of pentodes
/// and of triodes state theirs at.
const LITTLE_DISTORTION: f64 = 0.10;
const LITTLE_DISTORTION_OF_TRIODES: f64 = 0.05;

/// Power beyond what a hookup takes, by up to this factor, is only usable.
const SPEAKERS_BEYOND: f64 = 2.0;

/// A load counts as harder on a limit than the target load from this factor on, and as
/// beyond a limit that the target load keeps: screens are not predicted more nearly.
const HARDER: f64 = 1.25;

/// Idling beyond a limit by up to this factor is only usable, further beyond it is to avoid:
/// dissipation and current, within what a model, or a meter, is off; and volts, which old
/// insulation bears or does not. With the first factor, too, begins what a target load that
/// is as hard on the tube does not excuse. Common practice, no source.
const HEAT_BEYOND: f64 = 1.1;
const VOLTS_BEYOND: f64 = 1.25;

/// Loads to the octave of the curve that is drawn.
const PER_OCTAVE: i32 = 16;

/// What the stage delivers into one connection.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Output {
    /// Power in the speakers at the onset of grid current.
    pub watts: Watts,
    /// The load behind the primary's copper: the reflected one, with what is known of the
    /// secondary's copper and of the core.
    pub load: Ohms,
    /// Power into that load: in the speakers, and lost behind the primary.
    pub into_load: Watts,
    /// That power over the power into the target load.
    pub against_target: Decibels,
    /// Total harmonic distortion there.
    pub thd: f64,
    /// The limits that are passed up to full overdrive.
    pub passed: Passed,
}

/// What weighs on a verdict as much as the ratio to the target, or more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Because {
    /// Too much power is lost.
    PowerLost,
    /// A limit of the tube is passed into this load.
    LimitPassed,
    /// A limit of the tube is passed at idle, whatever the load.
    HotAtIdle,
    /// The operating point is odd, whatever the load.
    OddPoint,
    /// The power is more than the hookup takes.
    SpeakersTakeLess,
    /// Direct current magnetises a core without a gap, and the watts do not know.
    DirectCurrent,
    /// Push-pull needs a centre tap, and this power tap of a line transformer has none.
    NoCentreTap,
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
    pub target_passes: Passed,
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

/// What was solved last, to be used again while the stage stays what it was.
///
/// The result of a solve never depends on it: only how soon it is there.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    solved: Option<Solved>,
}

#[derive(Debug, Clone)]
struct Solved {
    /// On each of its windings, the least first.
    stages: Vec<Stage>,
    target: f64,
    octaves: (f64, f64),
    on: Windings,
}

/// The stage on one winding, with what was solved on all.
pub(crate) struct Bench<'a> {
    pub report: StageReport,
    solved: &'a Windings,
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
    reading: &Values,
    tube: TubeInUse,
    winding: f64,
) -> Result<Prepared, StageError> {
    let (stage, assumed) = assumed::stage(setup, reading, &tube, winding)?;
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
        let most = match self.stage.is_strapped() {
            true => LITTLE_DISTORTION_OF_TRIODES,
            false => LITTLE_DISTORTION,
        };
        let guess = 2.0 * self.idle.plate_volts / self.idle.all_plate_amps.max(1e-4);
        let guess = guess.clamp(100.0, 1e6);
        let curve = LoadCurve::solve(self.stage, guess, (guess / 16.0, guess * 16.0)).ok()?;
        let best = curve.best_load(most)?;
        Some(Ohms(to_significant_digits(best, 2)))
    }

    /// What the stage is on its winding, from what was solved on all.
    pub fn bench(self, target: Ohms, solved: &Windings) -> Result<Bench<'_>, StageError> {
        let Self {
            tube,
            stage,
            assumed,
            idle,
        } = self;
        let winding = stage.primary_ohms;
        let at_target = solved
            .delivered(winding, target.0)
            .ok_or(StageError::OutOfRange("the target load", target.0))?;
        let target_stress = solved.stress(winding, target.0).unwrap_or_default();
        let target_passes = stress::exceeded(&idle, &target_stress, &tube.bounds);
        let report = StageReport {
            conditions: idle.conditions(&stage),
            idle_exceeds: stress::exceeded_at_idle(&idle, &tube.bounds),
            tube,
            assumed,
            stage,
            idle,
            target,
            at_target,
            target_passes,
            curve: Vec::new(),
        };
        Ok(Bench { report, solved })
    }
}

impl Memory {
    /// The stage, which is one but for its winding, solved on all its windings over the
    /// loads of all connections.
    pub(crate) fn solved(
        &mut self,
        prepared: &[Prepared],
        target: Ohms,
        loads: &[f64],
    ) -> Result<&Windings, StageError> {
        let mut stages: Vec<Stage> = prepared.iter().map(|prepared| prepared.stage).collect();
        stages.sort_by(|a, b| a.primary_ohms.total_cmp(&b.primary_ohms));
        // Of a wider range the lattice has other ends, and between its last loads a little
        // different values.
        let octaves = octaves(
            target.0,
            (
                loads.iter().copied().fold(target.0, f64::min),
                loads.iter().copied().fold(target.0, f64::max),
            ),
        );
        let kept = self.solved.take().filter(|kept| {
            kept.stages == stages && kept.target == target.0 && kept.octaves == octaves
        });
        let solved = match kept {
            Some(kept) => kept,
            None => Solved {
                on: Windings::solve(
                    &stages,
                    target.0,
                    (
                        target.0 * 2_f64.powf(octaves.0),
                        target.0 * 2_f64.powf(octaves.1),
                    ),
                )?,
                stages,
                target: target.0,
                octaves,
            },
        };
        Ok(&self.solved.insert(solved).on)
    }
}

/// Whole octaves from the target down to the least load and up to the most, three at least:
/// so the next edit often finds them solved.
fn octaves(target: f64, loads: (f64, f64)) -> (f64, f64) {
    let from_target = |load: f64| (load / target).ln() / LN_2;
    (
        from_target(loads.0).floor().min(-3.0),
        from_target(loads.1).ceil().max(3.0),
    )
}

impl Bench<'_> {
    /// The report, with the curve that is drawn.
    pub fn with_curve(&self) -> StageReport {
        let StageReport { stage, target, .. } = self.report;
        let curve = (-3 * PER_OCTAVE..=3 * PER_OCTAVE).filter_map(|step| {
            let load = target.0 * 2_f64.powf(f64::from(step) / f64::from(PER_OCTAVE));
            let Delivered { watts, thd } = self.solved.delivered(stage.primary_ohms, load)?;
            Some(CurvePoint { load, watts, thd })
        });
        StageReport {
            curve: curve.collect(),
            ..self.report.clone()
        }
    }

    /// Puts into each connection what the stage delivers, and makes its verdict worse where
    /// power is lost or a limit passed.
    pub fn judge<'c>(&self, connections: impl Iterator<Item = (&'c mut Connection, &'c Network)>) {
        for (connection, network) in connections {
            connection.output = self.output(network, connection.impedance.0);
            if let Some(output) = &connection.output {
                let lost = -output.against_target.0;
                let by_limits = by_limits(&output.passed, &self.report.target_passes);
                connection.worsen(by_power(lost), Because::PowerLost);
                connection.worsen(by_limits, Because::LimitPassed);
            }
        }
    }

    /// Makes every verdict worse for what no other load mends: tubes too hot at idle, an odd
    /// operating point, a hookup that takes less power than there is; `takes` says how much,
    /// by the place of a hookup. To be called when the connections are ranked: among loads
    /// that are all to avoid, the nearest is still the one to make safe.
    pub fn condemn<'c>(
        &self,
        connections: impl Iterator<Item = (&'c mut Connection, &'c Network)>,
        takes: &dyn Fn(usize) -> Option<Watts>,
    ) {
        let idle = by_idle(&self.report.idle_exceeds);
        let point = by_point(&self.report.conditions);
        for (connection, _) in connections {
            let (watts, takes) = (connection.output, takes(connection.choice.hookup));
            let over = (watts.zip(takes)).map_or(0.0, |(output, takes)| output.watts.0 / takes.0);
            connection.worsen(by_speakers(over), Because::SpeakersTakeLess);
            connection.worsen(point, Because::OddPoint);
            connection.worsen(idle, Because::HotAtIdle);
        }
    }

    /// Puts in what was solved exactly, so that one connection has one number everywhere.
    pub fn refine(&self, output: &mut Output, exact: &ChosenOutput) {
        output.watts = Watts(exact.at_full.watts);
        output.into_load = Watts(exact.onset.watts);
        output.thd = exact.onset.thd;
        output.against_target = self.against_target(exact.onset.watts);
        output.passed = exact.passed;
    }

    fn against_target(&self, watts: f64) -> Decibels {
        Decibels(10.0 * (watts / self.report.at_target.watts).max(1e-12).log10())
    }

    fn output(&self, network: &Network, speakers: f64) -> Option<Output> {
        let load = network.behind_copper(speakers);
        // Without any power at the target there is nothing to hold a load against.
        Some(self.report.at_target.watts).filter(|watts| *watts > 1e-9)?;
        let winding = self.report.stage.primary_ohms;
        let delivered = self.solved.delivered(winding, load)?;
        let passed = self.solved.stress(winding, load).map(|stresses| {
            stress::exceeded(&self.report.idle, &stresses, &self.report.tube.bounds)
        });
        Some(Output {
            watts: Watts(delivered.watts * network.share_behind_copper(speakers)),
            load: Ohms(load),
            into_load: Watts(delivered.watts),
            against_target: self.against_target(delivered.watts),
            thd: delivered.thd,
            passed: passed.unwrap_or_default(),
        })
    }
}

/// The best verdict that limits passed at idle leave to any load.
fn by_idle(passed: &[Exceeded]) -> Verdict {
    let worst = |passed: &Exceeded| {
        let beyond = match passed.burden.is_heat() {
            true => HEAT_BEYOND,
            false => VOLTS_BEYOND,
        };
        match passed.over() <= beyond {
            true => Verdict::Usable,
            false => Verdict::Avoid,
        }
    };
    passed.iter().map(worst).fold(Verdict::Fits, Verdict::max)
}

/// The best verdict that limits passed into a load leave to it.
fn by_limits(passed: &Passed, at_target: &Passed) -> Verdict {
    let worst = passed.iter().zip(at_target).map(|(passed, at_target)| {
        let Some(passed) = passed else {
            return Verdict::Fits;
        };
        // By a quarter beyond the limit, or beyond what the target load asks where that is more.
        let harder = |value: f64, at_target: Option<f64>| {
            value > HARDER * at_target.unwrap_or(passed.limit).max(passed.limit)
        };
        if passed.is_up_to_full() {
            if harder(passed.up_to_full, at_target.map(|target| target.up_to_full)) {
                Verdict::Avoid
            } else if passed.up_to_full > HEAT_BEYOND * passed.limit {
                Verdict::Usable
            } else {
                Verdict::Fits
            }
        } else if harder(passed.value, at_target.map(|target| target.value)) {
            Verdict::Usable
        } else {
            Verdict::Fits
        }
    });
    worst.fold(Verdict::Fits, Verdict::max)
}

/// The best verdict that power lost against the target load leaves, dB.
fn by_power(lost: f64) -> Verdict {
    if lost > USABLE_WITHIN_DECIBELS {
        Verdict::Avoid
    } else if lost > FITS_WITHIN_DECIBELS {
        Verdict::Usable
    } else {
        Verdict::Fits
    }
}

/// The best verdict that an odd operating point leaves to any load.
fn by_point(conditions: &[Condition]) -> Verdict {
    let odd = |condition: &Condition| {
        matches!(
            condition,
            Condition::CutOff
                | Condition::BelowKnee
                | Condition::ScreenAbovePlate
                | Condition::NoSwing
        )
    };
    match conditions.iter().any(odd) {
        true => Verdict::Usable,
        false => Verdict::Fits,
    }
}

/// The best verdict that power over what the hookup takes leaves.
fn by_speakers(over: f64) -> Verdict {
    if over > SPEAKERS_BEYOND {
        Verdict::Avoid
    } else if over > 1.001 {
        Verdict::Usable
    } else {
        Verdict::Fits
    }
}
