//! Supplies through time.

use anyhow::ensure;
use tapwright_supply::{Capacitor, Circuit, Feed, Law, Section, Series, Supply};
use tapwright_tests::circuit::Pair;
use tapwright_tests::supplies::{Case, compare, compare_with};

use crate::Outcome;

/// Both agree on a supply.
pub fn agree(case: &Case) -> Outcome {
    let pairs = compare(case)?;
    ensure!(
        pairs.iter().all(|pair| pair.excess() <= 1.0),
        "{case:#?}\n{}",
        table(&pairs)
    );
    Ok(())
}

fn table(pairs: &[Pair]) -> String {
    let lines: Vec<String> = pairs.iter().map(Pair::to_string).collect();
    lines.join("\n")
}

/// A part some per cent off in the netlist alone is noticed, so an agreement says something.
pub fn altered_part_is_noticed() -> Outcome {
    let capacitor = |farads, amps| Capacitor {
        farads,
        amps,
        bleeder_ohms: None,
    };
    let own = Supply {
        feed: Feed {
            volts: 250.0,
            ohms: 140.0,
            hertz: 50.0,
        },
        circuit: Circuit::FullWave,
        law: Law::of_drop(20.0, 0.09),
        first: capacitor(47e-6, 0.07),
        sections: vec![Section {
            series: Series::Choke(3.0, 100.0),
            capacitor: capacitor(16e-6, 0.01),
        }],
    };
    let mut volts = own.clone();
    volts.feed.volts *= 1.01;
    let mut ohms = own.clone();
    ohms.feed.ohms *= 1.1;
    let mut law = own.clone();
    if let Law::Vacuum(k) = &mut law.law {
        *k *= 0.8;
    }
    let mut first = own.clone();
    first.first.farads *= 1.05;
    let mut choke = own.clone();
    if let Series::Choke(henries, _) = &mut choke.sections[0].series {
        *henries *= 1.05;
    }
    for altered in [volts, ohms, law, first, choke] {
        let pairs = compare_with(&altered, &own)?;
        ensure!(
            pairs.iter().any(|pair| pair.excess() > 1.0),
            "{altered:#?} went unnoticed:\n{}",
            table(&pairs)
        );
    }
    Ok(())
}
