//! The same parts for ngspice.

use std::fmt::Write as _;

use crate::circuit::Circuit;
use crate::node::Node;
use crate::part::{Part, Source, Winding};

/// The parts of a circuit as lines of a deck for ngspice, without analyses and without `.end`.
///
/// Node names stay, with every character that ngspice could stumble over as an underscore. An
/// impedance over frequency is written as the resistor that stands for it, and a remark says so.
pub fn deck(circuit: &Circuit, title: &str) -> String {
    let mut lines = format!("* {}\n", title.replace('\n', " "));
    for (name, part) in circuit.parts() {
        // What is written into a string cannot fail.
        let _ = write_part(&mut lines, circuit, &plain(name), part);
    }
    lines
}

/// A name with nothing in it but letters, digits and underscores.
fn plain(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '_' })
        .collect()
}

fn write_part(deck: &mut String, circuit: &Circuit, name: &str, part: &Part) -> std::fmt::Result {
    let node = |node: Node| plain(circuit.name(node));
    match part {
        Part::Resistor { a, b, ohms } => {
            writeln!(deck, "R{name} {} {} {ohms:e}", node(*a), node(*b))
        }
        Part::Capacitor { a, b, farads } => {
            writeln!(deck, "C{name} {} {} {farads:e}", node(*a), node(*b))
        }
        Part::Inductor { a, b, henries } => {
            writeln!(deck, "L{name} {} {} {henries:e}", node(*a), node(*b))
        }
        Part::Volts {
            plus,
            minus,
            source,
        } => {
            writeln!(
                deck,
                "V{name} {} {} {}",
                node(*plus),
                node(*minus),
                given(source)
            )
        }
        Part::Amps { from, to, source } => {
            writeln!(
                deck,
                "I{name} {} {} {}",
                node(*from),
                node(*to),
                given(source)
            )
        }
        Part::Joint { a, b } => writeln!(deck, "V{name} {} {} DC 0", node(*a), node(*b)),
        Part::Impedance { a, b, ohms, .. } => {
            writeln!(deck, "* {name} is known over frequency; here as a resistor")?;
            writeln!(deck, "R{name} {} {} {ohms:e}", node(*a), node(*b))
        }
        Part::Core {
            windings,
            henries,
            ohms,
        } => {
            let core = format!("{name}_core");
            writeln!(deck, "L{core} {core} 0 {henries:e}")?;
            if ohms.is_finite() {
                writeln!(deck, "R{core} {core} 0 {ohms:e}")?;
            }
            for (place, winding) in windings.iter().enumerate() {
                write_winding(deck, &core, &format!("{name}_{place}"), winding, node)?;
            }
            Ok(())
        }
        Part::Device { nodes, law } => {
            let names: Vec<String> = nodes.iter().map(|at| node(*at)).collect();
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            for line in law.deck(name, &names) {
                writeln!(deck, "{line}")?;
            }
            Ok(())
        }
    }
}

/// Wire, leakage, and the volts that the flux makes, in series; the winding's ampere-turns go
/// into the core's node, whose volts are the volts per turn.
fn write_winding(
    deck: &mut String,
    core: &str,
    name: &str,
    winding: &Winding,
    node: impl Fn(Node) -> String,
) -> std::fmt::Result {
    let Winding {
        a,
        b,
        turns,
        ohms,
        leakage,
    } = *winding;
    let mut at = node(a);
    if ohms > 0.0 {
        writeln!(deck, "R{name} {at} {name}_wire {ohms:e}")?;
        at = format!("{name}_wire");
    }
    if leakage > 0.0 {
        writeln!(deck, "L{name} {at} {name}_leak {leakage:e}")?;
        at = format!("{name}_leak");
    }
    writeln!(deck, "V{name} {at} {name}_flux DC 0")?;
    writeln!(deck, "E{name} {name}_flux {} {core} 0 {turns:e}", node(b))?;
    writeln!(deck, "F{name} 0 {core} V{name} {turns:e}")
}

fn given(source: &Source) -> String {
    let mut text = format!("DC {:e} AC {:e}", source.steady, source.signal);
    if source.sine.0 != 0.0 {
        let _ = write!(
            text,
            " SIN({:e} {:e} {:e})",
            source.steady, source.sine.0, source.sine.1
        );
    }
    text
}
