//! What a field can hold, and lists of rows of fields, whatever they are about.

/// What a field holds: a text as typed, or a word of a choice.
pub(super) trait Typed {
    /// The text, or the word.
    fn text(&self) -> &str;

    /// Takes a text; `false` for a choice that knows no such word.
    fn take(&mut self, typed: &str) -> bool;
}

impl Typed for String {
    fn text(&self) -> &str {
        self
    }

    fn take(&mut self, typed: &str) -> bool {
        typed.clone_into(self);
        true
    }
}

/// Makes enums with words what fields can hold.
macro_rules! choices {
    ($($choice:ty),*) => {$(
        impl super::typed::Typed for $choice {
            fn text(&self) -> &str {
                (*self).into()
            }

            fn take(&mut self, typed: &str) -> bool {
                typed.parse().map(|choice| *self = choice).is_ok()
            }
        }
    )*};
}

pub(super) use choices;

/// A list of rows.
pub(super) trait Listed {
    /// How many rows there are.
    fn rows(&self) -> usize;

    /// Adds an empty row at the end.
    fn add(&mut self);

    /// Takes out the row at a place that is there.
    fn remove(&mut self, at: usize);
}

impl<Row: Default> Listed for Vec<Row> {
    fn rows(&self) -> usize {
        self.len()
    }

    fn add(&mut self) {
        self.push(Row::default());
    }

    fn remove(&mut self, at: usize) {
        self.remove(at);
    }
}
