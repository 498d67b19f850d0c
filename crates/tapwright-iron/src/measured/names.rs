//! Names of leads and of pairs of leads, as they are typed and as they are shown.

use super::{Lead, Pair};
use crate::transformer::MOST_LEADS;
use tapwright_units::entry::{Complaint, LONGEST_ENTRY, excerpt, tidy};

/// Longest name of a lead, in characters.
const LONGEST_NAME: usize = 30;

/// What may separate the two leads of a pair, the least ambiguous first.
const BETWEEN: [&str; 8] = ["–", " - ", " to ", " and ", "-", "/", ",", " "];

/// The name of a lead; empty when there is no such lead.
pub fn lead_name(leads: &[String], lead: Lead) -> &str {
    leads.get(lead).map_or("", String::as_str)
}

/// The name of a pair of leads.
///
/// ```
/// use tapwright_iron::measured::names;
/// let leads = names::leads("red, blue").unwrap();
/// assert_eq!(names::pair_name(&leads, (1, 0)), "blue–red");
/// ```
pub fn pair_name(leads: &[String], (a, b): Pair) -> String {
    format!("{}–{}", lead_name(leads, a), lead_name(leads, b))
}

/// Reads the names of all leads: `red, blue, black`, or with spaces where each is one word.
///
/// # Errors
/// A [`Complaint`] when a name is given twice, when there is only one, or when there are too
/// many.
///
/// ```
/// use tapwright_iron::measured::names;
/// assert_eq!(names::leads("red, light blue; 3").unwrap(), ["red", "light blue", "3"]);
/// assert_eq!(names::leads("1 2 3 4").unwrap().len(), 4);
/// assert!(names::leads("red, Red").is_err());
/// ```
pub fn leads(text: &str) -> Result<Vec<String>, Complaint> {
    const EXAMPLE: &str = "red, blue, black, green, or 1 2 3 4";
    let complain = |why: String| Err(Complaint::new(why, EXAMPLE));
    if text.len() > LONGEST_ENTRY {
        return complain(format!(
            "{} characters are too many for this list",
            text.len()
        ));
    }
    let tidied = tidy(&text.replace(['\n', '\r'], ";"));
    let listed = tidied.contains([',', ';']);
    let cut = |c: char| matches!(c, ',' | ';') || !listed && c == ' ';
    let names: Vec<String> = (tidied.split(cut))
        .map(|name| name.trim().to_owned())
        .filter(|name| !name.is_empty())
        .collect();
    for (at, name) in names.iter().enumerate() {
        if names[..at].iter().any(|before| alike(before, name)) {
            return complain(format!("“{}” stands there twice", excerpt(name)));
        }
        if name.chars().count() > LONGEST_NAME {
            return complain(format!("“{}” is too long for a name", excerpt(name)));
        }
    }
    match names.len() {
        0 | 1 => complain("a transformer has two leads at least".into()),
        n if n > MOST_LEADS => complain(format!("{n} leads, and {MOST_LEADS} are the most")),
        _ => Ok(names),
    }
}

fn alike(a: &str, b: &str) -> bool {
    a.eq_ignore_ascii_case(b)
}

/// The lead that a text names; upper and lower case are the same.
pub fn lead(leads: &[String], text: &str) -> Option<Lead> {
    let tidied = tidy(text);
    leads.iter().position(|name| alike(name, tidied.trim()))
}

/// Reads two leads: `red-blue`, `red to blue`, `1 2`. A name may contain a dash or a space
/// itself: a separator counts where the names on both sides are known.
///
/// # Errors
/// A [`Complaint`] when these are not two different leads of the list.
///
/// ```
/// use tapwright_iron::measured::names;
/// let leads = names::leads("red, blue, red-white").unwrap();
/// assert_eq!(names::pair(&leads, "Red - Blue"), Ok((0, 1)));
/// assert_eq!(names::pair(&leads, "red-red-white"), Ok((0, 2)));
/// assert!(names::pair(&leads, "red-red").is_err());
/// assert!(names::pair(&leads, "red-pink").unwrap_err().why.contains("pink"));
/// ```
pub fn pair(leads: &[String], text: &str) -> Result<Pair, Complaint> {
    let example = match leads {
        [a, b, ..] => format!("{a}-{b}"),
        _ => "red-blue".into(),
    };
    let complain = |why: String| Err(Complaint::new(why, example.clone()));
    if text.len() > LONGEST_ENTRY {
        return complain(format!(
            "{} characters are too many for two leads",
            text.len()
        ));
    }
    let tidied = tidy(text).replace(['—', '‑', '−'], "-");
    let text = tidied.trim();
    let mut strange = None;
    for mark in BETWEEN {
        for at in 0..text.len() {
            let Some((first, rest)) = text.split_at_checked(at) else {
                continue;
            };
            let Some(second) = rest.strip_prefix(mark) else {
                continue;
            };
            match (lead(leads, first), lead(leads, second)) {
                (Some(a), Some(b)) if a == b => {
                    let one = excerpt(text);
                    return complain(format!("“{one}” is one lead, and a reading is between two"));
                }
                (Some(a), Some(b)) => return Ok((a, b)),
                (Some(_), None) if !second.trim().is_empty() => {
                    strange = strange.or(Some(second));
                }
                (None, _) if !first.trim().is_empty() => strange = strange.or(Some(first)),
                _ => {}
            }
        }
    }
    complain(match strange {
        Some(name) => format!("“{}” is not among the leads", excerpt(name.trim())),
        None => format!("“{}” is not two leads", excerpt(text)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_however_they_are_joined() {
        let leads = leads("red, blue, light blue, 4").expect("leads");
        for text in [
            "red-blue",
            "red – blue",
            "RED to BLUE",
            "red/blue",
            "red, blue",
            "red blue",
        ] {
            assert_eq!(pair(&leads, text), Ok((0, 1)), "{text}");
        }
        assert_eq!(pair(&leads, "light blue 4"), Ok((2, 3)));
        assert_eq!(pair(&leads, "4-light blue"), Ok((3, 2)));
        for text in ["", "red", "red-", "-", "red-blue-4", "red-red", "pink-blue"] {
            assert!(pair(&leads, text).is_err(), "{text}");
        }
    }

    #[test]
    fn lists_that_are_none() {
        let many: Vec<String> = (0..40).map(|n| n.to_string()).collect();
        let long = "x".repeat(3_000);
        for text in ["red", "", ",,", "a, a", &many.join(" "), &long] {
            assert!(leads(text).is_err(), "{}", &text[..text.len().min(20)]);
        }
    }
}
