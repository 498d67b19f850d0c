//! What is typed about the iron besides its ratings.

use maud::{Markup, html};
use tapwright_core::setup::{Field, LossText, StageText};

use super::{choice, text};

/// The fold in the part of the form that is about the iron.
pub(super) fn fold() -> Markup {
    let field = |of, label, placeholder| text(Field::Loss(of), label, placeholder);
    html! {
        details data-open="losses" {
            summary {
                "What the iron loses"
                span .adds #echo-losses {}
            }
            div .pair {
                (text(Field::Stage(StageText::Winding), "Primary winding", "300"))
                (field(LossText::TapWinding, "Secondary winding", "0.6, or 4: 0.3, 8: 0.45"))
            }
            (field(LossText::Inductance, "Primary inductance", "12 H, or 6.3 V, 1.7 mA, 50 Hz"))
            (field(LossText::Leakage, "Leakage inductance", "40 mH, or 5 V, 12 mA, 1 kHz"))
            div .pair {
                (field(LossText::CoreOhms, "Core loss, as ohms", "60k"))
                (field(LossText::Capacitance, "Shunt capacitance", "500p"))
            }
            div .pair {
                (field(LossText::RatedWatts, "Rated power, W", "10"))
                (field(LossText::RatedHertz, "down to, Hz", "50"))
            }
            div .pair {
                (choice("core", "Core", &[
                    ("unknown", "not known"),
                    ("gapped", "with a gap"),
                    ("ungapped", "without a gap"),
                ]))
                (field(LossText::DirectMa, "Direct current in it, mA", "as computed"))
            }
            (field(LossText::PlateOhms, "The tubes’ source resistance", "as computed"))
        }
    }
}
