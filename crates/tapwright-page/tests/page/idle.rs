//! The idle point on the leaf of the heat.

use tapwright_core::examples::EXAMPLES;
use tapwright_page::Desk;

use crate::region::region;

fn desk(link: &str) -> Desk {
    let mut desk = Desk::open(&format!("#{link}&leaf=heat"));
    for fold in ["idle-made", "idle-numbers", "idle-along"] {
        desk.set_open(fold, true);
    }
    desk
}

fn says(desk: &Desk, id: &str, words: &str) {
    let markup = region(desk, id).replace('\u{a0}', " ");
    let text = without_tags(&markup);
    assert!(text.contains(words), "{id} does not say “{words}”: {text}");
}

fn without_tags(markup: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for letter in markup.chars() {
        match letter {
            '<' => inside = true,
            '>' => inside = false,
            _ if !inside => text.push(letter),
            _ => {}
        }
    }
    text
}

/// The record player's tube is worn: what was read, and what sets it.
#[test]
fn the_record_player_is_read_and_set() {
    let desk = desk(EXAMPLES[3].link);
    for id in [
        "idle-says",
        "idle-numbers",
        "idle-wanted",
        "idle-made",
        "brief-idle-later",
        "brief-idle-workings",
    ] {
        insta::assert_snapshot!(format!("idle-{id}"), region(&desk, id));
    }
    assert!(region(&desk, "idle-along").contains("read 9.81"));
    assert!(region(&desk, "idle-along").contains("limit 12"));
}

#[test]
fn nothing_and_too_little_say_what_to_type() {
    says(
        &desk("v=1"),
        "idle-says",
        "Still unknown: the output tube and its supply.",
    );
    let stage =
        "v=1&stage=single-ended&tube=EL84&supply=250&cathode=140&primary=5k&taps=8&hookup=8";
    says(
        &desk(stage),
        "idle-says",
        "As computed, a new EL84 idles at 11.1 W",
    );
    let plate = format!("{stage}&read_plate=248");
    says(
        &desk(&plate),
        "idle-says",
        "What would do: the cathode’s volts; or the drop over the primary and the primary’s resistance",
    );
    says(
        &desk(&format!("{stage}&read_plate=248&read_cathode=6.4")),
        "idle-says",
        "This EL84 dissipates 9.",
    );
}

#[test]
fn what_to_beware_of_is_said() {
    let stage = "v=1&stage=single-ended&tube=EL84&supply=250&cathode=140&primary=5k&taps=8&hookup=8&winding=200";
    let at = |rest: &str| desk(&format!("{stage}&{rest}"));
    says(
        &at("read_plate=248&read_cathode=9.5"),
        "idle-notes",
        "over its limit",
    );
    says(
        &at("read_plate=248&read_cathode=6.86&read_primary_drop=16&read_tolerance=1"),
        "idle-notes",
        "By the cathode the plates draw",
    );
    says(
        &at("read_plate=248&read_cathode=8&read_grid=1.4&driver=12AX7&driver_supply=220"),
        "idle-notes",
        "the coupling capacitor leaks",
    );
    says(
        &at("wanted_dissipation=14"),
        "idle-notes",
        "More than the tube’s limit",
    );
    let mut reversed = at("read_plate=248");
    reversed.edit("read_cathode", "-6.9");
    reversed.complain();
    says(&reversed, "echo-read_cathode", "polarity reversed");
}

/// A pair on fixed bias: the other tube's fields, the divider, and the way it fails safe.
#[test]
fn a_fixed_bias_pair_gets_a_divider() {
    let desk = desk(
        "v=1&tube=6V6GT&supply=285&grid=-19&winding=300&primary=8k&taps=8&hookup=8&read_plate=281\
         &read_primary_drop=4.2&read2_primary_drop=3.9&wanted_dissipation=65%25&bias_supply=-40",
    );
    says(&desk, "idle-says", "The two 6V6GT dissipate");
    says(&desk, "idle-made", "Join the wiper to the end at ground.");
    assert!(region(&desk, "idle-readings").contains("field-read2_primary_drop"));
    assert!(region(&desk, "idle-numbers").contains("second"));
}
