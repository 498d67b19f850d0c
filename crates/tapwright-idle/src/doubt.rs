//! Which reading does not belong with the others.

use serde::Serialize;

use crate::enough;
use crate::reading::Which;
use crate::sheet::Sheet;

/// Readings that contradict each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Doubt {
    /// Without any one of these the rest agree. One alone is the one at fault.
    pub suspects: Vec<Which>,
    /// How far the readings are from agreeing, in standard uncertainties.
    pub by: f64,
}

/// Readings agree up to this sum of squares for one more than needed: three standard
/// uncertainties; 4 for each further one (the mean of a square is 1).
fn agreeing(redundant: usize) -> f64 {
    9.0 + 4.0 * redundant.saturating_sub(1) as f64
}

pub(crate) fn among(sheet: &Sheet, sum_of_squares: f64, redundant: usize) -> Option<Doubt> {
    if redundant == 0 || sum_of_squares <= agreeing(redundant) {
        return None;
    }
    let mends = |which: &Which| {
        let rest = sheet.without(*which);
        let fitted = enough::of(&rest).ok().and_then(|()| rest.fit());
        fitted.is_some_and(|rest| rest.sum_of_squares <= agreeing(redundant - 1))
    };
    let all = sheet.suspects().into_iter().chain(sheet.resistances());
    Some(Doubt {
        suspects: all.filter(mends).collect(),
        by: sum_of_squares.sqrt(),
    })
}
