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
use tapwright_stage::ScreenFeed;

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
        .replace('π', "PI")
        .replace("log10", "lg10")
}

fn evaluate(working: &Working) -> f64 {
    let text = substituted(working).replace("lg10", "log10");
    exmex::parse::<f64>(&text)
        .and_then(|expression| expression.eval(&[]))
        .unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// Readings that leave every kind of working about the iron to be made.
const LOSSES: &str = "primary=4k,%208k&taps=4,8,16&hookup=8&winding=300&tap_winding=0.3,0.5,0.8\
                      &inductance=6.3%20V,%201.67%20mA,%2050%20Hz&leakage=50%20V,%2012%20mA,%201%20kHz\
                      &rated_watts=10&rated_hertz=50";

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
        EXAMPLES[2].link.to_owned(),
        format!("{}&selected=1,1-3,2", EXAMPLES[2].link),
        "marking=measured&leads=1,2,3,4&ohms=1-2,300&ohms=3-4,0.5&ohms=1-3,open\
         &voltmeter=1%25&volts=1-2,6.31,3-4,0.2442&stage=single-ended&hookup=8"
            .into(),
        "stage=single-ended&primary=2k5&taps=8&hookup=8&tube=2A3&supply=250".into(),
        format!("{LOSSES}&selected=1,1-2,1"),
        format!("{LOSSES}&selected=2,1,1&core_ohms=60k&tube=EL84&supply=250&stage=single-ended"),
        "primary=8k&taps=8&hookup=8&inductance=40%20Hz".into(),
        "primary=2k,%204k,%208k&taps=4,8,16&hookup=8&winding=2k:%2080,%208k:%20300&tap_winding=0.8\
         &core_ohms=60k&capacitance=500p&selected=2,2,1"
            .into(),
        "primary=6k6&taps=4,8,16&target=5k&selected=1,1-2,1&hookup=(4R7%2B8)//16@5,10,15".into(),
        "primary=8k&taps=8&hookup=A//8@30&speaker.1.called=A&speaker.1.coil=6R4&frequency=100&loads=curve".into(),
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
    assert_eq!(seen.len(), 47, "{seen:?}");
}

/// The same of the supply: with a centre tap, half wave, and a doubler without a transformer.
#[test]
fn every_formula_of_the_supply_gives_its_result() {
    let links = [
        EXAMPLES[3].link,
        "winding_volts=240&rectifier_circuit=half-wave&rectifier=silicon&reservoir=47u&bleeder=10k",
        "isolation=none&mains=117&rectifier_circuit=doubler&rectifier=silicon&reservoir=47u",
    ];
    let mut seen = 0;
    for link in links {
        let report = solve(&link::parse(link).setup);
        let supply = tapwright_core::supply::ask(&report.solved);
        let supply = supply.expect("it is described").expect("it settles");
        for working in &supply.workings {
            let by_hand = evaluate(working);
            let close = (by_hand - working.result).abs() <= 1e-9 * working.result.abs().max(1e-3);
            assert!(
                close,
                "{link}: {} is {by_hand}, shown as {}",
                working.formula, working.result
            );
            seen += 1;
        }
        // What a capacitor loses in a whole period is more than what it loses between charges.
        let bound = supply
            .workings
            .iter()
            .find(|working| working.symbol == "r_v");
        assert!(bound.is_none_or(|bound| bound.result > supply.nodes[0].ripple));
    }
    assert_eq!(seen, 5 + 5 + 2);
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

/// The plate's voltage at idle follows from the equation as printed, the winding resistance
/// and the currents: each half of a push-pull primary has half of it.
#[test]
fn the_idle_equations_hold() {
    let stages = [
        "stage=single-ended",
        "stage=single-ended&tubes=3",
        "tubes=2",
        "tubes=4&cathode=120",
        "screens=plates&tubes=4",
        "screens=taps&screen_tap=20",
        "screens=taps&stage=single-ended&tubes=2",
        "unlike_current=20",
        "unlike_current=-20&screens=taps",
    ];
    for stage in stages {
        let link = format!("tube=6L6GC&winding=300&primary=5k&taps=8&hookup=8&{stage}");
        let report = solve(&link::parse(&link).setup);
        let made = report.solved.stage.unwrap().unwrap().stage;
        let solved = report.chosen.unwrap().solutions;
        let value = |symbol: &str| {
            let found = solved[0].solution.iter().find(|one| one.symbol == symbol);
            found.expect("a value").value
        };
        let printed = |start: &str| {
            let found = solved[0]
                .equations
                .iter()
                .find(|one| one.starts_with(start));
            found.expect("an equation").trim_start_matches(start)
        };
        let evaluate = |text: &str, known: &[(&str, f64)]| {
            let text = known.iter().fold(text.to_owned(), |text, (symbol, value)| {
                text.replace(symbol, &format!("({value:.17})"))
            });
            let text = text.replace('×', "*").replace('−', "-");
            exmex::parse::<f64>(&text).unwrap().eval(&[]).unwrap()
        };
        let tap = match made.screen {
            ScreenFeed::Tap(tap) => tap,
            _ => 0.0,
        };
        let one = printed("i = ").split(" of ").next().unwrap();
        let one = evaluate(
            one,
            &[("I_a", value("I_a")), ("I_s", value("I_s")), ("f", tap)],
        );
        let known = [
            ("V_b", value("V_b")),
            ("R_w", made.primary_ohms),
            ("i", one * f64::from(made.tubes_per_side)),
            ("V_k", value("V_k")),
        ];
        let by_hand = evaluate(printed("V_a = "), &known);
        assert!((by_hand - value("V_a")).abs() < 1e-3, "{stage}: {by_hand}");
    }
}
