//! What the feedback does: a costly leaf of its own, a pure function of [`Solved`].

use serde::Serialize;
use tapwright_amplifier::feedback::{
    Headline, Linear, headline, opened, resistor_for, source_impedance, unloaded,
};
use tapwright_amplifier::{Amplifier, Feedback, Load, TakeOff};
use tapwright_stage::{Cycle, Drive, Solver};
use tapwright_units::e_series::{E12, E24, ESeries};

mod reduced;

pub use reduced::Reduced;

use crate::amplifier::{self, Parts, Taken};
use crate::matching::FITS_WITHIN;
use crate::solved::Solved;
use crate::values::Wanted;

/// Points along the control, and frequencies of a curve.
const ALONG: usize = 13;
const FREQUENCIES: usize = 49;

/// What is shown over frequency, Hz.
const FROM: f64 = 20.0;
const TO: f64 = 20e3;

/// Leakage, H, and capacitance, F, that a primary may have where neither is typed. Own
/// estimate.
const HIGH_ENDS: [(f64, f64); 4] = [(5e-3, 0.1e-9), (5e-3, 3e-9), (50e-3, 0.1e-9), (50e-3, 3e-9)];

/// Feedback resistors that are looked through for a number of decibels, Ω.
const RESISTORS: (f64, f64) = (100.0, 10e6);

/// Controls that are sold, Ω. Common practice, no source.
const CONTROLS: [f64; 10] = [
    1e3, 2.2e3, 4.7e3, 10e3, 22e3, 47e3, 100e3, 220e3, 470e3, 1e6,
];

/// A setting of the control, or a fixed resistor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Setting {
    /// Position of the control, 0 to 1; `None` without one.
    pub position: Option<f64>,
    /// The feedback resistor, Ω.
    pub ohms: f64,
    /// The headline numbers there.
    pub headline: Headline,
}

/// Feedback along the control, at one position of the selector.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AlongControl {
    /// Place of the tap that the speakers are on.
    pub tap: usize,
    /// Position and decibels.
    pub points: Vec<(f64, f64)>,
}

/// What the selector does to the feedback.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtTap {
    /// Place of the tap that the speakers are on.
    pub tap: usize,
    /// Place of the hookup that matches it, if one does.
    pub hookup: Option<usize>,
    /// The load that it was computed with, Ω.
    pub ohms: f64,
    /// Decibels with feedback from that tap.
    pub selected: f64,
    /// Decibels with feedback from one tap, whichever the speakers are on.
    pub fixed: f64,
}

/// The level at the speakers over frequency at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Response {
    /// The feedback resistor; `None` without feedback.
    pub ohms: Option<f64>,
    /// Hz, and dB against 1 kHz at the setting typed.
    pub points: Vec<(f64, f64)>,
    /// Whether the loop oscillates there, and nothing was drawn.
    pub oscillates: bool,
}

/// For what the loop was judged.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Case {
    /// As it is wired.
    AsWired,
    /// With no speaker.
    NoSpeaker,
    /// With the speaker on the tap at this place.
    OtherTap(usize),
}

/// Whether the loop is stable in one case.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Judgement {
    /// The case.
    pub case: Case,
    /// Whether every signal dies out, over all that was assumed.
    pub stable: bool,
    /// The least and the largest phase margin over all that was assumed, degrees; one and the
    /// same where the high end is known.
    pub phase: Option<(f64, f64)>,
    /// Where it is least, Hz.
    pub phase_hertz: Option<f64>,
    /// The least and the largest gain margin, dB.
    pub gain: Option<(f64, f64)>,
}

/// The answer to decibels wanted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Found {
    /// This resistor gives them: exactly, the nearest of E12 and of E24 with what it gives.
    Resistor {
        /// The decibels wanted.
        wanted: f64,
        /// Ω.
        ohms: f64,
        /// The nearest of E12 (IEC 60063), Ω, and its decibels.
        e12: (f64, f64),
        /// The nearest of E24, Ω, and its decibels.
        e24: (f64, f64),
    },
    /// A fixed part and a control.
    Control {
        /// From and to, dB.
        wanted: (f64, f64),
        /// The fixed part of E24, Ω, and the most decibels that it leaves.
        fixed: (f64, f64),
        /// The control, Ω, and the least decibels with all of it.
        control: (f64, f64),
    },
    /// It cannot be had: the most and the least that can, dB.
    OutOfReach {
        /// What was wanted, dB.
        wanted: f64,
        /// The most, dB.
        most: f64,
        /// The least, dB.
        least: f64,
    },
}

/// Distortion at one output, without and with feedback.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cleaned {
    /// Power in the load, W.
    pub watts: f64,
    /// Distortion of the output stage without feedback, 0 to 1.
    pub open: f64,
    /// The same harmonics, each divided by `1 + T` at its frequency.
    pub closed: f64,
}

/// What the feedback does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoopReport {
    /// What was taken where nothing is typed.
    pub taken: Vec<Taken>,
    /// Whether leakage and capacitance of the primary are both known.
    pub high_end_known: bool,
    /// The headline without feedback.
    pub without: Headline,
    /// As it is set; `None` without feedback.
    pub now: Option<Setting>,
    /// The control at both ends.
    pub ends: Option<[Setting; 2]>,
    /// Volts at the input for full output, rms: without feedback and as it is set.
    pub input_for_full: Option<[f64; 2]>,
    /// Rated ohms of the hookup.
    pub rated: f64,
    /// Feedback along the control for each tap.
    pub along: Vec<AlongControl>,
    /// Tap by tap: taken from the tap in use, and from a fixed one.
    pub by_tap: Vec<AtTap>,
    /// The tap that stands for the fixed one.
    pub fixed_tap: usize,
    /// The level at the speakers for three settings.
    pub responses: Vec<Response>,
    /// Hz, and the source impedance in Ω, as it is set.
    pub source: Vec<(f64, f64)>,
    /// Hz, decibels and degrees of the loop gain, as it is set.
    pub loop_gain: Vec<(f64, f64, f64)>,
    /// Whether the loop is stable.
    pub stability: Vec<Judgement>,
    /// The answer to decibels wanted.
    pub found: Option<Found>,
    /// Distortion at 1 W and at half of the full power.
    pub cleaned: Vec<Cleaned>,
    /// The formulas that its numbers come near to by hand.
    pub reduced: Vec<Reduced>,
}

/// What the feedback does in the connection that is followed; `None` until tube, driver,
/// transformer and speaker are known.
///
/// # Errors
/// Why the circuit has no answer, in words.
pub fn ask(solved: &Solved) -> Option<Result<LoopReport, String>> {
    let parts = amplifier::parts(solved)?;
    Some(report(solved, &parts).map_err(|why| why.to_string()))
}

type Unanswered = tapwright_amplifier::feedback::Unanswered;

fn report(solved: &Solved, parts: &Parts) -> Result<LoopReport, Unanswered> {
    let amplifier = &parts.amplifier;
    let without = headline(&opened(amplifier))?;
    let set = |position: Option<f64>, ohms: f64| -> Result<Setting, Unanswered> {
        Ok(Setting {
            position,
            ohms,
            headline: headline(&with_ohms(amplifier, ohms))?,
        })
    };
    let has_control = solved
        .amplifier
        .feedback
        .feedback_control
        .is_some_and(|ohms| ohms > 0.0);
    let position = has_control.then(|| amplifier::position(solved));
    let now = match &amplifier.feedback {
        Some(feedback) => Some(set(position, feedback.ohms)?),
        None => None,
    };
    let ends = match (has_control, &amplifier.feedback) {
        (true, Some(_)) => {
            let end = |at: f64| {
                set(
                    Some(at),
                    amplifier::resistor_at(solved, at).unwrap_or_default(),
                )
            };
            Some([end(0.0)?, end(1.0)?])
        }
        _ => None,
    };
    let rated = amplifier.load.as_ref().map_or(8.0, |load| load.rated);
    let full = solved
        .followed()
        .and_then(|judged| judged.output)
        .map(|output| output.watts.0);
    let input_for_full = full.map(|watts| {
        let volts = (watts * rated).sqrt();
        let gain = now.map_or(without.gain, |now| now.headline.gain);
        [volts / without.gain, volts / gain]
    });
    let fixed_tap = match amplifier.feedback.map(|feedback| feedback.from) {
        Some(TakeOff::Tap(at)) => at,
        _ => amplifier.transformer.selected,
    };
    let stability = judge(parts)?;
    let stable = stability.first().is_none_or(|judged| judged.stable);
    let linear = Linear::of(amplifier)?;
    Ok(LoopReport {
        taken: parts.taken.clone(),
        high_end_known: parts.high_end_known,
        without,
        now,
        ends,
        input_for_full,
        rated,
        along: along(solved, amplifier)?,
        by_tap: by_tap(solved, amplifier, fixed_tap)?,
        fixed_tap,
        responses: responses(amplifier, now, ends)?,
        source: match stable {
            true => source(amplifier)?,
            false => Vec::new(),
        },
        loop_gain: loop_gain(&linear),
        found: found(solved, amplifier)?,
        reduced: reduced::every(amplifier, without, now, rated)?,
        cleaned: cleaned(solved, &linear),
        stability,
    })
}

fn with_ohms(amplifier: &Amplifier, ohms: f64) -> Amplifier {
    Amplifier {
        feedback: amplifier
            .feedback
            .map(|feedback| Feedback { ohms, ..feedback }),
        ..amplifier.clone()
    }
}

/// The amplifier with the speakers on another tap, or others on it.
fn on_tap(amplifier: &Amplifier, tap: usize, rated: Option<f64>) -> Amplifier {
    let mut other = amplifier.clone();
    other.transformer.selected = tap;
    other.transformer.grounded = None;
    if let Some(ohms) = rated {
        other.load = Some(Load::rated(ohms));
    }
    other
}

fn frequencies() -> impl Iterator<Item = f64> {
    (0..FREQUENCIES).map(|n| FROM * (TO / FROM).powf(n as f64 / (FREQUENCIES - 1) as f64))
}

/// Feedback along the control for each tap, each with a load that matches it.
fn along(solved: &Solved, amplifier: &Amplifier) -> Result<Vec<AlongControl>, Unanswered> {
    let has_control = solved
        .amplifier
        .feedback
        .feedback_control
        .is_some_and(|ohms| ohms > 0.0);
    if !has_control || amplifier.feedback.is_none() {
        return Ok(Vec::new());
    }
    (0..amplifier.transformer.taps.len())
        .map(|tap| {
            let there = on_tap(amplifier, tap, matched(amplifier, tap));
            let points = (0..ALONG).map(|n| {
                let at = n as f64 / (ALONG - 1) as f64;
                let ohms = amplifier::resistor_at(solved, at).unwrap_or_default();
                let found = headline(&with_ohms(&there, ohms))?;
                Ok((at, found.decibels.unwrap_or_default()))
            });
            Ok(AlongControl {
                tap,
                points: points.collect::<Result<_, Unanswered>>()?,
            })
        })
        .collect()
}

/// The load on a tap that the primary sees as the one on the tap in use.
fn matched(amplifier: &Amplifier, tap: usize) -> Option<f64> {
    let turns = |at: usize| Some(amplifier.transformer.taps.get(at)?.turns);
    let ratio = turns(tap)? / turns(amplifier.transformer.selected)?;
    Some(amplifier.load.as_ref()?.rated * ratio * ratio)
}

/// Tap by tap, with a hookup of the set-up where one matches, else with a load that does:
/// feedback from the tap in use, and from a fixed one.
fn by_tap(solved: &Solved, amplifier: &Amplifier, fixed: usize) -> Result<Vec<AtTap>, Unanswered> {
    let Some(feedback) = amplifier.feedback else {
        return Ok(Vec::new());
    };
    let mut all = Vec::new();
    for tap in 0..amplifier.transformer.taps.len() {
        let Some(ohms) = matched(amplifier, tap) else {
            continue;
        };
        let far = |impedance: f64| (impedance / ohms).ln().abs();
        let hookups = solved.hookups.iter();
        let best = hookups.min_by(|a, b| far(a.impedance.0).total_cmp(&far(b.impedance.0)));
        let best = best.filter(|hookup| far(hookup.impedance.0) <= FITS_WITHIN.ln());
        let rated = best.map_or(ohms, |hookup| hookup.impedance.0);
        let there = on_tap(amplifier, tap, Some(rated));
        let from = |from: TakeOff| -> Result<f64, Unanswered> {
            let feedback = Some(Feedback { from, ..feedback });
            let found = headline(&Amplifier {
                feedback,
                ..there.clone()
            })?;
            Ok(found.decibels.unwrap_or_default())
        };
        all.push(AtTap {
            tap,
            hookup: best.map(|hookup| hookup.place),
            ohms: rated,
            selected: from(TakeOff::Selected)?,
            fixed: from(TakeOff::Tap(fixed))?,
        });
    }
    Ok(all)
}

/// The level at the speakers, with them as they are over frequency: at both ends of the control
/// and as it is set, or without feedback and with it.
fn responses(
    amplifier: &Amplifier,
    now: Option<Setting>,
    ends: Option<[Setting; 2]>,
) -> Result<Vec<Response>, Unanswered> {
    let mut settings: Vec<Option<f64>> = match (now, ends) {
        (Some(now), Some([low, high])) => vec![Some(low.ohms), Some(now.ohms), Some(high.ohms)],
        (Some(now), None) => vec![None, Some(now.ohms)],
        (None, _) => vec![None],
    };
    settings.dedup();
    let build = |ohms: Option<f64>| match ohms {
        Some(ohms) => with_ohms(amplifier, ohms),
        None => opened(amplifier),
    };
    let level = |linear: &Linear, hertz: f64| {
        let gain = linear.gain(hertz).ok_or(Unanswered::Singular)?;
        Ok(20.0 * gain.norm().log10())
    };
    let zero = level(&Linear::of(&build(now.map(|now| now.ohms)))?, 1e3)?;
    settings
        .into_iter()
        .map(|ohms| {
            let amplifier = build(ohms);
            let linear = Linear::of(&amplifier)?;
            let oscillates = linear.growing().is_none_or(|growing| growing > 0);
            let points = frequencies().map(|hertz| Ok((hertz, level(&linear, hertz)? - zero)));
            Ok(Response {
                ohms,
                points: match oscillates {
                    true => Vec::new(),
                    false => points.collect::<Result<_, Unanswered>>()?,
                },
                oscillates,
            })
        })
        .collect()
}

fn source(amplifier: &Amplifier) -> Result<Vec<(f64, f64)>, Unanswered> {
    let hertz: Vec<f64> = frequencies().collect();
    let found = source_impedance(amplifier, &hertz)?;
    Ok(hertz
        .into_iter()
        .zip(found.into_iter().map(|z| z.norm()))
        .collect())
}

/// The loop gain from 10 Hz to 100 kHz.
fn loop_gain(linear: &Linear) -> Vec<(f64, f64, f64)> {
    let hertz = (0..=64).map(|n| 10.0 * 10_f64.powf(n as f64 / 16.0));
    let mut before = None;
    hertz
        .filter_map(|hertz| {
            let t = linear.loop_gain(hertz)?;
            // Degrees go on from their neighbour, so that the curve does not jump.
            let mut degrees = t.arg().to_degrees();
            if let Some(before) = before {
                let before: f64 = before;
                degrees += 360.0 * ((before - degrees) / 360.0).round();
            }
            before = Some(degrees);
            Some((hertz, 20.0 * t.norm().log10(), degrees))
        })
        .collect()
}

/// The loop as it is wired, with no speaker, and with the speaker on each other tap.
fn judge(parts: &Parts) -> Result<Vec<Judgement>, Unanswered> {
    let amplifier = &parts.amplifier;
    if amplifier.feedback.is_none() {
        return Ok(Vec::new());
    }
    let mut cases = vec![
        (Case::AsWired, amplifier.clone()),
        (Case::NoSpeaker, unloaded(amplifier)),
    ];
    for tap in 0..amplifier.transformer.taps.len() {
        if tap != amplifier.transformer.selected {
            cases.push((Case::OtherTap(tap), on_tap(amplifier, tap, None)));
        }
    }
    (cases.into_iter())
        .map(|(case, amplifier)| judge_case(parts, case, amplifier))
        .collect()
}

fn judge_case(parts: &Parts, case: Case, amplifier: Amplifier) -> Result<Judgement, Unanswered> {
    // Other cases get the two extremes alone: what decides is seen as it is wired.
    let high_ends: Vec<Option<(f64, f64)>> = match (parts.high_end_known, case) {
        (true, _) => vec![None],
        (false, Case::AsWired) => HIGH_ENDS.map(Some).into(),
        (false, _) => vec![Some(HIGH_ENDS[0]), Some(HIGH_ENDS[3])],
    };
    let mut judged = Judgement {
        case,
        stable: true,
        phase: None,
        phase_hertz: None,
        gain: None,
    };
    for high_end in high_ends {
        let mut amplifier = amplifier.clone();
        if let Some((leakage, capacitance)) = high_end {
            let iron = &mut amplifier.transformer;
            if iron.leakage == 0.0 {
                iron.leakage = leakage;
            }
            if iron.capacitance == 0.0 {
                iron.capacitance = capacitance;
            }
        }
        let linear = Linear::of(&amplifier)?;
        let open = Linear::of(&opened(&amplifier))?;
        let Some(found) = linear.stability(&open) else {
            continue;
        };
        judged.stable &= found.is_stable();
        if let Some(margin) = found.phase_margin() {
            let size = if found.is_stable() {
                margin.margin.abs()
            } else {
                -margin.margin.abs()
            };
            if judged.phase.is_none_or(|(least, _)| size < least) {
                judged.phase_hertz = Some(margin.hertz);
            }
            judged.phase = Some(spread(judged.phase, size));
        }
        if let Some(margin) = found.gain_margin() {
            judged.gain = Some(spread(judged.gain, margin.margin));
        }
    }
    Ok(judged)
}

fn spread(of: Option<(f64, f64)>, value: f64) -> (f64, f64) {
    of.map_or((value, value), |(least, most)| {
        (least.min(value), most.max(value))
    })
}

/// The resistor, or the fixed part and the control, for the decibels wanted.
fn found(solved: &Solved, amplifier: &Amplifier) -> Result<Option<Found>, Unanswered> {
    let (Some(wanted), Some(from)) = (solved.amplifier.wanted, solved.amplifier.from) else {
        return Ok(None);
    };
    // The answer does not depend on the resistor that is typed.
    let from = match from {
        crate::values::TakenFrom::Selected => TakeOff::Selected,
        crate::values::TakenFrom::Tap(at) => TakeOff::Tap(at),
    };
    let template = amplifier.feedback.unwrap_or(Feedback {
        from,
        into: 0,
        ohms: RESISTORS.1,
        across: None,
        presence: None,
    });
    let amplifier = Amplifier {
        feedback: Some(template),
        ..amplifier.clone()
    };
    let decibels = |ohms: f64| -> Result<f64, Unanswered> {
        Ok(headline(&with_ohms(&amplifier, ohms))?
            .decibels
            .unwrap_or_default())
    };
    let out_of_reach = |wanted: f64| -> Result<Option<Found>, Unanswered> {
        Ok(Some(Found::OutOfReach {
            wanted,
            most: decibels(RESISTORS.0)?,
            least: decibels(RESISTORS.1)?,
        }))
    };
    let nearest = |series: ESeries, ohms: f64| -> Result<(f64, f64), Unanswered> {
        let far = |value: &f64| (value / ohms).ln().abs();
        let values = series.between(ohms / 2.0, ohms * 2.0);
        let value = values
            .min_by(|a, b| far(a).total_cmp(&far(b)))
            .unwrap_or(ohms);
        Ok((value, decibels(value)?))
    };
    match wanted {
        Wanted::One(wanted) => match resistor_for(&amplifier, wanted, RESISTORS)? {
            None => out_of_reach(wanted),
            Some(ohms) => Ok(Some(Found::Resistor {
                wanted,
                ohms,
                e12: nearest(E12, ohms)?,
                e24: nearest(E24, ohms)?,
            })),
        },
        Wanted::Range(least, most) => {
            let Some(smallest) = resistor_for(&amplifier, most, RESISTORS)? else {
                return out_of_reach(most);
            };
            let Some(largest) = resistor_for(&amplifier, least, RESISTORS)? else {
                return out_of_reach(least);
            };
            let fixed = nearest(E24, smallest)?;
            let rest = largest - fixed.0;
            // The least control that reaches as far; the largest there is, where none does.
            let control = CONTROLS.into_iter().find(|ohms| *ohms >= 0.98 * rest);
            let control = control.unwrap_or(CONTROLS[CONTROLS.len() - 1]);
            Ok(Some(Found::Control {
                wanted: (least, most),
                fixed,
                control: (control, decibels(fixed.0 + control)?),
            }))
        }
    }
}

/// Distortion of the output stage at 1 W and at half of its full power; with feedback each
/// harmonic is divided by `1 + T` at its own frequency. The textbook's estimate, good while
/// nothing is overdriven.
fn cleaned(solved: &Solved, linear: &Linear) -> Vec<Cleaned> {
    let (Some(stage), Some(judged)) = (solved.stage(), solved.followed()) else {
        return Vec::new();
    };
    let Some(output) = judged.output else {
        return Vec::new();
    };
    let mut solver = Solver::new(stage.stage);
    let share = output.watts.0 / output.into_load.0;
    let full = output.watts.0;
    let mut all = Vec::new();
    for watts in [1.0, full / 2.0] {
        if watts >= full {
            continue;
        }
        let Some(cycle) = at_power(&mut solver, output.load.0, watts / share) else {
            continue;
        };
        let first = cycle.harmonics[0];
        let divided = (2..=cycle.harmonics.len()).map(|order| {
            let t = linear
                .loop_gain(order as f64 * 1e3)
                .map_or(1.0, |t| (t + 1.0).norm());
            (cycle.harmonics[order - 1] / first / t).powi(2)
        });
        all.push(Cleaned {
            watts,
            open: cycle.thd,
            closed: divided.sum::<f64>().sqrt(),
        });
    }
    all
}

/// The cycle that gives so many watts, by bisection on the drive.
fn at_power(solver: &mut Solver, load: f64, watts: f64) -> Option<Cycle> {
    let (mut low, mut high) = (0.0, 1.0);
    let mut found = None;
    for _ in 0..24 {
        let drive = 0.5 * (low + high);
        let cycle = solver.cycle(load, Drive::OfGridCurrent(drive)).ok()?;
        if cycle.watts < watts {
            low = drive;
        } else {
            high = drive;
        }
        found = Some(cycle);
    }
    found
}
