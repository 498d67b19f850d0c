//! Questions about the loop from the output transformer back into a driver.

use nalgebra::Complex;
use serde::Serialize;
use tapwright_circuit::{DirectPoint, NoPoint, SmallSignal, Stability};
use tapwright_units::zero::zero_between;

use crate::build::{Built, Refused, TAKE_OFF};
use crate::driver::Splitter;
use crate::transformer::TakeOff;
use crate::{Amplifier, Load};

/// The frequency of headline numbers, Hz.
pub const HEADLINE_HERTZ: f64 = 1e3;

/// Growing natural frequencies slower than this do not count: the arithmetic does not tell them
/// from none, 1/s.
const SLOWEST: f64 = 1e-2;

/// A resistor gives the decibels wanted when it comes this near, dB.
const NEAR: f64 = 1e-4;

/// The feedback network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feedback {
    /// Where it is taken from.
    pub from: TakeOff,
    /// The driver whose cathode it enters, by its place; a long-tailed pair takes it at its foot.
    pub into: usize,
    /// The resistor: fixed and variable part together, Ω.
    pub ohms: f64,
    /// A capacitor across it, F.
    pub across: Option<f64>,
    /// A capacitor and a resistor in series from where it enters to ground: F, Ω.
    pub presence: Option<(f64, f64)>,
}

/// Why a question has no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unanswered {
    /// It cannot be wired so.
    Refused(Refused),
    /// It has no point at rest.
    NoPoint(NoPoint),
    /// Its equations have no single solution.
    Singular,
}

impl std::fmt::Display for Unanswered {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Refused(why) => write!(f, "{why}"),
            Self::NoPoint(why) => write!(f, "{why}"),
            Self::Singular => write!(f, "{}", tapwright_circuit::Singular),
        }
    }
}

impl std::error::Error for Unanswered {}

/// The amplifier made linear about its point at rest.
pub struct Linear {
    /// The circuit and its nodes.
    pub built: Built,
    /// Its point at rest.
    pub point: DirectPoint,
    small: SmallSignal,
}

/// The headline numbers at 1 kHz into the rated resistance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Headline {
    /// Volts at the jack for one at the input, with feedback.
    pub gain: f64,
    /// The same without.
    pub open_gain: f64,
    /// `20 log10 |1 + T|`, dB: how far the gain falls; `None` without feedback.
    pub decibels: Option<f64>,
    /// Modulus of the impedance that the speakers see, Ω.
    pub source_ohms: f64,
}

impl Linear {
    /// About the point at rest.
    ///
    /// # Errors
    /// [`Unanswered`].
    pub fn of(amplifier: &Amplifier) -> Result<Self, Unanswered> {
        let built = amplifier.circuit().map_err(Unanswered::Refused)?;
        let point = DirectPoint::of(&built.circuit).map_err(Unanswered::NoPoint)?;
        Ok(Self {
            small: SmallSignal::about(&built.circuit, &point),
            built,
            point,
        })
    }

    /// Volts at the jack for one volt at the input.
    pub fn gain(&self, hertz: f64) -> Option<Complex<f64>> {
        Some(self.small.at(hertz).ok()?.volts(self.built.jack))
    }

    /// The signal at one node divided by that at another, by their names.
    pub fn ratio(&self, over: &str, under: &str, hertz: f64) -> Option<Complex<f64>> {
        let circuit = &self.built.circuit;
        let signal = self.small.at(hertz).ok()?;
        Some(signal.volts(circuit.find(over)?) / signal.volts(circuit.find(under)?))
    }

    /// Volts at rest of a node from ground, by its name.
    pub fn volts_at(&self, node: &str) -> Option<f64> {
        Some(self.point.volts(self.built.circuit.find(node)?))
    }

    /// Volts at rest from one node to another, by their names.
    pub fn volts_between(&self, node: &str, from: &str) -> Option<f64> {
        let circuit = &self.built.circuit;
        Some(self.point.volts(circuit.find(node)?) - self.point.volts(circuit.find(from)?))
    }

    /// The loop gain `T`; `None` without feedback.
    pub fn loop_gain(&self, hertz: f64) -> Option<Complex<f64>> {
        Some(self.small.loop_gain(TAKE_OFF, hertz)?.ok()?.ratio)
    }

    /// `|1 + T|`, by which feedback divides the gain: 1 without.
    pub fn divided_by(&self, hertz: f64) -> f64 {
        self.loop_gain(hertz).map_or(1.0, |t| (t + 1.0).norm())
    }

    /// How far feedback takes the gain down to the tap that it is taken from: the signal there
    /// with the network's end grounded, divided by that with it connected. `None` without
    /// feedback.
    pub fn gain_falls_by(&self, hertz: f64) -> Option<f64> {
        let tap = self.built.take_off?;
        let open = self.small.loop_gain(TAKE_OFF, hertz)?.ok()?.open;
        Some(open.norm() / self.small.at(hertz).ok()?.volts(tap).norm())
    }

    /// The impedance at the jack, whatever hangs there counted.
    fn at_jack(&self, hertz: f64) -> Option<Complex<f64>> {
        let ground = tapwright_circuit::GROUND;
        self.small.impedance(hertz, self.built.jack, ground).ok()
    }

    /// Growing natural frequencies, by the eigenvalues of the circuit: those of the closed loop
    /// where there is one. Speakers count as their rated resistance.
    pub fn growing(&self) -> Option<usize> {
        let all = self.small.natural_frequencies().ok()?;
        Some(all.iter().filter(|s| s.re > SLOWEST).count())
    }

    /// What Nyquist's count says of the loop; `None` without feedback.
    pub fn stability(&self, open: &Self) -> Option<Stability> {
        Stability::of(open.growing()?, |hertz| self.loop_gain(hertz))
    }
}

/// The amplifier without its feedback network. What the network carries at rest is missing too:
/// for the gain without feedback see [`Headline::open_gain`], which leaves it.
pub fn opened(amplifier: &Amplifier) -> Amplifier {
    Amplifier {
        feedback: None,
        ..amplifier.clone()
    }
}

/// The amplifier with another feedback resistor, where it has one.
pub fn with_ohms(amplifier: &Amplifier, ohms: f64) -> Amplifier {
    let feedback = amplifier.feedback;
    Amplifier {
        feedback: feedback.map(|feedback| Feedback { ohms, ..feedback }),
        ..amplifier.clone()
    }
}

/// The amplifier with its speakers as their rated resistance.
fn rated(amplifier: &Amplifier) -> Amplifier {
    Amplifier {
        load: amplifier.load.as_ref().map(|load| Load::rated(load.rated)),
        ..amplifier.clone()
    }
}

/// The amplifier with nothing on the jack.
pub fn unloaded(amplifier: &Amplifier) -> Amplifier {
    Amplifier {
        load: None,
        ..amplifier.clone()
    }
}

/// The amplifier with the volume control that stands inside the loop all the way up; `None`
/// where none does, or it is up already.
pub fn at_full_volume(amplifier: &Amplifier) -> Option<Amplifier> {
    let feedback = amplifier.feedback.as_ref()?;
    if matches!(amplifier.splitter, Some(Splitter::LongTailed(_))) {
        // Feedback enters behind every driver.
        return None;
    }
    let mut full = amplifier.clone();
    let inside = full.drivers.iter_mut().skip(feedback.into + 1);
    let volumes = inside.filter_map(|driver| driver.volume.as_mut());
    let mut turned = false;
    for volume in volumes.filter(|volume| volume.share < 1.0) {
        volume.share = 1.0;
        turned = true;
    }
    turned.then_some(full)
}

/// The impedance that the speakers see at a frequency: looking back into the jack with them
/// off, Ω.
///
/// # Errors
/// [`Unanswered`].
pub fn source_impedance(
    amplifier: &Amplifier,
    hertz: &[f64],
) -> Result<Vec<Complex<f64>>, Unanswered> {
    // The point at rest does not depend on the speakers: no direct current flows in them.
    let linear = Linear::of(&unloaded(amplifier))?;
    hertz
        .iter()
        .map(|hertz| linear.at_jack(*hertz).ok_or(Unanswered::Singular))
        .collect()
}

/// Feedback at 1 kHz into the rated resistance, `20 log10 |1 + T|`, dB; `None` without feedback.
///
/// # Errors
/// [`Unanswered`].
pub fn decibels(amplifier: &Amplifier) -> Result<Option<f64>, Unanswered> {
    Ok(decibels_of(&Linear::of(&rated(amplifier))?))
}

fn decibels_of(linear: &Linear) -> Option<f64> {
    linear.loop_gain(HEADLINE_HERTZ)?;
    Some(20.0 * linear.divided_by(HEADLINE_HERTZ).log10())
}

/// The headline numbers.
///
/// # Errors
/// [`Unanswered`].
pub fn headline(amplifier: &Amplifier) -> Result<Headline, Unanswered> {
    let rated = rated(amplifier);
    let linear = Linear::of(&rated)?;
    let gain = linear.gain(HEADLINE_HERTZ).ok_or(Unanswered::Singular)?;
    let source = source_impedance(&rated, &[HEADLINE_HERTZ])?;
    Ok(Headline {
        gain: gain.norm(),
        open_gain: gain.norm() * linear.divided_by(HEADLINE_HERTZ),
        decibels: decibels_of(&linear),
        source_ohms: source.first().map_or(0.0, |z| z.norm()),
    })
}

/// The feedback resistor that gives so many decibels at 1 kHz, Ω, between `range`; found on the
/// logarithm of the resistor. `None` where none in it does: then the decibels at its two ends
/// tell how near one can come.
///
/// # Errors
/// [`Unanswered`].
pub fn resistor_for(
    amplifier: &Amplifier,
    wanted: f64,
    range: (f64, f64),
) -> Result<Option<f64>, Unanswered> {
    let off = |ohms: f64| -> Result<f64, Unanswered> {
        let found = decibels(&with_ohms(amplifier, ohms))?;
        Ok(found.unwrap_or(0.0) - wanted)
    };
    if off(range.0)? < 0.0 || off(range.1)? > 0.0 {
        return Ok(None);
    }
    let log = zero_between(range.0.ln(), range.1.ln(), |log| {
        let off = off(log.exp()).unwrap_or(f64::NAN);
        if off.abs() < NEAR { 0.0 } else { off }
    });
    match log.is_finite() {
        true => Ok(Some(log.exp())),
        false => Err(Unanswered::Singular),
    }
}
