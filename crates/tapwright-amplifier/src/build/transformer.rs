//! The transformer with every tap.

use tapwright_circuit::{GROUND, Node, Part, Winding};
use tapwright_stage::ScreenFeed;
use tapwright_tube::Model;

use super::Wiring;
use crate::Amplifier;
use crate::transformer::ENDLESS;

impl Wiring {
    /// The transformer; its taps.
    pub(super) fn transformer(
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
}
