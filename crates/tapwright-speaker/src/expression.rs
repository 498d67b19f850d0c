//! Reads a hookup from an expression: `8`, `8//8`, `(8+8)//(8+8)`.

use crate::hookup::{Hookup, MOST_DRIVERS};
use tapwright_units::entry::{Complaint, Expected, excerpt, number, tidy};
use tapwright_units::joined::{Joined, Parts};
use tapwright_units::{Ohms, Unit};

const DRIVER: Expected = Expected {
    unit: Unit::Ohm,
    least: 0.5,
    most: 2_000.0,
    example: "8, or 8//8 in parallel, or 8+8 in series",
    noun: "a speaker's rated impedance",
    joined: false,
};

const SPEAKERS: Parts = Parts {
    called: "speaker",
    most: MOST_DRIVERS,
    example: DRIVER.example,
};

/// A driver that an expression can name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NamedDriver<'a> {
    /// Its name as typed.
    pub name: &'a str,
    /// The value of a name that is a number of ohms: it means every driver written with that
    /// number.
    pub value: Option<Ohms>,
    /// Its rated impedance, once that is known.
    pub rated: Option<Ohms>,
}

/// For each driver of an expression: its rated impedance, and its place among the named ones.
pub type Places = Vec<(Ohms, Option<usize>)>;

impl NamedDriver<'_> {
    /// Whether a text in an expression means this driver.
    pub fn answers_to(&self, text: &str) -> bool {
        match self.value {
            Some(value) => number(text, Unit::Ohm).is_ok_and(|typed| typed == value.0),
            None => self.name.eq_ignore_ascii_case(text.trim()),
        }
    }
}

/// Reads the name by which hookups will refer to a driver: a number of ohms, or a word that
/// begins with a letter and holds no sign that joins drivers.
///
/// # Errors
/// A [`Complaint`] that says why it cannot be a name.
///
/// ```
/// use tapwright_speaker::read_name;
/// assert_eq!(read_name(" A "), Ok("A".into()));
/// assert!(read_name("15").is_ok() && read_name("A+B").is_err() && read_name("2A").is_err());
/// ```
pub fn read_name(text: &str) -> Result<String, Complaint> {
    let complaint = |why: &str| Complaint::new(why, "A, or 15 for every 15 Ω speaker");
    let name = tidy(text).trim().to_owned();
    if name.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-')) {
        return DRIVER.read(&name).map(|_| name);
    }
    let joins = [
        '+', '(', ')', '[', ']', '/', '*', '×', '|', '∥', '‖', ',', '@',
    ];
    if !name.starts_with(char::is_alphabetic) {
        Err(complaint("a name begins with a letter"))
    } else if name.contains(joins) {
        Err(complaint("a name has no sign in it that joins speakers"))
    } else if name.chars().count() > 24 {
        Err(complaint("more than 24 letters are too many for a name"))
    } else {
        Ok(name)
    }
}

impl Hookup {
    /// Reads an expression: `+` means in series, `//` in parallel. `//` binds before `+`;
    /// brackets change that.
    ///
    /// # Errors
    /// A [`Complaint`] that quotes the part that could not be read.
    ///
    /// ```
    /// use tapwright_speaker::Hookup;
    /// use tapwright_units::Ohms;
    /// assert_eq!(Hookup::read("(8+8)//(8+8)").unwrap().impedance(), Ohms(8.0));
    /// assert_eq!(Hookup::read("4+8//8").unwrap().impedance(), Ohms(8.0));
    /// assert!(Hookup::read("(8+8").is_err());
    /// ```
    pub fn read(text: &str) -> Result<Self, Complaint> {
        Self::read_with(text, &[]).map(|read| read.0)
    }

    /// Reads an expression that may name drivers described elsewhere: `A//8`. The second value
    /// has one element for each driver, in the order typed: its rated impedance, and its place
    /// in `named` if it is one of those.
    ///
    /// # Errors
    /// As [`Hookup::read`], and for a name that is not known or has no rating.
    ///
    /// ```
    /// use tapwright_speaker::{Hookup, NamedDriver};
    /// use tapwright_units::Ohms;
    /// let a = NamedDriver { name: "A", value: None, rated: Some(Ohms(15.0)) };
    /// let (hookup, places) = Hookup::read_with("a//8", &[a]).unwrap();
    /// assert_eq!((hookup.drivers(), places[0]), (2, (Ohms(15.0), Some(0))));
    /// assert!(Hookup::read_with("B", &[a]).is_err());
    /// ```
    pub fn read_with(text: &str, named: &[NamedDriver]) -> Result<(Self, Places), Complaint> {
        read(text, named)
    }
}

fn read(text: &str, named: &[NamedDriver]) -> Result<(Hookup, Places), Complaint> {
    let joined = SPEAKERS.read(text, |part| driver(part, named))?;
    let places = joined.parts().into_iter().copied().collect();
    Ok((hookup(joined), places))
}

fn hookup(joined: Joined<(Ohms, Option<usize>)>) -> Hookup {
    let both = |pair: (Joined<_>, Joined<_>)| Box::new((hookup(pair.0), hookup(pair.1)));
    match joined {
        Joined::One((rated, _)) => Hookup::Driver(rated),
        Joined::Series(pair) => Hookup::Series(both(*pair)),
        Joined::Parallel(pair) => Hookup::Parallel(both(*pair)),
    }
}

fn complaint(why: impl Into<String>) -> Complaint {
    Complaint::new(why, DRIVER.example)
}

fn driver(text: &str, named: &[NamedDriver]) -> Result<(Ohms, Option<usize>), Complaint> {
    if let Some(at) = named.iter().position(|named| named.answers_to(text)) {
        let rated = named.get(at).and_then(|named| named.rated);
        return rated.map(|rated| (rated, Some(at))).ok_or_else(|| {
            Complaint::new(
                format!("speaker {} has no rated impedance yet", excerpt(text)),
                "8 in its place, or a DC reading of its coil",
            )
        });
    }
    if let [first, second, ..] = text.split(' ').collect::<Vec<_>>()[..]
        && [first, second]
            .iter()
            .all(|word| word.starts_with(|c: char| c.is_ascii_digit()))
    {
        return Err(complaint(format!(
            "between {} and {} a + (in series) or // (in parallel) is missing",
            excerpt(first),
            excerpt(second)
        )));
    }
    if text.contains('@') {
        return Err(complaint("watts are typed under Power rating"));
    }
    let customary = ["4", "6", "8", "15", "16", "32"];
    if text
        .split_once(',')
        .is_some_and(|(_, after)| customary.contains(&after.trim()))
    {
        return Err(complaint(
            "one comma could be a decimal mark or a gap between two speakers: write 8.8, or 8//8, or 8+8",
        ));
    }
    if text.contains("series") || text.contains("parallel") {
        return Err(complaint("in series is written +, in parallel //"));
    }
    if text.contains(['x', 'X']) {
        return Err(complaint(SPEAKERS.not_times()));
    }
    let rated = DRIVER.read(text).map_err(|mut complaint| {
        if text.starts_with(char::is_alphabetic) {
            complaint.why.push_str(", and no speaker is called that");
        }
        complaint
    })?;
    Ok((Ohms(rated), None))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn impedance(text: &str) -> f64 {
        Hookup::read(text)
            .unwrap_or_else(|c| panic!("{text}: {}", c.why))
            .impedance()
            .0
    }

    #[test]
    fn series_and_parallel_add_up() {
        for (text, ohms) in [
            ("8", 8.0),
            ("8//8", 4.0),
            ("8 || 8", 4.0),
            ("8∥8", 4.0),
            ("8+8", 16.0),
            ("(8+8)//(8+8)", 8.0),
            ("8+8//8", 12.0),
            ("[16//16] + 4R7", 12.7),
            ("15 ohm // 8 Ω", 15.0 * 8.0 / 23.0),
            ("((8))", 8.0),
            ("2,7+2.7", 5.4),
        ] {
            assert!(
                (impedance(text) / ohms - 1.0).abs() < 1e-12,
                "{text}: {}",
                impedance(text)
            );
        }
    }

    #[test]
    fn what_cannot_be_wired_says_why() {
        for (text, why) in [
            ("", "nothing typed"),
            ("8//", "missing at the end"),
            ("+8", "missing before “+”"),
            ("8/8", "// means in parallel"),
            ("8 8", "between 8 and 8"),
            ("(8+8", "opened and not closed"),
            ("8+8)", "never opened"),
            ("8(8)", "before “(”"),
            ("2*8", "not 2×8"),
            ("2x8", "not 2×8"),
            ("8 parallel 8", "in parallel //"),
            ("8@30", "under Power rating"),
            ("8,8", "one comma"),
            ("16,8", "one comma"),
            ("3 ohn", "“ohn” is not a unit"),
            ("0", "is zero"),
            ("8//0", "is zero"),
            ("-8", "negative"),
            ("8k", "larger"),
            ("()", "missing before “)”"),
        ] {
            let got = Hookup::read(text).expect_err(text).why;
            assert!(got.contains(why), "{text}: {got}");
        }
    }

    #[test]
    fn ten_thousand_speakers_and_deep_brackets_are_refused() {
        let many = vec!["8"; 10_000].join("+");
        assert!(
            Hookup::read(&many)
                .expect_err("many")
                .why
                .contains("too many")
        );
        let over = vec!["8"; 65].join("+");
        assert!(
            Hookup::read(&over)
                .expect_err("65")
                .why
                .contains("64 are the most")
        );
        let deep = format!("{}8{}", "(".repeat(900), ")".repeat(900));
        assert!(
            Hookup::read(&deep)
                .expect_err("deep")
                .why
                .contains("nested")
        );
    }
}
