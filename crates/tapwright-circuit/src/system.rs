//! The system that a circuit makes: `C dx/dt + G x + f(x) = s(t)`.

use std::sync::Arc;

use nalgebra::{Complex, DMatrix, DVector};

use crate::circuit::Circuit;
use crate::law::Law;
use crate::node::Node;
use crate::part::{Part, Source};

/// A conductance from every node to ground, S. It holds a node that hangs on capacitors alone at
/// rest, and is less than any part notices.
const LEAST_SIEMENS: f64 = 1e-12;

/// The longest step of Newton's method, V: laws that grow with a power of the volts overshoot.
pub(crate) const LONGEST: f64 = 60.0;

/// The unknowns of a device, `None` for ground, and its law.
type Device = (Vec<Option<usize>>, Arc<dyn Law>);

type OverFrequency = Arc<dyn Fn(f64) -> Complex<f64> + Send + Sync>;

/// The matrices of a circuit. Node `n` is unknown `n − 1`; the currents of parts come after.
#[derive(Clone)]
pub(crate) struct System {
    /// `G`, S and unitless.
    pub conductance: DMatrix<f64>,
    /// `C`, F and H.
    pub storage: DMatrix<f64>,
    /// Independent sources: the row that each enters with its sign, and what it gives.
    sources: Vec<(usize, f64, Source)>,
    /// Devices: their unknowns (`None` is ground) and their law.
    devices: Vec<Device>,
    /// Impedances over frequency: the row of the current, and its value.
    impedances: Vec<(usize, OverFrequency, f64)>,
    /// The first own current of each part, where it has one.
    currents: Vec<Option<usize>>,
}

/// The unknown of a node; `None` is ground.
pub(crate) fn unknown(node: Node) -> Option<usize> {
    node.0.checked_sub(1)
}

impl System {
    pub fn of(circuit: &Circuit) -> Self {
        let nodes = circuit.nodes().count();
        let own: usize = circuit.parts().map(|(_, part)| own_currents(part)).sum();
        let size = nodes + own;
        let mut system = Self {
            conductance: DMatrix::zeros(size, size),
            storage: DMatrix::zeros(size, size),
            sources: Vec::new(),
            devices: Vec::new(),
            impedances: Vec::new(),
            currents: Vec::new(),
        };
        for node in 0..nodes {
            system.conductance[(node, node)] += LEAST_SIEMENS;
        }
        let mut next = nodes;
        for (_, part) in circuit.parts() {
            let own = own_currents(part);
            system.currents.push((own > 0).then_some(next));
            system.stamp(part, next);
            next += own;
        }
        system
    }

    /// How many unknowns there are.
    pub fn size(&self) -> usize {
        self.conductance.nrows()
    }

    /// The first own current of the part at a place.
    pub fn current(&self, place: usize) -> Option<usize> {
        self.currents.get(place).copied().flatten()
    }

    /// `+value` where the current leaves, `−value` where it comes in: the stamp of an admittance.
    fn admittance(matrix: &mut DMatrix<f64>, a: Node, b: Node, value: f64) {
        for (row, sign) in [(a, 1.0), (b, -1.0)] {
            for (column, other) in [(a, 1.0), (b, -1.0)] {
                if let (Some(row), Some(column)) = (unknown(row), unknown(column)) {
                    matrix[(row, column)] += sign * other * value;
                }
            }
        }
    }

    /// The current of unknown `own` leaves node `a` and enters node `b`; and in its own row
    /// stands `V_a − V_b`.
    fn branch(&mut self, a: Node, b: Node, own: usize) {
        for (node, sign) in [(a, 1.0), (b, -1.0)] {
            if let Some(node) = unknown(node) {
                self.conductance[(node, own)] += sign;
                self.conductance[(own, node)] += sign;
            }
        }
    }

    fn stamp(&mut self, part: &Part, own: usize) {
        match part {
            Part::Resistor { a, b, ohms } => {
                Self::admittance(&mut self.conductance, *a, *b, 1.0 / ohms);
            }
            Part::Capacitor { a, b, farads } => {
                Self::admittance(&mut self.storage, *a, *b, *farads);
            }
            Part::Inductor { a, b, henries } => {
                self.branch(*a, *b, own);
                self.storage[(own, own)] -= henries;
            }
            Part::Core {
                windings,
                henries,
                ohms,
            } => {
                // The windings' currents, then the volts per turn, then the magnetising current.
                let (volts, magnetising) = (own + windings.len(), own + windings.len() + 1);
                for (place, winding) in windings.iter().enumerate() {
                    let current = own + place;
                    self.branch(winding.a, winding.b, current);
                    self.conductance[(current, current)] -= winding.ohms;
                    self.storage[(current, current)] -= winding.leakage;
                    self.conductance[(current, volts)] -= winding.turns;
                    self.conductance[(volts, current)] += winding.turns;
                }
                self.conductance[(volts, volts)] -= 1.0 / ohms;
                self.conductance[(volts, magnetising)] -= 1.0;
                self.conductance[(magnetising, volts)] += 1.0;
                self.storage[(magnetising, magnetising)] -= henries;
            }
            Part::Volts {
                plus,
                minus,
                source,
            } => {
                self.branch(*plus, *minus, own);
                self.sources.push((own, 1.0, *source));
            }
            Part::Joint { a, b } => self.branch(*a, *b, own),
            Part::Amps { from, to, source } => {
                for (node, sign) in [(from, -1.0), (to, 1.0)] {
                    if let Some(row) = unknown(*node) {
                        self.sources.push((row, sign, *source));
                    }
                }
            }
            Part::Impedance { a, b, at, ohms } => {
                self.branch(*a, *b, own);
                self.impedances.push((own, at.clone(), *ohms));
                self.conductance[(own, own)] -= ohms;
            }
            Part::Device { nodes, law } => {
                let nodes = nodes.iter().map(|node| unknown(*node)).collect();
                self.devices.push((nodes, law.clone()));
            }
        }
    }

    /// What the sources give: with a weight on each part's value.
    fn given(&self, value: impl Fn(&Source) -> f64) -> DVector<f64> {
        let mut given = DVector::zeros(self.size());
        for (row, sign, source) in &self.sources {
            given[*row] += sign * value(source);
        }
        given
    }

    /// The sources at rest.
    pub fn at_rest(&self) -> DVector<f64> {
        self.given(|source| source.steady)
    }

    /// The sources at a time, s.
    pub fn at_time(&self, seconds: f64) -> DVector<f64> {
        self.given(|source| source.at(seconds))
    }

    /// The sources' small signal.
    pub fn signal(&self) -> DVector<f64> {
        self.given(|source| source.signal)
    }

    /// What flows at `x`, `G x + f(x)`, and its slopes, `G + J`.
    pub fn flow(&self, x: &DVector<f64>) -> (DVector<f64>, DMatrix<f64>) {
        let mut slopes = self.conductance.clone();
        let mut amps = &self.conductance * x;
        for (nodes, law) in &self.devices {
            let volts: Vec<f64> = nodes
                .iter()
                .map(|node| node.map_or(0.0, |at| x[at]))
                .collect();
            let found = law.at(&volts);
            for (terminal, row) in nodes.iter().enumerate() {
                let Some(row) = *row else { continue };
                amps[row] += found.amps[terminal];
                for (other, column) in nodes.iter().enumerate() {
                    if let Some(column) = *column {
                        slopes[(row, column)] += found.siemens[(terminal, other)];
                    }
                }
            }
        }
        (amps, slopes)
    }

    /// `G + J + jωC` about a point, with every impedance as it is at that frequency.
    pub fn at_frequency(&self, slopes: &DMatrix<f64>, hertz: f64) -> DMatrix<Complex<f64>> {
        let omega = std::f64::consts::TAU * hertz;
        let mut matrix = DMatrix::from_fn(self.size(), self.size(), |row, column| {
            Complex::new(slopes[(row, column)], omega * self.storage[(row, column)])
        });
        for (own, at, ohms) in &self.impedances {
            matrix[(*own, *own)] += Complex::from(*ohms) - at(hertz);
        }
        matrix
    }
}

/// How many currents of its own a part has.
fn own_currents(part: &Part) -> usize {
    match part {
        Part::Inductor { .. }
        | Part::Volts { .. }
        | Part::Joint { .. }
        | Part::Impedance { .. } => 1,
        Part::Core { windings, .. } => windings.len() + 2,
        Part::Resistor { .. }
        | Part::Capacitor { .. }
        | Part::Amps { .. }
        | Part::Device { .. } => 0,
    }
}
