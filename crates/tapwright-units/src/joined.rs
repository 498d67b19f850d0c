//! Parts joined in series and in parallel, read from an expression: `8`, `8//8`,
//! `(8+8)//(8+8)`.

use crate::complaint::Complaint;
use crate::text::{LONGEST_ENTRY, excerpt, tidy};

/// Deepest nesting of brackets in one expression.
const DEEPEST: usize = 32;

/// One or more parts, joined in series or in parallel. Never empty.
#[derive(Debug, Clone, PartialEq)]
pub enum Joined<T> {
    /// A single part.
    One(T),
    /// One current through both.
    Series(Box<(Self, Self)>),
    /// One voltage across both.
    Parallel(Box<(Self, Self)>),
}

/// What an expression joins.
#[derive(Debug, Clone, Copy)]
pub struct Parts<'a> {
    /// What one of them is called in a complaint: `speaker`.
    pub called: &'a str,
    /// The most of them in one expression.
    pub most: usize,
    /// Something that is understood here.
    pub example: &'a str,
}

impl<T> Joined<T> {
    /// Every part, in the order typed.
    ///
    /// ```
    /// use tapwright_units::joined::Joined;
    /// let two = Joined::Series(Box::new((Joined::One(4), Joined::One(8))));
    /// assert_eq!(two.parts(), [&4, &8]);
    /// ```
    pub fn parts(&self) -> Vec<&T> {
        match self {
            Self::One(part) => vec![part],
            Self::Series(pair) | Self::Parallel(pair) => {
                let mut parts = pair.0.parts();
                parts.extend(pair.1.parts());
                parts
            }
        }
    }
}

impl Parts<'_> {
    /// Reads an expression: `+` means in series, `//` in parallel. `//` binds before `+`;
    /// brackets change that. `read_part` reads what stands between these signs.
    ///
    /// # Errors
    /// A [`Complaint`] that quotes the part that could not be read.
    ///
    /// ```
    /// use tapwright_units::entry::Complaint;
    /// use tapwright_units::joined::Parts;
    /// let resistors = Parts { called: "resistor", most: 8, example: "470//470" };
    /// let read = |text: &str| text.parse::<f64>().map_err(|_| Complaint::new("no number", ""));
    /// assert_eq!(resistors.read("220 + 470//470", read).unwrap().parts(), [&220.0, &470.0, &470.0]);
    /// assert!(resistors.read("470//", read).is_err());
    /// ```
    pub fn read<T>(
        &self,
        text: &str,
        mut read_part: impl FnMut(&str) -> Result<T, Complaint>,
    ) -> Result<Joined<T>, Complaint> {
        if text.len() > LONGEST_ENTRY {
            let length = text.len();
            return Err(self.complaint(format!("{length} characters are too many here")));
        }
        let tidied = tidy(text).replace("||", "//").replace(['∥', '‖'], "//");
        let tokens = self.tokens(&tidied, &mut read_part)?;
        let parts = (tokens.iter()).filter(|token| matches!(token, Token::Part(..)));
        match parts.count() {
            _ if tokens.is_empty() => return Err(self.complaint("nothing typed")),
            count if count > self.most => {
                let (called, most) = (self.called, self.most);
                return Err(self.complaint(format!("{count} {called}s, and {most} are the most")));
            }
            _ => {}
        }
        let mut parser = Parser {
            parts: self,
            tokens: tokens.into_iter().peekable(),
        };
        let whole = parser.series(0)?;
        match parser.tokens.next() {
            None => Ok(whole),
            Some(Token::Close) => Err(self.complaint("a bracket is closed that was never opened")),
            Some(other) => Err(self.complaint(format!(
                "before “{}” a + (in series) or // (in parallel) is missing",
                other.text()
            ))),
        }
    }

    fn tokens<'t, T>(
        &self,
        text: &'t str,
        read_part: &mut impl FnMut(&str) -> Result<T, Complaint>,
    ) -> Result<Vec<Token<'t, T>>, Complaint> {
        let mut tokens = Vec::new();
        let mut rest = text.trim_start();
        while let Some(first) = rest.chars().next() {
            let (token, length) = match first {
                '+' => (Token::Series, 1),
                '(' | '[' => (Token::Open, 1),
                ')' | ']' => (Token::Close, 1),
                '/' if rest.starts_with("//") => (Token::Parallel, 2),
                '/' => return Err(self.complaint("one / joins nothing: // means in parallel")),
                '*' | '×' => return Err(self.complaint(self.not_times())),
                _ => {
                    let end = rest
                        .find(['+', '(', ')', '[', ']', '/', '*', '×'])
                        .unwrap_or(rest.len());
                    let part = rest[..end].trim();
                    (Token::Part(part, read_part(part)?), end)
                }
            };
            tokens.push(token);
            rest = rest[length..].trim_start();
        }
        Ok(tokens)
    }

    /// What to write in the place of a times sign.
    pub fn not_times(&self) -> String {
        format!("write each {}: 8+8 or 8//8, not 2×8", self.called)
    }

    fn complaint(&self, why: impl Into<String>) -> Complaint {
        Complaint::new(why, self.example)
    }
}

enum Token<'t, T> {
    Part(&'t str, T),
    Series,
    Parallel,
    Open,
    Close,
}

impl<T> Token<'_, T> {
    fn text(&self) -> String {
        match self {
            Self::Part(text, _) => excerpt(text),
            Self::Series => "+".into(),
            Self::Parallel => "//".into(),
            Self::Open => "(".into(),
            Self::Close => ")".into(),
        }
    }
}

struct Parser<'a, 't, T> {
    parts: &'a Parts<'a>,
    tokens: std::iter::Peekable<std::vec::IntoIter<Token<'t, T>>>,
}

impl<T> Parser<'_, '_, T> {
    fn series(&mut self, depth: usize) -> Result<Joined<T>, Complaint> {
        let mut whole = self.parallel(depth)?;
        while (self.tokens.next_if(|token| matches!(token, Token::Series))).is_some() {
            whole = Joined::Series(Box::new((whole, self.parallel(depth)?)));
        }
        Ok(whole)
    }

    fn parallel(&mut self, depth: usize) -> Result<Joined<T>, Complaint> {
        let mut whole = self.part(depth)?;
        while (self
            .tokens
            .next_if(|token| matches!(token, Token::Parallel)))
        .is_some()
        {
            whole = Joined::Parallel(Box::new((whole, self.part(depth)?)));
        }
        Ok(whole)
    }

    fn part(&mut self, depth: usize) -> Result<Joined<T>, Complaint> {
        let called = self.parts.called;
        if depth > DEEPEST {
            let why = format!("brackets nested deeper than {DEEPEST}");
            return Err(self.parts.complaint(why));
        }
        match self.tokens.next() {
            Some(Token::Part(_, part)) => Ok(Joined::One(part)),
            Some(Token::Open) => {
                let inside = self.series(depth + 1)?;
                let closed = self.tokens.next_if(|token| matches!(token, Token::Close));
                match closed {
                    Some(_) => Ok(inside),
                    None => Err((self.parts).complaint("a bracket is opened and not closed")),
                }
            }
            Some(other) => Err(self
                .parts
                .complaint(format!("a {called} is missing before “{}”", other.text()))),
            None => Err((self.parts).complaint(format!("a {called} is missing at the end"))),
        }
    }
}
