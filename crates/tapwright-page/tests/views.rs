//! The views as markup: snapshots of whole regions, and that what a person types is
//! escaped wherever it turns up.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::panic,
    clippy::expect_used,
    reason = "a test that cannot go on has failed"
)]

use tapwright_core::setup::Selection;
use tapwright_page::{Action, Desk, Shape};

#[path = "views/region.rs"]
mod region;
use region::region;

fn example(number: usize) -> Desk {
    let mut desk = Desk::open("", None);
    desk.act(Action::Example(number - 1));
    desk
}

#[test]
fn the_village_hall() {
    let desk = example(1);
    for id in [
        "answer",
        "beware",
        "hookups",
        "connections",
        "grid-2",
        "chosen",
        "stage",
        "iron",
        "numbers",
    ] {
        insta::assert_snapshot!(format!("village-hall-{id}"), region(&desk, id));
    }
}

#[test]
fn the_ranked_list_and_a_pair_chosen_by_hand() {
    let mut desk = example(1);
    desk.act(Action::Show(Shape::List));
    let pair = Selection::read("1,1-3,2").expect("a pair");
    desk.act(Action::Select(pair));
    insta::assert_snapshot!("list", region(&desk, "list"));
    insta::assert_snapshot!("pair-chosen", region(&desk, "chosen"));
    insta::assert_snapshot!("pair-numbers", region(&desk, "numbers"));
}

#[test]
fn the_line_transformer_warns_of_direct_current() {
    let desk = example(2);
    insta::assert_snapshot!("line-beware", region(&desk, "beware"));
    insta::assert_snapshot!("line-echo", region(&desk, "echo-line_taps"));
}

#[test]
fn the_unmarked_lump_is_found_out() {
    let desk = example(3);
    for id in [
        "answer",
        "beware",
        "form",
        "echo-windings",
        "echo-turns",
        "echo-which",
        "grid-1",
        "numbers",
    ] {
        insta::assert_snapshot!(format!("lump-{id}"), region(&desk, id));
    }
}

/// Single-ended, a tube of one's own, the speakers' reactance, overdriven: what of the
/// page is there only then.
#[test]
fn a_tube_of_ones_own_with_reactance() {
    let desk = Desk::open(
        "#v=1&stage=single-ended&primary=5k&taps=8&hookup=8&tube=own&supply=250&source=200\
         &own_plate_watts=12&own_screen_watts=2&point=250,250,-12.5,45,4.5,4.1,52k,9.8\
         &frequency=80&drive=150",
        None,
    );
    for id in [
        "form",
        "echo-own",
        "echo-more-of-stage",
        "echo-grid",
        "stage",
    ] {
        insta::assert_snapshot!(format!("own-{id}"), region(&desk, id));
    }
}

/// One speaker by its parameters in a box, one measured, one only by size; one row at fault.
#[test]
fn speakers_as_they_are() {
    let desk = Desk::open(
        "#v=1&primary=8k&taps=4,8,16&target=8k&frequency=100&hookup=A//B%2B15@30\
         &speaker.1.called=A&speaker.1.coil=6.4&speaker.1.resonance=75&speaker.1.mechanical_q=6\
         &speaker.1.electrical_q=0.9&speaker.1.vas=60&speaker.1.closed_box=40\
         &speaker.2.called=B&speaker.2.rated=16&speaker.2.curve=20,11,0;90,40,5;20000,30,60\
         &speaker.3.called=15&speaker.3.size=oval&speaker.4.called=C&speaker.4.curve=20,7;",
        None,
    );
    for id in [
        "form",
        "speakers",
        "echo-drivers",
        "echo-known-1",
        "echo-known-2",
        "echo-known-3",
        "echo-speaker-1-called",
        "echo-speaker-1-coil",
        "echo-speaker-3-called",
        "echo-speaker-4-curve",
    ] {
        insta::assert_snapshot!(format!("as-they-are-{id}"), region(&desk, id));
    }
    let loads = |rest: &str| {
        region(
            &Desk::open(&format!("#v=1&loads=curve{rest}"), None),
            "echo-loads",
        )
    };
    assert!(loads("").contains("Rated ohms until then"));
    assert!(loads("&frequency=100").contains("the one at 100"));
}

/// Everything typed about the iron that there is a field for: what of the page is there only
/// then.
#[test]
fn iron_with_every_loss() {
    let desk = Desk::open(
        "#v=1&stage=single-ended&primary=brown%202k5,%20blue%205k&taps=4,%208&hookup=8&tube=EL84\
         &supply=250&core=ungapped&winding=350&tap_winding=4:%200.3,%208:%200.5&core_ohms=60k\
         &inductance=6.3%20V,%202%20mA,%2050%20Hz&leakage=40%20mH&capacitance=500p\
         &rated_watts=4&rated_hertz=80",
        None,
    );
    for id in [
        "iron",
        "numbers",
        "beware",
        "echo-losses",
        "echo-winding",
        "echo-tap_winding",
        "echo-inductance",
    ] {
        insta::assert_snapshot!(format!("losses-{id}"), region(&desk, id));
    }
    let mut mains = desk;
    mains.edit("inductance", "230 V, 73 mA, 50 Hz");
    let echo = region(&mains, "echo-inductance");
    assert!(echo.contains("reading is dangerous"), "{echo}");
}

/// A reading that cannot be keeps its text, says why at its field, and nothing else changes.
#[test]
fn a_reading_that_cannot_be_is_told_at_its_field() {
    let mut desk = Desk::open(
        "#v=1&primary=8k&taps=8&hookup=8&winding=350&leakage=50%20V,%2012%20mA,%201%20kHz",
        None,
    );
    let good = region(&desk, "iron");
    desk.edit("leakage", "3 V, 12 mA, 1 kHz");
    let echo = region(&desk, "echo-leakage");
    assert!(echo.contains("as much by themselves"), "{echo}");
    assert!(echo.contains("Still using 50 V, 12 mA, 1 kHz."), "{echo}");
    let brief = region(&desk, "echo-losses");
    assert!(brief.contains("one value here cannot be used"), "{brief}");
    assert_eq!(
        region(&desk, "iron"),
        good.replacen("class=\"\"", "class=\"stale\"", 1)
    );
}

#[test]
fn numbers_that_contradict_each_other_are_named() {
    let desk = Desk::open(
        "#v=1&tube=own&own=triode&point=250,,-8,9,,2.6,7k7&point=250,,-8,18",
        None,
    );
    let fit = region(&desk, "echo-own");
    assert!(fit.contains("do not belong together"), "{fit}");
    let bare = Desk::open("#v=1&tube=own&point=250,250,-12.5", None);
    let echo = region(&bare, "echo-point-1-plate_ma");
    assert!(echo.contains("has no plate current yet"), "{echo}");
}

/// What cannot be computed says why, in its place.
#[test]
fn a_stage_that_gives_nothing_says_so() {
    let desk = Desk::open(
        "#v=1&primary=8k&taps=8&hookup=8&tube=6AQ5&supply=250&grid=-200",
        None,
    );
    let beware = region(&desk, "beware");
    assert!(beware.contains("cuts the tubes off"), "{beware}");
    let hot = Desk::open(
        "#v=1&primary=8k&taps=8&hookup=8&tube=6AQ5&supply=350&grid=-5",
        None,
    );
    let answer = region(&hot, "answer");
    assert!(answer.contains("Do not run it like this"), "{answer}");
    assert!(answer.contains("at idle each plate"), "{answer}");
    let beware = region(&hot, "beware");
    assert!(beware.contains("Make the grid more negative"), "{beware}");
}

/// Of a bad B+ without a tube nothing is taken meanwhile, and nothing is said of it.
#[test]
fn a_bad_supply_without_a_tube_has_no_meanwhile() {
    let desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8&supply=lots", None);
    let echo = region(&desk, "echo-supply");
    assert!(echo.contains("class=\"bad\""), "{echo}");
    assert!(!echo.contains("Meanwhile"), "{echo}");
}

/// A bad target says what is used instead, in whole sentences.
#[test]
fn a_bad_target_says_what_is_used_meanwhile() {
    let desk = Desk::open("#v=1&tube=6V6GT&supply=250&target=-8k", None);
    let echo = region(&desk, "echo-target");
    assert!(echo.contains("Meanwhile: Wants 10"), "{echo}");
    assert!(
        echo.contains("from memory.") && !echo.contains(".."),
        "{echo}"
    );
}

#[test]
fn the_form() {
    insta::assert_snapshot!("form", region(&example(1), "form"));
}

/// Markup typed into any field stays text in every region.
#[test]
fn what_is_typed_is_escaped_everywhere() {
    let attack = "<script>\"'&";
    let good = [
        ("primary", "8k, 10k"),
        ("taps", "4, 8"),
        ("hookup.1.speakers", "8//8"),
    ];
    let attacks = [
        ("name", attack.to_owned()),
        ("primary", format!("{attack}: 8k, {attack}{attack}: 10k")),
        ("taps", format!("{attack}: 4, {attack}{attack}: 8")),
        ("target", attack.to_owned()),
        ("tube", attack.to_owned()),
        ("supply", attack.to_owned()),
        ("line_volts", attack.to_owned()),
        ("line_taps", format!("{attack}: 5")),
        ("winding", format!("{attack}: 300")),
        ("inductance", attack.to_owned()),
        ("leads", format!("{attack}, {attack}{attack}, 3")),
        ("primary_is", attack.to_owned()),
        ("common", attack.to_owned()),
        ("voltmeter", attack.to_owned()),
        ("ohms.1.pair", attack.to_owned()),
        ("ohms.1.ohms", attack.to_owned()),
        ("volts.1.fed", attack.to_owned()),
        ("volts.1.volts", attack.to_owned()),
        ("volts.1.joined", attack.to_owned()),
        ("grid", attack.to_owned()),
        ("cathode", attack.to_owned()),
        ("drive", attack.to_owned()),
        ("own_plate_watts", attack.to_owned()),
        ("point.1.gm", attack.to_owned()),
        ("hookup.1.name", attack.to_owned()),
        ("hookup.1.speakers", attack.to_owned()),
        ("hookup.1.rating", attack.to_owned()),
    ];
    let mut shown = 0;
    for marking in ["impedance", "line", "measured"] {
        for shape in [Shape::List, Shape::Grids] {
            for (field, text) in &attacks {
                let link = format!(
                    "#v=1&{attack}=%zz&line=100&power=5&tube=own&point=250,250,-12.5,45,4.5,4.1,52k"
                );
                let mut desk = Desk::open(&link, Some(format!("v=1&name={attack}")));
                desk.edit("marking", marking);
                for (field, text) in good {
                    desk.edit(field, text);
                }
                desk.edit(field, text);
                desk.act(Action::Show(shape));
                desk.act(Action::Fold("pairs.1".into()));
                for region in desk.regions() {
                    let markup = region.markup.into_string();
                    assert!(
                        !markup.contains("<script"),
                        "{field} in {}: {markup}",
                        region.id
                    );
                    shown += markup.matches("&lt;script&gt;").count();
                }
            }
        }
    }
    assert!(
        shown > 100,
        "the attack was shown only {shown} times: it tests nothing"
    );
}

/// Of two attributes of one name a browser drops the second, and says nothing.
#[test]
fn no_tag_has_an_attribute_twice() {
    let mut desk = example(1);
    let fold = |key: &str| Action::Fold(key.into());
    for action in [
        fold("pairs.1"),
        fold("table.power"),
        fold("table.stress"),
        Action::Show(Shape::List),
    ] {
        desk.act(action);
        for region in desk.regions() {
            let markup = region.markup.into_string();
            for tag in markup.split('<').filter_map(|tag| tag.split_once('>')) {
                for name in [" class=\"", " id=\"", " type=\""] {
                    assert!(
                        tag.0.matches(name).count() < 2,
                        "{}: <{}>",
                        region.id,
                        tag.0
                    );
                }
            }
        }
    }
}

/// A number without a unit is a defect: every large number of a grid has one.
#[test]
fn every_number_of_a_grid_has_a_unit() {
    let markup = region(&example(1), "grid-1");
    let numbers: Vec<&str> = markup
        .split("<b>")
        .skip(1)
        .filter_map(|b| b.split('<').next())
        .collect();
    assert_eq!(numbers.len(), 6);
    for number in numbers {
        assert!(number.ends_with('Ω'), "{number}");
    }
}
