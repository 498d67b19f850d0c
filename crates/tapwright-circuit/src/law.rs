//! What is not linear: a device that gives its currents and their slopes.

use std::fmt::Debug;

use nalgebra::DMatrix;

/// The currents into the terminals of a device, and how each changes with the volts of each.
#[derive(Debug, Clone, PartialEq)]
pub struct Slopes {
    /// Amperes into each terminal; their sum is zero.
    pub amps: Vec<f64>,
    /// Siemens: row the current of a terminal, column the volts of one.
    pub siemens: DMatrix<f64>,
}

impl Slopes {
    /// No current at any of so many terminals.
    pub fn none(terminals: usize) -> Self {
        Self {
            amps: vec![0.0; terminals],
            siemens: DMatrix::zeros(terminals, terminals),
        }
    }

    /// Adds a current that flows into terminal `from` and out of terminal `to`, with its slope
    /// by the volts of each terminal named.
    pub fn add(&mut self, from: usize, to: usize, amps: f64, slopes: &[(usize, f64)]) {
        self.amps[from] += amps;
        self.amps[to] -= amps;
        for (by, siemens) in slopes {
            self.siemens[(from, *by)] += siemens;
            self.siemens[(to, *by)] -= siemens;
        }
    }
}

/// A device with several terminals whose currents follow from the volts at them, at once.
///
/// The currents are continuous and so are their slopes; they depend on differences of volts
/// alone, and their sum is zero: what flows in flows out.
pub trait Law: Debug + Send + Sync {
    /// How many terminals it has.
    fn terminals(&self) -> usize;

    /// Currents and slopes at these volts, one for each terminal.
    fn at(&self, volts: &[f64]) -> Slopes;

    /// The same law for ngspice: whole lines between these nodes, whose device names end with
    /// `name`.
    fn deck(&self, name: &str, nodes: &[&str]) -> Vec<String>;
}
