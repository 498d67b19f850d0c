//! What the page says of a transformer without marking, reading by reading.

use tapwright_core::setup::List;
use tapwright_page::{Action, Desk};

use crate::region::{never_says, region, says};

/// Step by step, as the page asks: names, ohms, then volts.
#[test]
fn an_unmarked_transformer_is_asked_for_what_is_missing() {
    let mut desk = Desk::open("#v=1&stage=single-ended&hookup=8");
    desk.edit("marking", "measured");
    says(&desk, "answer", "the turns of the windings");
    says(&desk, "answer", "name the leads");
    desk.edit("leads", "red, blue, black, white");
    says(&desk, "echo-windings", "no partner so far");
    desk.edit("ohms.1.pair", "red-blue");
    desk.edit("ohms.1.ohms", "318");
    says(&desk, "echo-windings", "<b>Next: </b>");
    desk.act(Action::Add(List::Ohms));
    desk.edit("ohms.2.pair", "black-white");
    desk.edit("ohms.2.ohms", "0.62");
    desk.act(Action::Add(List::Ohms));
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
    desk.complain();
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
    );
    let echo = region(&desk, "echo-volts-2-fed");
    assert!(echo.contains("163\u{a0}V on 1–2"), "{echo}");
}

const LUMP: &str = "#v=1&stage=single-ended&marking=measured&tube=6V6GT&supply=250&hookup=8&leads=";

const FOUR: &str =
    "red,blue,black,green&ohms=red-blue,318&ohms=black-green,0.8&ohms=red-black,open";

fn lump(readings: &str) -> Desk {
    Desk::open(&format!("{LUMP}{readings}"))
}

#[test]
fn the_winding_with_few_ohms_is_never_fed() {
    let desk = lump(&format!("{FOUR}&primary_is=black"));
    says(&desk, "answer", "feed red–blue with a few volts AC");
    says(
        &desk,
        "echo-windings",
        "the primary, as you say. <span class=\"bad\">But another winding has 398",
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
    for (open, next) in [
        (
            "1,2,3,4&ohms=1-2,318&ohms=3-4,0.8",
            "ohms 1–3, or open: are they on one winding?",
        ),
        (
            "1,2,3,4,5&ohms=1-2,318&ohms=3-4,0.8&ohms=1-3,open",
            "ohms 1–5, or open: are they on one winding?",
        ),
        (
            "1,2,3,4&ohms=1-2,318&ohms=3-4,110&ohms=1-3,open",
            "feed 1–2 with 1\u{a0}V AC or less, and measure every other winding",
        ),
    ] {
        let desk = lump(open);
        never_says(&desk, "stays lower");
        says(&desk, "answer", next);
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
        "dangers",
        "Dangerous: 6.3\u{a0}V on black–yellow puts 115\u{a0}V on red–blue",
    );
    // Without an answer too.
    says(
        &lump(&format!("{FOUR}&volts=black-green,6.3")),
        "dangers",
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
        desk.act(Action::Add(List::Volts));
        let form = region(&desk, "parts");
        desk.edit("volts.2.fed", fed);
        desk.edit("volts.2.fed_volts", "6.3");
        desk.settle();
        desk.edit("volts.2.fed_volts", "230");
        says(
            &desk,
            "echo-volts-2-fed_volts",
            "“230” is larger than a voltage that is safe to touch can be, 30 V. For example: 6.31. Still using 6.3.",
        );
        says(&desk, "echo-windings", "the primary");
        says(&desk, "answer", "The tube sees");
        assert_eq!(region(&desk, "parts"), form, "{fed}");
        assert!(desk.is_open("volts.2"));
    }
}

#[test]
fn a_blind_test_is_warned_of() {
    let desk = lump("red,blue,black,green&ohms=black-green,0.8&volts=black-green,6.3");
    for id in ["echo-volts-1-fed", "dangers"] {
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
    says(&desk, "answer", "The tube sees");
    never_says(&desk, "usual ratings");
}

#[test]
fn what_tells_an_order_is_asked_for() {
    let desk = lump(
        "red,blue,black,green,yellow,white&ohms=red-blue,open&ohms=red-black,open\
         &ohms=red-green,318&ohms=blue-black,1.0&ohms=yellow-white,0.2&ohms=red-yellow,open\
         &ohms=blue-yellow,0.7&volts=red-green,6.31,blue-black,0.345\
         &volts=,,blue-yellow,0.2446&volts=,,blue-white,0.1731",
    );
    says(
        &desk,
        "echo-windings",
        "<b>Next: </b>ohms white–black: they tell the order of the leads.",
    );
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
        "Does not belong: 0.3445\u{a0}V would.",
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
        plain.concat().contains("Use the primary between red and blue and the speaker between black and green. The tube sees"),
        "{plain:?}"
    );
    let mut desk = desk;
    desk.act(Action::Fold("cautions".into()));
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
        let mut desk = Desk::open("#v=1&primary=8k");
        desk.offer(kept);
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
            "parts",
            &format!("<label for=\"field-volts.2.{field}\">"),
        );
    }
}

const THREE: &str = "#v=1&marking=measured&leads=1,2,3,4,5,6&ohms=1-2,150&ohms=3-4,152&ohms=5-6,0.5\
                     &ohms=1-3,open&ohms=1-5,open&ohms=3-5,open&tube=6V6GT&supply=250&hookup=A:8@15\
                     &stage=single-ended&target=6.5k";

/// Two windings in series show the sum of both: said before it is read, and of what was read.
#[test]
fn windings_in_series_are_dangerous_together() {
    let fed = "&volts=1-2,20.00,3-4,20.00&volts=,,1-4,";
    for (rest, words) in [
        (",2-3", "puts 40\u{a0}V on 1–4"),
        ("40.00,2-3", "puts 40\u{a0}V on 1–4"),
    ] {
        let desk = Desk::open(&format!("{THREE}{fed}{rest}"));
        says(&desk, "echo-volts-1-fed", words);
    }
    // Opposed they cancel, once that was read.
    let desk = Desk::open(&format!("{THREE}{fed}0.02,2-4"));
    never_says(&desk, "on 1–4");
}

/// A reading in series cannot give wire of half an ohm the turns of a primary either.
#[test]
fn a_slip_in_series_is_refused_too() {
    let desk = Desk::open(&format!("{THREE}&volts=1-2,10.00,1-6,25.0,2-5"));
    says(
        &desk,
        "echo-volts-1-volts",
        "it would give the 0.5 Ω winding 1.5 times the turns",
    );
    // Between the sum of both and their difference nothing is certain.
    let desk = Desk::open(&format!("{THREE}&volts=1-2,10.00,1-6,10.35,2-5"));
    never_says(&desk, "times the turns of the");
}

/// A winding that nobody uses stands at as many volts as its turns say.
#[test]
fn another_winding_is_to_be_insulated() {
    let desk = Desk::open(&format!(
        "{THREE}&volts=3-4,10.00,1-2,9.95&volts=,,5-6,0.3506"
    ));
    says(
        &desk,
        "numbers",
        "insulate both ends of the unused 1–2 (0.995\u{a0}× the swing of the primary)",
    );
}

/// Of a reading that the others contradict, what they make of it is said, and the ratios are
/// as uncertain as the disagreement is large.
#[test]
fn an_outlier_does_not_speak_for_itself() {
    let lump = "#v=1&marking=measured&leads=red,blue,black,green,yellow,white&ohms=red-blue,318\
                &ohms=black-white,0.8&ohms=black-yellow,0.6&ohms=black-green,0.4&ohms=red-black,open\
                &tube=6V6GT&supply=250&hookup=8";
    let readings = "&volts=red-blue,6.31,black-white,W&volts=,,black-yellow,0.2442\
                    &volts=,,black-green,0.1726&volts=,,green-white,0.1724&volts=,,yellow-white,0.1005";
    let link = |white: &str| format!("{lump}{}", readings.replace('W', white));
    let (good, slipped) = (link("0.3449"), link("0.3944"));
    never_says(&Desk::open(&good), "Does not belong");
    let desk = Desk::open(&slipped);
    says(
        &desk,
        "echo-volts-1-volts",
        "Does not belong: 0.3449\u{a0}V would.",
    );
    let doubt = |link: &str| {
        let setup = tapwright_core::link::parse(link).setup;
        let solved = tapwright_core::solve(&setup).solved;
        let findings = solved
            .measured
            .unwrap_or_else(|| panic!("no findings: {link}"));
        let mut turns = findings.turns.iter();
        let of_white = turns.find(|turns| {
            [turns.start, turns.lead]
                .iter()
                .any(|lead| findings.leads[*lead] == "white")
        });
        of_white
            .and_then(|turns| Some(turns.part?.relative))
            .unwrap_or_else(|| panic!("no turns: {link}"))
    };
    let (sure, unsure) = (doubt(&good), doubt(&slipped));
    assert!(unsure > 2.0 * sure, "{unsure} {sure}");
}

/// A reading whose feed is not typed yet is asked about, not passed over.
#[test]
fn what_is_fed_is_asked_for() {
    let desk = Desk::open(&format!("{THREE}&volts=,,5-6,0.3506"));
    says(&desk, "echo-volts-1-fed", "Which two leads are fed?");
    says(&desk, "echo-volts-1-fed_volts", "With how many volts?");
    // Few digits leave much open.
    let desk = Desk::open(&format!("{THREE}&volts=1-2,10,5-6,0.3506"));
    says(&desk, "echo-volts-1-fed_volts", "type every digit");
}

/// A reading that nothing else touches stays what it is, however coarse.
#[test]
fn a_coarse_reading_is_not_pulled() {
    let desk = Desk::open(THREE);
    says(&desk, "echo-windings", "<b>5 – 6</b>, 0.5\u{a0}Ω");
}

/// One thing to do next, the same under the readings as in the answer.
#[test]
fn next_is_one_thing_and_the_same_everywhere() {
    for readings in [
        "1,2,3,4,5",
        "1,2,3,4,5&ohms=1-2,318&ohms=1-3,150&ohms=4-5,0.8",
        "1,2,3,4,5&ohms=1-2,318&ohms=1-3,150&ohms=4-5,0.8&ohms=1-4,open",
        "1,2,3,4,5&ohms=1-2,318&ohms=1-3,150&ohms=4-5,0.8&ohms=1-4,open&volts=1-2,6.31",
    ] {
        let desk = lump(readings);
        let next = |id: &str| -> Vec<String> {
            let shown = region(&desk, id);
            let parts = shown.split("<b>Next: </b>").skip(1);
            let sentence = |part: &str| part.split("</p>").next().unwrap_or_default().to_owned();
            parts.map(sentence).collect()
        };
        let answer = next("answer");
        let mut sections = next("echo-windings");
        sections.extend(next("echo-turns"));
        assert_eq!(answer.len(), 1, "{readings}: {answer:?}");
        assert_eq!(answer, sections, "{readings}");
    }
}

/// 43 % of the turns in volts, though by ohms the tap might be the middle.
#[test]
fn a_screen_tap_is_no_middle() {
    let ohms = "red,blue,brown,black,green&ohms=red-brown,180&ohms=red-blue,76.5\
                &ohms=blue-brown,103.5&ohms=black-green,0.5&ohms=red-black,open";
    says(
        &lump(ohms),
        "echo-windings",
        "blue may be the middle: a guess by ohms, volts will tell",
    );
    let desk = lump(&format!(
        "{ohms}&volts=red-brown,6.30,red-blue,2.71&volts=,,black-green,0.302"
    ));
    says(
        &desk,
        "echo-windings",
        "blue at 43\u{a0}% of the turns from red is probably a screen tap. Then B+ goes to red and \
         the plate to brown",
    );
    never_says(&desk, "the middle");
    never_says(&desk, "no gap as a rule");
}

#[test]
fn a_slip_of_the_decimal_point_is_questioned() {
    let desk = lump(
        "red,blue,black,green&ohms=red-blue,318&ohms=black-green,8.0&ohms=red-black,open\
         &volts=red-blue,6.31,black-green,0.300",
    );
    says(
        &desk,
        "echo-windings",
        "The ohms of black–green do not go with the volts: 8\u{a0}Ω by the meter, about 0.719\u{a0}Ω by \
         its turns and the ohms of red–blue. Has a decimal point slipped?",
    );
}

/// While the ends of the primary are open, the page says how high the rest may get.
#[test]
fn what_the_rest_gets_is_said() {
    let desk = lump(
        "red,brown,blue,black,green&ohms=brown-red,210&ohms=brown-blue,225&ohms=black-green,0.5\
         &ohms=brown-black,open",
    );
    says(
        &desk,
        "answer",
        "with 6.3\u{a0}V there nothing else gets more than 15",
    );
    never_says(&desk, "stays lower");
}
