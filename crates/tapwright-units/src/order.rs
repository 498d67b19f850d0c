//! Sorting, once for all: the library's sort is several kilobytes for every type it sorts.

use std::cmp::Ordering;

/// The places 0 to `count` − 1 in the order of `compare`; equal ones keep theirs.
///
/// ```
/// let weights = [3.0_f64, 1.0, 2.0];
/// let order = tapwright_units::order::sorted(3, &mut |a, b| weights[a].total_cmp(&weights[b]));
/// assert_eq!(order, [1, 2, 0]);
/// ```
pub fn sorted(count: usize, compare: &mut dyn FnMut(usize, usize) -> Ordering) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|a, b| compare(*a, *b));
    order
}

/// A list in ascending order of what `key` makes of each; equal ones keep theirs.
///
/// ```
/// let tidied = tapwright_units::order::by(vec![3.0, 1.0, 2.0], |value| *value);
/// assert_eq!(tidied, [1.0, 2.0, 3.0]);
/// ```
pub fn by<T: Clone>(list: Vec<T>, key: impl Fn(&T) -> f64) -> Vec<T> {
    let keys: Vec<f64> = list.iter().map(key).collect();
    let order = sorted(list.len(), &mut |a, b| keys[a].total_cmp(&keys[b]));
    order.into_iter().map(|at| list[at].clone()).collect()
}
