//! Transformers without marking, read as a person reads them first, then by what the page asks for
//! until it asks no more.
//!
//! `cargo xtask study transformers` follows a thousand and writes down how they end; the suite
//! follows a fixed tenth of them, and one drawn by the date. Invented data.

mod bench;
mod follow;
mod multimeter;
mod oracle;
mod tally;
mod wound;

pub use follow::{End, Followed, follow};
pub use tally::Tally;

/// How many transformers the study follows.
const STUDIED: u64 = 1_000;

/// The suite follows one of so many.
const TENTH: usize = 10;

/// The numbers that draw the study's transformers.
pub fn studied() -> impl Iterator<Item = u64> {
    0..STUDIED
}

/// Those that the suite follows.
pub fn tenth() -> impl Iterator<Item = u64> {
    studied().step_by(TENTH)
}

/// Follows those that these numbers draw.
///
/// # Errors
/// When one of them cannot be read as the page asks.
pub fn tally(seeds: impl Iterator<Item = u64>) -> anyhow::Result<Tally> {
    let mut tally = Tally::default();
    for seed in seeds {
        tally.add(seed, &follow(seed)?);
    }
    Ok(tally)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::today;

    fn holds(seeds: impl Iterator<Item = u64>) {
        let tally = tally(seeds).expect("every reading can be taken");
        assert!(tally.failures().is_empty(), "{:#?}", tally.failures());
    }

    #[test]
    fn a_tenth_of_the_transformers_ends_well() {
        holds(tenth());
    }

    /// `cargo xtask study transformers` and the number show what went wrong. One transformer has
    /// no median.
    #[test]
    fn the_transformer_of_today_ends_well() {
        let tally = tally(std::iter::once(today())).expect("every reading can be taken");
        assert!(tally.wrong.is_empty(), "{:#?}", tally.wrong);
    }

    #[test]
    fn a_number_draws_the_same_transformer_every_time() {
        let of = |seed| follow(seed).expect("every reading can be taken").link;
        assert_eq!(of(7), of(7));
        assert_ne!(of(7), of(8));
    }
}
