//! Pins a state of the whole page as A, and goes back to it.

use tapwright_core::link;
use tapwright_core::setup::Setup;

use super::Desk;
use crate::pinned::Pinned;

/// A set-up as a link, with nothing pinned to it.
fn plain_link(setup: &Setup) -> String {
    link::encode(&Setup {
        pinned: None,
        ..setup.clone()
    })
}

impl Desk {
    /// Solves what is pinned, if that has changed.
    pub(super) fn follow_pinned(&mut self) {
        let pinned = self.typed.pinned.as_deref();
        if self.pinned.as_ref().map(|pinned| pinned.link.as_str()) != pinned {
            self.pinned = pinned.map(Pinned::new);
            self.charts.forget();
        }
    }

    /// Pins what is here as A.
    pub(super) fn pin(&mut self) {
        self.show(|typed| typed.pinned = Some(plain_link(typed)));
    }

    /// Pins nothing any longer.
    pub(super) fn unpin(&mut self) {
        self.show(|typed| typed.pinned = None);
    }

    /// Goes back to A, which stays pinned; or, to swap, pins in its place what was here.
    pub(super) fn take_back(&mut self, swap: bool) {
        let Some(pinned) = &self.pinned else { return };
        let link = match swap {
            true => plain_link(&self.typed),
            false => pinned.link.clone(),
        };
        let back = Setup {
            pinned: Some(link),
            ..pinned.setup.clone()
        };
        self.replace(self.in_this_leaf(back));
        self.theirs = true;
    }
}
