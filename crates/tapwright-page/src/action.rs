//! What a button does, and how its markup says so.

use std::fmt;

use tapwright_core::setup::{Selection, SortBy};

/// What a button does. In markup it stands in `data-do`; places are counted from 1 there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// Takes the last step back.
    Undo,
    /// Takes a step again that was taken back.
    Redo,
    /// Empties every field.
    Blank,
    /// Opens the example at a place.
    Example(usize),
    /// Opens the set-up of last time.
    BringBack,
    /// Takes the notices away.
    Dismiss,
    /// Copies the link.
    CopyLink,
    /// Follows a hookup or a connection.
    Select(Selection),
    /// Opens a fold, or closes it.
    Fold(String),
    /// Adds a row.
    Add(Rows),
    /// Removes the row at a place.
    Remove(Rows, usize),
    /// Shows the connections as a ranked list, or as grids.
    Show(Shape),
    /// Sorts the ranked list.
    Sort(SortBy),
}

/// Rows of the form that come and go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rows {
    /// Hookups.
    Hookups,
    /// Points of the person's own tube.
    Points,
    /// Speakers as they are.
    Drivers,
    /// Readings of the ohmmeter.
    Ohms,
    /// Readings of the AC voltmeter.
    Volts,
}

/// How the connections are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A grid for each hookup.
    Grids,
    /// One list of all.
    List,
}

impl Action {
    /// Reads what a button says.
    ///
    /// ```
    /// use tapwright_page::{Action, Rows};
    /// assert_eq!(Action::read("remove-ohms.2"), Some(Action::Remove(Rows::Ohms, 1)));
    /// assert_eq!(Action::read("remove-ohms"), None);
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let (verb, object) = text.split_once('.').unwrap_or((text, ""));
        let place = || object.parse::<usize>().ok()?.checked_sub(1);
        Some(match verb {
            "undo" => Self::Undo,
            "redo" => Self::Redo,
            "blank" => Self::Blank,
            "example" => Self::Example(place()?),
            "bring-back" => Self::BringBack,
            "dismiss" => Self::Dismiss,
            "copy-link" => Self::CopyLink,
            "select" => Self::Select(Selection::read(object)?),
            "fold" => Self::Fold(object.into()),
            "show" => Self::Show(Shape::read(object)?),
            "sort" => Self::Sort(SortBy::ALL.into_iter().find(|by| by.word() == object)?),
            _ => match verb.split_once('-')? {
                ("add", rows) => Self::Add(Rows::read(rows)?),
                ("remove", rows) => Self::Remove(Rows::read(rows)?, place()?),
                _ => return None,
            },
        })
    }

    /// Whether it replaces the whole set-up or points elsewhere in it: a place to come back
    /// to, so that Back works.
    pub fn enters_history(&self) -> bool {
        matches!(
            self,
            Self::Blank | Self::Example(_) | Self::BringBack | Self::Select(_)
        )
    }
}

impl fmt::Display for Action {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Undo => f.write_str("undo"),
            Self::Redo => f.write_str("redo"),
            Self::Blank => f.write_str("blank"),
            Self::Example(place) => write!(f, "example.{}", place + 1),
            Self::BringBack => f.write_str("bring-back"),
            Self::Dismiss => f.write_str("dismiss"),
            Self::CopyLink => f.write_str("copy-link"),
            Self::Select(selection) => write!(f, "select.{selection}"),
            Self::Fold(key) => write!(f, "fold.{key}"),
            Self::Add(rows) => write!(f, "add-{}", rows.word()),
            Self::Remove(rows, place) => write!(f, "remove-{}.{}", rows.word(), place + 1),
            Self::Show(shape) => write!(f, "show.{}", shape.word()),
            Self::Sort(by) => write!(f, "sort.{}", by.word()),
        }
    }
}

impl Rows {
    /// All rows that come and go.
    pub const ALL: [Self; 5] = [
        Self::Hookups,
        Self::Points,
        Self::Drivers,
        Self::Ohms,
        Self::Volts,
    ];

    /// The word for one of them in markup.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hookups => "hookup",
            Self::Points => "point",
            Self::Drivers => "driver",
            Self::Ohms => "ohms",
            Self::Volts => "volts",
        }
    }

    /// Reads the word.
    pub fn read(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|rows| rows.word() == word)
    }
}

impl Shape {
    fn word(self) -> &'static str {
        match self {
            Self::Grids => "grids",
            Self::List => "list",
        }
    }

    fn read(word: &str) -> Option<Self> {
        let shapes = [Self::Grids, Self::List].into_iter();
        shapes.into_iter().find(|shape| shape.word() == word)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_action_is_read_as_it_is_written() {
        let select = |text| Selection::read(text).expect("a selection");
        let plain = [
            Action::Undo,
            Action::Redo,
            Action::Blank,
            Action::Example(1),
            Action::BringBack,
            Action::Dismiss,
            Action::CopyLink,
            Action::Select(select("2")),
            Action::Select(select("1,1-3,2")),
            Action::Fold("pairs.1".into()),
            Action::Show(Shape::Grids),
            Action::Show(Shape::List),
        ];
        let rows = Rows::ALL.map(|rows| [Action::Add(rows), Action::Remove(rows, 3)]);
        let sorts = SortBy::ALL.map(Action::Sort);
        let all = plain.into_iter().chain(rows.into_iter().flatten());
        for action in all.chain(sorts) {
            assert_eq!(Action::read(&action.to_string()), Some(action));
        }
    }

    #[test]
    fn what_no_button_says_does_nothing() {
        for text in [
            "",
            "undone",
            "example",
            "example.0",
            "select.0",
            "sort.",
            "show.all",
            "add",
            "add-tube",
            "remove-ohms.x",
            "toggle-ohms.1",
        ] {
            assert_eq!(Action::read(text), None, "{text}");
        }
    }
}
