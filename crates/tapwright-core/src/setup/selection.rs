//! What the person points at: a hookup, or one connection.

use serde::{Deserialize, Serialize};

use tapwright_iron::transformer::Choice;

/// What the person pointed at: the rest of the page follows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Selection {
    /// A hookup, by its place: its recommended connection, whichever that is.
    Hookup(usize),
    /// One connection, recommended or not.
    Connection(Choice),
}

impl Selection {
    /// Reads a selection, places counted from 1: a hookup as `2`, a connection as `1,2,1`.
    ///
    /// ```
    /// use tapwright_core::setup::Selection;
    /// assert_eq!(Selection::read("2"), Some(Selection::Hookup(1)));
    /// assert_eq!(Selection::read("1,1-3,2").unwrap().to_string(), "1,1-3,2");
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        if text.contains(',') {
            Choice::read(text).map(Self::Connection)
        } else {
            place(text).map(Self::Hookup)
        }
    }

    /// Place of the hookup that is selected, alone or with a connection.
    ///
    /// ```
    /// use tapwright_core::setup::Selection;
    /// assert_eq!(Selection::read("1,1,3").unwrap().hookup(), 2);
    /// ```
    pub fn hookup(self) -> usize {
        match self {
            Self::Hookup(at) => at,
            Self::Connection(choice) => choice.hookup,
        }
    }

    /// The same selection with its hookup at another place.
    pub(super) fn at_hookup(self, hookup: usize) -> Self {
        match self {
            Self::Hookup(_) => Self::Hookup(hookup),
            Self::Connection(choice) => Self::Connection(Choice { hookup, ..choice }),
        }
    }
}

impl std::fmt::Display for Selection {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Hookup(at) => write!(f, "{}", at + 1),
            Self::Connection(choice) => choice.fmt(f),
        }
    }
}

/// A place counted from 1, as one counted from 0.
fn place(text: &str) -> Option<usize> {
    text.parse::<u8>()
        .ok()
        .and_then(|n| usize::from(n).checked_sub(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn damaged_choices_are_no_choices() {
        for text in [
            "", "1,1", "1,1,1,1", "1,2-2,1", "1,a,1", "1,999,1", "-1,1,1", "1,1-,1",
        ] {
            assert_eq!(Selection::read(text), None, "{text}");
        }
    }
}
