//! What a button does, and how its markup says so.

use std::fmt;

use strum::{EnumString, IntoStaticStr};
use tapwright_core::setup::{Leaf, List, Selection, SortBy};

use crate::words::Vocabulary;

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
    /// Hands the link to another program of the device.
    Share,
    /// Saves the set-up as a file.
    SaveFile,
    /// Shows the recent set-ups, or puts them away.
    Recent,
    /// Opens the recent set-up at a place.
    OpenRecent(usize),
    /// Copies the link of the recent set-up at a place.
    CopyRecent(usize),
    /// Deletes the recent set-up at a place.
    DeleteRecent(usize),
    /// Brings the recent set-up back that was deleted last.
    RestoreRecent,
    /// Saves all recent set-ups as one file.
    SaveAll,
    /// Uses other words.
    Use(Vocabulary),
    /// Opens a newer version of the page.
    Update,
    /// Pins what is here as A.
    Pin,
    /// Pins nothing any longer.
    Unpin,
    /// Goes back to A.
    TakeBack,
    /// Goes back to A, and pins what was here.
    Swap,
    /// Follows a hookup or a connection.
    Select(Selection),
    /// The warning before the first number was read.
    Understood,
    /// Opens what to know before touching anything.
    Cautions,
    /// Turns to a leaf.
    Turn(Leaf),
    /// Opens a fold, or closes it.
    Fold(String),
    /// Adds a row to a list.
    Add(List),
    /// Removes the row at a place.
    Remove(List, usize),
    /// Shows the connections as a ranked list, or as grids.
    Show(Shape),
    /// Sorts the ranked list.
    Sort(SortBy),
}

/// How the connections are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, EnumString, IntoStaticStr)]
#[strum(serialize_all = "kebab-case")]
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
    /// use tapwright_core::setup::List;
    /// use tapwright_page::Action;
    /// assert_eq!(Action::read("remove-ohms.2"), Some(Action::Remove(List::Ohms, 1)));
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
            "share" => Self::Share,
            "save-file" => Self::SaveFile,
            "recent" => Self::Recent,
            "open-recent" => Self::OpenRecent(place()?),
            "copy-recent" => Self::CopyRecent(place()?),
            "delete-recent" => Self::DeleteRecent(place()?),
            "restore-recent" => Self::RestoreRecent,
            "save-all" => Self::SaveAll,
            "use" => Self::Use(object.parse().ok()?),
            "update" => Self::Update,
            "pin" => Self::Pin,
            "unpin" => Self::Unpin,
            "take-back" => Self::TakeBack,
            "swap" => Self::Swap,
            "select" => Self::Select(Selection::read(object)?),
            "understood" => Self::Understood,
            "cautions" => Self::Cautions,
            "turn" => Self::Turn(object.parse().ok()?),
            "fold" => Self::Fold(object.into()),
            "show" => Self::Show(object.parse().ok()?),
            "sort" => Self::Sort(object.parse().ok()?),
            _ => match verb.split_once('-')? {
                ("add", list) => Self::Add(list.parse().ok()?),
                ("remove", list) => Self::Remove(list.parse().ok()?, place()?),
                _ => return None,
            },
        })
    }

    /// Whether it replaces the whole set-up or points elsewhere in it: a place to come back
    /// to, so that Back works.
    pub fn enters_history(&self) -> bool {
        matches!(
            self,
            Self::Blank
                | Self::Example(_)
                | Self::BringBack
                | Self::OpenRecent(_)
                | Self::Select(_)
                | Self::Turn(_)
                | Self::TakeBack
                | Self::Swap
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
            Self::Share => f.write_str("share"),
            Self::SaveFile => f.write_str("save-file"),
            Self::Recent => f.write_str("recent"),
            Self::OpenRecent(place) => write!(f, "open-recent.{}", place + 1),
            Self::CopyRecent(place) => write!(f, "copy-recent.{}", place + 1),
            Self::DeleteRecent(place) => write!(f, "delete-recent.{}", place + 1),
            Self::RestoreRecent => f.write_str("restore-recent"),
            Self::SaveAll => f.write_str("save-all"),
            Self::Use(vocabulary) => write!(f, "use.{}", <&str>::from(vocabulary)),
            Self::Update => f.write_str("update"),
            Self::Pin => f.write_str("pin"),
            Self::Unpin => f.write_str("unpin"),
            Self::TakeBack => f.write_str("take-back"),
            Self::Swap => f.write_str("swap"),
            Self::Select(selection) => write!(f, "select.{selection}"),
            Self::Understood => f.write_str("understood"),
            Self::Cautions => f.write_str("cautions"),
            Self::Turn(leaf) => write!(f, "turn.{}", <&str>::from(leaf)),
            Self::Fold(key) => write!(f, "fold.{key}"),
            Self::Add(list) => write!(f, "add-{}", <&str>::from(list)),
            Self::Remove(list, place) => write!(f, "remove-{}.{}", <&str>::from(list), place + 1),
            Self::Show(shape) => write!(f, "show.{}", <&str>::from(shape)),
            Self::Sort(by) => write!(f, "sort.{}", <&str>::from(by)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use strum::VariantArray;

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
            Action::Update,
            Action::Share,
            Action::SaveFile,
            Action::Recent,
            Action::OpenRecent(2),
            Action::CopyRecent(0),
            Action::DeleteRecent(1),
            Action::RestoreRecent,
            Action::SaveAll,
            Action::Use(Vocabulary::Tube),
            Action::Use(Vocabulary::Valve),
            Action::Pin,
            Action::Unpin,
            Action::TakeBack,
            Action::Swap,
            Action::Understood,
            Action::Cautions,
            Action::Select(select("2")),
            Action::Select(select("1,1-3,2")),
            Action::Fold("pairs.1".into()),
            Action::Show(Shape::Grids),
            Action::Show(Shape::List),
        ];
        let rows = |list: &List| [Action::Add(*list), Action::Remove(*list, 3)];
        let sorts = SortBy::VARIANTS.iter().copied().map(Action::Sort);
        let all = plain
            .into_iter()
            .chain(Leaf::VARIANTS.iter().copied().map(Action::Turn))
            .chain(List::VARIANTS.iter().flat_map(rows));
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
