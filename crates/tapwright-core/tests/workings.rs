//! Every working that is shown can be done by hand: an independent evaluator (the
//! library `exmex`) is given the formula as printed, with the values as listed, and has
//! to come to the result as printed.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use exmex::Express;
use tapwright_core::working::{Piece, Working};
use tapwright_core::{examples::EXAMPLES, link, solve};

/// The formula with its values put in, as the evaluator writes it.
fn substituted(working: &Working) -> String {
    let text: String = (working.pieces().iter())
        .map(|piece| match piece {
            Piece::Text(text) => (*text).to_owned(),
            Piece::Symbol(input) => format!("({:.17})", input.value),
        })
        .collect();
    text.replace('×', "*")
        .replace('−', "-")
        .replace('²', "^2.0")
        .replace('√', "sqrt")
        .replace("log10", "lg10")
}

fn evaluate(working: &Working) -> f64 {
    let text = substituted(working).replace("lg10", "log10");
    exmex::parse::<f64>(&text)
        .and_then(|expression| expression.eval(&[]))
        .unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn workings(link: &str) -> Vec<Working> {
    solve(&link::parse(link).setup)
        .chosen
        .map(|chosen| chosen.workings)
        .unwrap_or_default()
}

#[test]
fn every_formula_gives_its_result() {
    let links = [
        EXAMPLES[0].link.to_owned(),
        format!("{}&selected=2,1-3,2", EXAMPLES[0].link),
        EXAMPLES[1].link.to_owned(),
        "stage=single-ended&primary=2k5&taps=8&hookup=8&tube=2A3&supply=250".into(),
        "primary=6k6&taps=4,8,16&target=5k&selected=1,1-2,1&hookup=(4R7%2B8)//16@5,10,15".into(),
    ];
    let mut seen = std::collections::BTreeSet::new();
    for link in links {
        let workings = workings(&link);
        assert!(!workings.is_empty(), "{link}");
        for working in workings {
            let by_hand = evaluate(&working);
            let close = (by_hand - working.result).abs() <= 1e-9 * working.result.abs().max(1e-3);
            assert!(
                close,
                "{}: {} is {by_hand}, shown as {}",
                working.quantity, working.formula, working.result
            );
            assert!(
                !working.source.is_empty(),
                "{} has no source",
                working.quantity
            );
            seen.insert(working.quantity);
        }
    }
    // Each kind of working was among them.
    assert_eq!(seen.len(), 23, "{seen:?}");
}

#[test]
fn pieces_are_the_formula_again() {
    for working in workings(EXAMPLES[0].link) {
        let joined: String = (working.pieces().iter())
            .map(|piece| match piece {
                Piece::Text(text) => *text,
                Piece::Symbol(input) => input.symbol,
            })
            .collect();
        assert_eq!(joined, working.formula);
    }
}
