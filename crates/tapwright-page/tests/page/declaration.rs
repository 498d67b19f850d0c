//! The TypeScript declaration says what scripts get, type by type and key by key.

mod shape;

use std::collections::BTreeSet;

use serde_json::Value;
use tapwright_core::examples::EXAMPLES;
use tapwright_core::{link, solve};

use shape::Declarations;

const LINKS: &str = include_str!("../../../tapwright-core/tests/old_links.txt");

/// A test that is dangerous: 0.8 Ω are fed beside 318 Ω.
const DANGEROUS: &str = "marking=measured&leads=1,2,3,4&ohms=1-2,318&ohms=3-4,0.8&volts=3-4";

fn declarations() -> Declarations {
    Declarations::read(concat!(
        include_str!("../../src/setup.d.ts"),
        include_str!("../../src/script.d.ts")
    ))
}

/// The links of the examples, of the corpus of old links, which use every key, and a dangerous
/// one.
fn links() -> impl Iterator<Item = &'static str> {
    let corpus = LINKS.lines().filter(|line| !line.starts_with('#'));
    let corpus = corpus.filter_map(|line| line.split(" | ").next());
    let examples = EXAMPLES.iter().map(|example| example.link);
    examples.chain(corpus).chain([DANGEROUS])
}

#[test]
fn everything_is_as_declared_and_everything_declared_is_met() {
    let declarations = declarations();
    let mut met = BTreeSet::new();
    let mut check = |name: &str, link: &str, value: Result<Value, serde_json::Error>| {
        let value = value.expect("JSON");
        if let Err(difference) = declarations.check(name, &value, &mut met) {
            panic!("{difference}, of {link}");
        }
    };
    for link in links() {
        let setup = link::parse(link).setup;
        check("Setup", link, serde_json::to_value(&setup));
        let report = solve(&setup);
        check("Report", link, serde_json::to_value(&report));
        let heaters = tapwright_core::caution::heaters::told(&report.solved);
        check("HeatersToldOf", link, serde_json::to_value(heaters));
        if let Some(Ok(looped)) = tapwright_core::feedback::ask(&report.solved) {
            check("LoopReport", link, serde_json::to_value(looped));
        }
        if let Some(Ok(idle)) = tapwright_core::idle::ask(&report.solved) {
            check("IdleReport", link, serde_json::to_value(idle));
        }
        if let Some(Ok(supply)) = tapwright_core::supply::ask(&report.solved) {
            check("SupplyReport", link, serde_json::to_value(supply));
        }
    }
    let unmet: Vec<&str> = declarations.names().filter(|n| !met.contains(*n)).collect();
    assert!(unmet.is_empty(), "no link has a value of {unmet:?}");
}

/// A key too few, a key too many and a value of another type are noticed, wherever they are.
#[test]
fn a_difference_is_noticed() {
    let declarations = declarations();
    let setup = link::parse(EXAMPLES[0].link).setup;
    let good = serde_json::to_value(solve(&setup)).expect("JSON");
    let same = |value: &Value| declarations.check("Report", value, &mut BTreeSet::new());
    assert_eq!(same(&good), Ok(()));
    type Spoil = fn(&mut Value);
    let spoilt: [(&str, Spoil); 4] = [
        ("Report.line", |report| {
            report.as_object_mut().expect("object").remove("line");
        }),
        ("Report.hookups[0].shares[0].colour", |report| {
            report["hookups"][0]["shares"][0]["colour"] = "red".into();
        }),
        ("Report.connections[0].verdict", |report| {
            report["connections"][0]["verdict"] = "splendid".into();
        }),
        ("Report.stage", |report| {
            report["stage"]["Ok"]["idle"]["plate_volts"] = "250".into();
        }),
    ];
    for (place, spoil) in spoilt {
        let mut report = good.clone();
        spoil(&mut report);
        let difference = same(&report).expect_err(place);
        assert!(difference.starts_with(place), "{difference}");
    }
}
