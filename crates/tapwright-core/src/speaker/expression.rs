//! Reads a hookup from an expression: `8`, `8//8`, `(8+8)//(8+8)`.

use super::{Hookup, MOST_DRIVERS};
use crate::entry::{Complaint, Expected, LONGEST_ENTRY, excerpt, shortest, tidy};
use crate::units::{Ohms, Unit};

/// Deepest nesting of brackets in one expression.
const DEEPEST: usize = 32;

const DRIVER: Expected = Expected {
    unit: Unit::Ohm,
    least: 0.5,
    most: 2_000.0,
    example: "8, or 8//8 in parallel, or 8+8 in series",
    noun: "a speaker's rated impedance",
};

const NOT_TIMES: &str = "write each speaker: 8+8 or 8//8, not 2×8";

/// See [`Hookup::read`].
pub(super) fn read(text: &str) -> Result<Hookup, Complaint> {
    if text.len() > LONGEST_ENTRY {
        return Err(complaint(format!(
            "{} characters are too many for one hookup",
            text.len()
        )));
    }
    let tidied = tidy(text).replace("||", "//").replace(['∥', '‖'], "//");
    let tokens = tokens(&tidied)?;
    if tokens.is_empty() {
        return Err(complaint("nothing typed"));
    }
    let drivers = tokens
        .iter()
        .filter(|token| matches!(token, Token::Driver(_)))
        .count();
    if drivers > MOST_DRIVERS {
        return Err(complaint(format!(
            "{drivers} speakers, and {MOST_DRIVERS} are the most"
        )));
    }
    let mut reader = Reader {
        tokens: &tokens,
        at: 0,
    };
    let hookup = reader.series(0)?;
    match reader.next() {
        None => Ok(hookup),
        Some(Token::Close) => Err(complaint("a bracket is closed that was never opened")),
        Some(other) => Err(complaint(format!(
            "before “{}” a + (in series) or // (in parallel) is missing",
            other.text()
        ))),
    }
}

fn complaint(why: impl Into<String>) -> Complaint {
    Complaint::new(why, DRIVER.example)
}

#[derive(Debug, Clone, PartialEq)]
enum Token {
    Driver(Ohms),
    Series,
    Parallel,
    Open,
    Close,
}

impl Token {
    fn text(&self) -> String {
        match self {
            Self::Driver(rated) => shortest(rated.0),
            Self::Series => "+".into(),
            Self::Parallel => "//".into(),
            Self::Open => "(".into(),
            Self::Close => ")".into(),
        }
    }
}

fn tokens(text: &str) -> Result<Vec<Token>, Complaint> {
    let mut tokens = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let (token, length) = match first {
            '+' => (Token::Series, 1),
            '(' | '[' => (Token::Open, 1),
            ')' | ']' => (Token::Close, 1),
            '/' if rest.starts_with("//") => (Token::Parallel, 2),
            '/' => return Err(complaint("one / is not a hookup: // means in parallel")),
            '*' | '×' => return Err(complaint(NOT_TIMES)),
            _ => {
                let end = rest
                    .find(['+', '(', ')', '[', ']', '/', '*', '×'])
                    .unwrap_or(rest.len());
                (Token::Driver(driver(rest[..end].trim())?), end)
            }
        };
        tokens.push(token);
        rest = rest[length..].trim_start();
    }
    Ok(tokens)
}

fn driver(text: &str) -> Result<Ohms, Complaint> {
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
        return Err(complaint(NOT_TIMES));
    }
    DRIVER.read(text).map(Ohms)
}

struct Reader<'a> {
    tokens: &'a [Token],
    at: usize,
}

impl Reader<'_> {
    fn next(&mut self) -> Option<&Token> {
        let token = self.tokens.get(self.at);
        self.at += 1;
        token
    }

    fn skip(&mut self, wanted: &Token) -> bool {
        let found = self.tokens.get(self.at) == Some(wanted);
        self.at += usize::from(found);
        found
    }

    fn series(&mut self, depth: usize) -> Result<Hookup, Complaint> {
        let mut whole = self.parallel(depth)?;
        while self.skip(&Token::Series) {
            whole = Hookup::Series(Box::new((whole, self.parallel(depth)?)));
        }
        Ok(whole)
    }

    fn parallel(&mut self, depth: usize) -> Result<Hookup, Complaint> {
        let mut whole = self.part(depth)?;
        while self.skip(&Token::Parallel) {
            whole = Hookup::Parallel(Box::new((whole, self.part(depth)?)));
        }
        Ok(whole)
    }

    fn part(&mut self, depth: usize) -> Result<Hookup, Complaint> {
        if depth > DEEPEST {
            return Err(complaint(format!("brackets nested deeper than {DEEPEST}")));
        }
        match self.next() {
            Some(Token::Driver(rated)) => Ok(Hookup::Driver(*rated)),
            Some(Token::Open) => {
                let inside = self.series(depth + 1)?;
                if self.skip(&Token::Close) {
                    Ok(inside)
                } else {
                    Err(complaint("a bracket is opened and not closed"))
                }
            }
            Some(other) => Err(complaint(format!(
                "a speaker is missing before “{}”",
                other.text()
            ))),
            None => Err(complaint("a speaker is missing at the end")),
        }
    }
}
