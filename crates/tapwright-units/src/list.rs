//! Lists of named values as they are typed: `brown 8k, blue 10k` or `3 8 15`.

use crate::entry::{Complaint, Expected, LONGEST_ENTRY, excerpt, tidy};
use crate::slip::is_range;

/// One element of a typed list: a value and the name that stood beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedValue {
    /// The name or colour typed with the value; empty when there was none.
    pub name: String,
    /// The value, in the unit of the field.
    pub value: f64,
}

/// Reads a list of at most `most` values, each with an optional name.
///
/// Semicolons, commas or line ends separate the elements; spaces do where every element is one
/// word. A colon may follow a name: `1: 8k`. A comma between two digits could also be a decimal
/// mark. Three or more values in a row (`3,8,15`) settle that; otherwise the list is refused,
/// and the complaint gives both ways to read it.
///
/// # Errors
/// A [`Complaint`] that names the element that could not be read, or says that
/// there are none, or too many.
///
/// ```
/// use tapwright_units::entry::Expected;
/// use tapwright_units::{list, Unit};
/// let taps = Expected { unit: Unit::Ohm, least: 0.1, most: 1e3, example: "3, 8, 15", noun: "a tap", joined: false };
/// let read = list::read("white 3, green 8, yellow 15", &taps, 16).unwrap();
/// assert_eq!((read[1].name.as_str(), read[1].value), ("green", 8.0));
/// assert_eq!(list::read("3,8,15", &taps, 16).unwrap().len(), 3);
/// assert!(list::read("3,8", &taps, 16).is_err());
/// ```
pub fn read(text: &str, expected: &Expected, most: usize) -> Result<Vec<NamedValue>, Complaint> {
    let complain = |why: String| Complaint::new(why, expected.example);
    if text.len() > LONGEST_ENTRY {
        return Err(complain(format!(
            "{} characters are too many for one list",
            text.len()
        )));
    }
    let line_ends_kept = text.replace(['\n', '\r'], ";");
    let mut tidied = tidy(&line_ends_kept)
        .replace(" and ", ", ")
        .replace(" & ", ", ");
    if expected.joined {
        tidied = without_gaps(&tidied);
    }
    refuse_odd_separators(&tidied, expected).map_err(complain)?;
    let separated = separate(&tidied).map_err(complain)?;
    let named = match separated {
        Separated::Elements(elements) => elements
            .into_iter()
            .map(str::trim)
            .filter(|element| !element.is_empty())
            .map(|element| element_in(element, expected))
            .collect::<Result<Vec<_>, _>>()?,
        Separated::Words(words) => elements_in(&words, expected)?,
    };
    match named.len() {
        0 => Err(complain("nothing typed".into())),
        n if n > most => Err(complain(format!("{n} values, and {most} are the most"))),
        _ => Ok(named),
    }
}

/// The text without spaces around the signs that join resistances, so that `220 + 270` is one
/// word.
fn without_gaps(text: &str) -> String {
    ["+", "//", "||"]
        .iter()
        .fold(text.to_owned(), |text, sign| {
            let parts: Vec<&str> = text.split(sign).map(str::trim).collect();
            parts.join(sign)
        })
}

/// Refuses slashes between values, and thousands that are written with a space.
fn refuse_odd_separators(text: &str, expected: &Expected) -> Result<(), String> {
    let words: Vec<&str> = text.split(' ').filter(|word| !word.is_empty()).collect();
    let digits = |word: &str| word.bytes().all(|byte| byte.is_ascii_digit());
    let thousands = words.windows(2).find(|pair| {
        pair[0].len() <= 3
            && digits(pair[0])
            && pair[1]
                .get(..3)
                .is_some_and(|start| digits(start) && start.starts_with('0'))
    });
    if let Some(pair) = thousands {
        return Err(format!(
            "“{} {}” is a number with a gap; write it without",
            pair[0],
            excerpt(pair[1])
        ));
    }
    let odd = words.iter().find(|word| {
        matches!(**word, "+" | "/" | "//")
            || (is_number(word) && word.contains('/') && !is_value(word, expected))
    });
    match odd {
        Some(word) => Err(format!("“{}”: separate values with commas", excerpt(word))),
        None => Ok(()),
    }
}

enum Separated<'a> {
    Elements(Vec<&'a str>),
    Words(Vec<&'a str>),
}

/// Finds out what separates the elements.
fn separate(text: &str) -> Result<Separated<'_>, String> {
    if text.contains(';') {
        return Ok(Separated::Elements(text.split(';').collect()));
    }
    let all = commas(text).count();
    let in_doubt = commas(text).filter(|comma| comma.between_digits).count();
    let spaced = text.trim().contains(' ');
    if all == 0 {
        let words = text.split(' ').filter(|word| !word.is_empty());
        Ok(Separated::Words(words.collect()))
    } else if in_doubt == 0 || (all > 1 && !spaced) {
        Ok(Separated::Elements(text.split(',').collect()))
    } else {
        Err(two_readings(text))
    }
}

struct Comma {
    at: usize,
    between_digits: bool,
}

/// The commas of a text. A comma between two digits could be a decimal mark, unless the number
/// before or after it already has one: `6k6,8k`, `2.5,5`.
fn commas(text: &str) -> impl Iterator<Item = Comma> + '_ {
    let is_digit = |c: char| c.is_ascii_digit();
    text.match_indices(',').map(move |(at, _)| {
        let (before, after) = (&text[..at], &text[at + 1..]);
        let start = before.trim_end_matches(is_digit);
        let end = after.trim_start_matches(is_digit);
        let mut next = end.chars();
        let marked_after = match next.next() {
            Some('.') => true,
            Some(c) => c.is_alphabetic() && next.next().is_some_and(is_digit),
            None => false,
        };
        let marked = marked_after || start.ends_with(|c: char| c == '.' || c.is_alphabetic());
        let between = start.len() < before.len() && end.len() < after.len();
        Comma {
            at,
            between_digits: between && !marked,
        }
    })
}

fn two_readings(text: &str) -> String {
    let Some(comma) = commas(text).find(|comma| comma.between_digits) else {
        return "a comma here can be read in two ways".into();
    };
    let (before, after) = (&text[..comma.at], &text[comma.at + 1..]);
    let whole = &before[before.trim_end_matches(|c: char| c.is_ascii_digit()).len()..];
    let fraction =
        &after[..after.len() - after.trim_start_matches(|c: char| c.is_ascii_digit()).len()];
    if fraction.len() == 3 && fraction.starts_with('0') {
        return format!(
            "“{whole},{fraction}” can be read as {whole}{fraction} or as {whole}.{fraction}; \
             write {whole}k for the first"
        );
    }
    format!(
        "“{whole},{fraction}” can be read as {whole}.{fraction} or as {whole} and {fraction}; \
         write a decimal mark as a point, and put a space behind a comma that separates"
    )
}

/// One element between separators: `brown 8k`, `8k brown`, `pin 5: 8 k ohm`, `8k`.
fn element_in(element: &str, expected: &Expected) -> Result<NamedValue, Complaint> {
    if let Some((name, value)) = element.split_once(':') {
        return Ok(NamedValue {
            name: name.trim().into(),
            value: value_in(value, expected)?,
        });
    }
    let words: Vec<&str> = element.split(' ').filter(|word| !word.is_empty()).collect();
    let is_value = |words: &[&str]| is_value(&words.join(" "), expected);
    let starts_with_number = words.first().is_some_and(|word| is_number(word));
    // The value may be several words itself: `8 k ohm`.
    let value_last = (0..words.len()).find(|at| is_value(&words[*at..]));
    let value_first = (1..words.len()).rev().find(|end| is_value(&words[..*end]));
    let (name, value) = match (value_last, value_first) {
        (Some(0), _) => (&words[..0], &words[..]),
        (Some(_), Some(_)) => {
            return Err(Complaint::new(number_for_a_name(element), expected.example));
        }
        (Some(at), None) => (&words[..at], &words[at..]),
        (None, Some(end)) if starts_with_number => (&words[end..], &words[..end]),
        // Nothing reads as a value. The reader of numbers says what is wrong with the part
        // that looks most like one.
        _ => (
            &words[..0],
            &words[words.iter().position(|word| is_number(word)).unwrap_or(0)..],
        ),
    };
    Ok(NamedValue {
        name: name.join(" "),
        value: value_in(&value.join(" "), expected)?,
    })
}

fn number_for_a_name(element: &str) -> String {
    format!(
        "“{}” can be two values, or a lead with a number for a name; \
         put a comma between values, or a colon behind a name",
        excerpt(element)
    )
}

/// A list with nothing but spaces: a value ends an element, or starts it if the
/// first word is a value.
fn elements_in(words: &[&str], expected: &Expected) -> Result<Vec<NamedValue>, Complaint> {
    let Some(first) = words.first() else {
        return Ok(Vec::new());
    };
    let named_with_colon = words.iter().any(|word| word.contains(':'));
    if named_with_colon || words.iter().filter(|word| is_number(word)).count() < 2 {
        return Ok(vec![element_in(&words.join(" "), expected)?]);
    }
    let value_first = is_number(first);
    let mut elements: Vec<(Vec<&str>, String)> = vec![];
    let mut name: Vec<&str> = vec![];
    for word in words {
        let continued = elements.last().map(|(_, value)| format!("{value} {word}"));
        match (continued, elements.last_mut()) {
            _ if is_number(word) => {
                elements.push((std::mem::take(&mut name), (*word).to_owned()));
            }
            (Some(longer), Some((_, value))) if name.is_empty() && is_value(&longer, expected) => {
                *value = longer;
            }
            (_, Some((names, _))) if value_first => names.push(word),
            _ => name.push(word),
        }
    }
    if !name.is_empty() {
        return Err(Complaint::new(
            format!("“{}” has no value behind it", excerpt(&name.join(" "))),
            expected.example,
        ));
    }
    if value_first && let Some(complaint) = name_of_either(&elements) {
        return Err(complaint);
    }
    elements
        .into_iter()
        .map(|(name, value)| {
            Ok(NamedValue {
                name: name.join(" "),
                value: value_in(&value, expected)?,
            })
        })
        .collect()
}

/// A list that begins and ends with a value, `8k blue 10k`, says of no name whether it belongs
/// to the value before it or to the one behind.
fn name_of_either(elements: &[(Vec<&str>, String)]) -> Option<Complaint> {
    let (last, _) = elements.last()?;
    let between = (elements.windows(2)).find(|two| !two[0].0.is_empty())?;
    let (before, behind) = (&between[0].1, &between[1].1);
    let name = between[0].0.join(" ");
    last.is_empty().then(|| {
        Complaint::new(
            format!(
                "is “{}” the {before} or the {behind}? A comma between them settles it",
                excerpt(&name)
            ),
            format!("{before} {name}, {behind}; or {before}, {name} {behind}"),
        )
    })
}

/// Whether a word starts like a number: with a digit, or with a sign, point or `R` and a digit.
fn is_number(word: &str) -> bool {
    let unmarked = word.trim_start_matches(['-', '+', '.', ',', 'R', 'r', '(']);
    unmarked.starts_with(|c: char| c.is_ascii_digit()) && word.len() - unmarked.len() <= 2
}

/// Whether a text reads as a value of this unit, in range or not.
fn is_value(text: &str, expected: &Expected) -> bool {
    is_number(text) && expected.understands(text)
}

fn value_in(text: &str, expected: &Expected) -> Result<f64, Complaint> {
    let typed = text.trim();
    if is_range(typed, expected.unit) {
        let why = format!("“{}” is a range: type every value in it", excerpt(typed));
        return Err(Complaint::new(why, expected.example));
    }
    expected.read(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Unit;

    const TAPS: Expected = Expected {
        unit: Unit::Ohm,
        least: 0.1,
        most: 1e6,
        example: "3, 8, 15",
        noun: "a tap",
        joined: false,
    };

    fn reads(text: &str, expected: &[(&str, f64)]) {
        let got = read(text, &TAPS, 16).unwrap_or_else(|c| panic!("{text}: {}", c.why));
        let got: Vec<_> = got.iter().map(|n| (n.name.as_str(), n.value)).collect();
        assert_eq!(got, expected, "{text}");
    }

    #[test]
    fn separators_and_names() {
        let plain = [("", 3.0), ("", 8.0), ("", 15.0)];
        for text in [
            "3, 8, 15",
            "3 8 15",
            "3;8;15",
            "3,8,15",
            " 3 ,8 , 15, ",
            "3 Ω 8 ohm 15Ω",
            "3\n8\n15",
        ] {
            reads(text, &plain);
        }
        let named = [("brown", 8e3), ("light blue", 10e3)];
        for text in [
            "brown 8k, light blue 10k",
            "brown 8 k ohm, light blue 10 kΩ",
            "8k brown, 10k light blue",
            "brown: 8k; light blue: 10k",
            "brown 8k light blue 10k",
            "brown 8 kΩ light blue 10 kΩ",
        ] {
            reads(text, &named);
        }
        reads("2,5; 5; 10", &[("", 2.5), ("", 5.0), ("", 10.0)]);
        reads("1: 8k, 2: 10k", &[("1", 8e3), ("2", 10e3)]);
        reads("pin 5 8k, pin 6 10k", &[("pin 5", 8e3), ("pin 6", 10e3)]);
        reads("8k", &[("", 8e3)]);
        reads("8k and 10k", &[("", 8e3), ("", 10e3)]);
        reads("4k,6k6,8k", &[("", 4e3), ("", 6.6e3), ("", 8e3)]);
        reads("2.5,5", &[("", 2.5), ("", 5.0)]);
        reads("1,2.5,5,10", &[("", 1.0), ("", 2.5), ("", 5.0), ("", 10.0)]);
    }

    #[test]
    fn what_can_be_read_twice_is_refused() {
        for text in ["3,8", "2,5 5 10", "3, 8,15", "3 8, 15"] {
            let why = read(text, &TAPS, 16).expect_err(text).why;
            assert!(why.contains("can be"), "{text}: {why}");
        }
    }

    #[test]
    fn a_name_between_two_values_is_asked_about() {
        for (text, why, example) in [
            (
                "8k blue 10k",
                "is “blue” the 8k or the 10k?",
                "8k blue, 10k; or 8k, blue 10k",
            ),
            (
                "3 light green 8 Ω yellow 15",
                "is “light green” the 3 or the 8 Ω?",
                "3 light green, 8 Ω; or 3, light green 8 Ω",
            ),
        ] {
            let complaint = read(text, &TAPS, 16).expect_err(text);
            assert!(complaint.why.contains(why), "{text}: {}", complaint.why);
            assert_eq!(complaint.example, example);
        }
        reads("8k blue, 10k", &[("blue", 8e3), ("", 10e3)]);
        reads("8k, blue 10k", &[("", 8e3), ("blue", 10e3)]);
    }

    #[test]
    fn resistances_of_a_list_may_be_joined() {
        let windings = Expected {
            joined: true,
            ..TAPS
        };
        for text in [
            "white 0.3+0.2, grey 2//2",
            "white 0.3 + 0.2, grey 2 // 2",
            "white: 0.3 + 0.2; grey: (1 + 1)//2",
            "white 0.3+0.2 grey 2//2",
        ] {
            let read = read(text, &windings, 16).unwrap_or_else(|c| panic!("{text}: {}", c.why));
            let read: Vec<_> = read.iter().map(|n| (n.name.as_str(), n.value)).collect();
            assert_eq!(read, [("white", 0.5), ("grey", 1.0)], "{text}");
        }
        // Two leads with 8k each are no 16k.
        for text in ["8k+8k", "brown 8k + 8k", "8k//8k", "brown 8k//8k"] {
            assert!(read(text, &TAPS, 16).is_err(), "{text}");
        }
    }

    #[test]
    fn the_element_at_fault_is_named() {
        for (text, why) in [
            ("", "nothing typed"),
            (" , ,", "nothing typed"),
            ("brown", "“brown” is not a number"),
            ("brown 8k, blue", "“blue” is not a number"),
            ("brown 8k blue 10k red", "“red” has no value"),
            ("8,000", "as 8000 or as 8.000"),
            ("8 000", "a number with a gap"),
            ("4/8/16", "separate values with commas"),
            ("3, 0, 15", "“0” is zero"),
            ("3, -8", "negative"),
            ("3, green 0", "is zero"),
            ("brown 8 V", "“V” is not a unit"),
            ("4-8", "“4-8” is a range: type every value in it"),
            ("green 4-8, grey 16", "“4-8” is a range"),
            ("brown 8OOO", "the letter O"),
        ] {
            let complaint = read(text, &TAPS, 16).expect_err(text);
            assert!(complaint.why.contains(why), "{text}: {}", complaint.why);
        }
        let many = vec!["8"; 17].join(" ");
        assert!(
            read(&many, &TAPS, 16)
                .expect_err("17")
                .why
                .contains("16 are the most")
        );
    }
}
