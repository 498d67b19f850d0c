//! The health of the output stage: what is wrong with it whatever it is connected to.
//!
//! A verdict says how good one connection is among those that the stage could have. What no
//! other connection mends stands here, once.

use serde::Serialize;

use crate::iron::{ALIKE_WITHIN, DirectCurrent, SolvedIron};
use crate::judged::DIRTY;
use crate::output::SolvedStage;
use crate::values::Fitted;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{Burden, Exceeded};
use tapwright_tube::Topology;
use tapwright_units::Amps;

/// A limit passed at idle by more than this factor is an alarm.
const ALARM_AT_IDLE: f64 = 1.05;

/// A limit passed at full signal by more than this factor is an alarm: screens are not
/// predicted more nearly. Common practice, no source.
const ALARM_AT_FULL: f64 = 1.25;

/// What is wrong with the stage, alarms first.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Health {
    /// To be mended before the stage is switched on, the worst first.
    pub alarms: Vec<Ailment>,
    /// To be known.
    pub notes: Vec<Ailment>,
}

/// Something that is wrong with the stage.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ailment {
    /// A limit is passed at idle.
    AtIdle(Exceeded),
    /// A limit is passed at full signal into the target load, and not at idle.
    AtFullSignal(Exceeded),
    /// A limit is passed into the target load, and only when the stage is overdriven.
    Overdriven(Exceeded),
    /// The operating point is odd.
    Odd(Condition),
    /// The stage is this dirty into its own target load, at full drive; 0 to 1.
    DirtyAtTarget(f64),
    /// Direct current in a core without a gap.
    DirectCurrent(DirectCurrent),
    /// The two sides of a pair draw currents that differ by this much.
    UnlikeSides(Amps),
    /// The numbers typed for the person's own tube contradict each other; how.
    TubeContradictsItself(String),
    /// No limit is typed for the person's own tube, of its plate or of its screen.
    LimitsUnknown,
}

impl Health {
    /// What is wrong with a stage, with its iron and the person's own tube.
    pub(crate) fn new(
        stage: Option<&SolvedStage>,
        iron: &SolvedIron,
        own: Option<&Fitted>,
    ) -> Self {
        let mut health = Self::default();
        let contradiction = own.and_then(|own| own.contradiction.clone());
        (health.notes).extend(contradiction.map(Ailment::TubeContradictsItself));
        if let Some(stage) = stage {
            health.hold_against_limits(stage);
        }
        if let Some(direct) = iron.direct_current {
            health.alarms.push(Ailment::DirectCurrent(direct));
        }
        if let Some(stage) = stage {
            health.look_at_the_point(stage, iron.direct_current.is_none());
        }
        health
    }

    /// Limits that are passed at idle, and into the target load.
    fn hold_against_limits(&mut self, stage: &SolvedStage) {
        if !stage.tube.limits_are_known() {
            self.notes.push(Ailment::LimitsUnknown);
        }
        let mut told: Vec<Burden> = Vec::new();
        for passed in &stage.idle_exceeds {
            told.push(passed.burden);
            self.push(passed.over() > ALARM_AT_IDLE, Ailment::AtIdle(*passed));
        }
        for passed in stage.full_signal_passes.iter().flatten() {
            if !told.contains(&passed.burden) {
                told.push(passed.burden);
                self.push(
                    passed.over() > ALARM_AT_FULL,
                    Ailment::AtFullSignal(*passed),
                );
            }
        }
        for passed in stage.target_passes.iter().flatten() {
            if !told.contains(&passed.burden) {
                self.notes.push(Ailment::Overdriven(*passed));
            }
        }
        (self.alarms).sort_by(|a, b| beyond(b).total_cmp(&beyond(a)));
    }

    /// An odd operating point, distortion into the target load, sides that are unlike.
    fn look_at_the_point(&mut self, stage: &SolvedStage, cancels: bool) {
        for odd in &stage.conditions {
            if *odd != Condition::StiffSupply {
                self.push(is_alarming(*odd), Ailment::Odd(*odd));
            }
        }
        if stage.at_target.thd > DIRTY * 1.001 {
            self.notes.push(Ailment::DirtyAtTarget(stage.at_target.thd));
        }
        let differ = 2.0 * stage.idle.magnetising_amps.abs();
        let is_pair = stage.stage.topology == Topology::PushPull;
        if cancels && is_pair && differ > ALIKE_WITHIN * stage.idle.all_plate_amps {
            self.notes.push(Ailment::UnlikeSides(Amps(differ)));
        }
    }

    fn push(&mut self, is_alarm: bool, ailment: Ailment) {
        match is_alarm {
            true => self.alarms.push(ailment),
            false => self.notes.push(ailment),
        }
    }

    /// Whether the operating point is so odd that the bias must be set first.
    pub fn has_odd_point(&self) -> bool {
        (self.alarms.iter()).any(|ailment| matches!(ailment, Ailment::Odd(_)))
    }

    /// The limit that is passed by most at idle, where that is an alarm.
    pub fn hot_at_idle(&self) -> Option<&Exceeded> {
        self.alarms.iter().find_map(|ailment| match ailment {
            Ailment::AtIdle(passed) => Some(passed),
            _ => None,
        })
    }
}

/// An odd point at which the stage does not play as it should.
fn is_alarming(odd: Condition) -> bool {
    matches!(
        odd,
        Condition::CutOff | Condition::BelowKnee | Condition::ScreenAbovePlate | Condition::NoSwing
    )
}

/// How far beyond its limit an ailment goes.
fn beyond(ailment: &Ailment) -> f64 {
    match ailment {
        Ailment::AtIdle(passed) | Ailment::AtFullSignal(passed) | Ailment::Overdriven(passed) => {
            passed.over()
        }
        _ => 0.0,
    }
}
