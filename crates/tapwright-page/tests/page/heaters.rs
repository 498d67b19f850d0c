//! The heaters on the leaf of the heat.

use tapwright_page::{Action, Desk};

use crate::region::{region, says};

/// A pair of EL84, their driver a split load, on a winding of 3 A.
const PAIR: &str = "#v=1&primary=8k&taps=8&hookup=8&tube=EL84&supply=300&driver=ECC83&splitter=split-load&heater_amps=3";

fn open(more: &str) -> Desk {
    let mut desk = Desk::open(&format!("{PAIR}{more}"));
    unfold(&mut desk);
    desk
}

fn unfold(desk: &mut Desk) {
    for fold in ["heaters-numbers", "heaters-workings", "heaters-wiring"] {
        desk.act(Action::Fold(fold.into()));
    }
}

#[test]
fn the_record_players_heaters() {
    let mut desk = Desk::open("");
    desk.act(Action::Example(3));
    unfold(&mut desk);
    for id in [
        "heaters-say",
        "heaters-fields",
        "heaters-bewares",
        "heaters-numbers",
        "heaters-workings",
        "heaters-wiring",
    ] {
        insta::assert_snapshot!(format!("record-player-{id}"), region(&desk, id));
    }
}

/// What is said of each way to ground.
#[test]
fn each_way_to_ground_has_its_sentence() {
    for (more, words) in [
        ("", "Nothing ties the heaters to ground"),
        ("&heater_tap=centre", "own centre tap balances"),
        ("&heater_tap=end", "half of the volts hum"),
        ("&heater_resistors=100", "off by 158\u{a0}mV at most"),
        (
            "&heater_resistors=100 and 120",
            "100\u{a0}Ω and 120\u{a0}Ω make a centre tap",
        ),
        (
            "&heater_tap=centre&heater_resistors=100",
            "grounded already",
        ),
        (
            "&heater_tap=end&heater_resistors=100",
            "lift that end first",
        ),
        (
            "&heater_rectifier=joined&heater_tap=centre",
            "shorts the supply",
        ),
        ("&heater_rectifier=joined", "stands at B+"),
    ] {
        says(&open(more), "heaters-say", words);
    }
}

/// A refusal also stands at the field, and what was typed stays there.
#[test]
fn a_refusal_stands_at_its_field_and_keeps_the_text() {
    let desk = open("&heater_tap=centre&heater_resistors=100");
    says(
        &desk,
        "echo-heater_resistors",
        "centre tap is grounded already",
    );
    assert_eq!(desk.value("heater_resistors").as_deref(), Some("100"));
    let desk = open("&heater_raise=40");
    says(
        &desk,
        "echo-heater_raise",
        "nothing of the heaters is there to be raised",
    );
}

#[test]
fn what_to_beware_of_is_said() {
    for (more, words) in [
        (
            "&heater_tap=centre&heater_extra=2",
            "The winding is overloaded",
        ),
        (
            "&heater_tap=centre&heater_reading=7",
            "The heaters get +11.1\u{a0}%",
        ),
        ("&heater_tap=centre&heater_reading=5.9", "for a long life"),
        (
            "&heater_rectifier=joined",
            "Every other tube wants another winding",
        ),
        ("&heater_resistors=10", "One resistor turns"),
    ] {
        says(&open(more), "heaters-bewares", words);
    }
    let sound = open("&heater_resistors=100");
    assert!(!region(&sound, "heaters-bewares").contains("<li>"));
}

/// A split load far above ground, on a tube that takes little between heater and cathode.
#[test]
fn a_split_load_wants_its_heater_raised() {
    let link = PAIR.replace("ECC83", "6SL7") + "&driver_supply=400&heater_tap=centre";
    says(
        &Desk::open(&link),
        "heaters-bewares",
        "6SL7 of the split load",
    );
    says(
        &Desk::open(&link),
        "heaters-bewares",
        "Raise the heaters by",
    );
    let mut raised = Desk::open(&(link + "&heater_raise=40"));
    unfold(&mut raised);
    assert!(!region(&raised, "heaters-bewares").contains("split load"));
    says(&raised, "heaters-numbers", "The heaters stand at");
}

/// With nothing typed the section says what to type.
#[test]
fn nothing_typed_asks_for_the_tubes() {
    let desk = Desk::open("v=1");
    says(&desk, "heaters-say", "Type the output tube and the driver");
    assert!(!region(&desk, "heaters-numbers").contains("table"));
}
