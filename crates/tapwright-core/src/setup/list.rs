//! Lists of rows of fields: hookups, speakers, points of a tube, readings.

use super::field::List;
use super::{HookupEntry, Setup};

/// What is said of a list.
#[derive(Debug)]
pub struct Rows {
    /// Its key: a link and the fields of its rows begin with it.
    pub key: &'static str,
    /// What one row is.
    pub what: &'static str,
    /// The most rows that a link fills in; further ones are kept in it and reported.
    pub most: usize,
    /// How a link writes a row.
    pub written: Written,
}

/// How a link writes one row of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// The values of the row behind commas: `point=250,250,-12.5`.
    Values,
    /// As engineers write a hookup: `hookup=Pair:8//8@15`.
    Hookup,
    /// Each field for itself: `speaker.1.coil=6.4`.
    Keys,
}

impl Setup {
    /// How many rows a list has.
    ///
    /// ```
    /// use tapwright_core::setup::{List, Setup};
    /// assert_eq!(Setup::default().rows(List::Hookup), 1);
    /// ```
    pub fn rows(&self, list: List) -> usize {
        list.of(self).rows()
    }

    /// Adds an empty row, unless there are as many already as a link takes.
    ///
    /// ```
    /// use tapwright_core::setup::{List, Setup};
    /// let mut setup = Setup::default();
    /// setup.add_row(List::Driver);
    /// assert_eq!(setup.drivers.len(), 1);
    /// ```
    pub fn add_row(&mut self, list: List) {
        if self.rows(list) < list.about().most {
            list.of_mut(self).add();
        }
    }

    /// Takes a row out, if it is there. What was selected stays selected, and there is always
    /// a hookup to type into.
    ///
    /// ```
    /// use tapwright_core::setup::{List, Setup};
    /// let mut setup = Setup::default();
    /// setup.remove_row(List::Hookup, 0);
    /// assert_eq!(setup.hookups.len(), 1);
    /// ```
    pub fn remove_row(&mut self, list: List, at: usize) {
        if at >= self.rows(list) {
            return;
        }
        list.of_mut(self).remove(at);
        if list == List::Hookup {
            self.hookup_was_removed(at);
        }
    }

    fn hookup_was_removed(&mut self, at: usize) {
        if self.hookups.is_empty() {
            self.hookups.push(HookupEntry::default());
        }
        let moved = |place: usize| match place.cmp(&at) {
            std::cmp::Ordering::Less => Some(place),
            std::cmp::Ordering::Equal => None,
            std::cmp::Ordering::Greater => Some(place - 1),
        };
        self.selected = self
            .selected
            .and_then(|selection| moved(selection.hookup()).map(|at| selection.at_hookup(at)));
        self.shown.only = self.shown.only.and_then(moved);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::Selection;

    #[test]
    fn removing_a_hookup_moves_the_choice_along() {
        let mut setup = Setup {
            selected: Selection::read("1,1,3"),
            ..Setup::default()
        };
        setup.hookups.resize(3, HookupEntry::default());
        setup.remove_row(List::Hookup, 0);
        assert_eq!(setup.selected, Selection::read("1,1,2"));
        setup.remove_row(List::Hookup, 1);
        assert_eq!(setup.selected, None);
    }
}
