//! A circuit: named nodes, and named parts between them.

use std::collections::HashMap;

use crate::node::Node;
use crate::part::Part;

/// Named nodes and parts.
///
/// ```
/// use tapwright_circuit::{Circuit, DirectPoint, GROUND, Part, Source};
/// let mut circuit = Circuit::new();
/// let (top, middle) = (circuit.node("top"), circuit.node("middle"));
/// circuit.add("V1", Part::Volts { plus: top, minus: GROUND, source: Source::steady(10.0) });
/// circuit.add("R1", Part::Resistor { a: top, b: middle, ohms: 1e3 });
/// circuit.add("R2", Part::Resistor { a: middle, b: GROUND, ohms: 3e3 });
/// let point = DirectPoint::of(&circuit).unwrap();
/// assert!((point.volts(middle) - 7.5).abs() < 1e-6);
/// ```
#[derive(Debug, Clone, Default)]
pub struct Circuit {
    names: Vec<String>,
    by_name: HashMap<String, Node>,
    parts: Vec<(String, Part)>,
}

impl Circuit {
    /// A circuit with nothing in it but ground.
    pub fn new() -> Self {
        let mut circuit = Self::default();
        circuit.node("0");
        circuit
    }

    /// The node of this name, made when it is first asked for.
    pub fn node(&mut self, name: &str) -> Node {
        if let Some(node) = self.by_name.get(name) {
            return *node;
        }
        let node = Node(self.names.len());
        self.names.push(name.to_owned());
        self.by_name.insert(name.to_owned(), node);
        node
    }

    /// The node of this name, if there is one.
    pub fn find(&self, name: &str) -> Option<Node> {
        self.by_name.get(name).copied()
    }

    /// The name of a node.
    pub fn name(&self, node: Node) -> &str {
        self.names.get(node.0).map_or("0", String::as_str)
    }

    /// Every node but ground.
    pub fn nodes(&self) -> impl Iterator<Item = Node> {
        (1..self.names.len()).map(Node)
    }

    /// Adds a part. Its name is for whoever reads or changes the circuit.
    pub fn add(&mut self, name: &str, part: Part) {
        self.parts.push((name.to_owned(), part));
    }

    /// Every part with its name.
    pub fn parts(&self) -> impl Iterator<Item = (&str, &Part)> {
        self.parts.iter().map(|(name, part)| (name.as_str(), part))
    }

    /// The part of this name.
    pub fn part(&self, name: &str) -> Option<&Part> {
        self.parts()
            .find(|(found, _)| *found == name)
            .map(|(_, part)| part)
    }

    /// The part of this name, to be changed: a fault, another setting.
    pub fn part_mut(&mut self, name: &str) -> Option<&mut Part> {
        let found = self.parts.iter_mut().find(|(found, _)| found == name);
        found.map(|(_, part)| part)
    }

    /// Takes the part of this name out.
    pub fn remove(&mut self, name: &str) {
        self.parts.retain(|(found, _)| found != name);
    }

    /// The place of the part of this name.
    pub(crate) fn place(&self, name: &str) -> Option<usize> {
        self.parts.iter().position(|(found, _)| found == name)
    }
}
