//! What the texts about the iron's losses and limits mean.

use super::Reader;
use super::quantities::quantities;
use super::stage::expected;
use crate::setup::{Field, LossText, StageText};
use tapwright_iron::inductance;
use tapwright_iron::iron::{Iron, OnLead, Origin};
use tapwright_iron::measured::Pair;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::place::{
    Place, find_place, place_with_most_turns, places_of_leads, places_of_taps,
};
use tapwright_iron::transformer::{PrimaryLead, Secondary, Tap, Transformer};
use tapwright_iron::winding_resistance::WindingResistance;
use tapwright_units::entry::{Complaint, Expected, excerpt, shortest};
use tapwright_units::list;
use tapwright_units::{Unit, Volts};

const WINDING: Expected = expected(
    Unit::Ohm,
    1e-3,
    2e4,
    "300, or brown 270, blue 300",
    "a winding’s resistance",
);
const TAP_WINDING: Expected = expected(
    Unit::Ohm,
    1e-3,
    500.0,
    "0.6, or 4: 0.3, 8: 0.45, 4-8: 0.15",
    "a winding’s resistance",
);
const CORE: Expected = expected(Unit::Ohm, 100.0, 1e8, "60k", "a core’s loss resistance");
const FARADS: Expected = expected(Unit::Farad, 1e-12, 1e-5, "500p", "a winding’s capacitance");
const WATTS: Expected = expected(Unit::Watt, 0.01, 5_000.0, "10", "a rated power");
const LOWEST: Expected = expected(Unit::Hertz, 5.0, 2_000.0, "50", "a lowest frequency");
const DIRECT: Expected = expected(Unit::Milliampere, 0.0, 2_000.0, "45", "a direct current");
const PLATE: Expected = expected(Unit::Ohm, 10.0, 1e7, "40k", "a source resistance");

const INDUCTANCE: &str = "12 H; or as read, 6.3 V, 1.7 mA, 50 Hz; or a stated −3 dB point, 40 Hz";
const LEAKAGE: &str = "40 mH; or as read with the secondary shorted, 5 V, 12 mA, 1 kHz";
/// Less is a slip of unit, not the primary of an audio transformer. Own estimate.
const HENRY: Expected = expected(Unit::Henry, 5e-2, 1e4, INDUCTANCE, "a primary inductance");
const LEAKS: Expected = expected(Unit::Henry, 1e-6, 100.0, LEAKAGE, "a leakage inductance");

/// What a meter reads at a lead: the quantities in the order volts, amperes, hertz.
const METER: [(Unit, f64, f64, &str); 3] = [
    (Unit::Volt, 1e-3, 1_000.0, "a reading"),
    (Unit::Ampere, 1e-6, 20.0, "a reading"),
    (Unit::Hertz, 5.0, 1e5, "a frequency"),
];

/// Reads what is known of the iron's losses, on the leads and taps that could be read. Wire
/// that nothing is typed for is as the ohmmeter read it on a transformer without marking.
pub(super) fn read(
    reader: &mut Reader,
    leads: Option<&[PrimaryLead]>,
    taps: Option<&[Tap]>,
    line: Option<Volts>,
    unmarked: Option<&Findings>,
) -> Iron {
    let primary = reader.field(Field::Stage(StageText::Winding), |text| match leads {
        Some(leads) => WindingResistance::read(text, &WINDING, &places_of_leads(leads)),
        // Without leads it is the stage's: of several values the whole winding's.
        None => alone(text),
    });
    let (Some(leads), Some(taps)) = (leads, taps) else {
        let mut rest = the_rest(reader);
        rest.primary = primary;
        return rest;
    };
    let transformer = Transformer {
        leads: leads.to_vec(),
        taps: taps.to_vec(),
        line,
    };
    let secondary = reader.field(Field::Loss(LossText::TapWinding), |text| {
        WindingResistance::read(text, &TAP_WINDING, &places_of_taps(taps))
    });
    let read = |pair: Option<Pair>| Some(unmarked?.found.resistance(pair?)?.value);
    let made = unmarked.and_then(|findings| findings.transformer.as_ref());
    let of_lead = |at: usize| read(made?.leads.get(at).map(|lead| lead.pair));
    let of_tap = |at: usize| read(made?.secondary_pair(Secondary::Tap(at)));
    let empty = |field: Field| {
        reader
            .setup
            .text(field)
            .is_none_or(|text| text.trim().is_empty())
    };
    let measured = |field, places: Vec<Place>, ohms: &dyn Fn(usize) -> Option<f64>| {
        let ohms = (0..places.len()).map(ohms).collect();
        WindingResistance::from_ohmmeter(&places, ohms).filter(|_| empty(field))
    };
    let of_primary = measured(
        Field::Stage(StageText::Winding),
        places_of_leads(leads),
        &of_lead,
    );
    let of_secondary = measured(
        Field::Loss(LossText::TapWinding),
        places_of_taps(taps),
        &of_tap,
    );
    let mut known = Iron {
        primary: primary.or(of_primary),
        secondary: secondary.or(of_secondary),
        ..the_rest(reader)
    };
    known.core_ohms = on_lead(reader, LossText::CoreOhms, &known, &transformer);
    known.capacitance = on_lead(reader, LossText::Capacitance, &known, &transformer);
    // These take out the copper and the core.
    known.inductance = on_lead(reader, LossText::Inductance, &known, &transformer);
    known.leakage = on_lead(reader, LossText::Leakage, &known, &transformer);
    if known.watts.is_none() {
        // What a line transformer is rated for is its largest power tap.
        let powers = leads.iter().filter_map(|lead| lead.power_tap);
        let most = powers.map(|watts| watts.0).fold(0.0, f64::max);
        known.watts = (most > 0.0 && known.hertz.is_some()).then_some(most);
    }
    known
}

fn alone(text: &str) -> Result<WindingResistance, Complaint> {
    let values = list::read(text, &WINDING, tapwright_iron::transformer::MOST_LEADS)?;
    let most = values.iter().map(|value| value.value).fold(0.0, f64::max);
    Ok(WindingResistance::whole(most))
}

/// What needs neither leads nor taps.
fn the_rest(reader: &mut Reader) -> Iron {
    Iron {
        watts: number(reader, LossText::RatedWatts, &WATTS),
        hertz: number(reader, LossText::RatedHertz, &LOWEST),
        direct_amps: number(reader, LossText::DirectMa, &DIRECT).map(|ma| ma / 1e3),
        source_ohms: number(reader, LossText::PlateOhms, &PLATE),
        core: reader.setup.core,
        ..Iron::default()
    }
}

#[inline(never)]
fn number(reader: &mut Reader, text: LossText, expected: &Expected) -> Option<f64> {
    reader.field(Field::Loss(text), |typed| expected.read(typed))
}

/// A value that was measured on one lead: named before a colon, or the one with the most
/// turns.
#[inline(never)]
fn on_lead(
    reader: &mut Reader,
    field: LossText,
    known: &Iron,
    transformer: &Transformer,
) -> Option<OnLead> {
    let expected = match field {
        LossText::CoreOhms => &CORE,
        LossText::Capacitance => &FARADS,
        LossText::Inductance => &HENRY,
        _ => &LEAKS,
    };
    reader.field(Field::Loss(field), |text| {
        let places = places_of_leads(&transformer.leads);
        let (lead, text) = match text.split_once(':') {
            None => (place_with_most_turns(&places), text),
            Some((name, rest)) => {
                let unknown = || {
                    Complaint::new(
                        format!("“{}” is no primary lead typed above", excerpt(name.trim())),
                        expected.example,
                    )
                };
                (find_place(&places, name).ok_or_else(unknown)?, rest)
            }
        };
        let (value, origin) = match field {
            LossText::Inductance => inductance(known, transformer, lead, text)?,
            LossText::Leakage => {
                let found = leakage(known, transformer, lead, text)?;
                below_inductance(known, transformer, lead, found.0)?;
                found
            }
            _ => (expected.read(text)?, Origin::Typed),
        };
        Ok(OnLead {
            value,
            lead,
            origin,
        })
    })
}

/// What a field about an inductance holds.
enum Typed {
    Henries(f64),
    Hertz(f64),
    Values([f64; 3]),
}

fn typed(text: &str, henries: &Expected) -> Result<Typed, Complaint> {
    let complain = |why| Complaint::new(why, henries.example);
    let units = [Unit::Henry, Unit::Volt, Unit::Ampere, Unit::Hertz];
    let found = quantities(text, &units).map_err(complain)?;
    let meter = |at: usize| {
        let (unit, least, most, noun) = METER[at];
        let mut of_unit = found.iter().filter(|(_, found)| *found == unit);
        match (of_unit.next(), of_unit.next()) {
            (Some((text, _)), None) => {
                expected(unit, least, most, henries.example, noun).read(text)
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
        [_, _, _] => Ok(Typed::Values([meter(0)?, meter(1)?, meter(2)?])),
        _ => Err(complain(
            "a reading is volts, amperes and hertz, one of each".into(),
        )),
    }
}

/// Holds a result against what such an inductance can be.
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

fn inductance(
    known: &Iron,
    transformer: &Transformer,
    lead: usize,
    text: &str,
) -> Result<(f64, Origin), Complaint> {
    // As the example words it.
    let text = text.trim_start();
    let text = (["−3 dB", "-3 dB"].iter())
        .find_map(|words| text.strip_prefix(words))
        .unwrap_or(text);
    match typed(text, &HENRY)? {
        Typed::Henries(henry) => Ok((henry, Origin::Typed)),
        Typed::Hertz(hertz) => {
            let rated = transformer.leads.get(lead).map_or(0.0, |lead| lead.rated.0);
            let henry = inductance::inductance_from_minus_3_db(hertz, rated);
            sane(henry, Origin::Edge { hertz, rated }, &HENRY)
        }
        Typed::Values([volts, amps, hertz]) => {
            let here = known.network(transformer, lead, Secondary::Tap(0));
            let core = here.and_then(|network| network.core_ohms);
            let copper = known.primary_ohms(lead);
            let found = inductance::inductance_from_reading(volts, amps, hertz, copper, core);
            let found = found.ok_or_else(|| too_little(volts / amps, HENRY.example))?;
            let origin = Origin::Meter {
                volts,
                amps,
                hertz,
                copper,
                core,
            };
            sane(found, origin, &HENRY)
        }
    }
}

fn leakage(
    known: &Iron,
    transformer: &Transformer,
    lead: usize,
    text: &str,
) -> Result<(f64, Origin), Complaint> {
    match typed(text, &LEAKS)? {
        Typed::Henries(henry) => Ok((henry, Origin::Typed)),
        Typed::Hertz(_) => Err(Complaint::new(
            "a frequency alone does not tell the leakage",
            LEAKS.example,
        )),
        Typed::Values([volts, amps, hertz]) => {
            let whole = Secondary::Tap(place_with_most_turns(&places_of_taps(&transformer.taps)));
            let copper = known.network(transformer, lead, whole).map_or(0.0, |n| {
                n.primary_ohms + n.turns_ratio.powi(2) * n.secondary_ohms
            });
            let found = inductance::leakage_from_reading(volts, amps, hertz, copper);
            let found = found.ok_or_else(|| too_little(volts / amps, LEAKS.example))?;
            let origin = Origin::Meter {
                volts,
                amps,
                hertz,
                copper,
                core: None,
            };
            sane(found, origin, &LEAKS)
        }
    }
}

/// Leakage over primary inductance from which a reading was not of leakage: a tenth couples
/// worse than any audio transformer. Common practice, no source.
const MOST_LEAKAGE: f64 = 0.1;

/// Refuses what was read with the secondary left open.
fn below_inductance(
    known: &Iron,
    transformer: &Transformer,
    lead: usize,
    henry: f64,
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
            LEAKS.example,
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

#[cfg(test)]
mod tests {
    use crate::link;
    use crate::values::Values;
    use tapwright_iron::iron::Iron;

    const IRON: &str = "v=1&primary=brown%208k,%20blue%2010k&taps=4,%208,%2016&hookup=8";

    fn reading(link: &str) -> Values {
        Values::read(&link::parse(&format!("{IRON}&{link}")).setup)
    }

    fn losses(link: &str) -> Iron {
        let reading = reading(link);
        assert!(
            reading.problems.is_empty(),
            "{link}: {:?}",
            reading.problems
        );
        reading.losses
    }

    #[test]
    fn every_way_of_typing_an_inductance() {
        let henry = |text: &str| {
            let known = losses(&format!("inductance={text}"))
                .inductance
                .expect("read");
            (known.value, known.lead)
        };
        assert_eq!(henry("12%20H"), (12.0, 1));
        assert_eq!(henry("12"), (12.0, 1));
        assert_eq!(henry("brown:%209600mH"), (9.6, 0));
        // ωL = 5 k at 40 Hz. Exact arithmetic.
        let (stated, _) = henry("40%20Hz");
        assert!((stated - 5e3 / (std::f64::consts::TAU * 40.0)).abs() < 1e-9);
        assert_eq!(henry("-3%20dB%2040%20Hz").0, stated);
        // 6.3 V / 1.67 mA = 3772 Ω, at 50 Hz 12 H. Exact arithmetic.
        let (read, _) = henry("50%20Hz,%206.3%20V,%201.67%20mA");
        assert!((read - 12.0).abs() < 0.01, "{read}");
    }

    /// 5 V and 10 mA are 500 Ω; the copper is 300 + 625 · 0.4 = 550 Ω: nothing is left.
    /// With 300 Ω alone √(500² − 300²) = 400 Ω is left. Exact arithmetic.
    #[test]
    fn copper_is_taken_out_of_the_leakage() {
        let henry = losses("winding=300&leakage=5%20V,%2010%20mA,%201%20kHz").leakage;
        let exact = 400.0 / (std::f64::consts::TAU * 1e3);
        assert!((henry.expect("read").value / exact - 1.0).abs() < 1e-9);
        let none = reading("winding=300&tap_winding=0.4&leakage=5%20V,%2010%20mA,%201%20kHz");
        assert_eq!(none.problems.len(), 1);
        assert!(
            none.problems[0]
                .complaint
                .why
                .contains("as much by themselves")
        );
    }

    #[test]
    fn one_winding_for_the_longest_lead_or_each_its_own() {
        let whole = losses("winding=300");
        assert_eq!(whole.primary_ohms(1), 300.0);
        assert!((whole.primary_ohms(0) - 300.0 * 0.8_f64.sqrt()).abs() < 1e-9);
        let each = losses("winding=brown%20270,%20blue%20310");
        assert_eq!((each.primary_ohms(0), each.primary_ohms(1)), (270.0, 310.0));
        let alone = Values::read(&link::parse("winding=300").setup);
        assert_eq!(alone.losses.primary_ohms(0), 300.0);
    }

    #[test]
    fn each_field_complains_for_itself() {
        for (key, texts) in [
            (
                "winding",
                &[
                    "0",
                    "-3",
                    "300,%20,%20x",
                    "red%20300",
                    "1,2,3",
                    "310,%20270",
                ][..],
            ),
            (
                "tap_winding",
                &["0", "-3", "open", "4:%201,%208:%200.5", "1,2"],
            ),
            ("core_ohms", &["0", "-1", "60%20V", "red:%2060k", "1"]),
            (
                "inductance",
                &[
                    "0",
                    "-1",
                    "6.3%20V",
                    "6.3%20V,%201.7%20mA",
                    "1,2,3",
                    "x",
                    "5%20V,%205%20V,%2050%20Hz",
                    "1%20MV,%201%20A,%2050%20Hz",
                    "8,000",
                    "1%20V,%201%20A,%20100%20kHz",
                    "%F0%9F%8E%B8",
                ],
            ),
            ("leakage", &["0", "40%20Hz", "5%20V,%20-12%20mA,%201%20kHz"]),
            ("capacitance", &["0", "1%20F", "x"]),
            ("rated_watts", &["0", "-10", "1e9"]),
            ("rated_hertz", &["0", "1", "50%20V"]),
            ("direct_ma", &["-1", "1e9"]),
            ("plate_ohms", &["0", "-40k"]),
        ] {
            for text in texts {
                let found = reading(&format!("{key}={text}")).problems;
                assert_eq!(found.len(), 1, "{key}={text}: {found:?}");
                assert_eq!(found[0].field.to_string(), key, "{text}");
            }
        }
    }

    /// `V²/P`: the largest power tap is what the transformer is rated for.
    #[test]
    fn a_line_transformer_is_rated_for_its_largest_power_tap() {
        let link = "marking=line&power=1,%205,%2010&taps=8&rated_hertz=60";
        let known = Values::read(&link::parse(link).setup).losses;
        assert_eq!((known.watts, known.hertz), (Some(10.0), Some(60.0)));
    }
}
