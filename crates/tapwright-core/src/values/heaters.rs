//! What the texts about the heaters mean.

use serde::Serialize;
use tapwright_supply::{Heating, Rectifier};
use tapwright_tube::Heater;
use tapwright_units::entry::{Complaint, Expected};

use super::reader::Reader;
use super::supply::{RectifierKind, SupplyValues};
use crate::setup::{Field, HeatedRectifier, HeaterEntry, HeaterTap, HeaterText, Isolation};

/// A way to ground that is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Refused {
    /// The winding stands at B+.
    AtSupply,
    /// Resistors beside a centre tap that is grounded already.
    BesideCentreTap,
    /// Resistors beside a grounded end: one of them is shorted, the other carries all volts.
    BesideGroundedEnd,
}

/// The heaters as far as they could be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeaterValues {
    /// What of the winding itself goes to ground.
    pub tap: HeaterTap,
    /// Whether the rectifier is heated by it.
    pub rectifier: HeatedRectifier,
    /// The numbers; the tolerance is a fraction of one.
    pub numbers: HeaterEntry<Option<f64>>,
    /// The two resistors to ground.
    pub resistors: Option<[f64; 2]>,
    /// Why what was typed is not computed.
    pub refused: Option<Refused>,
    /// The heater of the output tube, where it is one of the table.
    pub output: Option<Heater>,
    /// The heater of the driver tube.
    pub driver: Option<Heater>,
    /// A rectifier of the table that is heated by this winding, and its heater.
    pub rectifier_tube: Option<(&'static str, Heater)>,
    /// The mains present over the rating of the tap in use, where both were typed.
    pub mains: Option<f64>,
}

pub(super) fn read(reader: &mut Reader, supply: &SupplyValues) -> HeaterValues {
    let setup = reader.setup;
    let tap = setup.heaters.tap;
    let named = match supply.rectifier {
        Some(RectifierKind::Tube(tube)) => Some(tube),
        _ => None,
    };
    // A filament, or a cathode that is joined to its heater inside, is never apart from it.
    let rectifier = match (setup.heaters.rectifier, named) {
        (HeatedRectifier::Insulated, Some(tube)) if !has_cathode_apart(tube) => {
            HeatedRectifier::Joined
        }
        (chosen, _) => chosen,
    };
    let rectifier_tube = named.filter(|_| rectifier != HeatedRectifier::Apart);
    let has = |text: HeaterText| !setup.heaters.texts.get(text).trim().is_empty();
    let refused = refused(tap, rectifier, &has);
    let untied = tap == HeaterTap::None && !has(HeaterText::Resistors);
    let mut resistors = None;
    let mut numbers = HeaterEntry::from_each(|text| {
        let field = Field::Heater(text);
        match text {
            HeaterText::Resistors => {
                resistors = reader.in_range(field, two_resistors);
                None
            }
            _ => reader.number(field),
        }
    });
    if let Some(refused) = refused {
        let fields = [HeaterText::Resistors, HeaterText::Raise];
        for text in fields.into_iter().filter(|text| has(*text)) {
            // A grounded tap may be raised.
            if text == HeaterText::Resistors || refused == Refused::AtSupply {
                complain(reader, text, refused);
            }
        }
        resistors = None;
        if refused == Refused::AtSupply {
            numbers.heater_raise = None;
        }
    } else if numbers.heater_raise.is_some() && untied {
        reader.complain(
            Field::Heater(HeaterText::Raise),
            "nothing of the heaters is there to be raised: type two resistors, or use the centre tap",
            "100 under the two resistors",
        );
        numbers.heater_raise = None;
    }
    let heater = |name: &str| tapwright_tube::find(name).map(|tube| tube.heater_of(name));
    HeaterValues {
        tap,
        rectifier,
        numbers,
        resistors,
        refused,
        output: heater(&setup.tube),
        driver: heater(&setup.amplifier.driver),
        rectifier_tube: rectifier_tube.map(|tube| {
            let heater = Heater {
                volts: tube.heater.volts,
                amps: tube.heater.amps,
                cathode_volts: None,
                is_filament: tube.heating == Heating::Direct,
            };
            (tube.designation.as_str(), heater)
        }),
        mains: (supply.numbers.mains.zip(supply.numbers.mains_tap))
            .filter(|_| supply.isolation == Isolation::Transformer)
            .map(|(mains, tap)| mains / tap),
    }
}

/// Whether a rectifier's cathode is insulated from its heater: those for 6.3 V are made so, those
/// for 5 V have a filament, or a cathode that is joined to the heater. From memory.
fn has_cathode_apart(tube: &Rectifier) -> bool {
    tube.heating == Heating::Indirect && tube.heater.volts > 6.0
}

fn refused(
    tap: HeaterTap,
    rectifier: HeatedRectifier,
    has: &impl Fn(HeaterText) -> bool,
) -> Option<Refused> {
    let resistors = has(HeaterText::Resistors);
    let to_ground = tap != HeaterTap::None || resistors || has(HeaterText::Raise);
    match tap {
        _ if rectifier == HeatedRectifier::Joined => to_ground.then_some(Refused::AtSupply),
        HeaterTap::Centre => resistors.then_some(Refused::BesideCentreTap),
        HeaterTap::End => resistors.then_some(Refused::BesideGroundedEnd),
        HeaterTap::None => None,
    }
}

fn complain(reader: &mut Reader, text: HeaterText, refused: Refused) {
    let (why, example) = match refused {
        Refused::AtSupply => (
            "this winding stands at B+, and whatever joins it to ground shorts the supply",
            "",
        ),
        Refused::BesideCentreTap => (
            "the centre tap is grounded already: one of the two goes",
            "100 with the tap left open",
        ),
        Refused::BesideGroundedEnd => (
            "one end is grounded, which shorts one resistor: lift it first",
            "100 with that end lifted",
        ),
    };
    reader.complain(Field::Heater(text), why, example);
}

/// `100` for both, or `100 and 120`, `100, 120`, `100 / 120`.
fn two_resistors(text: &str, range: &Expected) -> Result<[f64; 2], Complaint> {
    let typed = text.trim();
    // “2 × 100”, as it is written on paper.
    let typed = ["2×", "2 ×", "2x", "2 x"]
        .iter()
        .find_map(|twice| typed.strip_prefix(twice))
        .unwrap_or(typed);
    let cut = [" and ", "; ", ", ", " / "]
        .iter()
        .find_map(|between| typed.split_once(between));
    match cut {
        None => range.read(typed).map(|ohms| [ohms; 2]),
        Some((one, other)) => Ok([range.read(one)?, range.read(other)?]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::link;
    use crate::values::Values;

    fn values(link: &str) -> Values {
        Values::read(&link::parse(&format!("v=1&{link}")).setup)
    }

    #[test]
    fn resistors_are_one_value_or_two() {
        for (text, want) in [
            ("100", [100.0, 100.0]),
            ("2%20×%20100", [100.0, 100.0]),
            ("100%20and%20120", [100.0, 120.0]),
            ("100,%20120%20ohm", [100.0, 120.0]),
        ] {
            let values = values(&format!("heater_resistors={text}"));
            assert_eq!(values.heaters.resistors, Some(want), "{text}");
            assert_eq!(values.problems, [], "{text}");
        }
        for bad in ["0", "100,%20-3", "many"] {
            let values = values(&format!("heater_resistors={bad}"));
            assert_eq!(values.problems.len(), 1, "{bad}: {:?}", values.problems);
        }
    }

    /// Each way to ground that is refused, with its reason at the field.
    #[test]
    fn a_second_way_to_ground_is_refused() {
        for (link, refused, field, why) in [
            (
                "heater_tap=centre&heater_resistors=100",
                Refused::BesideCentreTap,
                "heater_resistors",
                "centre tap is grounded already",
            ),
            (
                "heater_tap=end&heater_resistors=100",
                Refused::BesideGroundedEnd,
                "heater_resistors",
                "shorts one resistor",
            ),
            (
                "heater_rectifier=joined&heater_resistors=100",
                Refused::AtSupply,
                "heater_resistors",
                "shorts the supply",
            ),
            (
                "heater_rectifier=joined&heater_raise=40",
                Refused::AtSupply,
                "heater_raise",
                "shorts the supply",
            ),
        ] {
            let values = values(link);
            assert_eq!(values.heaters.refused, Some(refused), "{link}");
            assert_eq!(values.heaters.resistors, None, "{link}");
            let found: Vec<_> = (values.problems.iter())
                .map(|problem| (problem.field.to_string(), problem.complaint.why.clone()))
                .collect();
            assert_eq!(found.len(), 1, "{link}: {found:?}");
            assert_eq!(found[0].0, field);
            assert!(found[0].1.contains(why), "{found:?}");
        }
        // A tap of a winding at B+ is no text: it is refused without a field.
        let tap = values("heater_rectifier=joined&heater_tap=centre");
        assert_eq!(tap.heaters.refused, Some(Refused::AtSupply));
        let alone = values("heater_rectifier=joined");
        assert_eq!(alone.heaters.refused, None);
    }

    /// A GZ34 stands at B+ with its heater, whatever is said of its cathode; an EZ80 does not.
    #[test]
    fn a_cathode_joined_inside_is_never_apart() {
        for (tube, joined) in [("EZ80", false), ("GZ34", true), ("5Y3GT", true)] {
            let link = format!("rectifier={tube}&heater_rectifier=insulated&heater_tap=centre");
            let values = values(&link);
            let refused = values.heaters.refused == Some(Refused::AtSupply);
            assert_eq!(refused, joined, "{tube}");
            assert!(values.heaters.rectifier_tube.is_some(), "{tube}");
        }
        let apart = values("rectifier=EZ80");
        assert_eq!(apart.heaters.rectifier_tube, None);
    }

    #[test]
    fn what_is_raised_must_be_there() {
        let bare = values("heater_raise=40");
        assert_eq!(bare.problems.len(), 1, "{:?}", bare.problems);
        for link in ["heater_resistors=100", "heater_tap=centre"] {
            let tied = values(&format!("heater_raise=40&{link}"));
            assert_eq!(tied.problems, []);
            assert_eq!(tied.heaters.numbers.heater_raise, Some(40.0));
        }
    }
}
