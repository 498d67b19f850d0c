//! Fields of a leaf that are folded away.

use maud::{Markup, html};
use tapwright_core::setup::{Field, Fold};
use tapwright_core::values::is_asked;

use super::lines;
use crate::view::{Region, Scene, region};
use crate::words;
use crate::words::say::say;

/// Fields under a line that says how many hold something, or what is wrong with one.
pub(in crate::view) struct FoldedFields {
    /// Its key.
    pub id: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// Which fields.
    pub fold: Fold,
}

impl FoldedFields {
    /// The line with the fields. What the line says is a region of its own, so that this markup
    /// changes only when a field comes or goes.
    pub fn line(&self, scene: &Scene) -> Markup {
        html! {
            details .fold data-open=(self.id) {
                summary id={ "fold-" (self.id) } {
                    span .what { (self.title) }
                    span .says id={ "brief-" (self.id) } {}
                }
                form .row-of-fields autocomplete="off" { (lines(scene, self.fold)) }
            }
        }
    }

    /// What the line says.
    pub fn brief(&self, scene: &Scene) -> Region {
        let mut fields = scene.typed.fields();
        let is_here = |field: &Field| field.row().place.0 == self.fold;
        fields.retain(|field| is_here(field) && is_asked(scene.typed, *field));
        let complaint = fields.iter().find_map(|field| scene.problem(*field));
        let typed = fields.iter().filter(|field| scene.typed.is_typed(**field));
        let says = html! {
            @match (complaint, typed.count()) {
                (Some(problem), _) => span .bad { (problem.complaint.why) },
                (None, 0) => "nothing typed",
                (None, count) => (say!("{count} typed", count = words::count_in_words(count))),
            }
        };
        region(&format!("brief-{}", self.id), says)
    }
}
