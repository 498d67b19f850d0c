//! Links with a few characters changed at random: what no key takes comes back letter for
//! letter, and what was read is read again.

use std::collections::HashSet;

use proptest::prelude::Rng;
use proptest::test_runner::{RngAlgorithm, TestRng};
use tapwright_core::link;

const LINKS: usize = 100_000;

/// The links that are changed, which hold every key between them.
fn corpus() -> Vec<&'static str> {
    let lines = include_str!("old_links.txt").lines();
    let links = lines.filter(|line| !line.starts_with('#'));
    links.filter_map(|line| line.split(" | ").next()).collect()
}

fn key(piece: &str) -> &str {
    piece.split('=').next().unwrap_or(piece)
}

fn pieces(link: &str) -> impl Iterator<Item = &str> {
    link.split('&').filter(|piece| !piece.trim().is_empty())
}

/// A number below `end`, which is far below what the generator gives.
fn below(rng: &mut TestRng, end: usize) -> usize {
    rng.next_u32() as usize % end
}

/// Any printable character of ASCII, or now and then another.
fn character(rng: &mut TestRng) -> char {
    match below(rng, 100) {
        95 => 'Ω',
        96 => '\u{a0}',
        97 => '\n',
        98 => '\0',
        99 => '#',
        printable => char::from(b' ' + printable as u8),
    }
}

/// Puts one character in, takes one out or changes one, anywhere from a place on.
fn change(rng: &mut TestRng, text: &mut Vec<char>, from: usize) {
    if text.len() <= from {
        return text.push(character(rng));
    }
    let at = from + below(rng, text.len() - from);
    match below(rng, 3) {
        0 => text.insert(at, character(rng)),
        1 => text[at] = character(rng),
        _ => drop(text.remove(at)),
    }
}

#[test]
fn what_no_key_takes_comes_back_letter_for_letter() {
    let corpus = corpus();
    // A twelfth speaker is the last that a link fills in.
    let known: HashSet<String> = (corpus.iter())
        .flat_map(|link| pieces(link).map(key))
        .flat_map(|key| match key.strip_prefix("speaker.") {
            Some(rest) => {
                let part = rest.split_once('.').map_or(rest, |(_, part)| part);
                (1..=12).map(|n| format!("speaker.{n}.{part}")).collect()
            }
            None => vec![key.to_owned()],
        })
        .collect();
    let mut rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut strange = 0;
    let mut with_hash = 0;
    for _ in 0..LINKS {
        let original = corpus[below(&mut rng, corpus.len())];
        // A link without an address before it is told by its first key.
        let before = ["", "#", "file:///C:/tapwright.html?q=1#"][below(&mut rng, 3)];
        let from = if before.is_empty() {
            key(original).len() + 1
        } else {
            0
        };
        let mut text: Vec<char> = original.chars().collect();
        for _ in 0..=below(&mut rng, 3) {
            change(&mut rng, &mut text, from);
        }
        let text: String = text.into_iter().collect();
        let setup = link::parse(&format!("{before}{text}")).setup;
        let encoded = link::encode(&setup);
        let mut left: Vec<&str> = pieces(&encoded).collect();
        // White space before a link is no part of it.
        for piece in pieces(text.trim_start()).filter(|piece| !known.contains(key(piece))) {
            strange += 1;
            with_hash += usize::from(piece.contains('#'));
            let found = left.iter().position(|found| *found == piece);
            assert!(
                found.is_some(),
                "{piece:?} of {before}{text:?}: {encoded:?}"
            );
            left.swap_remove(found.unwrap_or_default());
        }
        assert_eq!(link::parse(&encoded).setup, setup, "{before}{text:?}");
    }
    assert!(
        strange > LINKS / 10 && with_hash > 500,
        "{strange}, {with_hash}"
    );
}
