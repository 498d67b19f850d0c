//! What can be undone, and done again.

use tapwright_core::setup::Setup;

/// Most steps that can be undone.
const MOST_STEPS: usize = 200;

/// The set-ups before the present one, and those that were undone.
#[derive(Default)]
pub(super) struct History {
    past: Vec<Setup>,
    future: Vec<Setup>,
}

impl History {
    /// Notes the set-up before a step.
    pub fn step(&mut self, before: Setup) {
        self.past.push(before);
        if self.past.len() > MOST_STEPS {
            self.past.remove(0);
        }
    }

    /// After an edit, what was undone cannot be done again.
    pub fn forget_future(&mut self) {
        self.future.clear();
    }

    /// Puts the set-up before the last step in place of the present one, if there is one.
    pub fn back(&mut self, present: &mut Setup) -> bool {
        swap(present, &mut self.past, &mut self.future)
    }

    /// Puts the set-up after the step that was undone last in place of the present one, if
    /// there is one.
    pub fn forward(&mut self, present: &mut Setup) -> bool {
        swap(present, &mut self.future, &mut self.past)
    }

    /// Whether there is something to undo, and to redo.
    pub fn has(&self) -> (bool, bool) {
        (!self.past.is_empty(), !self.future.is_empty())
    }
}

fn swap(present: &mut Setup, from: &mut Vec<Setup>, to: &mut Vec<Setup>) -> bool {
    let Some(setup) = from.pop() else {
        return false;
    };
    to.push(std::mem::replace(present, setup));
    true
}
