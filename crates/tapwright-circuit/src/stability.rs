//! Whether a loop is stable, and by how much, from its loop gain over frequency.
//!
//! By Nyquist's count: the closed loop has as many growing natural frequencies as the open one,
//! plus the turns that `1 + T(jω)` makes clockwise about zero over all frequencies (H. Nyquist,
//! Bell System Technical Journal 11, 1932). One crossing of `|T| = 1` alone decides nothing.

use nalgebra::Complex;

/// The lowest and the highest frequency that are always looked at, Hz.
const FROM: f64 = 0.1;
const TO: f64 = 1e7;

/// Where `|T|` is below this it decides nothing: from there on out no frequency is looked at.
const LITTLE: f64 = 0.01;

/// How many decades further the look goes on either side while `|T|` is not so little there.
const FURTHER: i32 = 8;

/// Frequencies to the decade before any are added.
const PER_DECADE: usize = 12;

/// Between neighbours `1 + T` turns by no more than this, rad, and `T` too where it counts.
const TURN: f64 = 0.15;

/// Tries to come nearer to a crossing between neighbours.
const TRIES: usize = 4;

/// The least ratio of neighbouring frequencies.
const FINEST: f64 = 1.0 + 1e-6;

/// A frequency at which `T` crosses a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Frequency, Hz.
    pub hertz: f64,
    /// Where `|T| = 1`: the degrees that `T` is from −180°, of either sign. Where `T` is negative
    /// and real: `−20 log10 |T|`, the decibels by which it may still grow, or has to fall.
    pub margin: f64,
}

/// What the loop gain over frequency says.
#[derive(Debug, Clone, PartialEq)]
pub struct Stability {
    /// Growing natural frequencies of the closed loop.
    pub growing: usize,
    /// Every crossing of `|T| = 1`, lowest frequency first.
    pub phase: Vec<Crossing>,
    /// Every frequency at which `T` is negative and real, lowest first.
    pub gain: Vec<Crossing>,
    /// The loop gain as it was looked at: Hz and `T`.
    pub path: Vec<(f64, Complex<f64>)>,
}

impl Stability {
    /// Looks at a loop gain from 0.1 Hz to 10 MHz, and further out while it is not below 0.01
    /// there: a primary of which no inductance is known passes far less than that. `open` is how many growing natural
    /// frequencies the loop has while it is open. `None` where the loop gain is not to be had.
    pub fn of(open: usize, gain: impl Fn(f64) -> Option<Complex<f64>>) -> Option<Self> {
        let from = end(FROM, 0.1, &gain)?;
        let decades = (end(TO, 10.0, &gain)? / from).log10().round() as usize;
        let count = decades * PER_DECADE;
        let mut path: Vec<(f64, Complex<f64>)> = Vec::new();
        for step in 0..=count {
            let hertz = from * 10_f64.powf(step as f64 / PER_DECADE as f64);
            let here = (hertz, gain(hertz)?);
            if let Some(before) = path.last().copied() {
                refine(before, here, &gain, &mut path)?;
            }
            path.push(here);
        }
        let turned: f64 = path.windows(2).map(|pair| turn(pair[0].1, pair[1].1)).sum();
        // The negative frequencies turn as far again; a whole turn is 2π.
        let clockwise = (-turned / std::f64::consts::PI).round();
        let growing = (open as f64 + clockwise).max(0.0) as usize;
        Some(Self {
            growing,
            phase: crossings(&path, &gain, |t| t.norm().ln(), |t| Some(from_half_turn(t))),
            gain: crossings(
                &path,
                &gain,
                |t| t.im,
                |t| (t.re < 0.0).then(|| -20.0 * t.norm().log10()),
            ),
            path,
        })
    }

    /// Whether every signal dies out.
    pub fn is_stable(&self) -> bool {
        self.growing == 0
    }

    /// The crossing of `|T| = 1` that is nearest to −180°.
    pub fn phase_margin(&self) -> Option<Crossing> {
        let nearest = |a: &&Crossing, b: &&Crossing| a.margin.abs().total_cmp(&b.margin.abs());
        self.phase.iter().min_by(nearest).copied()
    }

    /// The frequency at which `T` is negative and real and the least growth reaches −1.
    pub fn gain_margin(&self) -> Option<Crossing> {
        let within = self.gain.iter().filter(|crossing| crossing.margin > 0.0);
        within.min_by(|a, b| a.margin.total_cmp(&b.margin)).copied()
    }
}

/// The end of the look: in steps of a decade outwards until the loop gain is little.
fn end(mut hertz: f64, outwards: f64, gain: &impl Fn(f64) -> Option<Complex<f64>>) -> Option<f64> {
    for _ in 0..FURTHER {
        if gain(hertz)?.norm() < LITTLE {
            break;
        }
        hertz *= outwards;
    }
    Some(hertz)
}

/// How far `1 + T` turns from one to the next, rad, counterclockwise.
fn turn(before: Complex<f64>, after: Complex<f64>) -> f64 {
    ((after + 1.0) / (before + 1.0)).arg()
}

/// Degrees of `T` from −180°, −180 to 180.
fn from_half_turn(t: Complex<f64>) -> f64 {
    (-t).arg().to_degrees()
}

/// Adds what lies between two frequencies until neighbours are near.
fn refine(
    before: (f64, Complex<f64>),
    after: (f64, Complex<f64>),
    gain: &impl Fn(f64) -> Option<Complex<f64>>,
    path: &mut Vec<(f64, Complex<f64>)>,
) -> Option<()> {
    let counts = before.1.norm().max(after.1.norm()) > LITTLE;
    let turns = turn(before.1, after.1)
        .abs()
        .max((after.1 / before.1).arg().abs());
    if !counts || turns < TURN || after.0 / before.0 < FINEST {
        return Some(());
    }
    let hertz = (before.0 * after.0).sqrt();
    let middle = (hertz, gain(hertz)?);
    refine(before, middle, gain, path)?;
    path.push(middle);
    refine(middle, after, gain, path)
}

/// Where a function of `T` changes its sign: by false position between neighbours, in the
/// logarithm of the frequency.
fn crossings(
    path: &[(f64, Complex<f64>)],
    gain: &impl Fn(f64) -> Option<Complex<f64>>,
    of: impl Fn(Complex<f64>) -> f64,
    margin: impl Fn(Complex<f64>) -> Option<f64>,
) -> Vec<Crossing> {
    let mut found = Vec::new();
    for pair in path.windows(2) {
        let (mut low, mut high) = (pair[0], pair[1]);
        if of(low.1) == 0.0 || of(low.1).signum() == of(high.1).signum() {
            continue;
        }
        let mut at = low;
        for _ in 0..TRIES {
            let (a, b) = (of(low.1), of(high.1));
            let hertz = low.0 * (high.0 / low.0).powf(a / (a - b));
            let Some(t) = gain(hertz) else { break };
            at = (hertz, t);
            if of(t).signum() == a.signum() {
                low = at;
            } else {
                high = at;
            }
        }
        if let Some(margin) = margin(at.1) {
            found.push(Crossing {
                hertz: at.0,
                margin,
            });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three equal lags with a gain of `k`: stable below 8, where they turn by 180° at √3 of the
    /// corner and leave an eighth. Exact arithmetic.
    #[test]
    fn three_lags_are_stable_below_a_gain_of_eight() {
        let lags = |k: f64| {
            move |hertz: f64| {
                let lag = Complex::from(1.0) / Complex::new(1.0, hertz / 1e3);
                Some(lag * lag * lag * k)
            }
        };
        let stable = Stability::of(0, lags(4.0)).expect("a gain");
        assert!(stable.is_stable());
        let margin = stable.gain_margin().expect("a margin");
        assert!(
            (margin.margin - 20.0 * 2_f64.log10()).abs() < 1e-3,
            "{margin:?}"
        );
        assert!(
            (margin.hertz / (1e3 * 3_f64.sqrt()) - 1.0).abs() < 1e-4,
            "{margin:?}"
        );
        let howling = Stability::of(0, lags(12.0)).expect("a gain");
        assert_eq!(howling.growing, 2);
    }

    /// A loop that crosses 1 three times: its gain is negative and real where it is large, and
    /// yet nothing grows; with less gain it does. The first crossing alone tells neither.
    #[test]
    fn a_conditionally_stable_loop_is_told_from_its_turns() {
        // Three lags low down, two leads in the middle.
        let loop_gain = |k: f64| {
            move |hertz: f64| {
                let lag = Complex::from(1.0) / Complex::new(1.0, hertz);
                let lead = Complex::new(1.0, hertz / 100.0);
                Some(lag * lag * lag * lead * lead * k)
            }
        };
        let much = Stability::of(0, loop_gain(1e7)).expect("a gain");
        assert!(much.gain.iter().any(|crossing| crossing.margin < 0.0));
        assert!(much.is_stable(), "{}", much.growing);
        let less = Stability::of(0, loop_gain(1e3)).expect("a gain");
        assert_eq!(less.growing, 2);
    }

    /// Three corners at a ten-thousandth of a hertz, as where no inductance is known: the loop
    /// gain still is large at 0.1 Hz, and what it turns below decides.
    #[test]
    fn what_turns_below_a_tenth_of_a_hertz_counts() {
        let highs = |k: f64| {
            move |hertz: f64| {
                let high = Complex::new(0.0, hertz / 1e-4) / Complex::new(1.0, hertz / 1e-4);
                let lag = Complex::from(1.0) / Complex::new(1.0, hertz / 1e4);
                Some(high * high * high * lag * k)
            }
        };
        let growing = |k: f64| Stability::of(0, highs(k)).expect("a gain").growing;
        assert_eq!((growing(4.0), growing(12.0)), (0, 2));
    }

    /// Positive feedback of more than one grows without turning.
    #[test]
    fn wrong_polarity_grows() {
        let gain = |hertz: f64| Some(Complex::from(-3.0) / Complex::new(1.0, hertz / 1e4));
        assert_eq!(Stability::of(0, gain).expect("a gain").growing, 1);
    }
}
