//! A fold: one line that says what it holds, and its content once it is open.

use maud::{Markup, html};

use super::{Region, Scene, region};

/// Something that is folded away.
pub(super) struct Fold {
    /// Id of the region that it opens to, and its key.
    pub id: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// What it holds, in a few words.
    pub brief: fn(&Scene) -> Markup,
    /// What it opens to.
    pub content: fn(&Scene) -> Markup,
}

impl Fold {
    /// The line, with the place of its content.
    pub fn line(&self) -> Markup {
        html! {
            details .fold data-open=(self.id) {
                summary id={ "fold-" (self.id) } {
                    span .what { (self.title) }
                    span .says id={ "brief-" (self.id) } {}
                }
                div id=(self.id) {}
            }
        }
    }

    /// Its regions. What nobody sees is not drawn.
    pub fn regions(&self, scene: &Scene) -> [Region; 2] {
        let content = match scene.is_open(self.id) {
            true => (self.content)(scene),
            false => Markup::default(),
        };
        [
            region(&format!("brief-{}", self.id), (self.brief)(scene)),
            region(self.id, content),
        ]
    }
}
