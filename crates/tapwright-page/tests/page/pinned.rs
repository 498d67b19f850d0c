//! A state that is pinned as A, against now.

use tapwright_core::link;
use tapwright_core::setup::Leaf;
use tapwright_page::{Action, Desk};

use crate::region::region;

const LINK: &str = "v=1&primary=8k,%2010k&taps=4,%208&tube=6V6GT&supply=285&hookup=8";

/// Pinned, changed, and compared: the numbers of both, and their difference.
#[test]
fn a_pinned_state_stands_against_what_is_typed_next() {
    let mut desk = Desk::open(LINK);
    assert!(!region(&desk, "against").contains("A is pinned"));
    desk.act(Action::Pin);
    desk.edit("hookup.1.speakers", "16");
    let against = region(&desk, "against");
    assert!(against.contains("A is pinned"), "{against}");
    assert!(
        against.contains("8.00\u{a0}kΩ") && against.contains("dB"),
        "{against}"
    );
    // It travels in the link, and comes back from it.
    let again = Desk::open(&desk.link());
    assert_eq!(region(&again, "against"), against);
    let parsed = link::parse(&desk.link());
    assert!(parsed.troubles.is_empty(), "{:?}", parsed.troubles);
}

#[test]
fn a_is_taken_back_swapped_and_unpinned() {
    let mut desk = Desk::open(LINK);
    desk.act(Action::Pin);
    desk.edit("taps", "8, 16");
    let changed = desk.value("taps");
    desk.act(Action::Swap);
    assert_eq!(desk.value("taps").as_deref(), Some("4, 8"));
    desk.act(Action::Swap);
    assert_eq!(desk.value("taps"), changed);
    desk.act(Action::TakeBack);
    assert_eq!(desk.value("taps").as_deref(), Some("4, 8"));
    desk.act(Action::Unpin);
    assert!(!region(&desk, "against").contains("A is pinned"));
    assert_eq!(desk.link(), link::encode(&link::parse(LINK).setup));
    desk.act(Action::Undo);
    assert!(region(&desk, "against").contains("A is pinned"));
}

/// The curves of A lie over those of now, and the axes hold both.
#[test]
fn the_charts_show_both() {
    let mut desk = Desk::open(LINK);
    desk.act(Action::Turn(Leaf::Tube));
    let alone = region(&desk, "power").matches("<path").count();
    desk.act(Action::Pin);
    desk.edit("supply", "250");
    let both = region(&desk, "power");
    assert!(both.matches("<path").count() > alone, "{both}");
    assert!(both.contains(">A<"), "{both}");
}

/// What is pinned may be anything: a damaged link is read as far as it goes.
#[test]
fn a_damaged_pin_breaks_nothing() {
    for pinned in [
        "",
        "%25",
        "v%3D1%26primary%3D%C3%97",
        "pinned%3Dpinned%253D",
    ] {
        let desk = Desk::open(&format!("{LINK}&pinned={pinned}"));
        assert!(region(&desk, "answer").contains("kΩ"), "{pinned}");
    }
}
