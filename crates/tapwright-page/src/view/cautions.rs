//! The cautions that every page of this job carries, and what is not counted.

use maud::{Markup, html};

use super::Scene;

pub(super) fn cautions(_: &Scene) -> Markup {
    html! {
        h2 { "Before you touch anything" }
        ul {
            li { b { "Several hundred volts are in there, enough to kill, with the power off too." } " Discharge the filter capacitors and measure that they are empty. One hand. Never alone." }
            li { "Test a transformer at low AC voltage, off the amplifier. Feeding a secondary steps up: the primary can reach hundreds of volts." }
            li { "Never run an output stage without a load. Never join two taps." }
            li { "Insulate the unused primary lead and taps: they carry full swing." }
            li { "A selector that breaks before it makes opens the load: switch with the amplifier off or quiet, use a shorting type, or leave a bleeder resistor across the secondary." }
            li { "Fuse value and mains wiring as the transformer’s maker and local codes say; licensed practice where the law asks for it." }
        }
        h2 { "Not counted here" }
        p { "Winding resistance, core loss, inductance and leakage; the speaker’s rise at resonance and in the treble; what the tube’s own curves make of a load. The ratio, the reflected load and the share of each speaker follow from rated impedances alone." }
    }
}
