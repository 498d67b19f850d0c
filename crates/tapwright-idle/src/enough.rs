//! Whether the readings are enough, and which one would do.

use serde::Serialize;

use crate::sheet::Sheet;

/// What would make the readings enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wanting {
    /// The cathode's volts.
    CathodeVolts,
    /// The ohms from there to ground.
    CathodeOhms,
    /// The drop over the primary.
    PrimaryDrop,
    /// The primary's resistance.
    PrimaryOhms,
    /// The plate's volts.
    PlateVolts,
}

/// Why there are no currents.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NotEnough {
    /// Any one of these lists would do: all that is in it.
    AnyOf(Vec<Vec<Wanting>>),
    /// The readings cannot be of one stage.
    NoSolution,
}

/// What is missing, if anything is.
pub(crate) fn of(sheet: &Sheet) -> Result<(), NotEnough> {
    let mut any_of = Vec::new();
    if sheet.settled() == 0 {
        let read = &sheet.readings.sides[0];
        let mut by_cathode = Vec::new();
        if read.cathode.is_none() {
            by_cathode.push(Wanting::CathodeVolts);
        }
        if !sheet.cathode_is_known() {
            by_cathode.push(Wanting::CathodeOhms);
        }
        let mut by_primary = Vec::new();
        if read.primary_drop.is_none() {
            by_primary.push(Wanting::PrimaryDrop);
        }
        if !sheet.winding_is_known() {
            by_primary.push(Wanting::PrimaryOhms);
        }
        any_of.extend([by_cathode, by_primary]);
    }
    if !sheet.has_plate() {
        match any_of.is_empty() {
            true => any_of.push(vec![Wanting::PlateVolts]),
            false => (any_of.iter_mut()).for_each(|list| list.push(Wanting::PlateVolts)),
        }
    }
    match any_of.is_empty() {
        true => Ok(()),
        false => Err(NotEnough::AnyOf(any_of)),
    }
}
