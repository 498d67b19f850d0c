//! The workings of what the iron loses and where it ends.

use super::input;
use crate::connection::Connection;
use crate::losses::{How, Losses, OnLead, Passage, Read, Winding};
use crate::transformer::{Secondary, TapPair, Transformer};
use crate::units::Unit;
use crate::working::{Solved, Working};

const CIRCUIT: &str = "equivalent circuit referred to the primary (Radiotron Designer's Handbook, \
                       chapter 5, from memory)";

/// Every number of a connection that follows from what is known of the iron, as far as a
/// formula gives it.
pub(crate) fn of(
    known: &Losses,
    transformer: &Transformer,
    connection: &Connection,
    passage: &Passage,
) -> Vec<Working> {
    let mut workings = Vec::new();
    let here = transformer.leads.get(connection.choice.lead);
    let here = here.map_or(0.0, |lead| lead.rated.0);
    for (measured, edge, meter, lossy, carried) in [
        (known.inductance, &EDGE, &OPEN, &OPEN_WITH_CORE, &INDUCTANCE),
        (known.leakage, &EDGE, &SHORTED, &SHORTED, &LEAKAGE),
    ] {
        let Some(measured) = measured else { continue };
        read(measured, [edge, meter, lossy], &mut workings);
        if let Some(there) = transformer.leads.get(measured.lead)
            && connection.choice.lead != measured.lead
        {
            let values = [measured.value, here, there.rated.0];
            let result = measured.value * here / there.rated.0;
            workings.push(carried.filled(&values, result));
        }
    }
    if let (Some(winding), Secondary::Pair(pair)) = (&known.secondary, connection.choice.secondary)
    {
        between_taps(winding, pair, &mut workings);
    }
    if known.primary.is_some() || known.secondary.is_some() || known.core_ohms.is_some() {
        mid_band(connection, passage, &mut workings);
    }
    if let (Some(rated), Some(power), Some(lowest)) =
        (known.rated(), passage.full_power, passage.lowest_hertz)
    {
        let reflected = connection.load.reflected.0;
        let values = [rated.hertz, power.0, rated.watts, reflected, here];
        workings.push(LOWEST.filled(&values, lowest));
    }
    workings
}

/// A working without its numbers: what stays the same in every one of its kind.
struct Form {
    quantity: &'static str,
    symbol: &'static str,
    formula: &'static str,
    inputs: &'static [(&'static str, Unit, &'static str)],
    unit: Unit,
    source: &'static str,
    note: &'static str,
}

impl Form {
    /// With the values put in, in the order of the inputs.
    fn filled(&self, values: &[f64], result: f64) -> Working {
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

const EDGE: Form = Form {
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

const OPEN: Form = Form {
    quantity: "Primary inductance",
    symbol: "L_p",
    formula: "√((V / I)² − R²) / (2 × π × f)",
    inputs: &[VOLTS, AMPS, HERTZ, COPPER],
    unit: Unit::Henry,
    source: "|Z|² = R² + (ωL)²",
    note: "Read at low voltage, as is safe, it comes out low: it grows with the volts up to saturation.",
};

const OPEN_WITH_CORE: Form = Form {
    formula: "1 / (2 × π × f × √((1 + 2 × R / R_c) / ((V / I)² − R²) − 1 / R_c²))",
    inputs: &[VOLTS, AMPS, HERTZ, COPPER, CORE],
    source: "Z = R + 1 / (1/R_c − j/ωL)",
    ..OPEN
};

const SHORTED: Form = Form {
    quantity: "Leakage inductance",
    symbol: "L_s",
    note: "With the whole secondary shorted; a part of it leaks a little more.",
    ..OPEN
};

const INDUCTANCE: Form = Form {
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

const LEAKAGE: Form = Form {
    quantity: "Leakage inductance on this lead",
    symbol: "L_s",
    ..INDUCTANCE
};

const BETWEEN_TAPS: Form = Form {
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

const LOAD: Form = Form {
    quantity: "Load behind the primary’s copper",
    symbol: "Z_b",
    formula: "n² × (R_s + Z)",
    inputs: &[TURNS, WIRE, SPEAKERS],
    unit: Unit::Ohm,
    source: CIRCUIT,
    note: "",
};

const LOAD_WITH_CORE: Form = Form {
    formula: "1 / (1 / (n² × (R_s + Z)) + 1 / R_c)",
    inputs: &[TURNS, WIRE, SPEAKERS, CORE],
    ..LOAD
};

const SEEN: Form = Form {
    quantity: "What the tubes see, copper and core counted",
    symbol: "Z_in",
    formula: "R_p + Z_b",
    inputs: &[PRIMARY, BEHIND],
    unit: Unit::Ohm,
    source: CIRCUIT,
    note: "The ratio to the target is of the turns alone; watts and distortion count this.",
};

const REACHES: Form = Form {
    quantity: "Share behind the copper that reaches the speakers",
    symbol: "η_s",
    formula: "Z_b / (n² × (R_s + Z)) × Z / (R_s + Z)",
    inputs: &[TURNS, WIRE, SPEAKERS, BEHIND],
    unit: Unit::One,
    source: "current divides between core and secondary, volts between wire and speakers",
    note: "",
};

const EFFICIENCY: Form = Form {
    quantity: "Efficiency of the transformer",
    symbol: "η_t",
    formula: "Z_b / (R_p + Z_b) × η_s",
    inputs: &[BEHIND, PRIMARY, SHARE],
    unit: Unit::One,
    source: "one current through copper and load",
    note: "",
};

const LOSS: Form = Form {
    quantity: "Insertion loss",
    symbol: "L",
    formula: "10 × log10(1 / η_t)",
    inputs: &[("η_t", Unit::One, "efficiency")],
    unit: Unit::Decibel,
    source: "definition of the decibel",
    note: "",
};

const LOWEST: Form = Form {
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

/// An inductance out of what a meter read, or out of a stated point.
fn read(measured: OnLead, [edge, meter, lossy]: [&Form; 3], workings: &mut Vec<Working>) {
    let (form, values) = match measured.read {
        Read::Typed => return,
        Read::Edge { hertz, rated } => (edge, [rated, hertz, 0.0, 0.0, 0.0]),
        Read::Meter {
            volts,
            amps,
            hertz,
            copper,
            core,
        } => (
            if core.is_some() { lossy } else { meter },
            [volts, amps, hertz, copper, core.unwrap_or_default()],
        ),
    };
    workings.push(form.filled(&values, measured.value));
}

/// The wire of a tap pair as the difference of two.
fn between_taps(winding: &Winding, pair: TapPair, workings: &mut Vec<Working>) {
    let (a, b) = pair.taps();
    if let (Some(wire), Some(a), Some(b)) = (winding.between(pair), winding.at(a), winding.at(b))
        && wire.how != How::Measured
    {
        let values = [a.ohms.max(b.ohms), a.ohms.min(b.ohms)];
        workings.push(BETWEEN_TAPS.filled(&values, wire.ohms));
    }
}

/// What the tubes see, what reaches the speakers, and what that costs.
fn mid_band(connection: &Connection, passage: &Passage, workings: &mut Vec<Working>) {
    let network = &passage.network;
    let load = connection.impedance.0;
    let behind = network.behind_copper(load);
    let share = network.share_behind_copper(load);
    let (turns, wire, copper) = (
        network.turns_ratio,
        network.secondary_ohms,
        network.primary_ohms,
    );
    workings.push(match network.core_ohms {
        None => LOAD.filled(&[turns, wire, load], behind),
        Some(core) => LOAD_WITH_CORE.filled(&[turns, wire, load, core], behind),
    });
    workings.push(SEEN.filled(&[copper, behind], passage.input.0));
    workings.push(REACHES.filled(&[turns, wire, load, behind], share));
    workings.push(EFFICIENCY.filled(&[behind, copper, share], passage.efficiency));
    workings.push(LOSS.filled(&[passage.efficiency], passage.insertion_loss.0));
}

/// The −3 dB points, which only the whole network gives.
pub(crate) fn band(connection: &Connection, passage: &Passage) -> Option<Solved> {
    let (network, band) = (&passage.network, passage.band?);
    let (source, load) = (passage.source.0, connection.impedance.0);
    let half = network.transfer_at_mid_band(source, load) / 2_f64.sqrt();
    let off = |hertz: f64| {
        (20.0 * (network.transfer(hertz, source, load.into()).norm() / half).log10()).abs()
    };
    let known = |value: f64| (value > 0.0).then_some(value);
    let mut solution = Vec::new();
    for (symbol, value, unit, meaning) in [
        ("R_a", Some(source), Unit::Ohm, "source resistance"),
        ("Z", Some(load), Unit::Ohm, "speaker hookup, rated"),
        ("L_p", network.inductance, Unit::Henry, "primary inductance"),
        (
            "L_s",
            known(network.leakage),
            Unit::Henry,
            "leakage inductance",
        ),
        (
            "C",
            known(network.capacitance),
            Unit::Farad,
            "capacitance across the primary",
        ),
        ("f_l", band.low, Unit::Hertz, "lower −3 dB point"),
        ("f_h", band.high, Unit::Hertz, "upper −3 dB point"),
    ] {
        if let Some(value) = value {
            solution.push(input(symbol, value, unit, meaning));
        }
    }
    let edges = [band.low, band.high];
    let found = edges != [None, None];
    let residual = edges.into_iter().flatten().map(off).fold(0.0, f64::max);
    found.then_some(Solved {
        quantity: "The −3 dB points",
        equations: vec![
            "|U(f)| = U_mid / √2, U: volts at the speakers for one volt behind R_a",
            "Z_b = 1 / (1/(n² × (R_s + Z)) + 1/R_c + 1/jωL_p), behind R_p + jωL_s, C across it all",
        ],
        solution,
        residual,
        residual_unit: Unit::Decibel,
        source: CIRCUIT,
    })
}
