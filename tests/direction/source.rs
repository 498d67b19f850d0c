//! Which module of a crate uses which, as its source says. A module is a file at the top of the
//! crate with the folder of its name.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::str::FromStr;

use proc_macro2::{Delimiter, TokenStream, TokenTree};

use crate::graph::Graph;

/// What stands in the crate's root itself, such as a function in `lib.rs`.
const ROOT: &str = "lib";

/// The modules of the crate whose source is in a folder. What only its tests use is left out.
pub fn modules(folder: &Path) -> Graph {
    let lib = tokens(&read(&folder.join("lib.rs")));
    let names = names(&lib);
    let mut graph = Graph::default();
    for used in uses_of_root(&lib, &names) {
        graph.add(ROOT, &used, "lib.rs");
    }
    for file in files(folder) {
        let file = file.strip_prefix(folder).expect("it was found there");
        let mut path: Vec<String> = (file.with_extension("").iter())
            .map(|part| part.to_string_lossy().into_owned())
            .collect();
        let module = path[0].clone();
        if ["lib", "main"].contains(&&*module) || path.last().is_some_and(|name| name == "tests") {
            continue;
        }
        let mut found = Vec::new();
        uses(&tokens(&read(&folder.join(file))), &mut path, &mut found);
        for name in found {
            let used = names.get(&name).map_or(ROOT, String::as_str);
            graph.add(&module, used, &file.display().to_string());
        }
    }
    graph
}

pub fn read(file: &Path) -> String {
    fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

pub fn files(folder: &Path) -> Vec<std::path::PathBuf> {
    let mut files = Vec::new();
    let entries = fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    for entry in entries {
        let path = entry.expect("an entry of the folder").path();
        if path.is_dir() {
            files.extend(self::files(&path));
        } else if path.extension().is_some_and(|kind| kind == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}

fn tokens(source: &str) -> Vec<TokenTree> {
    let stream = TokenStream::from_str(source).expect("it compiles, so it has tokens");
    stream.into_iter().collect()
}

fn word(token: Option<&TokenTree>) -> Option<String> {
    match token? {
        TokenTree::Ident(word) => Some(word.to_string()),
        _ => None,
    }
}

pub fn is(token: Option<&TokenTree>, sign: char) -> bool {
    matches!(token, Some(TokenTree::Punct(punct)) if punct.as_char() == sign)
}

/// Whether `::` stands at a place.
fn parts(tokens: &[TokenTree], at: usize) -> bool {
    is(tokens.get(at), ':') && is(tokens.get(at + 1), ':')
}

/// The names that can follow `crate::`, each with the module that it leads to: the modules, and
/// what the root hands on from them by `pub use`.
fn names(lib: &[TokenTree]) -> BTreeMap<String, String> {
    let mut names = BTreeMap::new();
    for (at, token) in lib.iter().enumerate() {
        match word(Some(token)).as_deref() {
            Some("mod") => {
                let name = word(lib.get(at + 1)).expect("a module has a name");
                names.insert(name.clone(), name);
            }
            Some("use") if word(lib.get(at + 1)).is_some() && parts(lib, at + 2) => {
                let module = word(lib.get(at + 1)).expect("just seen");
                let end = (at..lib.len()).find(|end| is(lib.get(*end), ';'));
                let tail: TokenStream = lib[at + 4..end.expect("a use ends")]
                    .iter()
                    .cloned()
                    .collect();
                for name in last_words(tail) {
                    names.insert(name, module.clone());
                }
            }
            _ => {}
        }
    }
    names
}

/// The words that a `use` brings in: the last of each branch, or what it is renamed to.
fn last_words(tail: TokenStream) -> Vec<String> {
    let tail: Vec<TokenTree> = tail.into_iter().collect();
    let branches = tail.split(|token| is(Some(token), ','));
    let last = branches.filter_map(|branch| branch.last());
    last.flat_map(|token| match token {
        TokenTree::Group(group) => last_words(group.stream()),
        token => word(Some(token)).into_iter().collect(),
    })
    .collect()
}

/// The modules that the root uses itself, besides handing them on.
fn uses_of_root(lib: &[TokenTree], names: &BTreeMap<String, String>) -> Vec<String> {
    let mut found = Vec::new();
    for (at, token) in lib.iter().enumerate() {
        match token {
            TokenTree::Group(group) => {
                let inside: Vec<TokenTree> = group.stream().into_iter().collect();
                found.extend(uses_of_root(&inside, names));
            }
            token => {
                let word = word(Some(token)).filter(|_| parts(lib, at + 1));
                let before = at.checked_sub(1).map(|at| &lib[at]);
                let handed_on = before.is_some_and(|before| is_word(before, "use"));
                let module = word.and_then(|word| names.get(&word));
                found.extend(module.filter(|_| !handed_on && !is(before, ':')).cloned());
            }
        }
    }
    found
}

pub fn is_word(token: &TokenTree, expected: &str) -> bool {
    matches!(token, TokenTree::Ident(word) if word == expected)
}

/// Notes the first word behind every `crate::`, and behind every `super::` that reaches the
/// root, in a file or an inner module at `path`.
fn uses(tokens: &[TokenTree], path: &mut Vec<String>, found: &mut Vec<String>) {
    let mut at = 0;
    while at < tokens.len() {
        let start = at;
        at += 1;
        match &tokens[start] {
            TokenTree::Group(group) => {
                let inside: Vec<TokenTree> = group.stream().into_iter().collect();
                match inner_module(tokens, start) {
                    None => uses(&inside, path, found),
                    Some(_) if is_for_tests(tokens, start - 2) => {}
                    Some(name) => {
                        path.push(name);
                        uses(&inside, path, found);
                        path.pop();
                    }
                }
            }
            token if is_word(token, "crate") && parts(tokens, at) => {
                at = branches(tokens, at + 2, 0, found);
            }
            token if is_word(token, "super") && parts(tokens, at) => {
                at = branches(tokens, at + 2, path.len() - 1, found);
            }
            _ => {}
        }
    }
}

/// The name of the module whose body is the group at a place.
fn inner_module(tokens: &[TokenTree], at: usize) -> Option<String> {
    let start = at.checked_sub(2)?;
    is_word(&tokens[start], "mod").then(|| word(tokens.get(at - 1)))?
}

/// Whether what starts at a place is marked `#[cfg(test)]`.
pub fn is_for_tests(tokens: &[TokenTree], at: usize) -> bool {
    let mark = at.checked_sub(1).map(|at| tokens[at].to_string());
    mark.is_some_and(|mark| mark.replace(' ', "") == "[cfg(test)]")
}

/// Notes where the branches of a path lead that is `above` modules below the root so far, and
/// gives the place behind it.
fn branches(tokens: &[TokenTree], at: usize, above: usize, found: &mut Vec<String>) -> usize {
    match tokens.get(at) {
        Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace => {
            let inside: Vec<TokenTree> = group.stream().into_iter().collect();
            for branch in inside.split(|token| is(Some(token), ',')) {
                branches(branch, 0, above, found);
            }
        }
        Some(token) if is_word(token, "super") && parts(tokens, at + 1) => {
            return branches(tokens, at + 3, above.saturating_sub(1), found);
        }
        Some(TokenTree::Ident(word)) if above == 0 => found.push(word.to_string()),
        _ => {}
    }
    at + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(source: &str, path: &[&str]) -> Vec<String> {
        let mut path = path.iter().map(|part| (*part).to_owned()).collect();
        let mut found = Vec::new();
        uses(&tokens(source), &mut path, &mut found);
        found
    }

    #[test]
    fn every_way_to_name_a_module_is_read() {
        let source = r#"
            //! Not `crate::comment`.
            use crate::{app, browser::{self, Focus}, words as said};
            use super::{super::super::events, Scene};
            pub(in crate::desk) fn f() -> &'static str { crate::number::fixed(html! { (crate::charts::all()) }); "crate::text" }
            mod inner { use super::super::super::super::patch; use super::super::super::desk; }
            #[cfg(test)]
            mod tests { use crate::within; }
        "#;
        assert_eq!(
            found(source, &["view", "form", "rows"]),
            [
                "app", "browser", "words", "events", "desk", "number", "charts", "patch"
            ]
        );
    }

    #[test]
    fn the_parent_of_a_top_level_file_is_the_root() {
        assert_eq!(found("use super::app::open;", &["events"]), ["app"]);
        assert!(found("use super::Scene;", &["view", "bar"]).is_empty());
    }

    #[test]
    fn what_the_root_hands_on_leads_to_its_module() {
        let lib = tokens(
            "mod desk; pub mod report; pub use desk::Desk; pub use report::{Report, parts::Part as Piece};",
        );
        let names = names(&lib);
        let expected = [
            ("Desk", "desk"),
            ("Piece", "report"),
            ("Report", "report"),
            ("desk", "desk"),
            ("report", "report"),
        ];
        assert_eq!(
            names,
            expected
                .map(|(name, module)| (name.into(), module.into()))
                .into()
        );
        assert!(uses_of_root(&lib, &names).is_empty());
        let uses = tokens("mod desk; pub fn open() { desk::Desk::open() }");
        assert_eq!(uses_of_root(&uses, &names), ["desk"]);
    }
}
