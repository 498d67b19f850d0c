//! What the texts about the iron mean: what it loses, and where it ends.

use super::inductance::{leakage, primary_inductance};
use super::reader::Reader;
use crate::setup::{Field, IronEntry, IronText, StageText};
use tapwright_iron::iron::{Iron, OnLead, Origin};
use tapwright_iron::measured::Pair;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::place::{
    Place, find_place, place_with_most_turns, places_of_leads, places_of_taps,
};
use tapwright_iron::transformer::{MOST_LEADS, PrimaryLead, Secondary, Transformer};
use tapwright_iron::winding_resistance::WindingResistance;
use tapwright_units::entry::{Complaint, Expected, excerpt};
use tapwright_units::list;

/// Reads what is known of the iron besides its ratings. On a transformer without marking, wire
/// for which nothing is typed is as the ohmmeter read it.
pub(super) fn read(
    reader: &mut Reader,
    leads: Option<&[PrimaryLead]>,
    transformer: Option<&Transformer>,
    measured: Option<&Findings>,
) -> Iron {
    let winding = Field::Stage(StageText::Winding);
    let Some(transformer) = transformer else {
        let primary = reader.in_range(winding, |text, range| match leads {
            Some(leads) => WindingResistance::read(text, range, &places_of_leads(leads)),
            None => whole_winding(text, range),
        });
        return Iron {
            primary,
            ..numbers(reader)
        };
    };
    let leads = places_of_leads(&transformer.leads);
    let taps = places_of_taps(&transformer.taps);
    let read = |pair: Option<Pair>| Some(measured?.found.resistance(pair?)?.value);
    let made = measured.and_then(|findings| findings.transformer.as_ref());
    let of_lead = |at: usize| read(made?.leads.get(at).map(|lead| lead.pair));
    let of_tap = |at: usize| read(made?.secondary_pair(Secondary::Tap(at)));
    let mut iron = Iron {
        primary: winding_resistance(reader, winding, &leads, &of_lead),
        secondary: winding_resistance(reader, Field::Iron(IronText::TapWinding), &taps, &of_tap),
        ..numbers(reader)
    };
    let plain = |text: &str, range: &Expected, _| Ok((range.read(text)?, Origin::Typed));
    iron.core_ohms = on_lead(reader, IronText::CoreOhms, &leads, plain);
    iron.capacitance = on_lead(reader, IronText::Capacitance, &leads, plain);
    // These take out the copper and the core.
    iron.inductance = on_lead(reader, IronText::Inductance, &leads, |text, range, lead| {
        primary_inductance(&iron, transformer, lead, text, range)
    });
    iron.leakage = on_lead(reader, IronText::Leakage, &leads, |text, range, lead| {
        leakage(&iron, transformer, lead, text, range)
    });
    if iron.watts.is_none() {
        // What a line transformer is rated for is its largest power tap.
        let powers = transformer.leads.iter().filter_map(|lead| lead.power_tap);
        let most = powers.map(|watts| watts.0).fold(0.0, f64::max);
        iron.watts = (most > 0.0 && iron.hertz.is_some()).then_some(most);
    }
    iron
}

/// What needs neither leads nor taps.
fn numbers(reader: &mut Reader) -> Iron {
    let numbers: IronEntry<Option<f64>> =
        IronEntry::from_each(|text| reader.number(Field::Iron(text)));
    Iron {
        watts: numbers.rated_watts,
        hertz: numbers.rated_hertz,
        direct_amps: numbers.direct_ma.map(|ma| ma / 1e3),
        source_ohms: numbers.plate_ohms,
        core: reader.setup.core,
        ..Iron::default()
    }
}

/// Without leads the winding is the stage's: of several values the largest.
fn whole_winding(text: &str, range: &Expected) -> Result<WindingResistance, Complaint> {
    let values = list::read(text, range, MOST_LEADS)?;
    let most = values.iter().map(|value| value.value).fold(0.0, f64::max);
    Ok(WindingResistance::whole(most))
}

/// The resistance of a winding as typed, or else as the ohmmeter read it at each place.
fn winding_resistance(
    reader: &mut Reader,
    field: Field,
    places: &[Place],
    read: &dyn Fn(usize) -> Option<f64>,
) -> Option<WindingResistance> {
    if reader.typed(field).is_some() {
        return reader.in_range(field, |text, range| {
            WindingResistance::read(text, range, places)
        });
    }
    WindingResistance::from_ohmmeter(places, (0..places.len()).map(read).collect())
}

/// A value that was measured on one lead: named before a colon, or the one with the most
/// turns.
fn on_lead(
    reader: &mut Reader,
    text: IronText,
    leads: &[Place],
    read: impl FnOnce(&str, &Expected, usize) -> Result<(f64, Origin), Complaint>,
) -> Option<OnLead> {
    reader.in_range(Field::Iron(text), |typed, range| {
        let (lead, value) = match typed.split_once(':') {
            None => (place_with_most_turns(leads), typed),
            Some((name, value)) => {
                let lead = find_place(leads, name).ok_or_else(|| {
                    let name = excerpt(name.trim());
                    let why = format!("“{name}” is no primary lead typed above");
                    Complaint::new(why, range.example)
                })?;
                (lead, value)
            }
        };
        let (value, origin) = read(value, range, lead)?;
        Ok(OnLead {
            value,
            lead,
            origin,
        })
    })
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
        reading.iron
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
        assert_eq!(alone.iron.primary_ohms(0), 300.0);
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
        let known = Values::read(&link::parse(link).setup).iron;
        assert_eq!((known.watts, known.hertz), (Some(10.0), Some(60.0)));
    }
}
