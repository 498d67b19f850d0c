//! What a person types is escaped wherever it turns up.

use std::collections::BTreeSet;

use tapwright_core::setup::List;
use tapwright_page::{Action, Desk, Shape};

use crate::region::{region, regions};

/// A text that would be markup, and tells where it was typed.
fn attack(field: &str) -> String {
    format!("<script {field}>\"'&")
}

/// The fields whose attacks a desk shows as text. It fails where one is markup.
fn shown(desk: &Desk) -> BTreeSet<String> {
    let mut fields = BTreeSet::new();
    for region in regions(desk) {
        let markup = region.markup.into_string();
        assert!(!markup.contains("<script"), "{}: {markup}", region.id);
        let texts = markup.split("&lt;script ").skip(1);
        fields.extend(texts.filter_map(|text| Some(text.split_once("&gt;")?.0.to_owned())));
    }
    fields
}

/// Asserts that every one of these fields was seen: an attack that is not shown tests nothing.
fn assert_all(shown: &BTreeSet<String>, fields: &[&str]) {
    for field in fields {
        assert!(shown.contains(*field), "{field} is not among {shown:?}");
    }
}

/// Names that are understood, of a stamped transformer and of a measured one.
#[test]
fn names_stay_text() {
    let kept = format!("v=1&name={}", attack("kept"));
    let mut desk = Desk::open(&format!("#v=1&{}=%zz", attack("key")));
    desk.offer(kept);
    for (field, text) in [
        ("name", attack("name")),
        ("primary", format!("{}: 8k, 10k", attack("primary"))),
        ("taps", format!("{}: 4, 8", attack("taps"))),
        ("line_volts", "100".into()),
        ("line_taps", format!("{}: 5", attack("line_taps"))),
        ("hookup.1.speakers", "8//8".into()),
        ("hookup.1.name", attack("hookup.1.name")),
    ] {
        desk.edit(field, &text);
    }
    desk.act(Action::Fold("pairs.1".into()));
    let everywhere = ["kept", "key", "taps", "hookup.1.name"];
    for (marking, lead) in [("impedance", "primary"), ("line", "line_taps")] {
        desk.edit("marking", marking);
        for shape in [Shape::Grids, Shape::List] {
            desk.act(Action::Show(shape));
            let shown = shown(&desk);
            assert_all(&shown, &everywhere);
            assert_all(&shown, &[lead]);
        }
    }
    let lead = attack("leads");
    desk.edit("marking", "measured");
    desk.act(Action::Add(List::Ohms));
    for (field, text) in [
        ("leads", format!("1, 2, {lead}, 4")),
        ("ohms.1.pair", "1-2".into()),
        ("ohms.1.ohms", "318".into()),
        ("ohms.2.pair", format!("{lead}-4")),
        ("ohms.2.ohms", "0.62".into()),
        ("volts.1.fed", "1-2".into()),
        ("volts.1.fed_volts", "6.31".into()),
        ("volts.1.pair", format!("{lead}-4")),
        ("volts.1.volts", "0.2442".into()),
    ] {
        desk.edit(field, &text);
    }
    assert!(region(&desk, "answer").contains("&lt;script leads&gt;"));
    assert_all(&shown(&desk), &["leads"]);
}

/// Texts that are not understood, told at their fields.
#[test]
fn what_is_not_understood_stays_text() {
    let quoted = [
        "primary",
        "taps",
        "target",
        "supply",
        "winding",
        "grid",
        "drive",
        "own_plate_watts",
        "point.1.gm",
        "line_volts",
        "line_taps",
        "primary_is",
        "common",
        "ohms.1.ohms",
        "volts.1.volts",
        "speaker.1.coil",
    ];
    // Of these no more than a part is quoted.
    let others = [
        "inductance",
        "cathode",
        "hookup.1.speakers",
        "hookup.1.rating",
        "voltmeter",
        "ohms.1.pair",
        "volts.1.fed",
        "volts.1.fed_volts",
        "volts.1.joined",
    ];
    let mut seen = BTreeSet::new();
    for marking in ["impedance", "line", "measured"] {
        let mut desk = Desk::open(&format!(
            "#v=1&marking={marking}&tube=own&point=250,250,-12.5,45,4.5,4.1,52k\
                 &speaker.1.called=8&leads=1,2,3,4&ohms=1-2,318&volts=1-2,6.3,3-4,0.2"
        ));
        for field in quoted.iter().chain(&others) {
            desk.edit(field, &attack(field));
        }
        seen.extend(shown(&desk));
        desk.edit("tube", &attack("tube"));
        seen.extend(shown(&desk));
    }
    assert_all(&seen, &quoted);
    assert_all(&seen, &["tube"]);
}
