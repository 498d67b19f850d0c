//! A list of amplifiers while it grows.

use anyhow::Result;
use tapwright_amplifier::{Amplifier, Driver, Feedback, SplitLoad, Splitter};

use super::Case;

/// A list of amplifiers while it grows.
pub(super) struct List(pub Vec<Case>);

impl List {
    pub fn add(
        &mut self,
        name: &str,
        base: Result<Amplifier>,
        alter: impl FnOnce(&mut Amplifier),
    ) -> Result<()> {
        let mut amplifier = base?;
        alter(&mut amplifier);
        self.0.push(Case {
            name: format!("amplifiers::{name}"),
            amplifier,
            drive: None,
        });
        Ok(())
    }

    /// The last one is driven through time too.
    pub fn driven(&mut self, peak: f64) {
        if let Some(case) = self.0.last_mut() {
            case.drive = Some(peak);
        }
    }
}

pub(super) fn set_first(amplifier: &mut Amplifier, alter: impl FnOnce(&mut Driver)) {
    if let Some(first) = amplifier.drivers.first_mut() {
        alter(first);
    }
}

pub(super) fn set_feedback(amplifier: &mut Amplifier, alter: impl FnOnce(&mut Feedback)) {
    if let Some(feedback) = &mut amplifier.feedback {
        alter(feedback);
    }
}

pub(super) fn own_divider(amplifier: &mut Amplifier) {
    if let Some(Splitter::SplitLoad(SplitLoad { grid_volts, .. })) = &mut amplifier.splitter {
        *grid_volts = Some(80.0);
    }
}
