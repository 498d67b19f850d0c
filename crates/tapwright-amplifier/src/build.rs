//! The amplifier's parts joined to one circuit, with named nodes.

use std::fmt;
use std::sync::Arc;

use tapwright_circuit::{Circuit, GROUND, Node, Part, Source};

mod drive;
mod output;
mod transformer;

use crate::Amplifier;
use crate::driver::{Capacitance, Triode};
use crate::transformer::TakeOff;
use crate::tube_law::TubeLaw;

/// The joint between the tap that feedback is taken from and the feedback network.
pub const TAKE_OFF: &str = "take-off";

/// The least that a part of a control may have, Ω: a wiper never quite reaches its end.
const LEAST_OHMS: f64 = 0.1;

/// The amplifier as a circuit, with the nodes that one asks about.
#[derive(Debug, Clone)]
pub struct Built {
    /// The circuit.
    pub circuit: Circuit,
    /// The jack's live side.
    pub jack: Node,
    /// Every tap, in the order of the taps.
    pub taps: Vec<Node>,
    /// Plates of the output stage: one, or two.
    pub plates: Vec<Node>,
    /// B+ at the primary.
    pub supply: Node,
    /// The cathodes of the output stage.
    pub cathode: Node,
    /// The tap that feedback is taken from; `None` without feedback.
    pub take_off: Option<Node>,
}

/// Why the amplifier cannot be wired so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// The cathode that feedback would enter is wholly bypassed.
    BypassedCathode,
    /// There is no stage that feedback could enter.
    NoStage,
    /// The tap that feedback is taken from is not there.
    NoTap,
    /// Push-pull with drivers needs something that turns the phase.
    NoSplitter,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::BypassedCathode => {
                "the cathode resistor that feedback enters is wholly bypassed: its capacitor shorts \
                 the feedback. Leave a part of the resistor without a capacitor"
            }
            Self::NoStage => "there is no driver stage for feedback to enter",
            Self::NoTap => "the tap that feedback is taken from is not on this transformer",
            Self::NoSplitter => "a push-pull pair needs a splitter: a long-tailed pair or a split load",
        })
    }
}

impl std::error::Error for Refused {}

impl Amplifier {
    /// Joins the parts.
    ///
    /// # Errors
    /// [`Refused`].
    pub fn circuit(&self) -> Result<Built, Refused> {
        let mut wiring = Wiring {
            circuit: Circuit::new(),
        };
        let drive = wiring.drive(self)?;
        let entry = match (&self.feedback, drive.entry) {
            (None, _) => None,
            (Some(_), None) => return Err(Refused::NoStage),
            (Some(_), Some(entry)) => Some(entry?),
        };
        let (plates, supply, cathode) = wiring.output(self, &drive.sides);
        // A tap must be in phase with where feedback enters.
        let inverts = entry.is_some_and(|(_, stages)| stages % 2 == 1);
        let sign = if inverts != self.transformer.reversed {
            -1.0
        } else {
            1.0
        };
        let taps = wiring.transformer(self, &plates, supply, sign);
        let jack = *taps.get(self.transformer.selected).ok_or(Refused::NoTap)?;
        wiring.load(self, jack);
        let mut take_off = None;
        if let (Some(feedback), Some((into, _))) = (&self.feedback, entry) {
            let from = match feedback.from {
                TakeOff::Selected => jack,
                TakeOff::Tap(at) => *taps.get(at).ok_or(Refused::NoTap)?,
            };
            take_off = Some(from);
            let end = wiring.node("feedback");
            wiring
                .circuit
                .add(TAKE_OFF, Part::Joint { a: from, b: end });
            wiring.resistor("feedback", end, into, feedback.ohms);
            if let Some(farads) = feedback.across {
                wiring.capacitor("across feedback", end, into, farads);
            }
            if let Some((farads, ohms)) = feedback.presence {
                let wiper = wiring.node("presence");
                wiring.capacitor("presence", into, wiper, farads);
                wiring.resistor("presence", wiper, GROUND, ohms);
            }
        }
        Ok(Built {
            circuit: wiring.circuit,
            jack,
            taps,
            plates,
            supply,
            cathode,
            take_off,
        })
    }
}

/// The circuit while it grows.
struct Wiring {
    circuit: Circuit,
}

impl Wiring {
    fn node(&mut self, name: &str) -> Node {
        self.circuit.node(name)
    }

    fn resistor(&mut self, name: &str, a: Node, b: Node, ohms: f64) {
        let ohms = ohms.max(LEAST_OHMS);
        self.circuit
            .add(&format!("{name} resistor"), Part::Resistor { a, b, ohms });
    }

    /// A resistor that may be a wire.
    fn resistor_or_wire(&mut self, name: &str, a: Node, b: Node, ohms: f64) {
        match ohms > 0.0 {
            true => self.resistor(name, a, b, ohms),
            false => self
                .circuit
                .add(&format!("{name} wire"), Part::Joint { a, b }),
        }
    }

    fn capacitor(&mut self, name: &str, a: Node, b: Node, farads: f64) {
        if farads > 0.0 {
            self.circuit.add(
                &format!("{name} capacitor"),
                Part::Capacitor { a, b, farads },
            );
        }
    }

    fn steady(&mut self, name: &str, plus: Node, volts: f64) {
        let source = Source::steady(volts);
        self.circuit.add(
            name,
            Part::Volts {
                plus,
                minus: GROUND,
                source,
            },
        );
    }

    /// A tube with its capacitances between plate, screen, grid and cathode.
    fn tube(&mut self, name: &str, law: TubeLaw, nodes: Vec<Node>, capacitance: Capacitance) {
        let (plate, grid, cathode) = (nodes[0], nodes[nodes.len() - 2], nodes[nodes.len() - 1]);
        let many = law.tubes;
        self.circuit.add(
            name,
            Part::Device {
                nodes,
                law: Arc::new(law),
            },
        );
        for (what, a, b, farads) in [
            ("grid to plate", grid, plate, capacitance.grid_plate),
            ("grid to cathode", grid, cathode, capacitance.input),
            ("plate to cathode", plate, cathode, capacitance.output),
        ] {
            self.capacitor(&format!("{name} {what}"), a, b, many * farads);
        }
    }

    fn triode(&mut self, name: &str, tube: Triode, plate: Node, grid: Node, cathode: Node) {
        let law = TubeLaw {
            model: tube.model,
            tubes: 1.0,
        };
        self.tube(name, law, vec![plate, grid, cathode], tube.capacitance);
    }

    fn load(&mut self, amplifier: &Amplifier, jack: Node) {
        let Some(load) = &amplifier.load else { return };
        let part = match &load.curve {
            Some(curve) => Part::Impedance {
                a: jack,
                b: GROUND,
                at: curve.clone(),
                ohms: load.rated,
            },
            None => Part::Resistor {
                a: jack,
                b: GROUND,
                ohms: load.rated,
            },
        };
        self.circuit.add("speakers", part);
    }
}
