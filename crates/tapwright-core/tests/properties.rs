//! What holds for every set-up, tried on random ones.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use proptest::prelude::*;
use strum::VariantArray;
use tapwright_core::connection::{self, SpeakerLoad};
use tapwright_core::judged::{Ranked, ranks};
use tapwright_core::link::{self, saved};
use tapwright_core::matching::{Match, Verdict};
use tapwright_core::setup::{
    Field, HookupText, Leaf, List, Reads, Selection, Setup, Shown, SortBy,
};
use tapwright_core::solve;
use tapwright_iron::transformer::{
    Choice, PrimaryLead, Secondary, Tap, TapPair, Transformer, tap_pair_impedance,
};
use tapwright_speaker::Hookup;
use tapwright_units::entry::Expected;
use tapwright_units::list;
use tapwright_units::{Ohms, Unit};

const OHMS: Expected = Expected {
    unit: Unit::Ohm,
    least: 1e-6,
    most: 1e12,
    example: "8k",
    noun: "a value",
    joined: false,
};

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// A hookup and the same as text.
fn hookup() -> impl Strategy<Value = String> {
    let driver = (5_u32..2_000).prop_map(|tenths| format!("{}", f64::from(tenths) / 10.0));
    driver.prop_recursive(4, 24, 2, |part| {
        (part.clone(), part, any::<bool>()).prop_map(|(a, b, series)| {
            if series {
                format!("({a}+{b})")
            } else {
                format!("({a}//{b})")
            }
        })
    })
}

fn transformer() -> impl Strategy<Value = Transformer> {
    let ratings = |from: f64, to: f64| prop::collection::vec(from..to, 1..6);
    (ratings(500.0, 40e3), ratings(1.0, 32.0)).prop_map(|(leads, taps)| Transformer {
        leads: leads
            .into_iter()
            .map(|rated| PrimaryLead {
                name: String::new(),
                rated: Ohms(rated),
                power_tap: None,
                guessed: false,
            })
            .collect(),
        taps: taps
            .into_iter()
            .map(|rated| Tap {
                name: String::new(),
                rated: Ohms(rated),
                guessed: false,
            })
            .collect(),
        line: None,
    })
}

fn selection() -> impl Strategy<Value = Selection> {
    (0..16_usize, 0..16_usize, 0..16_usize, 0..40_usize).prop_map(|(lead, a, b, hookup)| {
        let secondary = TapPair::new(a, b).map_or(Secondary::Tap(a), Secondary::Pair);
        if lead == 15 {
            Selection::Hookup(hookup)
        } else {
            Selection::Connection(Choice {
                lead,
                secondary,
                hookup,
            })
        }
    })
}

fn text() -> impl Strategy<Value = String> {
    // Sound texts too, or hardly any field would be read.
    let sound = prop::sample::select(vec![
        "8k",
        "4, 8",
        "8//8",
        "16",
        "250",
        "EL84",
        "own",
        "-12.5",
        "45",
        "A",
        "A//8",
        "0.5 mH",
        "20 7 1; 80 30 -3",
        "12 H",
        "5 V, 5 mA, 1 kHz",
        "500p",
        "0.4",
    ]);
    prop_oneof![
        "[ -~]{0,12}",
        "\\PC{0,8}",
        Just(String::new()),
        sound.prop_map(String::from)
    ]
}

/// Any text in every field of the table, and any word in every choice.
fn setup() -> impl Strategy<Value = Setup> {
    let rows = [
        (List::Hookup, 1..6_usize),
        (List::Point, 0..4),
        (List::Driver, 0..4),
        (List::Ohms, 0..3),
        (List::Volts, 0..3),
    ];
    let counts = rows.map(|(list, count)| (Just(list), count));
    let shown = (
        prop::sample::select(Leaf::VARIANTS),
        any::<bool>(),
        prop::sample::select(SortBy::VARIANTS),
        prop::option::of(0..40_usize),
    );
    (
        counts,
        prop::collection::vec((text(), 0..100_usize), 400),
        prop::option::of(selection()),
        shown,
        prop::collection::vec("zz[a-z]{1,4}=[a-z%+]{0,6}", 0..3),
    )
        .prop_map(
            |(counts, typed, selected, (leaf, list, sort, only), mut unknown)| {
                unknown.sort();
                unknown.dedup();
                let mut setup = Setup {
                    selected,
                    shown: Shown {
                        leaf,
                        list,
                        sort,
                        only,
                    },
                    unknown,
                    ..Setup::default()
                };
                for (list, count) in counts {
                    while setup.rows(list) < count {
                        setup.add_row(list);
                    }
                }
                let fields = setup.fields();
                assert!(fields.len() <= typed.len());
                for (field, (text, number)) in fields.into_iter().zip(typed) {
                    // Without these there is no connection, so most of the time they are sound.
                    let sound = match field {
                        Field::Primary => Some("brown 8k, blue 10k"),
                        Field::Taps => Some("4, 8, 16"),
                        Field::Hookup(_, HookupText::Speakers) => Some("8//8"),
                        _ => None,
                    };
                    let typed = match (field.row().reads, sound) {
                        (Reads::Words(words, _), _) => words[number % words.len()].0,
                        (_, Some(sound)) if number < 75 => sound,
                        _ => &text,
                    };
                    assert!(setup.set(field, typed), "{field}");
                }
                setup
            },
        )
}

/// One speaker with a rating, as a load.
fn rated(ohms: f64) -> SpeakerLoad {
    SpeakerLoad {
        hookup: 0,
        impedance: Ohms(ohms),
        lowest: Ohms(0.8 * ohms),
    }
}

proptest! {
    /// Whatever was typed comes back from its link, letter for letter.
    #[test]
    fn a_link_brings_everything_back(setup in setup()) {
        let link = link::encode(&setup);
        let parsed = link::parse(&link);
        prop_assert_eq!(&parsed.setup, &setup, "{}", link);
        prop_assert_eq!(link::encode(&parsed.setup), link);
    }

    /// The same from a file, alone and behind another.
    #[test]
    fn a_file_brings_everything_back(setup in setup(), other in setup(), answer in text()) {
        let text = saved::write([("2026-11-29 14:03", &*answer, &other), ("", "", &setup)]);
        let read = saved::read(text.as_bytes()).expect("set-ups");
        prop_assert_eq!(read.len(), 2, "{}", text);
        for (saved, typed) in read.iter().zip([other, setup]) {
            prop_assert_eq!(&saved.parsed.setup, &typed, "{}", text);
            // What its link would be told of, and no more.
            let linked = link::parse(&link::encode(&typed));
            prop_assert_eq!(&saved.parsed.troubles, &linked.troubles, "{}", text);
        }
    }

    /// RFC 3986, 3.5: what a fragment may hold.
    #[test]
    fn a_link_needs_no_further_escaping(setup in setup()) {
        let link = link::encode(&setup);
        let allowed = |c: char| c.is_ascii_alphanumeric() || "-._~!$&'()*+,;=:@/?%".contains(c);
        prop_assert!(link.chars().all(allowed), "{}", link);
    }

    /// Any text at all as a link, and any set-up: an answer or a reason, never a panic,
    /// and no number that is none.
    #[test]
    fn nothing_typed_breaks_the_report(text in "\\PC{0,200}", setup in setup()) {
        let scrambled = link::parse(&text).setup;
        for setup in [setup, scrambled] {
            let report = solve(&setup);
            for connection in &report.solved.connections {
                prop_assert!(connection.connection.load.reflected.0.is_finite());
                prop_assert!(connection.connection.mismatch_loss.0 >= 0.0);
            }
            // JSON has no word for infinity or for no number: it would write null.
            let json = serde_json::to_value(&report).expect("a report is JSON");
            for connection in json["connections"].as_array().expect("a list") {
                for key in [
                    "turns_ratio", "impedance", "reflected", "target", "ratio",
                    "mismatch_loss", "lowest_reflected",
                ] {
                    prop_assert!(connection[key].is_number(), "{key} of {connection}");
                }
            }
        }
    }

    /// IEC 60062 and decimal spellings of one value read alike.
    #[test]
    fn spellings_of_one_value_agree(tenths in 1_u32..9_999) {
        let (whole, tenth) = (tenths / 10, tenths % 10);
        let expected = f64::from(tenths) * 100.0;
        for text in [
            format!("{whole}k{tenth}"),
            format!("{whole}.{tenth}k"),
            format!("{whole},{tenth} kΩ"),
            format!("{whole}.{tenth} k ohm"),
            format!("{whole}.{tenth}e3"),
            format!("{}00", tenths),
        ] {
            let read = OHMS.read(&text);
            prop_assert!(read.as_ref().is_ok_and(|v| near(*v, expected)), "{text}: {read:?}");
        }
    }

    /// A number never reads as more than one thing: it is refused, or it is a number.
    #[test]
    fn any_text_is_a_number_in_range_or_a_complaint(text in "\\PC{0,24}") {
        if let Ok(value) = OHMS.read(&text) {
            prop_assert!((OHMS.least..=OHMS.most).contains(&value));
        }
        if let Ok(values) = list::read(&text, &OHMS, 8) {
            prop_assert!((1..=8).contains(&values.len()));
        }
        if let Ok(hookup) = Hookup::read(&text) {
            prop_assert!(hookup.impedance().0 > 0.0);
        }
    }

    /// Names and values survive whatever separates them.
    #[test]
    fn lists_read_alike_with_any_separator(
        values in prop::collection::vec((1_u32..5_000, "[a-z]{3,8}"), 2..6)
    ) {
        let elements: Vec<String> =
            values.iter().map(|(value, name)| format!("x{name} {value}")).collect();
        let expected: Vec<(String, f64)> =
            values.iter().map(|(value, name)| (format!("x{name}"), f64::from(*value))).collect();
        for separator in [", ", "; ", " ", "\n"] {
            let read = list::read(&elements.join(separator), &OHMS, 8).expect("a list");
            let read: Vec<(String, f64)> = read.into_iter().map(|n| (n.name, n.value)).collect();
            prop_assert_eq!(&read, &expected, "{}", separator);
        }
    }

    /// The impedance of a hookup lies between all in parallel and all in series, does not
    /// care for order, and its drivers' shares of power add up.
    #[test]
    fn hookups_obey_the_circuit(text in hookup()) {
        let hookup = Hookup::read(&text).expect("a hookup");
        let shares = hookup.shares(&[]);
        let series: f64 = shares.iter().map(|share| share.rated.0).sum();
        let parallel = 1.0 / shares.iter().map(|share| 1.0 / share.rated.0).sum::<f64>();
        let impedance = hookup.impedance().0;
        prop_assert!(impedance <= series * (1.0 + 1e-12));
        prop_assert!(impedance >= parallel * (1.0 - 1e-12));
        prop_assert!(near(shares.iter().map(|share| share.power).sum(), 1.0));
        for share in shares {
            // Ohm's law in every driver: (v·V)/(i·I) = (v/i)·Z.
            prop_assert!(near(share.voltage / share.current * impedance, share.rated.0));
        }
    }

    #[test]
    fn joining_does_not_care_for_order(a in hookup(), b in hookup()) {
        for join in ["+", "//"] {
            let one = Hookup::read(&format!("{a}{join}{b}"));
            let other = Hookup::read(&format!("{b}{join}{a}"));
            match (one, other) {
                (Ok(one), Ok(other)) => {
                    prop_assert!(near(one.impedance().0, other.impedance().0));
                }
                (one, other) => prop_assert_eq!(one.is_err(), other.is_err()),
            }
        }
    }

    /// The reflected load scales with the square of the turns ratio.
    #[test]
    fn reflected_load_goes_with_the_square_of_the_ratio(
        transformer in transformer(), speaker in 2.0_f64..32.0, factor in 1.1_f64..5.0,
    ) {
        let speakers = [rated(speaker)];
        let mut more_turns = transformer.clone();
        for lead in &mut more_turns.leads {
            lead.rated.0 *= factor * factor;
        }
        let of = |t: &Transformer| connection::every(t, None, &speakers, |_| Some(Ohms(8e3)));
        for (before, after) in of(&transformer).iter().zip(of(&more_turns)) {
            prop_assert!(near(after.turns_ratio, before.turns_ratio * factor));
            prop_assert!(near(after.load.reflected.0, before.load.reflected.0 * factor * factor));
        }
    }

    #[test]
    fn mismatch_is_symmetric(ratio in 0.01_f64..100.0) {
        let at = |r: f64| Match { reflected: Ohms(8e3 * r), target: Ohms(8e3) };
        prop_assert!((at(ratio).mismatch_loss().0 - at(1.0 / ratio).mismatch_loss().0).abs() < 1e-9);
        prop_assert!(near(at(ratio).distance(), at(1.0 / ratio).distance()) || ratio == 1.0);
    }

    #[test]
    fn tap_pairs_do_not_care_for_order(a in 0.5_f64..600.0, b in 0.5_f64..600.0) {
        prop_assert_eq!(tap_pair_impedance(Ohms(a), Ohms(b)), tap_pair_impedance(Ohms(b), Ohms(a)));
        prop_assert_eq!(TapPair::new(3, 1), TapPair::new(1, 3));
    }

    /// The recommended connection, found again by looking at all of them: no sound
    /// connection has a better verdict; of the same verdict and kind none is nearer; and a
    /// pair is recommended only where no tap has that verdict, unless all are to avoid.
    #[test]
    fn the_recommended_connection_is_the_right_one(
        transformer in transformer(), speaker in 1.0_f64..64.0, target in 500.0_f64..40e3,
    ) {
        let speakers = [rated(speaker)];
        let all = connection::every(&transformer, None, &speakers, |_| Some(Ohms(target)));
        let judged: Vec<Ranked> = (all.iter())
            .map(|connection| Ranked { connection, verdict: connection.load.verdict(), output: None })
            .collect();
        let ranks = ranks(&transformer, &judged);
        let best = &all[ranks.iter().position(|rank| *rank == 1).expect("a best one")];
        prop_assert!(best.degenerate.is_none());
        for other in all.iter().filter(|c| c.degenerate.is_none()) {
            let far = |c: &connection::Connection| (c.load.reflected.0 / target).ln().abs();
            prop_assert!(best.load.verdict() <= other.load.verdict());
            if other.load.verdict() == best.load.verdict() {
                // Where all are to avoid, only the distance counts.
                let avoid = best.load.verdict() == Verdict::Avoid;
                let (pair, other_pair) = (best.is_pair(), other.is_pair());
                prop_assert!(avoid || !pair || other_pair);
                if avoid || pair == other_pair {
                    prop_assert!(far(best) <= far(other) + 2e-9);
                }
            }
        }
        let ranks: std::collections::BTreeSet<usize> = ranks.into_iter().collect();
        prop_assert_eq!(ranks.len(), all.len());
        prop_assert!(all.iter().all(|c| c.load.verdict() != Verdict::Fits || c.ratio < 1.26));
    }
}
