//! A node of a circuit.

/// A node of a circuit. [`GROUND`] is in every one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Node(pub(crate) usize);

/// The node that all volts are counted from.
pub const GROUND: Node = Node(0);
