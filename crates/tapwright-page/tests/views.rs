//! The views as markup: snapshots of whole regions, and that what a person types is
//! escaped wherever it turns up.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use tapwright_page::Desk;

fn region(desk: &Desk, id: &str) -> String {
    let found = desk.regions().into_iter().find(|region| region.id == id);
    let markup = found
        .unwrap_or_else(|| panic!("no region {id}"))
        .markup
        .into_string();
    // One element a line, so that a change shows where it is.
    markup.replace("><", ">\n<")
}

fn example(number: usize) -> Desk {
    let mut desk = Desk::open("", None);
    desk.act(&format!("example.{number}"));
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
    desk.act("show.list");
    desk.select("1,1-3,2");
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

/// Step by step, as the page asks: names, ohms, then volts.
#[test]
fn an_unmarked_transformer_is_asked_for_what_is_missing() {
    let mut desk = Desk::open("#v=1&stage=single-ended&hookup=8", None);
    desk.edit("marking", "measured");
    says(&desk, "answer", "the turns of the windings");
    says(&desk, "answer", "name the leads");
    desk.edit("leads", "red, blue, black, white");
    says(&desk, "echo-windings", "no partner so far");
    desk.edit("ohms.1.pair", "red-blue");
    desk.edit("ohms.1.ohms", "318");
    says(&desk, "echo-windings", "<b>Next: </b>");
    desk.act("add-ohms");
    desk.edit("ohms.2.pair", "black-white");
    desk.edit("ohms.2.ohms", "0.62");
    desk.act("add-ohms");
    desk.edit("ohms.3.pair", "red-black");
    desk.edit("ohms.3.ohms", "open");
    says(&desk, "echo-windings", "likely the primary");
    says(&desk, "answer", "feed red–blue");
    desk.edit("volts.1.fed", "black-white");
    says(&desk, "echo-volts-1-fed", "Do not feed this");
    says(&desk, "echo-volts-1-fed", "Feed red–blue instead");
    desk.edit("volts.1.fed", "red-blue");
    desk.edit("volts.1.fed_volts", "6.31");
    desk.edit("volts.1.pair", "black-white");
    desk.edit("volts.1.volts", "0.2442");
    says(&desk, "answer", "5.34\u{a0}kΩ");
    says(&desk, "echo-turns", "A guess: ");
    // A slip changes nothing but what stands at its field.
    let before = region(&desk, "grid-1");
    desk.settle();
    desk.edit("volts.1.volts", "0");
    says(&desk, "echo-volts-1-volts", "open or shorted");
    assert_eq!(
        region(&desk, "grid-1").replace("scroller stale", "scroller"),
        before
    );
}

/// The danger that is known only after the ratio: 6.3 V on the secondary are 163 V here.
#[test]
fn a_dangerous_test_is_named_with_lead_and_volts() {
    let desk = Desk::open(
        "#v=1&marking=measured&leads=1,2,3,4&ohms=1-2,318&ohms=3-4,0.6&ohms=1-3,open\
         &volts=1-2,6.31,3-4,0.2442&volts=3-4,6.3",
        None,
    );
    let echo = region(&desk, "echo-volts-2-fed");
    assert!(echo.contains("163\u{a0}V on 1–2"), "{echo}");
}

const LUMP: &str = "#v=1&stage=single-ended&marking=measured&tube=6V6GT&supply=250&hookup=8&leads=";

const FOUR: &str =
    "red,blue,black,green&ohms=red-blue,318&ohms=black-green,0.8&ohms=red-black,open";

fn lump(readings: &str) -> Desk {
    Desk::open(&format!("{LUMP}{readings}"), None)
}

fn says(desk: &Desk, id: &str, words: &str) {
    let markup = region(desk, id).replace('\n', "");
    assert!(markup.contains(words), "{id} without “{words}”: {markup}");
}

fn never_says(desk: &Desk, words: &str) {
    for region in desk.regions() {
        let markup = region.markup.into_string();
        assert!(
            !markup.contains(words),
            "{} with “{words}”: {markup}",
            region.id
        );
    }
}

#[test]
fn the_winding_with_few_ohms_is_never_fed() {
    let desk = lump(&format!("{FOUR}&primary_is=black"));
    says(&desk, "answer", "feed red–blue with a few volts AC");
    says(
        &desk,
        "echo-windings",
        "the primary, as you say<span class=\"bad\">, though another winding has 398",
    );
    let fed = lump(&format!("{FOUR}&primary_is=black&volts=black-green,6.3"));
    says(
        &fed,
        "echo-volts-1-fed",
        "Dangerous: 6.3\u{a0}V on black–green puts about",
    );
    says(&fed, "echo-volts-1-fed", "Feed red–blue instead");
    never_says(&fed, "Feed black–green");
    // Nor the pair that is warned about, either way round.
    let most = lump("1,2,3,4&ohms=1-2,318&ohms=3-4,300&ohms=1-3,open&volts=2-1,20");
    says(&most, "echo-volts-1-fed", "Dangerous: 20\u{a0}V on 2–1");
    never_says(&most, "instead");
}

#[test]
fn volts_that_turn_the_windings_round_are_flagged() {
    for volts in ["345", "24.5", "7.2"] {
        let desk = lump(&format!("{FOUR}&volts=red-blue,6.31,black-green,{volts}"));
        says(
            &desk,
            "echo-volts-1-volts",
            "times the turns of the 318 Ω one: perhaps those were millivolts",
        );
        says(
            &desk,
            "echo-windings",
            "red – blue</b>, 318\u{a0}Ω: likely the primary",
        );
        says(&desk, "answer", "feed red–blue with 1\u{a0}V AC or less");
        never_says(&desk, "A guess");
        never_says(&desk, "stays lower");
    }
}

#[test]
fn a_promise_is_made_only_where_it_holds() {
    says(&lump(FOUR), "answer", "everything else stays lower");
    for open in [
        "1,2,3,4&ohms=1-2,318&ohms=3-4,0.8",
        "1,2,3,4,5&ohms=1-2,318&ohms=3-4,0.8&ohms=1-3,open",
        "1,2,3,4&ohms=1-2,318&ohms=3-4,110&ohms=1-3,open",
    ] {
        let desk = lump(open);
        never_says(&desk, "stays lower");
        says(
            &desk,
            "answer",
            "feed 1–2 with 1\u{a0}V AC or less, and measure every other winding",
        );
    }
}

/// A link that was kept: what is dangerous stands at the head, and its fold is open.
#[test]
fn a_dangerous_test_in_a_fold_is_seen() {
    let desk = lump(
        "red,blue,black,green,yellow&ohms=red-blue,318&ohms=black-green,0.4\
         &ohms=green-yellow,0.6&ohms=black-yellow,0.8&ohms=red-black,open\
         &volts=red-blue,6.31,black-yellow,0.345&volts=black-yellow,6.3,black-green,0.2&volts=,,,",
    );
    assert!(desk.is_open("volts.2") && !desk.is_open("volts.1") && !desk.is_open("volts.3"));
    says(
        &desk,
        "beware",
        "Dangerous: 6.3\u{a0}V on black–yellow puts 115\u{a0}V on red–blue",
    );
    // Without an answer too.
    says(
        &lump(&format!("{FOUR}&volts=black-green,6.3")),
        "beware",
        "Dangerous: 6.3\u{a0}V on black–green",
    );
    let joined = lump(&format!(
        "{FOUR}&volts=red-blue,6.31,red-green,6.7,red-blue"
    ));
    assert!(joined.is_open("volts.1"));
}

/// What is typed in the fold leaves the form as it stands, and the last good text in use.
#[test]
fn too_much_is_refused_on_any_pair() {
    for fed in ["red-blue", "black-green"] {
        let mut desk = lump(&format!("{FOUR}&volts=red-blue,6.31,black-green,0.345"));
        desk.act("add-volts");
        let form = region(&desk, "form");
        desk.edit("volts.2.fed", fed);
        desk.edit("volts.2.fed_volts", "6.3");
        desk.settle();
        desk.edit("volts.2.fed_volts", "230");
        says(
            &desk,
            "echo-volts-2-fed_volts",
            "“230” is larger than a voltage to test with can be, 30 V. For example: 6.31. Still using 6.3.",
        );
        says(&desk, "echo-windings", "the primary");
        says(&desk, "answer", "the tube sees");
        assert_eq!(region(&desk, "form"), form, "{fed}");
        assert!(desk.is_open("volts.2"));
    }
}

#[test]
fn a_blind_test_is_warned_of() {
    let desk = lump("red,blue,black,green&ohms=black-green,0.8&volts=black-green,6.3");
    for id in ["echo-volts-1-fed", "beware"] {
        says(
            &desk,
            id,
            "Other leads are not measured yet, and black–green may step up to them",
        );
    }
}

#[test]
fn turns_that_suit_no_rating_are_no_guess() {
    // 1.3 : 1.
    let desk = lump("1,2,3,4&ohms=1-2,318&ohms=3-4,110&ohms=1-3,open&volts=1-2,6.31,3-4,4.85");
    says(&desk, "answer", "the tube sees");
    never_says(&desk, "customary ratings");
}

#[test]
fn an_order_is_asked_for_in_volts() {
    let desk = lump(
        "red,blue,black,green,yellow,white&ohms=red-blue,open&ohms=red-black,open\
         &ohms=red-green,318&ohms=blue-black,1.0&ohms=yellow-white,0.4&ohms=red-yellow,open\
         &ohms=blue-yellow,0.8&ohms=white-black,0.6&volts=red-green,6.31,blue-black,0.345\
         &volts=,,blue-yellow,0.2446&volts=,,blue-white,0.1731&volts=,,yellow-black,0.1004",
    );
    says(&desk, "echo-windings", "<b>Next: </b>volts AC ");
    never_says(&desk, "again, finer");
}

#[test]
fn complaints_read_as_sentences() {
    let desk = lump("1,2,3&ohms=1-2,300&ohms=1-3,100&ohms=2-3,100");
    says(
        &desk,
        "echo-ohms-3-ohms",
        "so one of them is wrong. Read these again.<",
    );
    let zero = lump("1,2&ohms=1-2,0.0");
    says(
        &zero,
        "echo-ohms-1-ohms",
        "type the smallest step that the meter shows. For example: 0.1.",
    );
    let stray = lump(&format!(
        "{FOUR}&volts=red-blue,6.31,black-green,0.345&volts=red-blue,6.30,black-green,0.245"
    ));
    says(
        &stray,
        "echo-volts-2-volts",
        "Does not belong: 0.2741\u{a0}V would.",
    );
}

/// What is known and what is left of a transformer with one sound winding.
#[test]
fn a_lump_without_a_second_winding_is_called_that() {
    let all = "ohms=1-2,open&ohms=1-3,open&ohms=1-4,open&ohms=2-3,open&ohms=2-4,open";
    let desk = lump(&format!("1,2,3,4&ohms=3-4,0.8&{all}"));
    says(&desk, "answer", "No second winding found");
    says(&desk, "answer", "its winding is broken");
    never_says(&desk, "until a winding stands out");
}

#[test]
fn a_measured_answer_names_both_ends() {
    let desk = lump(&format!("{FOUR}&volts=red-blue,6.31,black-green,0.2442"));
    let plain = region(&desk, "answer")
        .replace("</b>", "")
        .replace('\n', "");
    let plain: Vec<&str> = plain
        .split('<')
        .map(|part| part.split_once('>').map_or(part, |p| p.1))
        .collect();
    assert!(
        plain.concat().contains("Use the primary between red and blue and the speaker between black and green: the tube sees"),
        "{plain:?}"
    );
    says(&desk, "cautions", "Ratios follow from the readings");
}

#[test]
fn a_set_up_without_a_name_is_called_by_its_parts() {
    for (kept, called) in [
        (format!("{LUMP}{FOUR}"), "“red,blue,black,green”"),
        ("#v=1&tube=6V6GT&hookup=8".into(), "“6V6GT”"),
        ("#v=1&hookup=8%2F%2F8".into(), "“8//8”"),
        (
            "#v=1&stage=single-ended".into(),
            "working on something when",
        ),
    ] {
        let desk = Desk::open("#v=1&primary=8k", Some(kept));
        says(&desk, "notices", called);
        never_says(&desk, "“”");
    }
}

/// More leads than the field has room for are all to be read under it.
#[test]
fn all_leads_are_named_under_the_field() {
    let desk = lump("red,blue,black,green,yellow,white");
    says(
        &desk,
        "echo-leads",
        "6 leads: red, blue, black, green, yellow, white",
    );
}

/// What opens has labels that can be seen.
#[test]
fn a_row_fed_otherwise_has_labels() {
    let desk = lump(&format!("{FOUR}&volts=,,,&volts=,,,"));
    for field in ["fed", "fed_volts", "joined"] {
        says(
            &desk,
            "form",
            &format!("<label for=\"field-volts.2.{field}\">"),
        );
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
        for list in ["show.list", "show.grids"] {
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
                desk.act(list);
                desk.act("fold.pairs.1");
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
    for act in [
        "fold.pairs.1",
        "fold.table.power",
        "fold.table.stress",
        "show.list",
    ] {
        desk.act(act);
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

/// The keys of an interface in the TypeScript declaration, one a line.
fn declared(interface: &str) -> Vec<String> {
    let text = include_str!("../src/script.d.ts");
    let body = text
        .split_once(&format!("interface {interface} {{\n"))
        .expect("declared")
        .1;
    let body = body.split_once("\n}\n").expect("closed").0;
    let keys = body
        .lines()
        .filter_map(|line| line.strip_prefix("  ")?.split_once(':'));
    let keys = keys
        .map(|(key, _)| key)
        .filter(|key| key.chars().all(|c| c.is_alphanumeric() || c == '_'));
    let mut keys: Vec<String> = keys.map(str::to_owned).collect();
    keys.sort();
    keys
}

fn keys(value: &impl serde::Serialize) -> Vec<String> {
    let value = serde_json::to_value(value).expect("JSON");
    let mut keys: Vec<String> = value
        .as_object()
        .expect("an object")
        .keys()
        .cloned()
        .collect();
    keys.sort();
    keys
}

/// What scripts are told is what they get.
#[test]
fn the_declaration_names_the_keys_that_are_there() {
    let setup = tapwright_core::link::parse(tapwright_core::examples::EXAMPLES[0].link).setup;
    assert_eq!(declared("Setup"), keys(&setup));
    assert_eq!(declared("Report"), keys(&tapwright_core::solve(&setup)));
}
