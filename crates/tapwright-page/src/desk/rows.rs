//! Rows of the form that come and go.

use tapwright_core::link::{MOST_HOOKUPS, MOST_POINTS, MOST_READINGS, MOST_SPEAKERS};
use tapwright_core::setup::Setup;

use super::Desk;
use crate::action::Rows;

impl Desk {
    /// Adds a row, unless there are as many as there can be.
    pub(super) fn add_row(&mut self, rows: Rows) {
        let mut typed = self.typed.clone();
        let (hookups, readings) = (&mut typed.hookups, &mut typed.unmarked);
        match rows {
            Rows::Hookups => add(hookups, MOST_HOOKUPS, Default::default),
            Rows::Points => add(&mut typed.own.points, MOST_POINTS, Default::default),
            Rows::Drivers => add(&mut typed.drivers, MOST_SPEAKERS, || self.new_driver()),
            Rows::Ohms => add(&mut readings.ohms, MOST_READINGS, Default::default),
            Rows::Volts => add(&mut readings.volts, MOST_READINGS, Default::default),
        }
        self.settle();
        self.change(typed, true);
    }

    /// Removes a row, and its good text, so that the others keep theirs.
    pub(super) fn remove_row(&mut self, rows: Rows, place: usize) {
        let mut typed = self.typed.clone();
        remove(&mut typed, rows, place);
        self.settle();
        remove(&mut self.settled, rows, place);
        self.change(typed, true);
    }
}

fn add<T>(rows: &mut Vec<T>, most: usize, new: impl FnOnce() -> T) {
    if rows.len() < most {
        rows.push(new());
    }
}

fn remove(setup: &mut Setup, rows: Rows, place: usize) {
    match rows {
        // What is selected moves along.
        Rows::Hookups => setup.remove_hookup(place),
        Rows::Points => cut(&mut setup.own.points, place),
        Rows::Drivers => cut(&mut setup.drivers, place),
        Rows::Ohms => cut(&mut setup.unmarked.ohms, place),
        Rows::Volts => cut(&mut setup.unmarked.volts, place),
    }
}

fn cut<T>(rows: &mut Vec<T>, place: usize) {
    if place < rows.len() {
        rows.remove(place);
    }
}

/// How many rows of each kind there are.
pub(super) fn counts(setup: &Setup) -> [usize; 5] {
    Rows::ALL.map(|rows| match rows {
        Rows::Hookups => setup.hookups.len(),
        Rows::Points => setup.own.points.len(),
        Rows::Drivers => setup.drivers.len(),
        Rows::Ohms => setup.unmarked.ohms.len(),
        Rows::Volts => setup.unmarked.volts.len(),
    })
}
