//! Parts: each one's equation, and how it enters the system.

use std::f64::consts::TAU;
use std::sync::Arc;

use nalgebra::Complex;

use crate::law::Law;
use crate::node::Node;

/// A part between nodes. Values are above zero unless it is said otherwise.
#[derive(Clone)]
pub enum Part {
    /// `V_a − V_b = R i`. Ohms.
    Resistor {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Resistance, Ω: above zero.
        ohms: f64,
    },
    /// `i = C d(V_a − V_b)/dt`. Farads.
    Capacitor {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Capacitance, F.
        farads: f64,
    },
    /// `V_a − V_b = L di/dt`. Henries.
    Inductor {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Inductance, H.
        henries: f64,
    },
    /// Windings on one core. Each one: `V_a − V_b = R i + L dI/dt + N e`, with `e` the volts per
    /// turn that the core's flux makes in all of them; `Σ N i = I_m + e/R_c`, and
    /// `e = L_m dI_m/dt`. `I_m`, `L_m` and `R_c` are those of a winding of one turn.
    Core {
        /// The windings.
        windings: Vec<Winding>,
        /// Magnetising inductance of one turn, H.
        henries: f64,
        /// Core loss across one turn, Ω; infinite for none.
        ohms: f64,
    },
    /// `V_plus − V_minus` is what the source says.
    Volts {
        /// The end that is positive.
        plus: Node,
        /// The other end.
        minus: Node,
        /// Its volts.
        source: Source,
    },
    /// A current from `from` through the source to `to`.
    Amps {
        /// Where it is taken.
        from: Node,
        /// Where it is given.
        to: Node,
        /// Its amperes.
        source: Source,
    },
    /// Two ends joined without resistance: `V_a − V_b = 0`. A loop is opened at a joint.
    Joint {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
    },
    /// An impedance known at each frequency: `V_a − V_b = Z(f) i`. At rest and through time it
    /// is a resistor.
    Impedance {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Impedance at a frequency in Hz, Ω.
        at: Arc<dyn Fn(f64) -> Complex<f64> + Send + Sync>,
        /// The resistor that stands for it elsewhere, Ω.
        ohms: f64,
    },
    /// What is not linear.
    Device {
        /// Its terminals, in the order of its law.
        nodes: Vec<Node>,
        /// Its currents.
        law: Arc<dyn Law>,
    },
}

/// One winding on a core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winding {
    /// The start, which swings with the flux.
    pub a: Node,
    /// The end.
    pub b: Node,
    /// Turns, in any unit that all windings share.
    pub turns: f64,
    /// Resistance of the wire, Ω; zero for none.
    pub ohms: f64,
    /// Leakage inductance in series, H; zero for none.
    pub leakage: f64,
}

/// What an independent source gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// At rest.
    pub steady: f64,
    /// Amplitude of the small signal, for one frequency at a time.
    pub signal: f64,
    /// A sine through time: peak, and hertz.
    pub sine: (f64, f64),
}

impl Source {
    /// A source that never changes.
    pub fn steady(value: f64) -> Self {
        Self {
            steady: value,
            signal: 0.0,
            sine: (0.0, 0.0),
        }
    }

    /// A source of a small signal of one.
    pub fn signal() -> Self {
        Self {
            signal: 1.0,
            ..Self::steady(0.0)
        }
    }

    /// A sine about zero.
    pub fn sine(peak: f64, hertz: f64) -> Self {
        Self {
            signal: 1.0,
            sine: (peak, hertz),
            ..Self::steady(0.0)
        }
    }

    /// Its value at a time, s.
    pub(crate) fn at(&self, seconds: f64) -> f64 {
        self.steady + self.sine.0 * (TAU * self.sine.1 * seconds).sin()
    }
}

impl std::fmt::Debug for Part {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Resistor { a, b, ohms } => write!(f, "{a:?} {b:?} {ohms} Ω"),
            Self::Capacitor { a, b, farads } => write!(f, "{a:?} {b:?} {farads} F"),
            Self::Inductor { a, b, henries } => write!(f, "{a:?} {b:?} {henries} H"),
            Self::Core {
                windings,
                henries,
                ohms,
            } => {
                write!(f, "{windings:?} {henries} H {ohms} Ω")
            }
            Self::Volts {
                plus,
                minus,
                source,
            } => write!(f, "{plus:?} {minus:?} {source:?} V"),
            Self::Amps { from, to, source } => write!(f, "{from:?} {to:?} {source:?} A"),
            Self::Joint { a, b } => write!(f, "{a:?} {b:?} joined"),
            Self::Impedance { a, b, ohms, .. } => write!(f, "{a:?} {b:?} Z, {ohms} Ω"),
            Self::Device { nodes, law } => write!(f, "{nodes:?} {law:?}"),
        }
    }
}
