//! Published operation of vacuum rectifiers against the law made from the published drop alone.
//!
//! Every row is in `data/rectifiers.toml`, with its source.

use tapwright_supply::{Capacitor, Circuit, Feed, Steady, Supply, rectifiers};

/// What is missed: (type, volts per plate, milliamperes). The 5Y3GT comes out 5.2 % low; whether its
/// row was taken with 20 µF is not certain either.
const MISSED: [(&str, f64, f64); 1] = [("5Y3GT", 350.0, 125.0)];

/// Within this part of the published volts.
const WITHIN: f64 = 0.05;

#[test]
fn rows_are_met_by_the_published_drop() {
    let mut lines = Vec::new();
    let mut types = Vec::new();
    let mut wrong = Vec::new();
    for rectifier in rectifiers() {
        for operation in &rectifier.operation {
            for row in &operation.rows {
                let supply = Supply {
                    feed: Feed {
                        volts: row.volts,
                        ohms: row.ohms,
                        hertz: operation.hertz,
                    },
                    circuit: Circuit::FullWave,
                    law: rectifier.law(),
                    first: Capacitor {
                        farads: operation.microfarads * 1e-6,
                        amps: row.ma * 1e-3,
                        bleeder_ohms: None,
                    },
                    sections: Vec::new(),
                };
                let volts = Steady::of(&supply).unwrap().nodes[0].volts;
                let off = volts / row.dc_volts - 1.0;
                let missed = MISSED.contains(&(rectifier.designation.as_str(), row.volts, row.ma));
                lines.push(format!(
                    "{:<6} {} V {} Ω {} mA: {} published, {volts:.1} computed, {:+.1} %, {}",
                    rectifier.designation,
                    row.volts,
                    row.ohms,
                    row.ma,
                    row.dc_volts,
                    100.0 * off,
                    operation.provenance,
                ));
                if (off.abs() > WITHIN) != missed {
                    wrong.push(lines.last().cloned());
                }
                if !missed && !types.contains(&&rectifier.designation) {
                    types.push(&rectifier.designation);
                }
            }
        }
    }
    println!("{}", lines.join("\n"));
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(types.len() >= 3, "{types:?}");
}
