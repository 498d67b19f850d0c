//! The forms of the workings about the iron: everything but the numbers.

use crate::working::Working;
use crate::workings::input;
use tapwright_units::Unit;

pub(super) const CIRCUIT: &str = "equivalent circuit referred to the primary (Radiotron Designer's Handbook, \
                       chapter 5, from memory)";

/// A working without its numbers: what stays the same in every one of its kind.
pub(super) struct Form {
    quantity: &'static str,
    symbol: &'static str,
    formula: &'static str,
    inputs: &'static [(&'static str, Unit, &'static str)],
    pub(super) unit: Unit,
    source: &'static str,
    note: &'static str,
}

impl Form {
    /// With the values put in, in the order of the inputs.
    pub(super) fn filled(&self, values: &[f64], result: f64) -> Working {
        let inputs = self.inputs.iter().zip(values);
        Working {
            quantity: self.quantity,
            symbol: self.symbol,
            formula: self.formula,
            inputs: inputs
                .map(|((symbol, unit, meaning), value)| input(symbol, *value, *unit, meaning))
                .collect(),
            result,
            unit: self.unit,
            source: self.source,
            note: self.note,
        }
    }
}

const VOLTS: (&str, Unit, &str) = ("V", Unit::Volt, "volts read");
const AMPS: (&str, Unit, &str) = ("I", Unit::Ampere, "amperes read");
const HERTZ: (&str, Unit, &str) = ("f", Unit::Hertz, "frequency of the reading");
const COPPER: (&str, Unit, &str) = ("R", Unit::Ohm, "copper in the way of the current");
const CORE: (&str, Unit, &str) = ("R_c", Unit::Ohm, "core loss");
const TURNS: (&str, Unit, &str) = ("n", Unit::One, "turns ratio");
const WIRE: (&str, Unit, &str) = ("R_s", Unit::Ohm, "secondary’s wire");
const SPEAKERS: (&str, Unit, &str) = ("Z", Unit::Ohm, "speaker hookup, rated");
const BEHIND: (&str, Unit, &str) = ("Z_b", Unit::Ohm, "load behind the primary’s copper");
const PRIMARY: (&str, Unit, &str) = ("R_p", Unit::Ohm, "primary’s wire");
const SHARE: (&str, Unit, &str) = ("η_s", Unit::One, "share behind the copper");

pub(super) const EDGE: Form = Form {
    quantity: "Primary inductance",
    symbol: "L_p",
    formula: "Z_r / 2 / (2 × π × f)",
    inputs: &[
        ("Z_r", Unit::Ohm, "rated load of that lead"),
        ("f", Unit::Hertz, "stated −3 dB point"),
    ],
    unit: Unit::Henry,
    source: "ωL is half the rated load where source and load are both rated",
    note: "",
};

pub(super) const OPEN: Form = Form {
    quantity: "Primary inductance",
    symbol: "L_p",
    formula: "√((V / I)² − R²) / (2 × π × f)",
    inputs: &[VOLTS, AMPS, HERTZ, COPPER],
    unit: Unit::Henry,
    source: "|Z|² = R² + (ωL)²",
    note: "Read at low voltage, as is safe, it comes out low: it grows with the volts up to saturation.",
};

pub(super) const OPEN_WITH_CORE: Form = Form {
    formula: "1 / (2 × π × f × √((1 + 2 × R / R_c) / ((V / I)² − R²) − 1 / R_c²))",
    inputs: &[VOLTS, AMPS, HERTZ, COPPER, CORE],
    source: "Z = R + 1 / (1/R_c − j/ωL)",
    ..OPEN
};

pub(super) const SHORTED: Form = Form {
    quantity: "Leakage inductance",
    symbol: "L_s",
    note: "With the whole secondary shorted; a part of it leaks a little more.",
    ..OPEN
};

pub(super) const INDUCTANCE: Form = Form {
    quantity: "Primary inductance on this lead",
    symbol: "L_p",
    formula: "L × Z_p / Z_m",
    inputs: &[
        ("L", Unit::Henry, "as measured"),
        ("Z_p", Unit::Ohm, "this lead, rated"),
        ("Z_m", Unit::Ohm, "the lead it was measured on, rated"),
    ],
    unit: Unit::Henry,
    source: "inductance goes with the turns squared, and so does a rated impedance",
    note: "",
};

pub(super) const LEAKAGE: Form = Form {
    quantity: "Leakage inductance on this lead",
    symbol: "L_s",
    ..INDUCTANCE
};

pub(super) const CORE_LOSS: Form = Form {
    quantity: "Core loss on this lead",
    symbol: "R_c",
    formula: "R × Z_p / Z_m",
    inputs: &[
        ("R", Unit::Ohm, "as measured"),
        ("Z_p", Unit::Ohm, "this lead, rated"),
        ("Z_m", Unit::Ohm, "the lead it was measured on, rated"),
    ],
    unit: Unit::Ohm,
    source: "P = V² / R, and volts go with the turns",
    note: "",
};

pub(super) const CAPACITANCE: Form = Form {
    quantity: "Capacitance across this lead",
    symbol: "C_p",
    formula: "C × Z_m / Z_p",
    inputs: &[
        ("C", Unit::Farad, "as measured"),
        ("Z_p", Unit::Ohm, "this lead, rated"),
        ("Z_m", Unit::Ohm, "the lead it was measured on, rated"),
    ],
    unit: Unit::Farad,
    source: "the same energy C × V² / 2, and volts go with the turns",
    note: "",
};

pub(super) const PRIMARY_WIRE: Form = Form {
    quantity: "Winding resistance of this lead",
    symbol: "R_p",
    ..SECONDARY_WIRE
};

pub(super) const SECONDARY_WIRE: Form = Form {
    quantity: "Winding resistance to this tap",
    symbol: "R_s",
    formula: "R_a + (R_b − R_a) × (√Z − √Z_a) / (√Z_b − √Z_a)",
    inputs: &[
        ("Z", Unit::Ohm, "rated here"),
        (
            "R_a",
            Unit::Ohm,
            "measured with fewer turns, or none at the common lead",
        ),
        ("Z_a", Unit::Ohm, "rated there"),
        ("R_b", Unit::Ohm, "measured with more turns, or the most"),
        ("Z_b", Unit::Ohm, "rated there"),
    ],
    unit: Unit::Ohm,
    source: "one wire all along: ohms go with the turns, N ∝ √Z rated",
    note: "Outer turns are longer and have a little more.",
};

pub(super) const BETWEEN_TAPS: Form = Form {
    quantity: "Winding resistance between the taps",
    symbol: "R_s",
    formula: "R_b − R_a",
    inputs: &[
        ("R_b", Unit::Ohm, "common lead to one tap"),
        ("R_a", Unit::Ohm, "common lead to the other tap"),
    ],
    unit: Unit::Ohm,
    source: "resistances add along a wire",
    note: "A tap that was not measured counts by its turns.",
};

pub(super) const LOAD: Form = Form {
    quantity: "Load behind the primary’s copper",
    symbol: "Z_b",
    formula: "n² × (R_s + Z)",
    inputs: &[TURNS, WIRE, SPEAKERS],
    unit: Unit::Ohm,
    source: CIRCUIT,
    note: "",
};

pub(super) const LOAD_WITH_CORE: Form = Form {
    formula: "1 / (1 / (n² × (R_s + Z)) + 1 / R_c)",
    inputs: &[TURNS, WIRE, SPEAKERS, CORE],
    ..LOAD
};

pub(super) const SEEN: Form = Form {
    quantity: "Load at the plate, copper and core counted",
    symbol: "Z_in",
    formula: "R_p + Z_b",
    inputs: &[PRIMARY, BEHIND],
    unit: Unit::Ohm,
    source: CIRCUIT,
    note: "The ratio to the target is of the turns alone; watts and distortion count this.",
};

pub(super) const REACHES: Form = Form {
    quantity: "Share behind the copper that reaches the speakers",
    symbol: "η_s",
    formula: "Z_b / (n² × (R_s + Z)) × Z / (R_s + Z)",
    inputs: &[TURNS, WIRE, SPEAKERS, BEHIND],
    unit: Unit::One,
    source: "current divides between core and secondary, volts between wire and speakers",
    note: "",
};

pub(super) const EFFICIENCY: Form = Form {
    quantity: "Efficiency of the transformer",
    symbol: "η_t",
    formula: "Z_b / (R_p + Z_b) × η_s",
    inputs: &[BEHIND, PRIMARY, SHARE],
    unit: Unit::One,
    source: "one current through copper and load",
    note: "",
};

pub(super) const LOSS: Form = Form {
    quantity: "Insertion loss",
    symbol: "L",
    formula: "10 × log10(1 / η_t)",
    inputs: &[("η_t", Unit::One, "efficiency")],
    unit: Unit::Decibel,
    source: "definition of the decibel",
    note: "",
};

pub(super) const LOWEST: Form = Form {
    quantity: "Lowest frequency at full power",
    symbol: "f_P",
    formula: "f_r × √(P / P_r × Z′ / Z_r)",
    inputs: &[
        ("f_r", Unit::Hertz, "lowest frequency, rated"),
        ("P", Unit::Watt, "power in the speakers"),
        ("P_r", Unit::Watt, "rated power"),
        ("Z′", Unit::Ohm, "reflected load"),
        ("Z_r", Unit::Ohm, "rated load of this lead"),
    ],
    unit: Unit::Hertz,
    source: "V = 4.44 × f × N × A × B with V² = P × Z′: the flux of the rated point",
    note: "",
};
