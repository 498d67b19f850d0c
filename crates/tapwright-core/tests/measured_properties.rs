//! What holds for every table of readings, sense or nonsense.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use proptest::prelude::*;
use tapwright_core::setup::{
    Field, List, Marking, MeasuredText, OhmsEntry, OhmsText, Setup, Topology, VoltsText,
};
use tapwright_core::{link, solve};
use tapwright_iron::measured::findings::Findings;

/// A text that makes sense in its place, mostly; sometimes anything at all.
fn text(sound: &'static [&'static str]) -> impl Strategy<Value = String> {
    prop_oneof![
        8 => prop::sample::select(sound).prop_map(String::from),
        1 => "\\PC{0,10}",
        1 => Just(String::new()),
    ]
}

const PAIRS: &[&str] = &[
    "1-2", "1-3", "2-3", "3-4", "4-5", "4-6", "5-6", "1 to 4", "2/6", "1-1", "1-7",
];
const OHMS: &[&str] = &[
    "300", "150", "0.5", "1.0", "1R1", "open", "OL", "0", "-3", "1e9", "7k",
];
const VOLTS: &[&str] = &[
    "6.31",
    "0.25",
    "120 mV",
    "3.1",
    "0",
    "5.0 ± 2 % + 1",
    "29",
    "900",
];

fn setup() -> impl Strategy<Value = Setup> {
    let lump = (
        text(&["1,2,3,4,5,6", "1 2 3 4 5 6", "1,2", "6,5,4,3,2,1"]),
        text(&["", "1 %", "0.8 % + 2"]),
        text(&["", "1 % + 3"]),
        text(&["", "1", "5"]),
        text(&["", "4", "2"]),
    );
    let ohms = prop::collection::vec((text(PAIRS), text(OHMS)), 0..9);
    let volts = prop::collection::vec(
        (
            text(PAIRS),
            text(VOLTS),
            text(PAIRS),
            text(VOLTS),
            text(&["", "2-4", "3-5"]),
        ),
        0..8,
    );
    (lump, ohms, volts, any::<(bool, bool)>()).prop_map(|(lump, ohms, volts, (single, ditto))| {
        let mut setup = Setup {
            marking: Marking::Measured,
            topology: if single {
                Topology::SingleEnded
            } else {
                Topology::PushPull
            },
            ..Setup::default()
        };
        setup.hookups[0].speakers = "8".into();
        let (leads, ohmmeter, voltmeter, primary, common) = lump;
        let texts = [leads, ohmmeter, voltmeter, primary, common];
        for (field, text) in MeasuredText::ALL.iter().zip(texts) {
            assert!(setup.set(Field::Measured(*field), &text));
        }
        for (row, (pair, ohms)) in ohms.into_iter().enumerate() {
            setup.add_row(List::Ohms);
            for (field, text) in OhmsText::ALL.iter().zip([pair, ohms]) {
                assert!(setup.set(Field::Ohms(row, *field), &text));
            }
        }
        for (row, (fed, fed_volts, pair, volts, joined)) in volts.into_iter().enumerate() {
            setup.add_row(List::Volts);
            let (fed, fed_volts) = if ditto && row > 0 {
                (String::new(), String::new())
            } else {
                (fed, fed_volts)
            };
            let texts = [fed, fed_volts, pair, volts, joined];
            for (field, text) in VoltsText::ALL.iter().zip(texts) {
                assert!(setup.set(Field::Volts(row, *field), &text));
            }
        }
        setup
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// An answer or a reason, never a panic, and no number that is none.
    #[test]
    fn any_table_has_a_report(setup in setup()) {
        let report = solve(&setup);
        let findings = report.solved.measured.as_ref().expect("it is measured");
        // JSON cannot tell infinity or no number from what is missing: it writes null.
        let nameless = Findings { leads: Vec::new(), ..findings.clone() };
        let told = format!("{nameless:?}");
        let mut words = told.split(|c: char| !c.is_alphanumeric());
        prop_assert!(words.all(|word| word != "inf" && word != "NaN"), "{told}");
        let json = serde_json::to_value(&report).expect("JSON");
        let windings = json["measured"]["found"]["windings"].as_array().expect("a list");
        prop_assert_eq!(windings.len(), findings.found.windings.len());
        for connection in &report.solved.connections {
            let (low, high) = connection.connection.range().expect("measured");
            let reflected = connection.connection.load.reflected.0;
            prop_assert!(low.0 > 0.0 && low.0 <= reflected && reflected <= high.0);
            prop_assert!(high.0.is_finite());
        }
        prop_assert_eq!(findings.transformer.is_some(), report.solved.transformer.is_some());
    }

    /// Whatever was typed comes back from its link, letter for letter.
    #[test]
    fn a_link_brings_readings_back(setup in setup()) {
        let link = link::encode(&setup);
        prop_assert_eq!(link::parse(&link).setup, setup, "{}", link);
    }

    /// A reading at fault changes nothing else: the same findings as without it.
    #[test]
    fn a_row_at_fault_is_as_if_it_were_not_there(setup in setup(), nonsense in "[a-z]{5}") {
        let mut faulty = setup.clone();
        faulty.measured.ohms.push(OhmsEntry { pair: "1-2".into(), ohms: nonsense });
        prop_assert_eq!(solve(&faulty).solved.measured, solve(&setup).solved.measured);
    }
}
