//! The desk as a person uses it: typing, undoing, choosing, coming back.

use super::*;
use tapwright_core::setup::{List, SortBy};

fn text(desk: &Desk, id: &str) -> String {
    let Regions { first, leaf } = desk.regions();
    let mut regions = first.into_iter().chain(leaf);
    let region = regions.find(|region| region.id == id);
    region
        .unwrap_or_else(|| panic!("no region {id}"))
        .markup
        .into_string()
}

#[test]
fn the_first_visit_opens_the_first_example_and_says_so() {
    let desk = Desk::open("", None);
    assert!(text(&desk, "standing").contains("example, invented values"));
    assert!(text(&desk, "answer").contains("Use "));
}

#[test]
fn a_bad_field_keeps_the_last_good_result_and_marks_it() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8&target=8k", None);
    let good = text(&desk, "answer");
    desk.edit("taps", "8 ohn");
    assert!(
        !text(&desk, "echo-taps").contains("bad"),
        "a word beside a value is a name"
    );
    desk.edit("taps", "8, -1");
    assert!(text(&desk, "echo-taps").contains("is negative"));
    assert!(text(&desk, "echo-taps").contains("Still using 8."));
    let stale = text(&desk, "answer");
    assert!(
        stale.contains("stale") && stale.contains("8.00\u{a0}kΩ"),
        "{stale}"
    );
    assert!(!good.contains("stale"));
    assert_eq!(desk.value("taps").as_deref(), Some("8, -1"));
}

/// The report is computed again whenever it may differ.
#[test]
fn the_report_is_always_that_of_the_good_texts() {
    let mut desk = Desk::open(EXAMPLES[0].link, None);
    for (key, text) in [
        ("name", "Another"),
        ("supply", "260"),
        ("taps", "8, -1"),
        ("taps", "8, 16"),
        ("only", "1"),
        ("hookup.1.name", "Stage left"),
        ("hookup.1.rating", "5"),
        ("core", "ungapped"),
        ("name", ""),
    ] {
        desk.edit(key, text);
        let fresh = solve(&desk.good);
        assert_eq!(desk.report, fresh, "{key} {text}");
    }
    for action in [
        Action::Show(Shape::List),
        Action::Sort(SortBy::Loss),
        Action::Select(Selection::Hookup(0)),
        Action::Undo,
        Action::Undo,
        Action::Redo,
    ] {
        desk.act(action.clone());
        let fresh = solve(&desk.good);
        assert_eq!(desk.report, fresh, "{action}");
    }
}

#[test]
fn undo_takes_back_a_whole_field_and_redo_brings_it_again() {
    let mut desk = Desk::open("#v=1&primary=8k", None);
    for text in ["4", "4,", "4, 8"] {
        desk.edit("taps", text);
    }
    desk.settle();
    desk.edit("taps", "4, 8, 16");
    desk.act(Action::Undo);
    assert_eq!(desk.value("taps").as_deref(), Some("4, 8"));
    desk.act(Action::Undo);
    assert_eq!(desk.value("taps").as_deref(), Some(""));
    desk.act(Action::Redo);
    desk.act(Action::Redo);
    assert_eq!(desk.value("taps").as_deref(), Some("4, 8, 16"));
}

#[test]
fn an_example_does_not_destroy_what_was_there() {
    let mut desk = Desk::open("#v=1&primary=6k6", None);
    desk.act(Action::Example(1));
    assert_eq!(desk.value("marking").as_deref(), Some("line"));
    desk.act(Action::Undo);
    assert_eq!(desk.value("primary").as_deref(), Some("6k6"));
}

#[test]
fn the_last_set_up_is_offered_and_not_forced() {
    let kept = "v=1&name=Mine&primary=6k6".to_owned();
    let mut desk = Desk::open("", Some(kept.clone()));
    assert!(text(&desk, "notices").contains("“Mine”"));
    assert_ne!(desk.link(), kept);
    desk.act(Action::BringBack);
    assert_eq!(desk.link(), kept);
    assert!(Desk::open(&kept, Some(kept.clone())).notices.is_empty());
}

#[test]
fn removing_a_hookup_keeps_the_good_text_of_the_others() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=4&hookup=8", None);
    desk.edit("hookup.2.speakers", "8//");
    desk.act(Action::Remove(List::Hookup, 0));
    assert!(text(&desk, "echo-hookup-1-speakers").contains("Still using 8."));
}

#[test]
fn a_selected_hookup_follows_its_recommendation() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=4,%208&hookup=4&hookup=8", None);
    desk.act(Action::Select(Selection::Hookup(1)));
    assert!(desk.link().ends_with("&selected=2"));
    let other = Selection::read("1,1,2").map(Action::Select);
    desk.act(other.expect("a connection"));
    assert!(text(&desk, "chosen").contains("Your choice, number"));
    assert_eq!(desk.neighbour("1,1,2", 0, 1).as_deref(), Some("1,2,2"));
    assert_eq!(desk.neighbour("1,1,2", 1, 0), None);
}
