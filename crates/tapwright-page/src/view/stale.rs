//! Whether a result rests on a text that was replaced by one with a fault.

use tapwright_core::setup::{Field, HookupText, Marking};

use super::{Scene, parts};

impl Scene<'_> {
    /// Whether the answer for the hookup at a place rests on the last good text of a field that
    /// is at fault now.
    pub(super) fn is_stale(&self, hookup: usize) -> bool {
        let fields = fields_behind(self, hookup);
        fields.iter().any(|field| self.problem(*field).is_some())
    }
}

/// The fields that the answer for a hookup rests on.
fn fields_behind(scene: &Scene, hookup: usize) -> Vec<Field> {
    let primary: &[Field] = match scene.typed.marking {
        Marking::Impedance => &[Field::Primary],
        Marking::Line => &[Field::LineVolts, Field::LineTaps],
        // The readings: see below.
        Marking::Measured => &[],
    };
    let stage = [Field::Taps, Field::Tube, Field::Supply, Field::Target];
    let mut fields = [primary, &stage].concat();
    fields.push(Field::Hookup(hookup, HookupText::Speakers));
    fields.extend(parts::iron_fields(scene));
    fields.extend(parts::stage_fields(scene));
    // A reading at fault that was never good is left out: nothing rests on it.
    let rests_on = |field: &Field| {
        let good = scene.good.text(*field).unwrap_or_default();
        !good.trim().is_empty() && scene.typed.text(*field) != Some(good)
    };
    fields.extend(parts::measured_fields(scene).into_iter().filter(rests_on));
    fields
}
