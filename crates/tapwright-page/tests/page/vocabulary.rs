//! Both vocabularies: no word of the one stands where the other is in use.

use std::collections::BTreeSet;

use tapwright_core::examples::EXAMPLES;
use tapwright_core::setup::Leaf;
use tapwright_core::{link, solve};
use tapwright_page::view::Region;
use tapwright_page::{Action, Desk, Vocabulary, stray};

use crate::region::regions;

/// Links with every key, from every version, bad ones too.
const OLD_LINKS: &str = include_str!("../../../tapwright-core/tests/old_links.txt");

/// Set-ups with much to say: dangerous, contradictory, at fault.
const TELLING: [&str; 8] = [
    "v=1&primary=8k&taps=0&hookup=8//&target=-1&supply=9000&tube=6AQ5&grid=-1",
    "v=1&stage=single-ended&primary=5k,7k&taps=4,8&hookup=8@1&tube=EL84&supply=400&core=ungapped&cathode=20",
    "v=1&marking=measured&leads=1,2,3,4,5&ohms=1-2,318&ohms=3-4,0.6&ohms=1-3,open&ohms=4-5,-1&volts=1-2,6.31,3-4,0.2442&volts=3-4,6.3,1-2,60&hookup=8",
    "v=1&primary=red%20B%2B,%20blue%208k,%20green%20B%2B&taps=black%20common,%208&hookup=8&tube=KT66",
    "v=1&stage=single-ended&primary=5k&taps=8&hookup=8&tube=own&supply=250&own_plate_watts=12&point=250,250,-12.5,45,4.5,4.1,52k,9.8&point=250&point=a&frequency=80&drive=150",
    "v=1&primary=8k&taps=3,8&hookup=8&tube=6V6GT&supply=400&grid=-5&unlike_current=20&unlike_drive=10&driver=12AX7&splitter=split-load&feedback_from=selected&feedback_fixed=10k&feedback_control=50k&feedback_polarity=wrong",
    "v=1&primary=8k&taps=3,8&hookup=8&tube=6L6&supply=&screen=300&screens=taps&stopper=1k&screen_ohms=470%20no%20cap",
    "v=1&name=Ground%20floor%20amp&primary=plate%20blue%208k&taps=8&hookup=Tube%20cab:8&tube=nothing&driver=nothing&supply=ten",
];

fn links() -> Vec<String> {
    let old = OLD_LINKS.lines().filter(|line| line.contains('='));
    let told = TELLING.iter().copied();
    let examples = EXAMPLES.iter().map(|example| example.link);
    examples
        .chain(told)
        .chain(old)
        .map(|link| format!("#{}", link.trim_start_matches('#')))
        .collect()
}

/// A set-up with every fold open, in the leaf that computes most.
fn unfolded(link: &str) -> Desk {
    let mut desk = Desk::open(link);
    desk.act(Action::Turn(Leaf::Feedback));
    // Folds may stand inside folds.
    for _ in 0..3 {
        let all = regions(&desk);
        for fold in all.iter().flat_map(|region| folds(&region.markup.0)) {
            desk.set_open(&fold, true);
        }
    }
    desk
}

/// Its regions in these words, on a wide page and a narrow one.
fn everything(desk: &mut Desk, vocabulary: Vocabulary) -> Vec<Region> {
    desk.act(Action::Use(vocabulary));
    let mut all = vec![Region {
        id: "on-paper".into(),
        markup: desk.on_paper(),
    }];
    for wide in [true, false] {
        desk.set_wide(wide);
        desk.act(Action::Use(vocabulary));
        all.extend(regions(desk));
    }
    all
}

fn folds(markup: &str) -> BTreeSet<String> {
    let starts = markup.split("data-open=\"").skip(1);
    starts
        .filter_map(|rest| Some(rest.split_once('"')?.0.to_owned()))
        .collect()
}

/// What a person reads of a markup, or hears: texts, and the attributes that are read aloud.
/// What says that it is in its own words is left out.
fn read(markup: &str) -> Vec<String> {
    let mut found = Vec::new();
    for piece in markup.split('<') {
        let (tag, text) = piece.split_once('>').unwrap_or(("", piece));
        if !tag.contains("translate=\"no\"") {
            found.push(text.to_owned());
        }
        for name in [
            "aria-label",
            "aria-valuetext",
            "placeholder",
            "title",
            "data-name",
            "label",
        ] {
            let mark = format!(" {name}=\"");
            if let Some((_, rest)) = tag.split_once(&mark) {
                found.push(
                    rest.split_once('"')
                        .map_or(rest, |(value, _)| value)
                        .to_owned(),
                );
            }
        }
    }
    found
}

/// What was typed of more than one word.
fn phrases(link: &str) -> Vec<String> {
    let setup = link::parse(link).setup;
    let mut phrases: Vec<String> = (setup.fields().into_iter())
        .filter_map(|field| setup.text(field))
        .flat_map(|text| text.split([',', ';']).chain([text]))
        .flat_map(|text| [text, text.rsplit_once(' ').map_or(text, |(name, _)| name)])
        .map(|text| text.trim().to_owned())
        .filter(|text| text.contains(' '))
        .collect();
    phrases.sort_by_key(|phrase| std::cmp::Reverse(phrase.len()));
    phrases
}

#[test]
fn no_word_of_the_other_vocabulary_is_on_any_leaf() {
    let mut found = BTreeSet::new();
    for link in links() {
        let typed = phrases(&link);
        let mut desk = unfolded(&link);
        for vocabulary in [Vocabulary::Tube, Vocabulary::Valve] {
            for region in everything(&mut desk, vocabulary) {
                for mut text in read(&region.markup.0) {
                    for phrase in &typed {
                        text = text.replace(phrase, "");
                    }
                    if let Some(word) = stray(&text, vocabulary.other()) {
                        found.insert(format!("{}: {word} in “{text}”", region.id));
                    }
                }
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

/// The other words are really there, with articles that fit them.
#[test]
fn the_words_change_and_what_was_typed_does_not() {
    let link = format!("#{}", TELLING[7]);
    let mut desk = Desk::open(&link);
    desk.act(Action::Use(Vocabulary::Valve));
    let all: String = regions(&desk)
        .iter()
        .map(|region| &*region.markup.0)
        .collect();
    assert!(all.contains("Tube cab") && !all.contains("Valve cab"));
    assert!(all.contains("anode"));
    for wrong in [" a anode", " a earth", " a HT", " an valve"] {
        assert!(
            !all.to_lowercase().contains(&wrong.to_lowercase()),
            "{wrong}"
        );
    }
    assert_eq!(desk.title(), "Ground floor amp · Tapwright");
    desk.act(Action::Use(Vocabulary::Tube));
    let back: String = regions(&desk)
        .iter()
        .map(|region| &*region.markup.0)
        .collect();
    let plain = Desk::open(&link);
    let before: String = regions(&plain)
        .iter()
        .map(|region| &*region.markup.0)
        .collect();
    assert_eq!(back, before);
}

/// Which words are used is no part of what is typed.
#[test]
fn the_link_knows_nothing_of_it() {
    let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8");
    let before = desk.link();
    desk.act(Action::Use(Vocabulary::Valve));
    assert_eq!(desk.link(), before);
    desk.act(Action::Undo);
    let tubes = |text: &String| stray(text, Vocabulary::Tube).is_some();
    assert!(
        !regions(&desk)
            .iter()
            .flat_map(|region| read(&region.markup.0))
            .any(|text| tubes(&text))
    );
}

/// Entry understands both, whichever is shown.
#[test]
fn either_word_is_understood() {
    for (one, other) in [
        (
            "primary=brown%208k,%20red%20B%2B",
            "primary=brown%208k,%20red%20HT",
        ),
        ("taps=black%20ground,%208", "taps=black%20earth,%208"),
    ] {
        let solved = |text: &str| {
            let rest = "taps=8&primary=8k&hookup=8";
            let key = text.split('=').next().unwrap_or_default();
            let rest: Vec<&str> = rest
                .split('&')
                .filter(|piece| !piece.starts_with(key))
                .collect();
            let setup = link::parse(&format!("v=1&{text}&{}", rest.join("&"))).setup;
            let report = solve(&setup);
            assert!(report.problems.is_empty(), "{text}: {:?}", report.problems);
            report.solved.ends.clone()
        };
        assert_eq!(solved(one), solved(other));
    }
}
