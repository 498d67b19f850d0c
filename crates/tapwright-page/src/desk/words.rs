//! The words that the page uses.

use maud::{Markup, PreEscaped};

use super::Desk;
use crate::view::{self, Region};
use crate::words::Vocabulary;
use crate::words::vocabulary::with_words;

impl Desk {
    /// Regions in the words that the page uses. What was typed stays as it was typed.
    pub(super) fn in_words(&self, mut regions: Vec<Region>) -> Vec<Region> {
        if self.vocabulary != Vocabulary::default() {
            let typed = self.typed_with_words();
            for region in &mut regions {
                region.markup = PreEscaped(self.vocabulary.markup(&region.markup.0, &typed));
            }
        }
        regions
    }

    /// A markup in the words that the page uses.
    pub(super) fn markup_in_words(&self, markup: Markup) -> Markup {
        let typed = self.typed_with_words();
        PreEscaped(self.vocabulary.markup(&markup.0, &typed))
    }

    /// A text in the words that the page uses.
    pub fn text_in_words(&self, text: &str) -> String {
        self.vocabulary.text(text, &self.typed_with_words())
    }

    /// What was typed that holds a word of a vocabulary beside others.
    fn typed_with_words(&self) -> Vec<String> {
        let fields = self.typed.fields();
        let typed = fields
            .into_iter()
            .filter_map(|field| self.typed.text(field));
        let recent = self.recent.iter().flatten();
        let names: Vec<String> = recent.map(|one| view::name(&one.setup)).collect();
        with_words(typed.chain(names.iter().map(String::as_str)))
    }
}
