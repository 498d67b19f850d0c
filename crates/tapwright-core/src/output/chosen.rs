//! The chosen connection, solved exactly, with what the charts show of it.

use serde::Serialize;

use self::speakers::AtSpeakers;
use super::{Bench, little_distortion};
use crate::connection::Connection;
use tapwright_iron::network::Network;
use tapwright_speaker::MixedHookup;
use tapwright_stage::reactive::{Impedance, whole_cycle};
use tapwright_stage::stress::{self, Borne, Burden, Passed, Stress};
use tapwright_stage::{Cycle, Delivered, Drive, Idle, Instant, Loop, Solver, Stage, StageError};

/// Drives at which the chosen connection's stress is computed.
const DRIVES: [f64; 9] = [0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0];

/// Harmonics that reach the speakers through reactances: fewer than half of the instants.
const MOST_HARMONICS: usize = 31;

/// Those that are shown.
const FEW_HARMONICS: usize = 7;

/// Instants in half a cycle of the chosen connection: clipped waves have corners.
pub(super) const INSTANTS: usize = 64;

mod speakers;
mod stoppers;

pub use speakers::WavePoint;
pub use stoppers::Stopper;

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
    /// The load behind the primary's copper, Ω.
    pub load: f64,
    /// Power in the speakers over power into that load, 0 to 1, at mid band.
    pub share: f64,
    /// Power in the speakers at the onset of grid current, W, and the distortion of their volts.
    pub at_full: Delivered,
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
        network: &Network,
        drive: f64,
        frequency: Option<(f64, MixedHookup)>,
    ) -> Result<ChosenOutput, StageError> {
        let report = &self.report;
        let (stage, bounds) = (report.stage, &report.tube.bounds);
        let speakers = connection.impedance.0;
        let load = network.behind_copper(speakers);
        let share = network.share_behind_copper(speakers);
        let mut solver = Solver::with_instants(stage, INSTANTS);
        let onset = solver.cycle(load, Drive::OfGridCurrent(1.0))?;
        // One connection has one number everywhere, to the last digit.
        let onset = self.by_itself(load).unwrap_or(onset);
        let cycle = match drive {
            1.0 => onset,
            _ => solver.cycle(load, wanted(drive, onset.drive_peak))?,
        };
        let half = solver.path().to_vec();
        let reactive = frequency.map(|(hertz, speakers)| {
            let reflected = |hertz: f64| network.past_copper(hertz, speakers.impedance_at(hertz)).0;
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
        let reached = frequency.filter(|_| matches!(reactive, Some(Ok(_))));
        let resistive = speakers / (network.secondary_ohms + speakers) / network.turns_ratio;
        let at_speakers = match reached {
            Some((hertz, hookup)) => AtSpeakers::through(&whole, MOST_HARMONICS, &|harmonic| {
                let hertz = harmonic * hertz;
                let impedance = hookup.impedance_at(hertz);
                (network.past_copper(hertz, impedance).1, impedance)
            }),
            None => AtSpeakers::through(&whole, FEW_HARMONICS, &|_| {
                (resistive.into(), speakers.into())
            }),
        };
        let load_line: Vec<LinePoint> = line.iter().map(|at| line_point(&stage, at)).collect();
        let family = family(&stage, &report.idle, &load_line, &onset);
        let in_speakers = |cycle: &Cycle| Delivered {
            watts: cycle.watts * share,
            thd: cycle.thd,
        };
        Ok(ChosenOutput {
            load,
            share,
            drive,
            at_full: in_speakers(&onset),
            delivered: match reached {
                Some(_) => at_speakers.delivered,
                None => in_speakers(&cycle),
            },
            harmonics: at_speakers.harmonics,
            wave: match reached {
                Some(_) => at_speakers.wave(),
                None => at_speakers.scaled(&whole, resistive),
            },
            clean: self.clean(&onset, share)?,
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

    /// Where distortion comes to 10 % (triodes: 5 %) into a connection, if that is below full
    /// drive and could be solved.
    pub fn clean_into(&self, network: &Network, speakers: f64) -> Option<AtDrive> {
        let load = network.behind_copper(speakers);
        let onset = self.by_itself(load).or_else(|| {
            let mut solver = Solver::with_instants(self.report.stage, INSTANTS);
            solver.cycle(load, Drive::OfGridCurrent(1.0)).ok()
        })?;
        self.clean(&onset, network.share_behind_copper(speakers))
            .ok()?
    }

    /// Where distortion comes to what counts as little, below full drive; by false position,
    /// to a thousandth of it.
    fn clean(&self, onset: &Cycle, share: f64) -> Result<Option<AtDrive>, StageError> {
        let stage = self.report.stage;
        let most = little_distortion(&stage);
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
                    watts: cycle.watts * share,
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

impl ChosenOutput {
    /// The load with the speakers' reactance, where that could be computed.
    pub fn with_reactance(&self) -> Option<&Loop> {
        self.reactive.as_ref()?.as_ref().ok()
    }

    /// The most that the hottest of the resistors at each screen takes up to full overdrive,
    /// W, and the one common to all screens without a capacitor.
    pub fn stopper_watts(&self) -> [f64; 2] {
        let all = || self.stresses.iter().map(|stress| stress.stopper_watts);
        [0, 1].map(|which| all().map(|watts| watts[which]).fold(0.0, f64::max))
    }

    /// The resistor that a screen of `stage` wants which is within its limit at idle but not
    /// always up to full overdrive; `None` where none helps, or none is needed, or where the
    /// speakers' reactance counts.
    ///
    /// Cost: some thirty cycles, a quarter of a whole report; so it is asked for where it is
    /// shown.
    pub fn stopper_wanted(&self, stage: &Stage) -> Option<Stopper> {
        if self.reactive.is_some() {
            return None;
        }
        let mut passed = self.passed.iter().flatten();
        let by_screen =
            passed.find(|passed| passed.burden == Burden::ScreenWatts && passed.from > 0.0)?;
        let wanted = stoppers::wanted(stage, self.load, by_screen.limit)?;
        Some(Stopper {
            watts: wanted.watts * self.share,
            ..wanted
        })
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
                    let flow = stage.flow(idle, plate, grid_volts);
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
    let decade = 10_f64.powi(least.log10().floor() as i32);
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
