//! The supply among the parts and on the leaf of the heat.

use tapwright_page::{Action, Desk};

use crate::region::{region, says};

/// The record player, which has a supply.
fn record_player() -> Desk {
    let mut desk = Desk::open("");
    desk.act(Action::Example(3));
    desk.act(Action::Turn(tapwright_core::setup::Leaf::Heat));
    for fold in [
        "supply-currents",
        "supply-workings",
        "supply-taps",
        "supply-ripple",
        "supply-sag",
    ] {
        desk.act(Action::Fold(fold.into()));
    }
    desk
}

#[test]
fn the_record_player() {
    let desk = record_player();
    for id in [
        "heat-supply",
        "supply-sag",
        "supply-currents",
        "supply-workings",
        "holds-supply",
    ] {
        insta::assert_snapshot!(format!("supply-{id}"), region(&desk, id));
    }
    says(&desk, "heat-supply", "B+ comes to");
    says(&desk, "supply-taps", "220\u{a0}V");
    says(&desk, "supply-ripple", "over two cycles of the mains");
}

/// What is not described asks for it, and what is begun says what it lacks.
#[test]
fn what_is_missing_is_said() {
    let bare = Desk::open("#v=1&leaf=heat");
    says(&bare, "heat-supply", "Describe the mains transformer");
    let begun = Desk::open("#v=1&leaf=heat&rectifier=EZ80&winding_volts=2x250");
    says(&begun, "heat-supply", "Still unknown: <b>first capacitor");
    says(&begun, "holds-supply", "type: first capacitor");
}

/// 2 × 300 V typed as 600 is told in words at its field.
#[test]
fn a_winding_typed_twice_as_high_is_told_at_its_field() {
    let desk = Desk::open("#v=1&winding_volts=600");
    says(
        &desk,
        "echo-winding_volts",
        "300 V on each side of the centre tap",
    );
}

/// A live chassis stands in front of every number, on the leaf and in the answer.
#[test]
fn a_live_chassis_comes_first() {
    let desk = Desk::open(
        "#v=1&leaf=heat&stage=single-ended&primary=2.5k&taps=4&hookup=4&tube=50C5&isolation=none\
         &mains=117&rectifier=35W4&reservoir=40u",
    );
    let leaf = region(&desk, "heat-supply");
    let live = leaf.find("The chassis is live").expect("it is said");
    let number = leaf.find("B+ comes to").expect("there is a number");
    assert!(live < number);
    let answer = region(&desk, "answer");
    let live = answer.find("The chassis is live").expect("it is said");
    let number = answer.find("Ω").expect("there is a number");
    assert!(live < number, "{answer}");
    says(&desk, "beware", "isolates the chassis");
}

/// What was pinned stands beside what is here.
#[test]
fn pinned_volts_stand_beside_those_of_now() {
    let mut desk = record_player();
    desk.act(Action::Pin);
    desk.edit("rectifier", "silicon");
    says(&desk, "against", "B+, computed");
}
