//! The workings of a chosen connection, in the order in which a person would compute them.

use crate::connection::Connection;
use crate::hookup::SolvedHookup;
use crate::output::ChosenOutput;
use crate::solved::Solved;
use crate::target::Target;
use crate::working::{Input, Solution, Working, input};
use tapwright_iron::transformer::{PrimaryLead, Secondary, Transformer};
use tapwright_speaker::{Hookup, LOWEST_SHARE_OF_RATED};
use tapwright_units::Unit;

mod curve;
mod iron;
mod measured;
mod solutions;
mod speakers;
mod stage;

const TURNS: &str = "equal volts per turn on one core: N ∝ √Z rated";
const RATINGS_AS_TURNS: &str =
    "Ratings are read as turns; whether the maker's rating counts the copper is unknown.";

/// Every working of the connection at a place; empty for a place that is not there.
pub(crate) fn every(solved: &Solved, place: usize) -> Vec<Working> {
    let (Some(judged), Some(transformer)) = (solved.connections.get(place), &solved.transformer)
    else {
        return Vec::new();
    };
    let connection = &judged.connection;
    let hookup = solved.hookup(connection.choice.hookup);
    let lead = transformer.leads.get(connection.choice.lead);
    let mut workings = Vec::new();
    workings.extend(lead.and_then(|lead| power_tap(transformer, lead)));
    if let Some(findings) = &solved.measured {
        workings.extend(measured::ratio(findings, connection));
    } else {
        workings.extend(tap_pair(transformer, connection.choice.secondary));
        workings.extend(lead.and_then(|lead| turns_ratio(transformer, connection, lead)));
    }
    if let Some(hookup) = hookup {
        join(&hookup.speakers, &mut workings);
    }
    // An impedance that is known has no lower limit of its own.
    let known = |working: &Working| solved.by_curve && working.symbol == "Z′_min";
    let [reflected, rest @ ..] = loads(solved, connection);
    workings.push(reflected);
    workings.extend(measured::range(connection));
    workings.extend(rest.into_iter().filter(|working| !known(working)));
    if let Some(passage) = solved.iron.passages.get(place) {
        let known = &solved.iron.known;
        workings.extend(iron::every(known, transformer, connection, passage));
    }
    if let Some(hookup) = hookup {
        shares(hookup, &mut workings);
        speakers::push_workings(hookup, solved.frequency, &mut workings);
    }
    if let (Some(stage), Some(exact)) = (solved.stage(), exact(solved, place)) {
        workings.extend(stage::every(stage, exact, judged));
    }
    workings
}

/// What was solved numerically for the connection at a place.
pub(crate) fn solutions(solved: &Solved, place: usize) -> Vec<Solution> {
    let band = (solved
        .connections
        .get(place)
        .zip(solved.iron.passages.get(place)))
    .and_then(|(judged, passage)| iron::band(&judged.connection, passage));
    let stage = (solved.stage().zip(exact(solved, place)))
        .map_or_else(Vec::new, |(stage, exact)| solutions::every(stage, exact));
    band.into_iter().chain(stage).collect()
}

/// What was solved exactly for the connection at a place.
fn exact(solved: &Solved, place: usize) -> Option<&ChosenOutput> {
    let followed = solved.followed.as_ref()?;
    (followed.place == place).then(|| followed.exact())?
}

fn volts(symbol: &'static str, value: f64, meaning: &'static str) -> Input {
    input(symbol, value, Unit::Volt, meaning)
}

fn amps(symbol: &'static str, value: f64, meaning: &'static str) -> Input {
    input(symbol, value, Unit::Ampere, meaning)
}

fn power_tap(transformer: &Transformer, lead: &PrimaryLead) -> Option<Working> {
    Some(Working {
        quantity: "Primary impedance of the power tap",
        symbol: "Z_p",
        formula: "V² / P",
        inputs: vec![
            input("V", transformer.line?.0, Unit::Volt, "line voltage"),
            input("P", lead.power_tap?.0, Unit::Watt, "power tap"),
        ],
        result: lead.rated.0,
        unit: Unit::Ohm,
        source: "P = V² / R",
        note: "",
    })
}

fn tap_pair(transformer: &Transformer, secondary: Secondary) -> Option<Working> {
    let Secondary::Pair(pair) = secondary else {
        return None;
    };
    let tap = |at: usize| transformer.taps.get(at).map(|tap| tap.rated.0);
    let (a, b) = pair.taps();
    Some(Working {
        quantity: "Rated impedance of the tap pair",
        symbol: "Z_s",
        formula: "(√Z_a − √Z_b)²",
        inputs: vec![
            input("Z_a", tap(a)?, Unit::Ohm, "one tap, rated"),
            input("Z_b", tap(b)?, Unit::Ohm, "the other tap, rated"),
        ],
        result: transformer.rated(secondary)?.0,
        unit: Unit::Ohm,
        source: TURNS,
        note: "Only the turns between the two leads count.",
    })
}

fn turns_ratio(
    transformer: &Transformer,
    connection: &Connection,
    lead: &PrimaryLead,
) -> Option<Working> {
    Some(Working {
        quantity: "Turns ratio",
        symbol: "n",
        formula: "√(Z_p / Z_s)",
        inputs: vec![
            input("Z_p", lead.rated.0, Unit::Ohm, "primary, rated"),
            input(
                "Z_s",
                transformer.rated(connection.choice.secondary)?.0,
                Unit::Ohm,
                "secondary, rated",
            ),
        ],
        result: connection.turns_ratio,
        unit: Unit::One,
        source: TURNS,
        note: RATINGS_AS_TURNS,
    })
}

/// One working for each join in the hookup, innermost first.
fn join(hookup: &Hookup, workings: &mut Vec<Working>) {
    let (pair, quantity, formula, source) = match hookup {
        Hookup::Driver(_) => return,
        Hookup::Series(pair) => (
            pair,
            "Speakers in series",
            "Z_1 + Z_2",
            "one current through both",
        ),
        Hookup::Parallel(pair) => (
            pair,
            "Speakers in parallel",
            "Z_1 × Z_2 / (Z_1 + Z_2)",
            "one voltage across both",
        ),
    };
    join(&pair.0, workings);
    join(&pair.1, workings);
    workings.push(Working {
        quantity,
        symbol: "Z",
        formula,
        inputs: vec![
            input("Z_1", pair.0.impedance().0, Unit::Ohm, "one part"),
            input("Z_2", pair.1.impedance().0, Unit::Ohm, "the other part"),
        ],
        result: hookup.impedance().0,
        unit: Unit::Ohm,
        source,
        note: "",
    });
}

fn loads(solved: &Solved, connection: &Connection) -> [Working; 4] {
    let reflected = connection.load.reflected.0;
    let target = connection.load.target.0;
    let low = connection.range().map(|(low, _)| low.0);
    [
        Working {
            quantity: "Reflected load",
            symbol: "Z′",
            formula: "n² × Z",
            inputs: vec![
                input("n", connection.turns_ratio, Unit::One, "turns ratio"),
                input(
                    "Z",
                    connection.impedance.0,
                    Unit::Ohm,
                    if solved.by_curve {
                        "speaker hookup, at the frequency typed"
                    } else {
                        "speaker hookup, rated"
                    },
                ),
            ],
            result: reflected,
            unit: Unit::Ohm,
            source: "ideal transformer: voltage by n, current by 1/n",
            note: "By the turns alone: copper and core are counted apart, as far as they are known.",
        },
        Working {
            quantity: "Reflected load at the least",
            symbol: "Z′_min",
            formula: if low.is_some() {
                "k × Z′_low"
            } else {
                "k × Z′"
            },
            inputs: vec![
                input(
                    "k",
                    LOWEST_SHARE_OF_RATED,
                    Unit::One,
                    "lowest share of a rated impedance",
                ),
                match low {
                    Some(low) => input("Z′_low", low, Unit::Ohm, "reflected load, lower end"),
                    None => input("Z′", reflected, Unit::Ohm, "reflected load"),
                },
            ],
            result: connection.lowest_reflected.0,
            unit: Unit::Ohm,
            source: "IEC 60268-5: no less than 80 % of the rated impedance in the rated band",
            note: "Upwards there is no limit: a speaker rises at its resonance and in the treble.",
        },
        Working {
            quantity: "Ratio to the target",
            symbol: "r",
            formula: "Z′ / Z_t",
            inputs: vec![
                input("Z′", reflected, Unit::Ohm, "reflected load"),
                input("Z_t", target, Unit::Ohm, target_meaning(solved)),
            ],
            result: connection.ratio,
            unit: Unit::One,
            source: "definition",
            note: "1 is a match.",
        },
        Working {
            quantity: "Mismatch loss",
            symbol: "L",
            formula: "10 × log10((1 + r)² / (4 × r))",
            inputs: vec![input(
                "r",
                connection.ratio,
                Unit::One,
                "ratio to the target",
            )],
            result: connection.mismatch_loss.0,
            unit: Unit::Decibel,
            source: "−10 log10(1 − |Γ|²) with Γ = (r − 1)/(r + 1)",
            note: "What a source loses whose resistance is the target load. A tube is no such source: its \
                   power into this load follows from its curves.",
        },
    ]
}

fn target_meaning(solved: &Solved) -> &'static str {
    match solved.target {
        Target::AsRated if solved.measured.is_some() => {
            "the lead's guessed rating, as no target is known"
        }
        Target::Typed(_) => "target load, as typed",
        Target::Published(_) => "target load, published for the tube",
        Target::Computed(_) => "target load, computed: most power at little distortion",
        Target::AsRated => "the lead's own rating, as no target is known",
    }
}

fn shares(hookup: &SolvedHookup, workings: &mut Vec<Working>) {
    if hookup.shares.len() < 2 {
        return;
    }
    for share in &hookup.shares {
        workings.push(Working {
            quantity: "Share of power of one speaker",
            symbol: "p",
            formula: "v × i",
            inputs: vec![
                input("v", share.voltage, Unit::One, "share of the voltage"),
                input("i", share.current, Unit::One, "share of the current"),
            ],
            result: share.power,
            unit: Unit::One,
            source: "P = V × I, rated impedances taken as resistances",
            note: "",
        });
    }
    let limit = hookup
        .largest_power
        .and_then(|(power, at)| Some((power, hookup.shares.get(at)?)));
    if let Some((power, first)) = limit {
        workings.push(Working {
            quantity: "Most power for the hookup",
            symbol: "P",
            formula: "P_r / p",
            inputs: vec![
                input(
                    "P_r",
                    first.rating.map_or(0.0, |w| w.0),
                    Unit::Watt,
                    "rating of the speaker reached first",
                ),
                input("p", first.power, Unit::One, "its share of power"),
            ],
            result: power.0,
            unit: Unit::Watt,
            source: "each speaker within its own rating",
            note: "",
        });
    }
}
