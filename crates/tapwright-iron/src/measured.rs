//! A transformer without marking, found out with an ohmmeter and a low AC voltage.
//!
//! [`windings`] makes windings out of resistances, [`turns`] makes turns out of voltages,
//! [`danger`] says beforehand which lead a test would make live. Leads are numbers here, in
//! the order in which they were named.

pub mod danger;
pub mod findings;
pub mod guess;
pub mod lead_order;
pub mod meter;
pub mod names;
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
