//! What the texts about the power supply mean.

use serde::Serialize;
use tapwright_supply::{Circuit, Law, Rectifier, find};
use tapwright_units::entry::{Complaint, Expected, excerpt, shortest};

use super::reader::Reader;
use crate::setup::{
    Field, Isolation, SectionEntry, SectionText, StampedCurrent, SupplyEntry, SupplyText,
};

/// A rectifier that was named.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RectifierKind {
    /// Silicon.
    Silicon,
    /// A tube of the table.
    #[serde(serialize_with = "designation")]
    Tube(&'static Rectifier),
}

fn designation<S: serde::Serializer>(tube: &&Rectifier, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&tube.designation)
}

impl RectifierKind {
    /// What it conducts.
    pub fn law(self) -> Law {
        match self {
            Self::Silicon => Law::Silicon,
            Self::Tube(tube) => tube.law(),
        }
    }
}

/// What is fed from a capacitor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Feeds {
    /// The output tubes' plates.
    pub plates: bool,
    /// Their screens.
    pub screens: bool,
    /// The stages before.
    pub drivers: bool,
}

/// A section of the line as far as it could be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SectionValues {
    /// Its numbers.
    pub numbers: SectionEntry<Option<f64>>,
    /// What is fed from it.
    pub feeds: Feeds,
}

/// The power supply as far as it could be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SupplyValues {
    /// What isolates it from the mains.
    pub isolation: Isolation,
    /// How the rectifiers stand.
    pub circuit: Circuit,
    /// How the stamped current is meant.
    pub current: StampedCurrent,
    /// Its numbers.
    pub numbers: SupplyEntry<Option<f64>>,
    /// Rated mains of each tap of the primary, V.
    pub taps: Vec<f64>,
    /// The secondary as stamped, V; of half of it where it has a centre tap.
    pub winding: Option<f64>,
    /// The rectifier.
    pub rectifier: Option<RectifierKind>,
    /// One for each section typed.
    pub filter: Vec<SectionValues>,
}

pub(super) fn read(reader: &mut Reader) -> SupplyValues {
    let typed = &reader.setup.power_supply;
    let (isolation, current) = (typed.isolation, typed.current);
    // Without a transformer there is no centre tap.
    let circuit = match (isolation, typed.circuit) {
        (Isolation::None, Circuit::FullWave) => Circuit::HalfWave,
        (_, circuit) => circuit,
    };
    let sections = typed.filter.len();
    let field = Field::PowerSupply;
    let taps = reader
        .in_range(field(SupplyText::Taps), taps)
        .unwrap_or_default();
    let winding = reader.in_range(field(SupplyText::Winding), |text, range| {
        winding(text, range, circuit)
    });
    let rectifier = reader.field(field(SupplyText::Rectifier), |text| {
        rectifier(text, circuit)
    });
    let numbers = SupplyEntry::from_each(|text| match text {
        SupplyText::Tap => reader.number_by(field(text), |typed, range| {
            one_of(&taps, range.read(typed)?, range)
        }),
        _ => reader.number(field(text)),
    });
    let filter = (0..sections)
        .map(|at| SectionValues {
            numbers: SectionEntry::from_each(|text| reader.number(Field::Section(at, text))),
            feeds: reader
                .field(Field::Section(at, SectionText::Feeds), feeds)
                .unwrap_or_default(),
        })
        .collect();
    SupplyValues {
        isolation,
        circuit,
        current,
        numbers,
        taps,
        winding,
        rectifier,
        filter,
    }
}

/// `110, 220, 240`, or `110/220`.
fn taps(text: &str, range: &Expected) -> Result<Vec<f64>, Complaint> {
    let mut taps = Vec::new();
    for part in text
        .split([',', '/', ' '])
        .filter(|part| !part.trim_matches(['V', 'v']).is_empty())
    {
        let tap = range.read(part)?;
        if taps.contains(&tap) {
            let why = format!("{} V is there twice", shortest(tap));
            return Err(Complaint::new(why, range.example));
        }
        taps.push(tap);
    }
    Ok(taps)
}

fn one_of(taps: &[f64], tap: f64, range: &Expected) -> Result<f64, Complaint> {
    match taps.is_empty() || taps.contains(&tap) {
        true => Ok(tap),
        false => Err(Complaint::new(
            format!("{} V is none of the mains taps", shortest(tap)),
            taps.first()
                .map_or(range.example.to_owned(), |tap| shortest(*tap)),
        )),
    }
}

/// The volts of a winding, or of half of one with a centre tap: `2 x 250`, `250-0-250`, `250`.
///
/// A single number for a winding with a centre tap has two readings, and the wrong one is twice
/// the volts: it is refused.
fn winding(text: &str, range: &Expected, circuit: Circuit) -> Result<f64, Complaint> {
    let typed = excerpt(text.trim());
    let halves = halves(text, range)?;
    match (circuit, halves) {
        (Circuit::FullWave, Some(half)) => Ok(half),
        (Circuit::FullWave, None) => {
            let volts = range.read(text)?;
            let [half, whole] = [shortest(volts / 2.0), shortest(volts)];
            Err(Complaint::new(
                format!(
                    "“{typed}” may be the whole winding or each half: {half} V on each side of the centre tap, or {whole} V"
                ),
                format!(
                    "2 x {half} if a meter shows {whole} V from end to end, 2 x {whole} if from the centre tap"
                ),
            ))
        }
        (_, None) => range.read(text),
        (_, Some(half)) => Err(Complaint::new(
            format!("“{typed}” has a centre tap, and this circuit does not use one"),
            format!(
                "{} for the whole winding, {} for one half",
                shortest(2.0 * half),
                shortest(half)
            ),
        )),
    }
}

/// Volts of each half, where a text gives halves.
fn halves(text: &str, range: &Expected) -> Result<Option<f64>, Complaint> {
    let lower = text.trim().to_lowercase();
    if let Some((count, volts)) = lower.split_once(['x', '×', '*'])
        && count.trim() == "2"
    {
        return range.read(volts).map(Some);
    }
    let parts: Vec<&str> = lower.split(['-', '–']).map(str::trim).collect();
    let [first, "0", second] = parts.as_slice() else {
        return Ok(None);
    };
    let (first, second) = (range.read(first)?, range.read(second)?);
    match first == second {
        true => Ok(Some(first)),
        false => Err(Complaint::new(
            "the two halves of a rectifier winding are alike",
            range.example,
        )),
    }
}

fn rectifier(text: &str, circuit: Circuit) -> Result<RectifierKind, Complaint> {
    let example = "EZ80, or silicon";
    let typed = excerpt(text.trim());
    let word = text.trim().to_lowercase();
    if ["silicon", "si", "diode", "diodes"].contains(&word.as_str()) {
        return Ok(RectifierKind::Silicon);
    }
    let Some(tube) = find(text.trim()) else {
        return Err(Complaint::new(
            format!("“{typed}” is not among the rectifiers here"),
            example,
        ));
    };
    if tube.plates > 1 && matches!(circuit, Circuit::Bridge | Circuit::Doubler) {
        return Err(Complaint::new(
            format!(
                "the plates of {} share one cathode, and this circuit takes rectifiers with cathodes apart",
                tube.designation
            ),
            "silicon",
        ));
    }
    if tube.plates == 1 && circuit == Circuit::FullWave {
        return Err(Complaint::new(
            format!(
                "{} has one plate, and full wave takes two",
                tube.designation
            ),
            example,
        ));
    }
    Ok(RectifierKind::Tube(tube))
}

fn feeds(text: &str) -> Result<Feeds, Complaint> {
    let mut feeds = Feeds::default();
    for word in text.split([',', ' ', '+']).filter(|word| !word.is_empty()) {
        match word.to_lowercase().as_str() {
            "plates" | "plate" => feeds.plates = true,
            "screens" | "screen" => feeds.screens = true,
            "drivers" | "driver" => feeds.drivers = true,
            "and" => {}
            _ => {
                return Err(Complaint::new(
                    format!("“{}” is neither plates, screens nor drivers", excerpt(word)),
                    "screens drivers",
                ));
            }
        }
    }
    Ok(feeds)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::link;
    use crate::values::Values;

    fn values(link: &str) -> Values {
        Values::read(&link::parse(link).setup)
    }

    #[test]
    fn a_winding_with_a_centre_tap_is_told_by_its_halves() {
        for text in ["2%20x%20250", "2x250%20V", "2×250", "250-0-250"] {
            let values = values(&format!("winding_volts={text}"));
            assert_eq!(
                values.power_supply.winding,
                Some(250.0),
                "{:?}",
                values.problems
            );
        }
        let bridge = values("rectifier_circuit=bridge&winding_volts=250");
        assert_eq!(bridge.power_supply.winding, Some(250.0));
    }

    /// 2 × 300 V typed as 600: both readings are named, neither is taken.
    #[test]
    fn twice_three_hundred_typed_as_six_hundred_is_refused() {
        let values = values("winding_volts=600");
        assert_eq!(values.power_supply.winding, None);
        let complaint = &values.problems[0].complaint;
        assert!(
            complaint.why.contains("300 V on each side"),
            "{complaint:?}"
        );
        assert!(complaint.example.contains("2 x 300"), "{complaint:?}");
    }

    #[test]
    fn each_slip_has_its_complaint() {
        for (link, why) in [
            (
                "rectifier_circuit=bridge&winding_volts=2x300",
                "does not use one",
            ),
            ("winding_volts=250-0-240", "alike"),
            ("mains_taps=220,220", "twice"),
            ("mains_taps=220,240&mains_tap=230", "none of the mains taps"),
            ("rectifier=EL84", "not among"),
            (
                "rectifier=EZ80&rectifier_circuit=bridge",
                "share one cathode",
            ),
            ("rectifier=35W4", "has one plate"),
            ("filter=470,,47u,450,choir", "neither plates"),
            ("reservoir=0", "zero"),
            ("mains=12", "smaller"),
        ] {
            let problems = values(link).problems;
            assert_eq!(problems.len(), 1, "{link}: {problems:?}");
            assert!(
                problems[0].complaint.why.contains(why),
                "{link}: {problems:?}"
            );
        }
    }

    #[test]
    fn without_a_transformer_there_is_no_centre_tap() {
        let live = values("isolation=none&rectifier=35W4&mains=110");
        assert_eq!(live.power_supply.circuit, Circuit::HalfWave);
        assert!(live.problems.is_empty(), "{:?}", live.problems);
    }
}
