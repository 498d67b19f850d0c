//! One connection: a primary lead, a way to use the secondary, a hookup.

use serde::{Deserialize, Serialize};

use super::{Secondary, TapPair};

/// A connection, by places in the typed lists, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Choice {
    /// Place of the primary lead.
    pub lead: usize,
    /// The tap or tap pair.
    pub secondary: Secondary,
    /// Place of the hookup.
    pub hookup: usize,
}

impl Choice {
    /// Reads a choice whose places are counted from 1: `1,2,1`, or `1,1-3,2` for a tap pair.
    ///
    /// ```
    /// use tapwright_iron::transformer::Choice;
    /// let choice = Choice::read("1,1-3,2").unwrap();
    /// assert_eq!(choice.to_string(), "1,1-3,2");
    /// assert_eq!(Choice::read("0,1,1"), None);
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let mut parts = text.split(',');
        let lead = place(parts.next()?)?;
        let secondary = match parts.next()?.split_once('-') {
            Some((a, b)) => Secondary::Pair(TapPair::new(place(a)?, place(b)?)?),
            None => Secondary::Tap(place(text.split(',').nth(1)?)?),
        };
        let hookup = place(parts.next()?)?;
        parts.next().is_none().then_some(Self {
            lead,
            secondary,
            hookup,
        })
    }
}

impl std::fmt::Display for Choice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{},", self.lead + 1)?;
        match self.secondary {
            Secondary::Tap(tap) => write!(f, "{}", tap + 1)?,
            Secondary::Pair(pair) => write!(f, "{}-{}", pair.taps().0 + 1, pair.taps().1 + 1)?,
        }
        write!(f, ",{}", self.hookup + 1)
    }
}

/// A place counted from 1, as one counted from 0.
fn place(text: &str) -> Option<usize> {
    text.parse::<u8>()
        .ok()
        .and_then(|n| usize::from(n).checked_sub(1))
}
