//! Small signals about a point at rest, one frequency at a time.

use std::fmt;

use nalgebra::{Complex, DMatrix, DVector};

use crate::circuit::Circuit;
use crate::direct::{DirectPoint, NoPoint};
use crate::node::Node;
use crate::system::{System, unknown};

/// The equations have no single solution at this frequency.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Singular;

impl fmt::Display for Singular {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the equations of the circuit have no single solution at this frequency")
    }
}

impl std::error::Error for Singular {}

/// Natural frequencies above this are not told from the rounding of the arithmetic, Hz.
const FASTEST_HERTZ: f64 = 1e7;

/// A circuit made linear about its point at rest.
#[derive(Clone)]
pub struct SmallSignal {
    system: System,
    /// `G + J`.
    slopes: DMatrix<f64>,
    /// Where each named joint stands: its own current.
    joints: Vec<(String, usize, [Option<usize>; 2])>,
}

/// What opening a loop at a joint tells at one frequency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoopGain {
    /// `T = −V(take-off)/E`: the take-off carries the load of the network that it feeds, and the
    /// network is fed from an ideal source `E`.
    pub ratio: Complex<f64>,
    /// The signal at the take-off from the circuit's own sources, with the loop open and the
    /// network's end grounded: the gain without feedback.
    pub open: Complex<f64>,
}

impl SmallSignal {
    /// Linear about the point at rest.
    ///
    /// # Errors
    /// [`NoPoint`].
    pub fn of(circuit: &Circuit) -> Result<Self, NoPoint> {
        Ok(Self::about(circuit, &DirectPoint::of(circuit)?))
    }

    /// Linear about a point at rest that is known.
    pub fn about(circuit: &Circuit, point: &DirectPoint) -> Self {
        let system = System::of(circuit);
        let (_, slopes) = system.flow(&point.x);
        let joints = (circuit.parts().enumerate()).filter_map(|(place, (name, part))| match part {
            crate::Part::Joint { a, b } => Some((
                name.to_owned(),
                system.current(place)?,
                [unknown(*a), unknown(*b)],
            )),
            _ => None,
        });
        Self {
            joints: joints.collect(),
            system,
            slopes,
        }
    }

    /// The signal at every node at a frequency, Hz, for the circuit's own sources.
    ///
    /// # Errors
    /// [`Singular`].
    pub fn at(&self, hertz: f64) -> Result<Signal, Singular> {
        let matrix = self.system.at_frequency(&self.slopes, hertz);
        let given = self.system.signal().map(Complex::from);
        let x = matrix.lu().solve(&given).ok_or(Singular)?;
        Ok(Signal { x })
    }

    /// The impedance between two nodes, the sources silent, Ω.
    ///
    /// # Errors
    /// [`Singular`].
    pub fn impedance(&self, hertz: f64, a: Node, b: Node) -> Result<Complex<f64>, Singular> {
        let matrix = self.system.at_frequency(&self.slopes, hertz);
        let mut given = DVector::from_element(self.system.size(), Complex::from(0.0));
        for (node, amps) in [(a, 1.0), (b, -1.0)] {
            if let Some(row) = unknown(node) {
                given[row] += Complex::from(amps);
            }
        }
        let x = matrix.lu().solve(&given).ok_or(Singular)?;
        let signal = Signal { x };
        Ok(signal.volts(a) - signal.volts(b))
    }

    /// The loop gain at a named joint, whose first node is the take-off and whose second is the
    /// end of the feedback network. `None` without such a joint.
    ///
    /// With the joint open and the end held by `E`, `V = B E − Z i` at the take-off, where `i` is
    /// drawn from it; the network draws `y E`. With that load, `V = B E/(1 + Z y)`.
    ///
    /// # Errors
    /// [`Singular`].
    pub fn loop_gain(&self, joint: &str, hertz: f64) -> Option<Result<LoopGain, Singular>> {
        let (_, own, [take_off, end]) = self.joints.iter().find(|(name, ..)| name == joint)?;
        Some(self.opened(*own, (*take_off)?, (*end)?, hertz))
    }

    fn opened(
        &self,
        own: usize,
        take_off: usize,
        end: usize,
        hertz: f64,
    ) -> Result<LoopGain, Singular> {
        let mut matrix = self.system.at_frequency(&self.slopes, hertz);
        // The joint's current no longer leaves the take-off, and its row says `V(end) = E`.
        let (zero, one) = (Complex::from(0.0), Complex::from(1.0));
        matrix[(take_off, own)] = zero;
        for column in 0..self.system.size() {
            matrix[(own, column)] = zero;
        }
        matrix[(own, end)] = one;
        let lu = matrix.lu();
        let mut from_end = DVector::from_element(self.system.size(), zero);
        from_end[own] = one;
        let mut from_take_off = DVector::from_element(self.system.size(), zero);
        from_take_off[take_off] = one;
        let mut from_sources = self.system.signal().map(Complex::from);
        from_sources[own] = zero;
        let by_end = lu.solve(&from_end).ok_or(Singular)?;
        let by_take_off = lu.solve(&from_take_off).ok_or(Singular)?;
        let by_sources = lu.solve(&from_sources).ok_or(Singular)?;
        // The joint's current goes into the end of the network: it is what the network draws.
        let drawn = by_end[own];
        let loaded = one + by_take_off[take_off] * drawn;
        Ok(LoopGain {
            ratio: -by_end[take_off] / loaded,
            open: by_sources[take_off] / loaded,
        })
    }

    /// The natural frequencies of the circuit up to 10 MHz: each signal dies out or grows as `e^{st}`, with
    /// these `s` in 1/s. Impedances over frequency count as their resistors.
    ///
    /// `det(G + J + sC) = 0`, from the eigenvalues of `(G + J + σC)⁻¹ C` for a real σ that is no
    /// natural frequency itself.
    ///
    /// # Errors
    /// [`Singular`].
    pub fn natural_frequencies(&self) -> Result<Vec<Complex<f64>>, Singular> {
        // A round value would meet a natural frequency in a round circuit.
        let sigma = 12_345.678_9;
        let shifted = &self.slopes + sigma * &self.system.storage;
        let product = shifted.lu().solve(&self.system.storage).ok_or(Singular)?;
        let values = product.complex_eigenvalues();
        // What has no storage has no natural frequency: its eigenvalue is zero, or as near to it
        // as the arithmetic comes, which is a frequency far above all that is looked at.
        let slow = |s: &Complex<f64>| s.norm() <= std::f64::consts::TAU * FASTEST_HERTZ;
        let values = values.iter().filter(|value| value.norm() > 0.0);
        let all = values.map(|value| Complex::from(sigma) - Complex::from(1.0) / value);
        Ok(all.filter(slow).collect())
    }
}

/// Small signals at one frequency.
#[derive(Debug, Clone)]
pub struct Signal {
    x: DVector<Complex<f64>>,
}

impl Signal {
    /// The signal at a node, from ground.
    pub fn volts(&self, node: Node) -> Complex<f64> {
        unknown(node).map_or(Complex::from(0.0), |at| self.x[at])
    }
}
