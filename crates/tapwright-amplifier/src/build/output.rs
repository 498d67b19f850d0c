//! The output stage without its transformer.

use tapwright_circuit::{GROUND, Node};
use tapwright_stage::ScreenFeed;
use tapwright_tube::{Bias, Model};

use super::Wiring;
use crate::Amplifier;
use crate::tube_law::TubeLaw;

impl Wiring {
    /// The output stage without its transformer: plates, B+ and cathodes.
    pub(super) fn output(
        &mut self,
        amplifier: &Amplifier,
        drive: &[Node],
    ) -> (Vec<Node>, Node, Node) {
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
}
