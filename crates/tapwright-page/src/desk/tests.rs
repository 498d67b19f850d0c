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
    let desk = Desk::open("");
    assert!(text(&desk, "standing").contains("example, invented values"));
    assert!(text(&desk, "answer").contains("Use "));
}

#[test]
fn a_bad_field_keeps_the_last_good_result_and_marks_it() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8&target=8k");
    let good = text(&desk, "answer");
    desk.edit("taps", "8 ohn");
    assert!(
        !text(&desk, "echo-taps").contains("bad"),
        "a word beside a value is a name"
    );
    desk.edit("taps", "8, -1");
    desk.complain();
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
    let mut desk = Desk::open(EXAMPLES[0].link);
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
    let mut desk = Desk::open("#v=1&primary=8k");
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
    let mut desk = Desk::open("#v=1&primary=6k6");
    desk.act(Action::Example(1));
    assert_eq!(desk.value("marking").as_deref(), Some("line"));
    desk.act(Action::Undo);
    assert_eq!(desk.value("primary").as_deref(), Some("6k6"));
}

#[test]
fn the_last_set_up_is_offered_and_not_forced() {
    let kept = "v=1&name=Mine&primary=6k6".to_owned();
    let mut desk = Desk::open("");
    desk.offer(kept.clone());
    assert!(text(&desk, "notices").contains("“Mine”"));
    assert_ne!(desk.link(), kept);
    desk.act(Action::BringBack);
    assert_eq!(desk.link(), kept);
    for same in [kept.clone(), format!("{kept}&leaf=tube")] {
        let mut desk = Desk::open(&kept);
        desk.offer(same);
        assert!(desk.notices.is_empty());
    }
}

#[test]
fn removing_a_hookup_keeps_the_good_text_of_the_others() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=4&hookup=8");
    desk.edit("hookup.2.speakers", "8//");
    desk.act(Action::Remove(List::Hookup, 0));
    assert!(text(&desk, "echo-hookup-1-speakers").contains("Still using 8."));
}

#[test]
fn a_selected_hookup_follows_its_recommendation() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=4,%208&hookup=4&hookup=8");
    desk.act(Action::Select(Selection::Hookup(1)));
    assert!(desk.link().ends_with("&selected=2"));
    let other = Selection::read("1,1,2").map(Action::Select);
    desk.act(other.expect("a connection"));
    assert!(text(&desk, "chosen").contains("Your choice, number"));
    assert_eq!(desk.neighbour("1,1,2", 0, 1).as_deref(), Some("1,2,2"));
    assert_eq!(desk.neighbour("1,1,2", 1, 0), None);
}

/// What is half typed is not complained of: not at the field, and not by a stale answer. After a
/// pause it is, and then with every letter until it can be read.
#[test]
fn a_complaint_waits_for_a_pause_a_comma_or_the_next_field() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8");
    let is_told = |desk: &Desk| {
        let told = text(desk, "echo-hookup-1-speakers").contains("bad");
        assert_eq!(told, text(desk, "answer").contains("stale"));
        assert_eq!(told, !desk.faults().is_empty());
        told
    };
    let before = text(&desk, "echo-hookup-1-speakers");
    desk.edit("hookup.1.speakers", "8//");
    assert_eq!(text(&desk, "echo-hookup-1-speakers"), before);
    assert!(!is_told(&desk));
    desk.edit("hookup.1.speakers", "8//8");
    assert!(text(&desk, "echo-hookup-1-speakers").contains("4\u{a0}Ω"));
    desk.edit("hookup.1.speakers", "8//8+");
    assert!(!is_told(&desk));
    desk.complain();
    assert!(is_told(&desk));
    desk.edit("hookup.1.speakers", "8//8+x");
    assert!(is_told(&desk));
    desk.edit("hookup.1.speakers", "8");
    desk.edit("hookup.1.speakers", "8 x,");
    assert!(is_told(&desk));
    desk.edit("hookup.1.speakers", "8");
    desk.edit("hookup.1.speakers", "8 x");
    assert!(!is_told(&desk));
    desk.edit("supply", "250");
    assert!(is_told(&desk));
}

/// What a link held that could not be read, keys and fields, is said when it opens and not
/// again on the way back to it.
#[test]
fn what_was_left_out_of_a_link_is_said_once() {
    let link = "#v=1&primary=8k&taps=8&hookup=8&tube=6Z9&colour=red";
    let mut desk = Desk::open(link);
    let told = text(&desk, "notices");
    assert!(told.contains("“colour” is not a key"), "{told}");
    assert!(told.contains("Tube: “6Z9” is not among"), "{told}");
    desk.act(Action::Dismiss);
    desk.follow("#v=1&primary=8k&taps=8&hookup=8");
    assert_eq!(text(&desk, "notices"), "");
}

/// An address from anywhere, a fragment of one, a text that a mail program broke: all open,
/// and what was there is one undo away.
#[test]
fn a_link_opens_from_text() {
    let link = "v=1&primary=8k&taps=4,%208&hookup=8";
    for text in [
        link.to_owned(),
        format!("#{link}"),
        format!(" <file:///C:/bench/tapwright.html#{link}>\r\n"),
        format!("https://example.org/amp/#{link}"),
        link.replace("&taps", "\n&taps"),
    ] {
        let mut desk = Desk::open("#v=1&primary=6k6");
        assert!(desk.open_link(&text), "{text}");
        assert_eq!(desk.link(), link);
        desk.act(Action::Undo);
        assert_eq!(desk.link(), "v=1&primary=6k6");
    }
    let mut desk = Desk::open("#v=1&primary=6k6");
    for text in ["", "hello", "https://example.org/"] {
        assert!(!desk.open_link(text), "{text}");
        assert!(self::text(&desk, "echo-open").contains("For example: v=1"));
        assert_eq!(desk.link(), "v=1&primary=6k6");
    }
    assert!(desk.open_link("v=1&taps=8&tube=6Z9"));
    assert_eq!(text(&desk, "echo-open"), "");
    assert!(text(&desk, "notices").contains("6Z9"));
}

/// From a disk the address is of no use elsewhere.
#[test]
fn what_is_copied_works_elsewhere() {
    let mut desk = Desk::open("#v=1&primary=8k");
    let address = "https://example.org/#v=1&primary=8k".to_owned();
    assert_eq!(desk.to_copy(address.clone()), address);
    desk.set_from_disk();
    assert_eq!(
        desk.to_copy("file:///tmp/t.html#…".into()),
        "v=1&primary=8k"
    );
    assert!(text(&desk, "acts").contains("Copy as text"));
}

#[test]
fn a_name_of_a_megabyte_is_refused_and_told() {
    let mut desk = Desk::open("#v=1&name=Mine&primary=8k");
    for key in ["name", "hookup.1.name", "taps"] {
        assert!(!desk.edit(key, &"x".repeat(1_000_000)), "{key}");
        let told = text(&desk, "notices");
        assert!(told.contains("1000000 characters are too many"), "{told}");
        assert_eq!(desk.link(), "v=1&name=Mine&primary=8k");
    }
    assert!(desk.edit("name", &"x".repeat(200)));
}

/// A link that was opened, looked at and turned round belongs to whoever sent it.
#[test]
fn only_what_the_person_typed_is_kept() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=4,%208&hookup=8");
    desk.act(Action::Turn(Leaf::Tube));
    desk.act(Action::Select(Selection::Hookup(0)));
    assert!(!desk.is_worth_keeping());
    desk.edit("taps", "4, 16");
    assert!(desk.is_worth_keeping());
    desk.open_link("v=1&primary=5k&taps=8&hookup=8");
    assert!(!desk.is_worth_keeping());
    desk.act(Action::Example(0));
    assert!(!desk.is_worth_keeping());
    desk.offer("v=1&name=Mine&primary=6k6".into());
    desk.act(Action::BringBack);
    assert!(desk.is_worth_keeping());
}
