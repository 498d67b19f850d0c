//! Decks written by hand from a drawing, against the circuit made of the same parts.
//!
//! Who wrote them had not seen how the circuit is made: a mistake in wiring that the circuit and
//! the netlist written from it share would show here.

use anyhow::ensure;
use tapwright_amplifier::feedback::{Linear, headline};
use tapwright_amplifier::{
    Amplifier, Bypass, Load, LongTailed, Output, SplitLoad, Splitter, TakeOff, Transformer, Volume,
};
use tapwright_stage::{ScreenFeed, Supply};
use tapwright_tests::amplifiers::{driver, feedback, output, transformer, triode};
use tapwright_tests::circuit::{self, Pair, limit};
use tapwright_tube::{Bias, Topology, deck, find};

use crate::Outcome;

/// A deck, the amplifier of the same parts, and what the deck's nodes are called there.
pub struct ByHand {
    /// The test's name.
    pub name: &'static str,
    deck: &'static str,
    amplifier: fn() -> anyhow::Result<Amplifier>,
    nodes: &'static [(&'static str, &'static str)],
}

/// All six.
pub const DECKS: [ByHand; 6] = [
    ByHand {
        name: "by_hand::el84_alone",
        deck: include_str!("decks/el84_alone.cir"),
        amplifier: el84_alone,
        nodes: &[("p1", "v1 plate"), ("p2", "plate"), ("k2", "cathode")],
    },
    ByHand {
        name: "by_hand::el84_pair_split_load",
        deck: include_str!("decks/el84_pair_split_load.cir"),
        amplifier: el84_pair_split_load,
        nodes: &[
            ("p1", "v1 plate"),
            ("p2", "split plate"),
            ("pa", "plate a"),
            ("k", "cathode"),
        ],
    },
    ByHand {
        name: "by_hand::el34_pair_long_tail",
        deck: include_str!("decks/el34_pair_long_tail.cir"),
        amplifier: el34_pair_long_tail,
        nodes: &[
            ("p1", "v1 plate"),
            ("p2", "pair plate a"),
            ("p3", "pair plate b"),
            ("k2", "pair cathode"),
            ("pa", "plate a"),
        ],
    },
    ByHand {
        name: "by_hand::300b_alone",
        deck: include_str!("decks/300b_alone.cir"),
        amplifier: a_300b_alone,
        nodes: &[
            ("p1", "v1 plate"),
            ("p2", "v2 plate"),
            ("p3", "plate"),
            ("k3", "cathode"),
        ],
    },
    ByHand {
        name: "by_hand::6v6_pair_tapped_screens",
        deck: include_str!("decks/6v6_pair_tapped_screens.cir"),
        amplifier: a_6v6_pair_tapped_screens,
        nodes: &[
            ("p1", "v1 plate"),
            ("p2", "v2 plate"),
            ("p3", "split plate"),
            ("k3", "split cathode"),
            ("pa", "plate a"),
            ("k", "cathode"),
        ],
    },
    ByHand {
        name: "by_hand::6l6_quartet_long_tail",
        deck: include_str!("decks/6l6_quartet_long_tail.cir"),
        amplifier: a_6l6_quartet_long_tail,
        nodes: &[
            ("p1", "pair plate a"),
            ("p2", "pair plate b"),
            ("k1", "pair cathode"),
            ("pa", "plate a"),
            ("k", "cathode"),
        ],
    },
];

/// The frequencies of the decks, Hz.
const FREQUENCIES: [f64; 3] = [100.0, 1e3, 1e4];

/// The deck with the tubes that it calls for.
fn complete(deck_text: &str) -> String {
    let mut tubes = String::new();
    for name in [
        "12AX7", "12AU7", "12AT7", "6SN7", "EL84", "EL34", "300B", "6V6GT", "6L6GC",
    ] {
        if let (true, Some(tube)) = (deck_text.contains(&format!("tube_{name}")), find(name)) {
            let text = deck::subcircuit(&tube.model);
            tubes += &text.replace(".subckt tube ", &format!(".subckt tube_{name} "));
        }
    }
    deck_text.replace(".include tubes\n", &tubes)
}

/// The deck and the circuit agree on volts at rest, gain and feedback.
pub fn agrees(by_hand: &ByHand) -> Outcome {
    let pairs = pairs(by_hand, by_hand.deck)?;
    let feedback = pairs.iter().find(|pair| pair.what == "feedback");
    ensure!(
        feedback.is_some_and(|pair| pair.spice > 1.0),
        "the deck has hardly any feedback: {feedback:?}"
    );
    let lines: Vec<String> = pairs.iter().map(Pair::to_string).collect();
    ensure!(
        pairs.iter().all(|pair| pair.excess() <= 1.0),
        "{}",
        lines.join("\n")
    );
    Ok(())
}

fn pairs(by_hand: &ByHand, deck_text: &str) -> anyhow::Result<Vec<Pair>> {
    let printed = circuit::run(&complete(deck_text))?;
    let amplifier = (by_hand.amplifier)()?;
    let linear = Linear::of(&amplifier)?;
    let mut pairs = Vec::new();
    for (theirs, ours) in by_hand.nodes {
        let Some(node) = linear.built.circuit.find(ours) else {
            anyhow::bail!("no node {ours}");
        };
        let own = linear.point.volts(node);
        pairs.push(Pair {
            what: format!("volts of {ours}"),
            spice: printed.value(&format!("v({theirs})"))?,
            own,
            whole: own,
            limit: limit::DIRECT,
        });
    }
    let mut decibels = |what: String, spice: f64, own: f64| {
        pairs.push(Pair {
            what,
            spice,
            own,
            whole: 1.0,
            limit: limit::GAIN,
        });
    };
    for hertz in FREQUENCIES {
        let Some(gain) = linear.gain(hertz) else {
            anyhow::bail!("no gain");
        };
        let own = 20.0 * gain.norm().log10();
        decibels(
            format!("gain at {hertz} Hz"),
            printed.value(&format!("joined_{hertz}"))?,
            own,
        );
    }
    let fall = printed.value("open_1000")? - printed.value("joined_1000")?;
    let own = headline(&amplifier)?.decibels.unwrap_or(0.0);
    decibels("feedback".into(), fall, own);
    Ok(pairs)
}

/// A wire moved in a deck is noticed.
pub fn moved_wire_is_noticed() -> Outcome {
    for (at, right, wrong) in [
        (0, "Rload t8 0 8", "Rload t16 0 8"),
        (1, "Rf  j1 f  2.2k", "Rf  k1 f  2.2k"),
        (2, "C3  g3 foot 22n", "C3  g3 0 22n"),
        (4, "Rsa ua sa 100", "Rsa b sa 100"),
    ] {
        let by_hand = &DECKS[at];
        ensure!(
            by_hand.deck.contains(right),
            "{right} is not in {}",
            by_hand.name
        );
        let pairs = pairs(by_hand, &by_hand.deck.replace(right, wrong))?;
        ensure!(
            pairs.iter().any(|pair| pair.excess() > 1.0),
            "{wrong} in {} went unnoticed",
            by_hand.name
        );
    }
    Ok(())
}

fn el84_alone() -> anyhow::Result<Amplifier> {
    Ok(Amplifier {
        source_ohms: 10e3,
        drivers: vec![driver("12AX7", [100e3, 1.5e3], 250.0)?],
        splitter: None,
        output: output("EL84", Topology::SingleEnded, 285.0, Bias::Cathode(130.0))?,
        transformer: Transformer {
            inductance: Some(8.0),
            ..transformer(1000.0, &[(28.0, 0.2), (40.0, 0.3), (56.0, 0.45)])
        },
        load: Some(Load::rated(8.0)),
        feedback: feedback(TakeOff::Tap(2), 0, 15e3),
    })
}

fn el84_pair_split_load() -> anyhow::Result<Amplifier> {
    let mut first = driver("12AX7", [220e3, 1.5e3], 270.0)?;
    first.bypass = Bypass::Partly(22e-6, 100.0);
    first.volume = Some(Volume {
        ohms: 1e6,
        share: 0.7,
    });
    let mut pair = output("EL84", Topology::PushPull, 320.0, Bias::Cathode(130.0))?;
    pair.stage.plate_supply.ohms = 80.0;
    pair.stage.stoppers.each = 220.0;
    Ok(Amplifier {
        source_ohms: 47e3,
        drivers: vec![first],
        splitter: Some(Splitter::SplitLoad(SplitLoad {
            tube: triode("12AX7")?,
            supply_volts: 310.0,
            ohms: 100e3,
            grid_volts: None,
        })),
        output: Output {
            coupling_farads: 47e-9,
            leak_ohms: 330e3,
            grid_ohms: 2.2e3,
            cathode_farads: 220e-6,
            screen_farads: 22e-6,
            ..pair
        },
        transformer: Transformer {
            primary_ohms: 300.0,
            inductance: Some(40.0),
            leakage: 12e-3,
            capacitance: 400e-12,
            core_ohms: 90e3,
            selected: 2,
            ..transformer(1200.0, &[(27.0, 0.25), (38.0, 0.4), (54.0, 0.6)])
        },
        load: Some(Load::rated(15.0)),
        feedback: feedback(TakeOff::Selected, 0, 2.2e3),
    })
}

fn el34_pair_long_tail() -> anyhow::Result<Amplifier> {
    let mut first = driver("12AX7", [100e3, 1.5e3], 300.0)?;
    first.bypass = Bypass::Whole(25e-6);
    let mut pair = output("EL34", Topology::PushPull, 420.0, Bias::Fixed(-34.0))?;
    pair.stage.plate_supply.ohms = 60.0;
    pair.stage.screen = ScreenFeed::Own(Supply {
        volts: 400.0,
        ohms: 500.0,
    });
    pair.stage.stoppers.each = 1e3;
    let mut back = feedback(TakeOff::Tap(0), 0, 47e3);
    if let Some(back) = &mut back {
        back.presence = Some((100e-9, 5e3));
    }
    Ok(Amplifier {
        source_ohms: 1e3,
        drivers: vec![first],
        splitter: Some(Splitter::LongTailed(LongTailed {
            tube: triode("12AX7")?,
            supply_volts: 360.0,
            plate_ohms: [82e3, 100e3],
            bias_ohms: 470.0,
            tail_ohms: 10e3,
            foot_ohms: 4.7e3,
            leak_ohms: 1e6,
            coupling_farads: 22e-9,
        })),
        output: Output {
            coupling_farads: 47e-9,
            leak_ohms: 220e3,
            grid_ohms: 5.6e3,
            supply_farads: 50e-6,
            screen_farads: 32e-6,
            ..pair
        },
        transformer: Transformer {
            primary_ohms: 120.0,
            inductance: Some(30.0),
            leakage: 8e-3,
            capacitance: 500e-12,
            ..transformer(1000.0, &[(34.0, 0.1), (48.0, 0.16)])
        },
        load: Some(Load::rated(8.0)),
        feedback: back,
    })
}

fn a_300b_alone() -> anyhow::Result<Amplifier> {
    let mut first = driver("6SN7", [47e3, 1e3], 320.0)?;
    first.bypass = Bypass::Whole(100e-6);
    first.leak_ohms = 470e3;
    let mut second = driver("6SN7", [33e3, 820.0], 350.0)?;
    second.coupling_farads = Some(220e-9);
    second.volume = Some(Volume {
        ohms: 100e3,
        share: 0.4,
    });
    let mut alone = output("300B", Topology::SingleEnded, 400.0, Bias::Cathode(1e3))?;
    alone.stage.plate_supply.ohms = 150.0;
    alone.stage.screen = ScreenFeed::Tap(1.0);
    Ok(Amplifier {
        source_ohms: 600.0,
        drivers: vec![first, second],
        splitter: None,
        output: Output {
            coupling_farads: 220e-9,
            leak_ohms: 220e3,
            grid_ohms: 1e3,
            supply_farads: 50e-6,
            ..alone
        },
        transformer: Transformer {
            primary_ohms: 160.0,
            inductance: Some(12.0),
            leakage: 10e-3,
            capacitance: 600e-12,
            core_ohms: f64::INFINITY,
            selected: 0,
            ..transformer(1500.0, &[(63.0, 0.12), (89.0, 0.2)])
        },
        load: Some(Load::rated(4.0)),
        feedback: feedback(TakeOff::Tap(1), 1, 3.3e3),
    })
}

fn a_6v6_pair_tapped_screens() -> anyhow::Result<Amplifier> {
    let mut second = driver("12AU7", [47e3, 1.5e3], 220.0)?;
    second.bypass = Bypass::Whole(47e-6);
    second.coupling_farads = Some(22e-9);
    second.leak_ohms = 470e3;
    let mut pair = output("6V6GT", Topology::PushPull, 300.0, Bias::Cathode(270.0))?;
    pair.stage.plate_supply.ohms = 120.0;
    pair.stage.screen = ScreenFeed::Tap(0.4);
    let mut back = feedback(TakeOff::Selected, 0, 56e3);
    if let Some(back) = &mut back {
        back.across = Some(100e-12);
    }
    Ok(Amplifier {
        source_ohms: 10e3,
        drivers: vec![driver("12AX7", [100e3, 2.2e3], 220.0)?, second],
        splitter: Some(Splitter::SplitLoad(SplitLoad {
            tube: triode("12AU7")?,
            supply_volts: 320.0,
            ohms: 22e3,
            grid_volts: None,
        })),
        output: Output {
            coupling_farads: 100e-9,
            leak_ohms: 220e3,
            grid_ohms: 1e3,
            ..pair
        },
        transformer: Transformer {
            primary_ohms: 280.0,
            inductance: Some(60.0),
            leakage: 4e-3,
            capacitance: 250e-12,
            core_ohms: 100e3,
            selected: 0,
            ..transformer(1000.0, &[(28.7, 0.35)])
        },
        load: Some(Load::rated(8.0)),
        feedback: back,
    })
}

fn a_6l6_quartet_long_tail() -> anyhow::Result<Amplifier> {
    let mut quartet = output("6L6GC", Topology::PushPull, 400.0, Bias::Cathode(125.0))?;
    quartet.stage.tubes_per_side = 2;
    quartet.stage.plate_supply.ohms = 50.0;
    quartet.stage.screen = ScreenFeed::Dropper(470.0);
    quartet.stage.stoppers.each = 470.0;
    Ok(Amplifier {
        source_ohms: 10e3,
        drivers: vec![],
        splitter: Some(Splitter::LongTailed(LongTailed {
            tube: triode("12AT7")?,
            supply_volts: 350.0,
            plate_ohms: [82e3, 91e3],
            bias_ohms: 680.0,
            tail_ohms: 22e3,
            foot_ohms: 470.0,
            leak_ohms: 470e3,
            coupling_farads: 22e-9,
        })),
        output: Output {
            coupling_farads: 100e-9,
            leak_ohms: 100e3,
            grid_ohms: 1.5e3,
            cathode_farads: 220e-6,
            supply_farads: 100e-6,
            screen_farads: 47e-6,
            ..quartet
        },
        transformer: Transformer {
            primary_ohms: 60.0,
            inductance: Some(15.0),
            leakage: 3e-3,
            capacitance: 800e-12,
            core_ohms: 30e3,
            ..transformer(800.0, &[(24.0, 0.08), (34.0, 0.13)])
        },
        load: Some(Load::rated(8.0)),
        feedback: feedback(TakeOff::Tap(0), 0, 2.2e3),
    })
}
