//! The leads of a transformer that have no rating: the end of the primary that goes to B+, and
//! the common lead of the secondary.

use tapwright_units::entry::{Complaint, excerpt};

/// Words for the lead that goes to B+: the centre tap, or the end of a single-ended primary.
const SUPPLY: &[&str] = &[
    "b+",
    "ht",
    "ht+",
    "ct",
    "c.t.",
    "centre",
    "center",
    "centre-tap",
    "center-tap",
    "0",
    "com",
    "com.",
    "common",
];

/// Words for the common lead of a secondary.
const COMMON: &[&str] = &[
    "0", "com", "com.", "common", "c", "gnd", "ground", "earth", "chassis",
];

/// Which end of a winding a list names beside its ratings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The lead of the primary that goes to B+.
    Supply,
    /// The common lead of the secondary.
    Common,
}

/// The name of the end lead in a typed list, and the list without it. The name is as typed
/// (`red B+`), or the word alone where nothing else names the lead.
///
/// # Errors
/// A [`Complaint`] when two end leads are named.
///
/// ```
/// use tapwright_iron::transformer::{End, split_off};
/// let (rest, end) = split_off("brown 8k, red B+, blue 10k", End::Supply).unwrap();
/// assert_eq!((rest.as_str(), end.as_deref()), ("brown 8k, blue 10k", Some("red")));
/// let (rest, end) = split_off("0 4 8 16", End::Common).unwrap();
/// assert_eq!((rest.as_str(), end.as_deref()), ("4 8 16", Some("")));
/// ```
pub fn split_off(text: &str, end: End) -> Result<(String, Option<String>), Complaint> {
    let spaced = text
        .replace("centre tap", "centre-tap")
        .replace("center tap", "center-tap");
    let separator = [";", "\n", ","]
        .into_iter()
        .find(|mark| spaced.contains(mark));
    let elements: Vec<Vec<&str>> = match separator {
        Some(mark) => spaced.split(mark).map(words).collect(),
        None => by_words(&words(&spaced), end),
    };
    let named = |element: &Vec<&str>| name_of_end(element, end);
    let mut ends = elements.iter().filter_map(named);
    let Some(name) = ends.next() else {
        return Ok((text.to_owned(), None));
    };
    if let Some(second) = ends.next() {
        return Err(Complaint::new(
            format!(
                "“{}” and “{}” are both named as {}, and there is one",
                excerpt(&name),
                excerpt(&second),
                match end {
                    End::Supply => "the lead to B+",
                    End::Common => "the common lead",
                }
            ),
            match end {
                End::Supply => "brown 8k, blue 10k, red B+",
                End::Common => "black common, green 8, yellow 16",
            },
        ));
    }
    let rest: Vec<String> = (elements.iter())
        .filter(|element| named(element).is_none())
        .map(|element| element.join(" "))
        .collect();
    let rest = match separator {
        Some(";" | "\n") => rest.join("; "),
        Some(_) => rest.join(", "),
        None => rest.join(" "),
    };
    Ok((rest, Some(name)))
}

fn words(text: &str) -> Vec<&str> {
    text.split_whitespace().collect()
}

fn is_end(word: &str, end: End) -> bool {
    let known = match end {
        End::Supply => SUPPLY,
        End::Common => COMMON,
    };
    let word = word.trim_end_matches(':').to_lowercase();
    known.contains(&word.as_str())
}

/// What an element of the list calls the end lead, where it is that and no rating.
fn name_of_end(element: &[&str], end: End) -> Option<String> {
    let at = element.iter().position(|word| is_end(word, end))?;
    let others: Vec<&str> = (element.iter().enumerate())
        .filter(|(place, word)| *place != at && !is_end(word, end))
        .map(|(_, word)| word.trim_end_matches(':'))
        .collect();
    let has_number = others
        .iter()
        .any(|word| word.contains(|c: char| c.is_ascii_digit()));
    (!has_number).then(|| others.join(" "))
}

/// A list with nothing but spaces, cut around the word for the end lead: the words before it
/// that hold no number are its name.
fn by_words<'a>(words: &[&'a str], end: End) -> Vec<Vec<&'a str>> {
    let Some(at) = words.iter().position(|word| is_end(word, end)) else {
        return vec![words.to_vec()];
    };
    let is_rating = |word: &&str| word.contains(|c: char| c.is_ascii_digit());
    let from = words[..at]
        .iter()
        .rposition(is_rating)
        .map_or(0, |before| before + 1);
    [&words[..from], &words[from..=at], &words[at + 1..]]
        .into_iter()
        .filter(|part| !part.is_empty())
        .map(<[&str]>::to_vec)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(text: &str, end: End) -> (String, Option<String>) {
        split_off(text, end).unwrap_or_else(|complaint| panic!("{text}: {}", complaint.why))
    }

    #[test]
    fn every_way_of_writing_the_lead_to_b_plus() {
        for (text, rest, name) in [
            ("brown 8k, blue 10k, red B+", "brown 8k, blue 10k", "red"),
            ("B+: red, brown 8k", "brown 8k", "red"),
            ("red CT; brown 8k; blue 10k", "brown 8k; blue 10k", "red"),
            ("red centre tap, 8k", "8k", "red"),
            ("brown 8k blue 10k red B+", "brown 8k blue 10k", "red"),
            ("ct, 8k", "8k", ""),
        ] {
            assert_eq!(
                split(text, End::Supply),
                (rest.into(), Some(name.into())),
                "{text}"
            );
        }
    }

    #[test]
    fn every_way_of_writing_the_common_lead() {
        for (text, rest, name) in [
            (
                "black common, green 8, yellow 16",
                "green 8, yellow 16",
                "black",
            ),
            ("black 0, 4, 8", "4, 8", "black"),
            ("0, 4, 8, 16", "4, 8, 16", ""),
            ("4 8 16 com", "4 8 16", ""),
            ("COM 8", "8", ""),
            ("black common green 8", "green 8", "black"),
        ] {
            assert_eq!(
                split(text, End::Common),
                (rest.into(), Some(name.into())),
                "{text}"
            );
        }
    }

    #[test]
    fn ratings_alone_stay_as_they_are() {
        for text in [
            "8k",
            "brown 8k, blue 10k",
            "1: 8k, 2: 10k",
            "3, 8, 15",
            "c8 8",
            "",
        ] {
            assert_eq!(split(text, End::Common), (text.into(), None), "{text}");
        }
        assert!(split_off("red B+, blue CT, 8k", End::Supply).is_err());
    }
}
