//! The stages before the output stage: drivers, and what turns the phase.

use tapwright_circuit::{GROUND, Node, Part, Source};
use tapwright_tube::Topology;

use super::{Refused, Wiring};
use crate::Amplifier;
use crate::driver::{Bypass, Driver, LongTailed, SplitLoad, Splitter};

/// Where a signal enters and how it leaves.
pub(super) struct Drive {
    /// The node that drives each side's grid.
    pub sides: Vec<Node>,
    /// Where feedback enters, and how many stages turn the phase from there to the first plate of
    /// the output stage.
    pub entry: Option<Result<(Node, usize), Refused>>,
}

impl Wiring {
    /// Everything before the grids of the output stage.
    pub(super) fn drive(&mut self, amplifier: &Amplifier) -> Result<Drive, Refused> {
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
            (true, Some(Splitter::SplitLoad(split))) => Drive {
                sides: self.split_load(&split, at).into(),
                entry: after(2),
            },
            (true, Some(Splitter::LongTailed(pair))) => {
                let (sides, foot) = self.long_tailed(&pair, at);
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
    fn split_load(&mut self, split: &SplitLoad, input: Node) -> [Node; 2] {
        let [grid, plate, cathode, supply] =
            ["grid", "plate", "cathode", "supply"].map(|what| self.node(&format!("split {what}")));
        match split.grid_volts {
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
        self.steady("split supply", supply, split.supply_volts);
        self.resistor("split plate", supply, plate, split.ohms);
        self.resistor("split cathode", cathode, GROUND, split.ohms);
        self.triode("split", split.tube, plate, grid, cathode);
        [plate, cathode]
    }

    /// A long-tailed pair: the plate of the first tube, which turns the phase, that of the
    /// second, and the foot of the tail.
    fn long_tailed(&mut self, pair: &LongTailed, input: Node) -> ([Node; 2], Node) {
        let [supply, cathode, tail, foot] =
            ["supply", "cathode", "tail", "foot"].map(|what| self.node(&format!("pair {what}")));
        self.steady("pair supply", supply, pair.supply_volts);
        self.resistor("pair bias", cathode, tail, pair.bias_ohms);
        self.resistor("pair tail", tail, foot, pair.tail_ohms);
        self.resistor("pair foot", foot, GROUND, pair.foot_ohms);
        let mut plates = [input; 2];
        for (place, side) in ["a", "b"].into_iter().enumerate() {
            let [grid, plate] =
                ["grid", "plate"].map(|what| self.node(&format!("pair {what} {side}")));
            let from = if place == 0 { input } else { foot };
            self.capacitor(
                &format!("pair coupling {side}"),
                from,
                grid,
                pair.coupling_farads,
            );
            self.resistor(&format!("pair leak {side}"), grid, tail, pair.leak_ohms);
            self.resistor(
                &format!("pair plate {side}"),
                supply,
                plate,
                pair.plate_ohms[place],
            );
            self.triode(&format!("pair {side}"), pair.tube, plate, grid, cathode);
            plates[place] = plate;
        }
        (plates, foot)
    }
}
