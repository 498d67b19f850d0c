//! An inductance as it is typed: henries, a reading of a meter, or a stated −3 dB point.

use super::quantities::quantities;
use tapwright_iron::inductance;
use tapwright_iron::iron::{Iron, Origin};
use tapwright_iron::place::{place_with_most_turns, places_of_taps};
use tapwright_iron::transformer::{Secondary, Transformer};
use tapwright_units::Unit;
use tapwright_units::entry::{Complaint, Expected, shortest};

/// What a meter reads at a lead: the quantities in the order volts, amperes, hertz.
const METER: [(Unit, f64, f64, &str); 3] = [
    (Unit::AcVolt, 1e-3, 1_000.0, "a reading"),
    (Unit::Ampere, 1e-6, 20.0, "a reading"),
    (Unit::Hertz, 5.0, 1e5, "a frequency"),
];

/// What a field about an inductance holds.
enum Typed {
    Henries(f64),
    Hertz(f64),
    /// Volts, amperes and hertz.
    Reading([f64; 3]),
}

fn typed(text: &str, henries: &Expected) -> Result<Typed, Complaint> {
    let complain = |why| Complaint::new(why, henries.example);
    let units = [Unit::Henry, Unit::AcVolt, Unit::Ampere, Unit::Hertz];
    let found = quantities(text, &units).map_err(complain)?;
    let meter = |at: usize| {
        let (unit, least, most, noun) = METER[at];
        let mut of_unit = found.iter().filter(|(_, found)| *found == unit);
        match (of_unit.next(), of_unit.next()) {
            (Some((text, _)), None) => {
                let range = Expected {
                    unit,
                    least,
                    most,
                    noun,
                    example: henries.example,
                    joined: false,
                };
                range.read(text)
            }
            _ => Err(complain(
                "a reading is volts, amperes and hertz, one of each".into(),
            )),
        }
    };
    match found.as_slice() {
        [] => Err(complain("nothing typed".into())),
        [(text, Unit::Henry)] => henries.read(text).map(Typed::Henries),
        [(_, Unit::Hertz)] => meter(2).map(Typed::Hertz),
        [_, _, _] => Ok(Typed::Reading([meter(0)?, meter(1)?, meter(2)?])),
        _ => Err(complain(
            "a reading is volts, amperes and hertz, one of each".into(),
        )),
    }
}

/// Refuses a result that such an inductance cannot be.
fn sane(henry: f64, origin: Origin, expected: &Expected) -> Result<(f64, Origin), Complaint> {
    if (expected.least..=expected.most).contains(&henry) {
        return Ok((henry, origin));
    }
    Err(Complaint::new(
        format!(
            "that comes to {henry:.2e} H, which {} cannot be",
            expected.noun
        ),
        expected.example,
    ))
}

/// Reads a primary inductance on a lead: as henries, as a reading or as a stated point.
pub(super) fn primary_inductance(
    known: &Iron,
    transformer: &Transformer,
    lead: usize,
    text: &str,
    range: &Expected,
) -> Result<(f64, Origin), Complaint> {
    // As the example words it.
    let text = text.trim_start();
    let text = (["−3 dB", "-3 dB"].iter())
        .find_map(|words| text.strip_prefix(words))
        .unwrap_or(text);
    match typed(text, range)? {
        Typed::Henries(henry) => Ok((henry, Origin::Typed)),
        Typed::Hertz(hertz) => {
            let rated = transformer.leads.get(lead).map_or(0.0, |lead| lead.rated.0);
            let henry = inductance::inductance_from_minus_3_db(hertz, rated);
            sane(henry, Origin::Edge { hertz, rated }, range)
        }
        Typed::Reading([volts, amps, hertz]) => {
            let here = known.network(transformer, lead, Secondary::Tap(0));
            let core = here.and_then(|network| network.core_ohms);
            let copper = known.primary_ohms(lead);
            let found = inductance::inductance_from_reading(volts, amps, hertz, copper, core);
            let found = found.ok_or_else(|| too_little(volts / amps, range.example))?;
            let origin = Origin::Meter {
                volts,
                amps,
                hertz,
                copper,
                core,
            };
            sane(found, origin, range)
        }
    }
}

/// Reads a leakage inductance on a lead: as henries or as a reading.
pub(super) fn leakage(
    known: &Iron,
    transformer: &Transformer,
    lead: usize,
    text: &str,
    range: &Expected,
) -> Result<(f64, Origin), Complaint> {
    let found = any_leakage(known, transformer, lead, text, range)?;
    below_inductance(known, transformer, lead, found.0, range)?;
    Ok(found)
}

fn any_leakage(
    known: &Iron,
    transformer: &Transformer,
    lead: usize,
    text: &str,
    range: &Expected,
) -> Result<(f64, Origin), Complaint> {
    match typed(text, range)? {
        Typed::Henries(henry) => Ok((henry, Origin::Typed)),
        Typed::Hertz(_) => Err(Complaint::new(
            "a frequency alone does not tell the leakage",
            range.example,
        )),
        Typed::Reading([volts, amps, hertz]) => {
            let whole = Secondary::Tap(place_with_most_turns(&places_of_taps(&transformer.taps)));
            let copper = known.network(transformer, lead, whole).map_or(0.0, |n| {
                n.primary_ohms + n.turns_ratio.powi(2) * n.secondary_ohms
            });
            let found = inductance::leakage_from_reading(volts, amps, hertz, copper);
            let found = found.ok_or_else(|| too_little(volts / amps, range.example))?;
            let origin = Origin::Meter {
                volts,
                amps,
                hertz,
                copper,
                core: None,
            };
            sane(found, origin, range)
        }
    }
}

/// Ratio of leakage to primary inductance above which a reading was not of leakage: a tenth
/// couples worse than any audio transformer does. Common practice, no source.
const MOST_LEAKAGE: f64 = 0.1;

/// Refuses what was read with the secondary left open.
fn below_inductance(
    known: &Iron,
    transformer: &Transformer,
    lead: usize,
    henry: f64,
    range: &Expected,
) -> Result<(), Complaint> {
    let network = known.network(transformer, lead, Secondary::Tap(0));
    let primary = network.and_then(|network| network.inductance);
    match primary.filter(|primary| henry > MOST_LEAKAGE * primary) {
        None => Ok(()),
        Some(primary) => Err(Complaint::new(
            format!(
                "{} H is no leakage beside {} H of primary inductance; was the secondary shorted?",
                shortest(henry),
                shortest(primary)
            ),
            range.example,
        )),
    }
}

fn too_little(ohms: f64, example: &str) -> Complaint {
    Complaint::new(
        format!(
            "that reading is {} Ω, and the copper and core typed here have as much by themselves",
            shortest(ohms)
        ),
        example,
    )
}
