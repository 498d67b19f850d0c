//! The stage solved over the loads of all connections.

use std::f64::consts::LN_2;

use super::chosen::INSTANTS;
use super::full_signal;
use super::{ChosenOutput, CurvePoint, Output, Prepared, SolvedStage};
use tapwright_iron::network::Network;
use tapwright_stage::stress::Passed;
use tapwright_stage::{Cycle, Delivered, Drive, Solver, Stage, StageError, stress};
use tapwright_units::{Decibels, Ohms, Watts};

pub(crate) use tapwright_stage::Windings;

/// Loads to the octave of the curve that is drawn.
const PER_OCTAVE: i32 = 16;

/// Up to so many connections are solved each by itself; of more, power and distortion are read
/// from the curve between solved loads, which is within what three digits show.
pub(crate) const SOLVED_ONE_BY_ONE: usize = 64;

/// The stage on one winding, with what was solved on all.
pub(crate) struct Bench<'a> {
    /// The cycles at full drive into the loads that were solved one by one.
    one_by_one: Vec<Cycle>,
    /// The stage without its curve.
    pub report: SolvedStage,
    pub(super) solved: &'a Windings,
}

/// The stage solved on all its windings over the loads, Ω, of all connections.
pub(crate) fn solve_windings(
    prepared: &[Prepared],
    target: Ohms,
    loads: &[f64],
) -> Result<Windings, StageError> {
    let mut stages: Vec<Stage> = prepared.iter().map(|prepared| prepared.stage).collect();
    stages.sort_by(|a, b| a.primary_ohms.total_cmp(&b.primary_ohms));
    let (least, most) = octaves(target.0, loads);
    let range = (target.0 * least.exp2(), target.0 * most.exp2());
    Windings::solve(&stages, target.0, range)
}

/// Whole octaves from the target down to the least load and up to the most; three at least,
/// which the drawn curve spans.
fn octaves(target: f64, loads: &[f64]) -> (f64, f64) {
    let from_target = |load: f64| (load / target).ln() / LN_2;
    let least = loads.iter().copied().fold(target, f64::min);
    let most = loads.iter().copied().fold(target, f64::max);
    (
        from_target(least).floor().min(-3.0),
        from_target(most).ceil().max(3.0),
    )
}

impl<'a> Bench<'a> {
    /// A prepared stage on its winding, from what was solved on all, and at each of these loads
    /// by itself.
    ///
    /// # Errors
    /// Nothing was solved at the target load.
    pub fn new(
        prepared: &Prepared,
        target: Ohms,
        solved: &'a Windings,
        loads: &[f64],
    ) -> Result<Self, StageError> {
        let Prepared {
            tube,
            stage,
            assumed,
            idle,
        } = prepared;
        let winding = stage.primary_ohms;
        let at_target = solved
            .delivered(winding, target.0)
            .ok_or(StageError::OutOfRange("the target load", target.0))?;
        let target_stress = solved.stress(winding, target.0).unwrap_or_default();
        let target_passes = stress::exceeded(idle, &target_stress, &tube.bounds);
        let report = SolvedStage {
            conditions: idle.conditions(stage),
            idle_exceeds: stress::exceeded_at_idle(idle, &tube.bounds),
            tube: tube.clone(),
            assumed: *assumed,
            stage: *stage,
            idle: *idle,
            target,
            at_target,
            target_passes,
            full_signal_passes: Passed::default(),
            curve: Vec::new(),
        };
        let full_signal_passes = full_signal::passes(&report);
        let report = SolvedStage {
            full_signal_passes,
            ..report
        };
        Ok(Self {
            one_by_one: one_by_one(*stage, loads),
            report,
            solved,
        })
    }

    /// Whether the stage was solved on the winding that a network has.
    pub fn is_on_winding_of(&self, network: &Network) -> bool {
        network.primary_ohms == self.report.stage.primary_ohms
    }

    /// The stage, with the curve that is drawn.
    pub fn with_curve(&self) -> SolvedStage {
        let SolvedStage { stage, target, .. } = self.report;
        let curve = (-3 * PER_OCTAVE..=3 * PER_OCTAVE).filter_map(|step| {
            let octaves = f64::from(step) / f64::from(PER_OCTAVE);
            let load = target.0 * octaves.exp2();
            let Delivered { watts, thd } = self.solved.delivered(stage.primary_ohms, load)?;
            Some(CurvePoint { load, watts, thd })
        });
        SolvedStage {
            curve: curve.collect(),
            ..self.report.clone()
        }
    }

    /// What the stage delivers through a network into speakers of so many ohms.
    pub fn output(&self, network: &Network, speakers: f64) -> Option<Output> {
        let load = network.behind_copper(speakers);
        // Without any power at the target there is nothing to hold a load against.
        Some(self.report.at_target.watts).filter(|watts| *watts > 1e-9)?;
        let winding = self.report.stage.primary_ohms;
        let delivered = self.delivered(winding, load)?;
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

    /// Power and distortion at full drive into a load behind the primary's copper.
    fn delivered(&self, winding: f64, load: f64) -> Option<Delivered> {
        match self.by_itself(load) {
            Some(Cycle { watts, thd, .. }) => Some(Delivered { watts, thd }),
            None => self.solved.delivered(winding, load),
        }
    }

    /// The cycle at full drive into a load that was solved by itself.
    pub(super) fn by_itself(&self, load: f64) -> Option<Cycle> {
        let mut solved = self.one_by_one.iter();
        solved.find(|cycle| cycle.load_ohms == load).copied()
    }

    /// An output with what was solved exactly, so that one connection has one number
    /// everywhere.
    pub fn refined(&self, output: Output, exact: &ChosenOutput) -> Output {
        Output {
            watts: Watts(exact.at_full.watts),
            load: output.load,
            into_load: Watts(exact.onset.watts),
            against_target: self.against_target(exact.onset.watts),
            thd: exact.onset.thd,
            passed: exact.passed,
        }
    }

    fn against_target(&self, watts: f64) -> Decibels {
        Decibels(10.0 * (watts / self.report.at_target.watts).max(1e-12).log10())
    }
}

/// The cycle at full drive into each of these loads that can be solved, Ω.
fn one_by_one(stage: Stage, loads: &[f64]) -> Vec<Cycle> {
    let mut loads = loads.to_vec();
    // In order, each starts from its neighbour's solution, which is half the work.
    loads.sort_by(f64::total_cmp);
    loads.dedup();
    let mut solver = Solver::with_instants(stage, INSTANTS);
    let solve = |load| solver.cycle(load, Drive::OfGridCurrent(1.0)).ok();
    loads.into_iter().filter_map(solve).collect()
}
