//! What the texts about speakers as they are mean.

use serde::Serialize;

use super::reader::Reader;
use crate::setup::{DriverEntry, DriverText, Field};
use tapwright_speaker::{
    Driver, ImpedanceCurve, ImpedanceModel, InferredRating, Motor, NamedDriver, Size,
    highest_rating_allowed, rating_from_coil, read_name, read_points,
};
use tapwright_units::entry::{Complaint, number};
use tapwright_units::{Ohms, Unit};

/// The numbers typed about a speaker.
type DriverNumbers = DriverEntry<Option<f64>>;

/// One kind of speaker as far as it could be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DriverValues {
    /// What hookups call it.
    pub called: String,
    /// The ohms that hookups write for it, when that is how they call it.
    pub in_place_of: Option<Ohms>,
    /// The rating found from the coil's resistance, where none is typed.
    pub inferred: Option<InferredRating>,
    /// The driver; `None` until its rating is known.
    #[serde(skip)]
    pub driver: Option<Driver>,
}

pub(super) fn read(reader: &mut Reader) -> Vec<Option<DriverValues>> {
    let mut read: Vec<Option<DriverValues>> = Vec::new();
    for at in 0..reader.setup.drivers.len() {
        let one = one(reader, at);
        let twice = one.as_ref().is_some_and(|one| {
            let mut before = read.iter().flatten();
            before.any(|other| other.named().answers_to(&one.called))
        });
        if twice {
            let field = Field::Driver(at, DriverText::Called);
            reader.complain(field, "another speaker above is called that", "B");
        }
        read.push(one.filter(|_| !twice));
    }
    read
}

impl DriverValues {
    /// As an expression looks for it.
    pub(super) fn named(&self) -> NamedDriver<'_> {
        NamedDriver {
            name: &self.called,
            value: self.in_place_of,
            rated: self.driver.as_ref().map(|driver| driver.rated),
        }
    }
}

fn one(reader: &mut Reader, at: usize) -> Option<DriverValues> {
    let field = |text| Field::Driver(at, text);
    let called = reader.field(field(DriverText::Called), read_name);
    let in_place_of = (called.as_deref())
        .and_then(|name| number(name, Unit::Ohm).ok())
        .map(Ohms);
    let numbers = DriverEntry::from_each(|text| match text {
        // Then its name is its rating.
        DriverText::Rated if in_place_of.is_some() => None,
        _ => reader.number(field(text)),
    });
    let (rated, coil) = (
        in_place_of.or(numbers.rated.map(Ohms)),
        numbers.coil.map(Ohms),
    );
    let size = reader.field(field(DriverText::Size), |word| {
        word.parse::<Size>()
            .map_err(|_| Complaint::new("no size that is known here", "12"))
    });
    let stiffness = stiffness(reader, at, &numbers);
    let curve = reader.field(field(DriverText::Curve), |typed| {
        read_points(typed).map_err(|problem| {
            let why = format!("point {}: {}", problem.line, problem.why);
            Complaint::new(why, "20 7.1 12; 80 30.5 -3")
        })
    });
    let found = rated
        .is_none()
        .then(|| coil.map(rating_from_coil))
        .flatten();
    let rated = (rated.or(found.as_ref().map(|found| found.rated)))
        .or_else(|| Some(highest_rating_allowed(curve.as_ref()?.lowest())));
    Some(DriverValues {
        driver: rated.zip(called.as_ref()).map(|(rated, name)| Driver {
            name: name.clone(),
            rated,
            model: model(rated, &numbers, size, stiffness, curve),
        }),
        called: called?,
        in_place_of,
        inferred: found,
    })
}

/// Ratio of V_as to the volume of the closed box; 0 without one.
fn stiffness(reader: &mut Reader, at: usize, numbers: &DriverNumbers) -> f64 {
    let has_vas = reader.typed(Field::Driver(at, DriverText::Vas)).is_some();
    if numbers.closed_box.is_some() && !has_vas {
        let field = Field::Driver(at, DriverText::ClosedBox);
        let why = "what a box does depends on V_as, which is not typed";
        reader.complain(field, why, "V_as 60 and here 40");
    }
    let both = numbers.vas.zip(numbers.closed_box);
    both.map_or(0.0, |(vas, closed)| vas / closed)
}

/// What is typed replaces what is generic; a measured curve replaces both.
fn model(
    rated: Ohms,
    typed: &DriverNumbers,
    size: Option<Size>,
    stiffness: f64,
    curve: Option<ImpedanceCurve>,
) -> ImpedanceModel {
    if let Some(curve) = curve {
        return ImpedanceModel::Measured(curve);
    }
    let generic = Motor::of_size(size.unwrap_or(Size::Twelve), rated);
    let motor = Motor {
        coil_ohms: typed.coil.unwrap_or(generic.coil_ohms),
        coil_henries: typed.inductance.unwrap_or(generic.coil_henries),
        resonance: typed.resonance.unwrap_or(generic.resonance),
        mechanical_q: typed.mechanical_q.unwrap_or(generic.mechanical_q),
        electrical_q: typed.electrical_q.unwrap_or(generic.electrical_q),
    }
    .in_closed_box(stiffness);
    let all = [
        typed.resonance,
        typed.mechanical_q,
        typed.electrical_q,
        typed.coil,
    ];
    if all.iter().all(Option::is_some) {
        ImpedanceModel::ThieleSmall(motor)
    } else {
        ImpedanceModel::Generic(motor, size)
    }
}
