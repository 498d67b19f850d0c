//! The views as markup: snapshots of whole regions, and what stands there only sometimes.

use tapwright_core::setup::Selection;
use tapwright_page::{Action, Desk, Shape};

use crate::region::{fieldset, region, regions, says};

fn example(number: usize) -> Desk {
    let mut desk = Desk::open("");
    desk.act(Action::Example(number - 1));
    unfold(&mut desk);
    desk
}

/// Opens what is drawn only when it is open.
fn unfold(desk: &mut Desk) {
    for fold in ["speakers", "iron", "cautions", "wave"] {
        desk.act(Action::Fold(fold.into()));
    }
}

fn open(link: &str) -> Desk {
    let mut desk = Desk::open(link);
    unfold(&mut desk);
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
        "status",
        "stage",
        "plates",
        "power",
        "limits",
        "idle",
        "wave",
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
        "echo-windings",
        "echo-turns",
        "echo-which",
        "grid-1",
        "numbers",
    ] {
        insta::assert_snapshot!(format!("lump-{id}"), region(&desk, id));
    }
    insta::assert_snapshot!("lump-form", fieldset(&desk, "Iron"));
}

/// Single-ended, a tube of one's own, the speakers' reactance, overdriven: what of the
/// page is there only then.
#[test]
fn a_tube_of_ones_own_with_reactance() {
    let desk = open(
        "#v=1&stage=single-ended&primary=5k&taps=8&hookup=8&tube=own&supply=250&source=200\
         &own_plate_watts=12&own_screen_watts=2&point=250,250,-12.5,45,4.5,4.1,52k,9.8\
         &frequency=80&drive=150",
    );
    for id in [
        "echo-own",
        "echo-more-of-stage",
        "echo-grid",
        "stage",
        "limits",
        "idle",
        "wave",
    ] {
        insta::assert_snapshot!(format!("own-{id}"), region(&desk, id));
    }
    insta::assert_snapshot!("own-form", fieldset(&desk, "Stage"));
}

/// One speaker by its parameters in a box, one measured, one only by size; one row at fault.
#[test]
fn speakers_as_they_are() {
    let desk = open(
        "#v=1&primary=8k&taps=4,8,16&target=8k&frequency=100&hookup=A//B%2B15@30\
         &speaker.1.called=A&speaker.1.coil=6.4&speaker.1.resonance=75&speaker.1.mechanical_q=6\
         &speaker.1.electrical_q=0.9&speaker.1.vas=60&speaker.1.closed_box=40\
         &speaker.2.called=B&speaker.2.rated=16&speaker.2.curve=20,11,0;90,40,5;20000,30,60\
         &speaker.3.called=15&speaker.3.size=oval&speaker.4.called=C&speaker.4.curve=20,7;",
    );
    for id in [
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
    insta::assert_snapshot!("as-they-are-form", fieldset(&desk, "Speaker data"));
    let loads = |rest: &str| open(&format!("#v=1&loads=curve{rest}"));
    says(&loads(""), "echo-loads", "Rated ohms until then");
    says(&loads("&frequency=100"), "echo-loads", "the one at 100");
}

/// Everything typed about the iron that there is a field for: what of the page is there only
/// then.
#[test]
fn iron_with_every_loss() {
    let desk = open(
        "#v=1&stage=single-ended&primary=brown%202k5,%20blue%205k&taps=4,%208&hookup=8&tube=EL84\
         &supply=250&core=ungapped&winding=350&tap_winding=4:%200.3,%208:%200.5&core_ohms=60k\
         &inductance=6.3%20V,%202%20mA,%2050%20Hz&leakage=40%20mH&capacitance=500p\
         &rated_watts=4&rated_hertz=80",
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
    says(&mains, "echo-inductance", "reading is dangerous");
}

/// A reading that cannot be keeps its text, says why at its field, and nothing else changes.
#[test]
fn a_reading_that_cannot_be_is_told_at_its_field() {
    let mut desk =
        open("#v=1&primary=8k&taps=8&hookup=8&winding=350&leakage=50%20V,%2012%20mA,%201%20kHz");
    let good = region(&desk, "iron");
    desk.edit("leakage", "3 V, 12 mA, 1 kHz");
    desk.complain();
    says(&desk, "echo-leakage", "as much by themselves");
    says(&desk, "echo-leakage", "Still using 50 V, 12 mA, 1 kHz.");
    says(&desk, "echo-losses", "one value here cannot be used");
    assert_eq!(
        region(&desk, "iron"),
        good.replacen("class=\"\"", "class=\"stale\"", 1)
    );
}

#[test]
fn numbers_that_contradict_each_other_are_named() {
    let desk = open("#v=1&tube=own&own=triode&point=250,,-8,9,,2.6,7k7&point=250,,-8,18");
    says(&desk, "echo-own", "do not belong together");
    let bare = open("#v=1&tube=own&point=250,250,-12.5");
    says(&bare, "echo-point-1-plate_ma", "has no plate current yet");
}

/// What cannot be computed says why, in its place.
#[test]
fn a_stage_that_gives_nothing_says_so() {
    let desk = open("#v=1&primary=8k&taps=8&hookup=8&tube=6AQ5&supply=250&grid=-200");
    says(&desk, "health", "cuts the tubes off");
    let hot = open("#v=1&primary=8k&taps=8&hookup=8&tube=6AQ5&supply=350&grid=-5");
    says(&hot, "answer", "Do not run it like this");
    says(&hot, "answer", "at idle each plate");
    says(&hot, "health", "Make the grid more negative");
}

/// Of a bad B+ without a tube nothing is taken meanwhile, and nothing is said of it.
#[test]
fn a_bad_supply_without_a_tube_has_no_meanwhile() {
    let desk = open("#v=1&primary=8k&taps=8&hookup=8&supply=lots");
    let echo = region(&desk, "echo-supply");
    assert!(echo.contains("class=\"bad\""), "{echo}");
    assert!(!echo.contains("Meanwhile"), "{echo}");
}

/// A bad target says what is used instead, in whole sentences.
#[test]
fn a_bad_target_says_what_is_used_meanwhile() {
    let desk = open("#v=1&tube=6V6GT&supply=250&target=-8k");
    says(&desk, "echo-target", "Meanwhile: Wants 10");
    says(&desk, "echo-target", "from memory.");
    let echo = region(&desk, "echo-target");
    assert!(!echo.contains(".."), "{echo}");
}

/// A published load says for how many tubes it is, and where it stands.
#[test]
fn a_published_load_is_counted_for_as_many_tubes_as_here() {
    let desk = open("#v=1&stage=single-ended&tube=6V6GT&supply=250");
    says(
        &desk,
        "echo-target",
        "published for the 6V6GT at 250\u{a0}V. That load gives",
    );
    let four = open("#v=1&tube=6V6GT&supply=285&tubes=4");
    says(
        &four,
        "echo-target",
        "published for 2 6V6GT at 285\u{a0}V, counted for as many tubes as here. That",
    );
}

#[test]
fn the_form() {
    insta::assert_snapshot!("form", region(&example(1), "parts"));
}

/// Of two attributes of one name a browser drops the second, and says nothing.
#[test]
fn no_tag_has_an_attribute_twice() {
    let mut desk = example(1);
    let mut seen = 0;
    let fold = |key: &str| Action::Fold(key.into());
    for action in [
        fold("pairs.1"),
        fold("table.power"),
        fold("table.stress"),
        Action::Show(Shape::List),
    ] {
        desk.act(action);
        for region in regions(&desk) {
            let markup = region.markup.into_string();
            for (tag, _) in markup.split('<').filter_map(|tag| tag.split_once('>')) {
                let attributes = tag.split("=\"").map(|before| before.rsplit(' ').next());
                let mut names: Vec<_> = attributes.collect();
                // Behind the last one there is no name.
                names.pop();
                let many = names.len();
                names.sort();
                names.dedup();
                assert_eq!(names.len(), many, "{}: <{tag}>", region.id);
                seen += many;
            }
        }
    }
    assert!(seen > 3_000, "only {seen} attributes were seen");
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
