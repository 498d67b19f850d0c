//! Rows of the form that come and go.

use strum::VariantArray;
use tapwright_core::setup::{List, Setup};

use super::Desk;
use crate::view;

impl Desk {
    /// Adds a row, unless there are as many as there can be.
    pub(super) fn add_row(&mut self, list: List) {
        let mut typed = self.typed.clone();
        typed.add_row(list);
        if list == List::Driver && typed.drivers.len() > self.typed.drivers.len() {
            self.name_driver(&mut typed);
        }
        if list == List::Hookup && typed.hookups.len() > self.typed.hookups.len() {
            self.set_open(&view::hookup_key(self.typed.hookups.len()), true);
        }
        self.settle();
        self.change(typed, true);
    }

    /// Removes a row, and its good text, so that the others keep theirs.
    pub(super) fn remove_row(&mut self, list: List, place: usize) {
        self.theirs = true;
        let mut typed = self.typed.clone();
        if list == List::Hookup {
            self.set_open(&view::hookup_key(place), false);
        }
        typed.remove_row(list, place);
        self.settle();
        self.settled.remove_row(list, place);
        self.change(typed, true);
    }
}

/// How many rows of each kind there are.
pub(super) fn counts(setup: &Setup) -> Vec<usize> {
    (List::VARIANTS.iter())
        .map(|list| setup.rows(*list))
        .collect()
}
