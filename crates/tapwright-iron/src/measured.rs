//! A transformer without marking, measured with an ohmmeter and a low AC voltage.
//!
//! [`windings`] finds windings from resistances, [`turns`] finds turns from voltages, [`danger`]
//! says before a test which leads it would make live, [`findings`] puts everything together.
//! Leads are numbers here, in the order in which they were named.

mod along_winding;
pub mod danger;
pub mod findings;
mod groups;
pub mod guess;
pub mod lead_order;
pub mod meter;
pub mod names;
pub mod readings;
pub mod turns;
pub mod windings;

/// A lead, by its place in the list of leads.
pub type Lead = usize;

/// Two different leads. Which one comes first does not matter.
pub type Pair = (Lead, Lead);

/// Whether two pairs are the same two leads.
///
/// ```
/// use tapwright_iron::measured::same;
/// assert!(same((1, 3), (3, 1)) && !same((1, 3), (1, 2)));
/// ```
pub fn same(a: Pair, b: Pair) -> bool {
    a == b || (a.1, a.0) == b
}
