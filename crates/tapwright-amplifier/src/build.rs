//! The amplifier's parts joined to one circuit, with named nodes.

use std::fmt;
use std::sync::Arc;

use tapwright_circuit::{Circuit, GROUND, Node, Part, Source, Winding};
use tapwright_stage::ScreenFeed;
use tapwright_tube::{Bias, Model, Topology};

use crate::Amplifier;
use crate::driver::{Bypass, Capacitance, Driver, Splitter, Triode};
use crate::transformer::{ENDLESS, TakeOff};
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

/// Where a signal enters and how it leaves.
struct Drive {
    /// The node that drives each side's grid.
    sides: Vec<Node>,
    /// Where feedback enters, and how many stages turn the phase from there to the first plate of
    /// the output stage.
    entry: Option<Result<(Node, usize), Refused>>,
}

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
        if let (Some(feedback), Some((into, _))) = (&self.feedback, entry) {
            let from = match feedback.from {
                TakeOff::Selected => jack,
                TakeOff::Tap(at) => *taps.get(at).ok_or(Refused::NoTap)?,
            };
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

    /// Everything before the grids of the output stage.
    fn drive(&mut self, amplifier: &Amplifier) -> Result<Drive, Refused> {
        let (source, input) = (self.node("source"), self.node("input"));
        self.circuit.add(
            "input",
            Part::Volts {
                plus: source,
                minus: GROUND,
                source: Source::signal(),
            },
        );
        self.resistor("source", source, input, amplifier.source_ohms);
        let is_pair = amplifier.output.stage.topology == Topology::PushPull;
        let mut at = input;
        let mut entries = Vec::new();
        for (place, driver) in amplifier.drivers.iter().enumerate() {
            let (plate, entry) = self.driver(&format!("v{}", place + 1), driver, at);
            entries.push(entry);
            at = plate;
        }
        let into = amplifier
            .feedback
            .as_ref()
            .map_or(0, |feedback| feedback.into);
        // From the grid of that driver on each one turns the phase; so does the output tube.
        let after = |more: usize| {
            let entry = entries.get(into).or(entries.last())?;
            let place = into.min(entries.len().saturating_sub(1));
            Some(entry.map(|node| (node, entries.len() - place + more)))
        };
        Ok(match (is_pair, amplifier.splitter) {
            (false, _) => Drive {
                sides: vec![at],
                entry: after(1),
            },
            (
                true,
                Some(Splitter::SplitLoad {
                    tube,
                    supply_volts,
                    ohms,
                    grid_volts,
                }),
            ) => {
                let sides = self.split_load(tube, supply_volts, ohms, grid_volts, at);
                Drive {
                    sides: sides.into(),
                    entry: after(2),
                }
            }
            (true, Some(pair @ Splitter::LongTailed { .. })) => {
                let (sides, foot) = self.long_tailed(pair, at);
                Drive {
                    sides: sides.into(),
                    entry: Some(Ok((foot, 2))),
                }
            }
            (true, None) if amplifier.drivers.is_empty() => {
                // A source for each grid, the other one upside down.
                let (source, other) = (self.node("source b"), self.node("input b"));
                self.circuit.add(
                    "input b",
                    Part::Volts {
                        plus: source,
                        minus: GROUND,
                        source: Source {
                            signal: -1.0,
                            ..Source::signal()
                        },
                    },
                );
                self.resistor("source b", source, other, amplifier.source_ohms);
                Drive {
                    sides: vec![at, other],
                    entry: None,
                }
            }
            (true, None) => return Err(Refused::NoSplitter),
        })
    }

    /// A driver; its plate, and where feedback may enter.
    fn driver(
        &mut self,
        name: &str,
        driver: &Driver,
        input: Node,
    ) -> (Node, Result<Node, Refused>) {
        let named = |what: &str| format!("{name} {what}");
        let grid = self.node(&named("grid"));
        let plate = self.node(&named("plate"));
        let cathode = self.node(&named("cathode"));
        let supply = self.node(&named("supply"));
        let top = match driver.coupling_farads {
            Some(farads) => {
                let top = self.node(&named("coupled"));
                self.capacitor(&named("coupling"), input, top, farads);
                top
            }
            None => input,
        };
        match driver.volume {
            Some(volume) => {
                let share = volume.share.clamp(0.0, 1.0);
                self.resistor(
                    &named("volume upper"),
                    top,
                    grid,
                    volume.ohms * (1.0 - share),
                );
                self.resistor(&named("volume lower"), grid, GROUND, volume.ohms * share);
            }
            None => {
                self.circuit
                    .add(&named("grid wire"), Part::Joint { a: top, b: grid });
                self.resistor(&named("leak"), grid, GROUND, driver.leak_ohms);
            }
        }
        self.steady(&named("supply"), supply, driver.supply_volts);
        self.resistor(&named("plate"), supply, plate, driver.plate_ohms);
        let entry = match driver.bypass {
            Bypass::None => {
                self.resistor(&named("cathode"), cathode, GROUND, driver.cathode_ohms);
                Ok(cathode)
            }
            Bypass::Whole(farads) => {
                self.resistor(&named("cathode"), cathode, GROUND, driver.cathode_ohms);
                self.capacitor(&named("cathode"), cathode, GROUND, farads);
                Err(Refused::BypassedCathode)
            }
            Bypass::Partly(farads, lower) => {
                let joint = self.node(&named("cathode joint"));
                let upper = driver.cathode_ohms - lower;
                self.resistor(&named("cathode upper"), cathode, joint, upper);
                self.capacitor(&named("cathode"), cathode, joint, farads);
                self.resistor(&named("cathode lower"), joint, GROUND, lower);
                Ok(joint)
            }
        };
        self.triode(name, driver.tube, plate, grid, cathode);
        (plate, entry)
    }

    /// A split load: its plate, which turns the phase, and its cathode, which does not.
    fn split_load(
        &mut self,
        tube: Triode,
        volts: f64,
        ohms: f64,
        grid_volts: Option<f64>,
        input: Node,
    ) -> [Node; 2] {
        let [grid, plate, cathode, supply] =
            ["grid", "plate", "cathode", "supply"].map(|what| self.node(&format!("split {what}")));
        match grid_volts {
            None => self
                .circuit
                .add("split grid wire", Part::Joint { a: input, b: grid }),
            Some(volts) => {
                let divider = self.node("split divider");
                self.capacitor("split coupling", input, grid, 100e-9);
                self.steady("split divider", divider, volts);
                self.resistor("split leak", grid, divider, 1e6);
            }
        }
        self.steady("split supply", supply, volts);
        self.resistor("split plate", supply, plate, ohms);
        self.resistor("split cathode", cathode, GROUND, ohms);
        self.triode("split", tube, plate, grid, cathode);
        [plate, cathode]
    }

    /// A long-tailed pair: the plate of the first tube, which turns the phase, that of the
    /// second, and the foot of the tail.
    fn long_tailed(&mut self, pair: Splitter, input: Node) -> ([Node; 2], Node) {
        let Splitter::LongTailed {
            tube,
            supply_volts,
            plate_ohms,
            bias_ohms,
            tail_ohms,
            foot_ohms,
            leak_ohms,
            coupling_farads,
        } = pair
        else {
            return ([input; 2], input);
        };
        let [supply, cathode, tail, foot] =
            ["supply", "cathode", "tail", "foot"].map(|what| self.node(&format!("pair {what}")));
        self.steady("pair supply", supply, supply_volts);
        self.resistor("pair bias", cathode, tail, bias_ohms);
        self.resistor("pair tail", tail, foot, tail_ohms);
        self.resistor("pair foot", foot, GROUND, foot_ohms);
        let mut plates = [input; 2];
        for (place, side) in ["a", "b"].into_iter().enumerate() {
            let [grid, plate] =
                ["grid", "plate"].map(|what| self.node(&format!("pair {what} {side}")));
            let from = if place == 0 { input } else { foot };
            self.capacitor(
                &format!("pair coupling {side}"),
                from,
                grid,
                coupling_farads,
            );
            self.resistor(&format!("pair leak {side}"), grid, tail, leak_ohms);
            self.resistor(
                &format!("pair plate {side}"),
                supply,
                plate,
                plate_ohms[place],
            );
            self.triode(&format!("pair {side}"), tube, plate, grid, cathode);
            plates[place] = plate;
        }
        (plates, foot)
    }

    /// The output stage without its transformer: plates, B+ and cathodes.
    fn output(&mut self, amplifier: &Amplifier, drive: &[Node]) -> (Vec<Node>, Node, Node) {
        let output = &amplifier.output;
        let stage = &output.stage;
        let (open, supply) = (self.node("B+ open"), self.node("B+"));
        self.steady("B+", open, stage.plate_supply.volts);
        self.resistor_or_wire("B+", open, supply, stage.plate_supply.ohms);
        self.capacitor("B+", supply, GROUND, output.supply_farads);
        let cathode = match stage.bias {
            Bias::Fixed(_) => GROUND,
            Bias::Cathode(ohms) => {
                let cathode = self.node("cathode");
                self.resistor("cathode", cathode, GROUND, ohms);
                self.capacitor("cathode", cathode, GROUND, output.cathode_farads);
                cathode
            }
        };
        let leak = match stage.bias {
            Bias::Cathode(_) => GROUND,
            Bias::Fixed(volts) => {
                let bias = self.node("bias");
                self.steady("bias", bias, volts);
                bias
            }
        };
        let screens = self.screen_supply(amplifier, supply);
        let sides: &[(&str, f64)] = match drive.len() {
            1 => &[("", 1.0)],
            _ => &[(" a", 1.0), (" b", -1.0)],
        };
        let mut plates = Vec::new();
        for ((side, sign), from) in sides.iter().zip(drive) {
            let [plate, grid, before] =
                ["plate", "grid", "grid leak"].map(|what| self.node(&format!("{what}{side}")));
            self.capacitor(
                &format!("coupling{side}"),
                *from,
                before,
                output.coupling_farads,
            );
            self.resistor(&format!("leak{side}"), before, leak, output.leak_ohms);
            self.resistor_or_wire(&format!("grid{side}"), before, grid, output.grid_ohms);
            let tubes = f64::from(stage.tubes_per_side);
            let law = TubeLaw {
                model: stage.model,
                tubes: tubes * (1.0 + sign * stage.imbalance.current / 2.0),
            };
            let mut nodes = vec![plate];
            if matches!(stage.model, Model::Pentode(_)) {
                let feed = match (screens, stage.screen) {
                    (Some(screens), _) => screens,
                    (None, ScreenFeed::Tap(share)) if share < 1.0 => {
                        self.node(&format!("screen tap{side}"))
                    }
                    (None, _) => plate,
                };
                let screen = self.node(&format!("screen{side}"));
                self.resistor_or_wire(
                    &format!("screen{side}"),
                    feed,
                    screen,
                    stage.stoppers.each / tubes,
                );
                nodes.push(screen);
            }
            nodes.extend([grid, cathode]);
            self.tube(&format!("output{side}"), law, nodes, output.capacitance);
            plates.push(plate);
        }
        (plates, supply, cathode)
    }

    /// Where steady screens are fed from; `None` where they are on the primary.
    fn screen_supply(&mut self, amplifier: &Amplifier, supply: Node) -> Option<Node> {
        let stage = &amplifier.output.stage;
        let (from, ohms) = match stage.screen {
            ScreenFeed::Tap(_) => return None,
            ScreenFeed::Dropper(ohms) => (supply, ohms),
            ScreenFeed::Own(own) => {
                let open = self.node("screen supply open");
                self.steady("screen supply", open, own.volts);
                (open, own.ohms)
            }
        };
        let held = self.node("screen supply");
        self.resistor_or_wire("screen supply", from, held, ohms);
        self.capacitor(
            "screen supply",
            held,
            GROUND,
            amplifier.output.screen_farads,
        );
        let screens = self.node("screens");
        self.resistor_or_wire("screens", held, screens, stage.stoppers.common);
        Some(screens)
    }

    /// The transformer; its taps.
    fn transformer(
        &mut self,
        amplifier: &Amplifier,
        plates: &[Node],
        supply: Node,
        sign: f64,
    ) -> Vec<Node> {
        let iron = &amplifier.transformer;
        let tap = match amplifier.output.stage.screen {
            ScreenFeed::Tap(share)
                if share < 1.0 && matches!(amplifier.output.stage.model, Model::Pentode(_)) =>
            {
                share
            }
            _ => 1.0,
        };
        let mut windings = Vec::new();
        let halves = plates.len() as f64;
        let sides: &[(&str, f64)] = if plates.len() == 1 {
            &[("", 1.0)]
        } else {
            &[(" a", 1.0), (" b", -1.0)]
        };
        for ((side, way), plate) in sides.iter().zip(plates) {
            let turns = way * iron.primary_turns / halves * (1.0 + way * iron.unlike_turns / 2.0);
            let part = |a: Node, b: Node, share: f64| Winding {
                a,
                b,
                turns: turns * share,
                ohms: iron.primary_ohms / halves * share,
                leakage: iron.leakage / halves * share,
            };
            if tap < 1.0 {
                let middle = self.node(&format!("screen tap{side}"));
                windings.push(part(*plate, middle, 1.0 - tap));
                windings.push(part(middle, supply, tap));
            } else {
                windings.push(part(*plate, supply, 1.0));
            }
        }
        let other = if plates.len() == 1 { supply } else { plates[1] };
        self.capacitor("primary", plates[0], other, iron.capacitance);
        let common = self.node("common");
        let taps: Vec<Node> = (0..iron.taps.len())
            .map(|at| self.node(&format!("tap {}", at + 1)))
            .collect();
        let mut order: Vec<usize> = (0..iron.taps.len()).collect();
        order.sort_by(|a, b| iron.taps[*a].turns.total_cmp(&iron.taps[*b].turns));
        let (mut below, mut turns, mut ohms) = (common, 0.0, 0.0);
        for at in order {
            let tap = iron.taps[at];
            windings.push(Winding {
                a: taps[at],
                b: below,
                turns: sign * (tap.turns - turns),
                ohms: (tap.ohms - ohms).max(0.0),
                leakage: 0.0,
            });
            (below, turns, ohms) = (taps[at], tap.turns, tap.ohms);
        }
        let squared = iron.primary_turns * iron.primary_turns;
        self.circuit.add(
            "transformer",
            Part::Core {
                windings,
                henries: iron.inductance.unwrap_or(ENDLESS) / squared,
                ohms: iron.core_ohms / squared,
            },
        );
        let grounded = iron
            .grounded
            .and_then(|at| taps.get(at))
            .copied()
            .unwrap_or(common);
        self.circuit.add(
            "ground",
            Part::Joint {
                a: grounded,
                b: GROUND,
            },
        );
        taps
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
