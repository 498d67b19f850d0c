//! Parts of a netlist, line by line.

use std::f64::consts::PI;
use std::fmt::{self, Display, Formatter};

use super::{DECOUPLING, HERTZ};

/// A number as SPICE reads it, to nine digits: more than any result keeps.
pub(super) struct Value(pub f64);

impl Display for Value {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let short: f64 = format!("{:.8e}", self.0).parse().unwrap_or(self.0);
        if short == 0.0 || (1e-3..1e7).contains(&short.abs()) {
            write!(f, "{short}")
        } else {
            write!(f, "{short:e}")
        }
    }
}

/// A supply with its source resistance in words.
pub(super) fn behind(ohms: f64) -> &'static str {
    if ohms > 0.0 {
        "a voltage behind a resistance, and a capacitor"
    } else {
        "a voltage"
    }
}

/// The capacitor whose reactance at the drive's frequency is `ohms` over `times`, F.
pub(super) fn farads(times: f64, ohms: f64) -> f64 {
    times / (2.0 * PI * HERTZ * ohms)
}

/// A supply's parts, with its output on `node`.
pub(super) fn rail(
    f: &mut Formatter<'_>,
    name: &str,
    node: &str,
    volts: f64,
    ohms: f64,
) -> fmt::Result {
    if ohms > 0.0 {
        writeln!(f, "V{name} {node}0 0 {}", Value(volts))?;
        writeln!(f, "R{name} {node}0 {node} {}", Value(ohms))?;
        writeln!(f, "C{name} {node} 0 {}", Value(farads(DECOUPLING, ohms)))
    } else {
        writeln!(f, "V{name} {node} 0 {}", Value(volts))
    }
}

/// A coil on the core: its name, the node towards the supply and the node towards the plate,
/// its turns over the primary's, and the resistance of its wire.
pub(super) fn coil(
    f: &mut Formatter<'_>,
    [name, from, to]: &[String; 3],
    turns: f64,
    ohms: f64,
) -> fmt::Result {
    let turns = Value(turns);
    if ohms > 0.0 {
        writeln!(f, "Rcoil{name} {from} w{name} {}", Value(ohms))?;
        writeln!(f, "Ecoil{name} w{name} {to} load 0 {turns}")?;
    } else {
        writeln!(f, "Ecoil{name} {from} {to} load 0 {turns}")?;
    }
    writeln!(f, "Fcoil{name} 0 load Ecoil{name} {turns}")
}
