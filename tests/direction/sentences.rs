//! Whether the sentences of the page stand whole: a literal that is glued to its neighbours leaves
//! a translator no choice of order.

use std::path::Path;
use std::str::FromStr;

use proc_macro2::{Delimiter, Literal, TokenStream, TokenTree};

use crate::source::{files, is, is_for_tests, is_word, read};

/// What the source says.
#[derive(Default)]
pub struct Sentences {
    /// How many whole sentences with holes there are.
    pub whole: usize,
    /// Fragments, each as `file:line: "literal"`.
    pub fragments: Vec<String>,
}

/// Reads every file below a folder, but for what only tests use.
pub fn sentences(folder: &Path) -> Sentences {
    let mut found = Sentences::default();
    for file in files(folder) {
        let name = file.strip_prefix(folder).expect("it was found there");
        if name.file_stem().is_some_and(|stem| stem == "tests") {
            continue;
        }
        let of_file = of_source(&read(&file));
        found.whole += of_file.whole;
        let fragments = of_file.fragments.iter();
        let name = name.display();
        (found.fragments).extend(fragments.map(|fragment| format!("{name}:{fragment}")));
    }
    found
}

fn of_source(source: &str) -> Sentences {
    let mut found = Sentences::default();
    let stream = TokenStream::from_str(source).expect("it compiles, so it has tokens");
    code(&tokens(stream), &mut found);
    found
}

fn tokens(stream: TokenStream) -> Vec<TokenTree> {
    stream.into_iter().collect()
}

fn is_group(token: &TokenTree, delimiter: Delimiter) -> bool {
    matches!(token, TokenTree::Group(group) if group.delimiter() == delimiter)
}

/// Reads Rust: what it says stands in its `html!` and its `say!`.
fn code(all: &[TokenTree], found: &mut Sentences) {
    let mut at = 0;
    while at < all.len() {
        if at > 0 && is_for_tests(all, at) {
            at = behind_item(all, at);
            continue;
        }
        if let TokenTree::Group(group) = &all[at] {
            let inside = tokens(group.stream());
            match macro_name(all, at).as_deref() {
                Some("html") => markup(&inside, found),
                Some("say") => {
                    found.whole += 1;
                    code(&inside, found);
                }
                _ => code(&inside, found),
            }
        }
        at += 1;
    }
}

/// The name of the macro whose arguments are the group at a place.
fn macro_name(all: &[TokenTree], at: usize) -> Option<String> {
    let name = at.checked_sub(2)?;
    is(all.get(at - 1), '!').then(|| all[name].to_string())
}

/// The place behind the item that starts at a place: behind its body or its semicolon.
fn behind_item(all: &[TokenTree], at: usize) -> usize {
    let ends = |token: &TokenTree| is_group(token, Delimiter::Brace) || is(Some(token), ';');
    (at..all.len())
        .find(|end| ends(&all[*end]))
        .map_or(all.len(), |end| end + 1)
}

/// Reads the inside of an `html!`, or of an element in it.
fn markup(all: &[TokenTree], found: &mut Sentences) {
    let mut at = 0;
    while at < all.len() {
        match &all[at] {
            token if is(Some(token), '@') => at = control(all, at + 1, found),
            // The value of an attribute, or whether it is there.
            token if is(Some(token), '=') => {
                code(all.get(at + 1..at + 2).unwrap_or_default(), found);
                at += 2;
            }
            TokenTree::Group(group) if group.delimiter() == Delimiter::Brace => {
                markup(&tokens(group.stream()), found);
                at += 1;
            }
            TokenTree::Group(group) => {
                splice(&tokens(group.stream()), found);
                at += 1;
            }
            TokenTree::Literal(literal) => {
                let before = at.checked_sub(1).map(|before| &all[before]);
                let is_name = ['#', '.'].iter().any(|sign| is(before, *sign));
                if !is_name && !is(all.get(at + 1), '=') {
                    text(literal, found);
                }
                at += 1;
            }
            _ => at += 1,
        }
    }
}

/// Reads what is spliced into markup: a literal that it comes to, in an arm of a `match` say, is
/// text. One among the arguments of a call is not.
fn splice(all: &[TokenTree], found: &mut Sentences) {
    for (at, token) in all.iter().enumerate() {
        match token {
            TokenTree::Literal(literal) => text(literal, found),
            TokenTree::Group(group)
                if group.delimiter() == Delimiter::Brace && macro_name(all, at).is_none() =>
            {
                splice(&tokens(group.stream()), found);
            }
            TokenTree::Group(_) => code(&all[at.saturating_sub(2)..=at], found),
            _ => {}
        }
    }
}

/// Reads what stands behind an `@`, and gives the place behind that.
fn control(all: &[TokenTree], at: usize, found: &mut Sentences) -> usize {
    let is_let = all.get(at).is_some_and(|token| is_word(token, "let"));
    let ends = |token: &TokenTree| match is_let {
        true => is(Some(token), ';'),
        false => is_group(token, Delimiter::Brace),
    };
    let end = (at..all.len()).find(|end| ends(&all[*end]));
    let end = end.unwrap_or(all.len());
    // What is asked, looped over or bound is Rust.
    code(&all[at.min(end)..end], found);
    if let Some(TokenTree::Group(group)) = all.get(end) {
        let inside = tokens(group.stream());
        match is_word(&all[at], "match") {
            true => arms(&inside, found),
            false => markup(&inside, found),
        }
    }
    end + 1
}

/// Reads the arms of a `@match`.
fn arms(all: &[TokenTree], found: &mut Sentences) {
    let mut at = 0;
    while let Some(arrow) = (at..all.len()).find(|arrow| is_arrow(all, *arrow)) {
        code(&all[at..arrow], found);
        let start = arrow + 2;
        let is_block = (all.get(start)).is_some_and(|token| is_group(token, Delimiter::Brace));
        let end = match is_block {
            true => start + 1,
            false => (start..all.len())
                .find(|end| is(all.get(*end), ','))
                .unwrap_or(all.len()),
        };
        markup(&all[start..end], found);
        at = end;
    }
}

fn is_arrow(all: &[TokenTree], at: usize) -> bool {
    is(all.get(at), '=') && is(all.get(at + 1), '>')
}

fn text(literal: &Literal, found: &mut Sentences) {
    let Ok(said) = syn::parse_str::<syn::LitStr>(&literal.to_string()) else {
        return;
    };
    if is_fragment(&said.value()) {
        let line = literal.span().start().line;
        found.fragments.push(format!("{line}: {literal}"));
    }
}

/// Whether a text goes on in what stands before or behind it.
fn is_fragment(text: &str) -> bool {
    let has_letter = text.contains(char::is_alphabetic);
    let goes_on = text.strip_prefix([',', ';', '.', ':', ')']);
    let goes_on = goes_on.is_some_and(|rest| rest.starts_with(char::is_whitespace));
    let is_open = text.starts_with(char::is_whitespace) || text.ends_with(char::is_whitespace);
    has_letter && (goes_on || is_open)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fragments(source: &str) -> Vec<String> {
        of_source(source).fragments
    }

    #[test]
    fn a_glued_sentence_is_found_with_its_line() {
        let glued = r#"
            fn a() { html! { p .hint { "A bleeder of " (ohms)
                b { (watts) } ", at the least" } } }
            fn b() { html! {
                @if x == "no " { "\u{a0}volts" } @else { (html! { "; then it is" }) }
                @match y { None => p { "nothing known " }, Some("a ") if z => { ". So" } _ => " is it" }
                @for one in ["a "] { @let two = "b "; "one of " (two) }
                (match z { 1 => " thing", _ => say("b ") }) } }

        "#;
        assert_eq!(
            fragments(glued),
            [
                r#"2: "A bleeder of ""#,
                r#"3: ", at the least""#,
                r#"5: "\u{a0}volts""#,
                r#"5: "; then it is""#,
                r#"6: "nothing known ""#,
                r#"6: ". So""#,
                r#"6: " is it""#,
                r#"7: "one of ""#,
                r#"8: " thing""#,
            ]
        );
    }

    #[test]
    fn a_whole_sentence_passes() {
        let whole = r#"
            fn a() -> Markup { html! {
                p #"an id" ."class " title={ "B+ of " (volts) } "data-x"=("y ") class=[x.then_some(" on")] {
                    (say!("A bleeder of {ohms} gives {watts}.", ohms = 2, watts = said("3 "))) " "
                    "Never alone." " · " (join("a ", ", b"))
                }
            } }
            #[cfg(test)]
            mod tests { fn b() { html! { " glued " } say!("not one of the page"); } }
            #[cfg(test)]
            use super::c;
            fn c() -> String { format!("{} of ", say!("Whole.").0) }
        "#;
        assert_eq!(fragments(whole), [""; 0]);
        assert_eq!(of_source(whole).whole, 2);
    }
}
