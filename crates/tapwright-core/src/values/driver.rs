//! What the texts about speakers as they are mean.

use serde::Serialize;

use super::stage::expected;
use super::{Problem, Reader};
use crate::setup::{DriverText, Field};
use tapwright_speaker::{
    Driver, ImpedanceCurve, ImpedanceModel, InferredRating, Motor, NamedDriver, Size,
    highest_rating_allowed, rating_from_coil, read_name, read_points,
};
use tapwright_units::entry::{Complaint, Expected, number};
use tapwright_units::{Ohms, Unit};

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

const Q: Expected = expected(Unit::One, 0.01, 200.0, "0.9", "a Q");
const LITRES: Expected = expected(Unit::Litre, 0.05, 20_000.0, "60", "a volume");

/// The numbers, in the order in which [`one`] takes them.
const NUMBERS: [(DriverText, Expected); 8] = [
    (
        DriverText::Rated,
        expected(Unit::Ohm, 0.5, 2_000.0, "8", "a speaker’s rated impedance"),
    ),
    (
        DriverText::Coil,
        expected(Unit::Ohm, 0.3, 2_000.0, "6.4", "a coil’s resistance"),
    ),
    (
        DriverText::Resonance,
        expected(Unit::Hertz, 5.0, 5_000.0, "75", "a resonance"),
    ),
    (DriverText::MechanicalQ, Q),
    (DriverText::ElectricalQ, Q),
    (
        DriverText::Inductance,
        expected(Unit::Henry, 1e-6, 0.1, "0.5 mH", "a coil’s inductance"),
    ),
    (DriverText::Vas, LITRES),
    (DriverText::ClosedBox, LITRES),
];

pub(super) fn read(reader: &mut Reader) -> Vec<Option<DriverValues>> {
    let mut read: Vec<Option<DriverValues>> = Vec::new();
    for at in 0..reader.setup.drivers.len() {
        let one = one(reader, at);
        let twice = one.as_ref().is_some_and(|one| {
            let mut before = read.iter().flatten();
            before.any(|other| other.named().answers_to(&one.called))
        });
        if twice {
            reader.problems.push(Problem {
                field: Field::Driver(at, DriverText::Called),
                complaint: Complaint::new("another speaker above is called that", "B"),
            });
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
    let mut numbers = [None; 8];
    for (number, (text, expected)) in numbers.iter_mut().zip(&NUMBERS) {
        if *text != DriverText::Rated || in_place_of.is_none() {
            *number = reader.field(field(*text), |typed| expected.read(typed));
        }
    }
    let [rated, coil, parameters @ .., vas, closed] = numbers;
    let (rated, coil) = (in_place_of.or(rated.map(Ohms)), coil.map(Ohms));
    let size = reader.field(field(DriverText::Size), |word| {
        Size::read(word).ok_or_else(|| Complaint::new("no size that is known here", "12"))
    });
    let stiffness = stiffness(reader, at, vas, closed);
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
            model: model(rated, coil, size, parameters, stiffness, curve),
        }),
        called: called?,
        in_place_of,
        inferred: found,
    })
}

/// V_as over the volume of the closed box; 0 without one.
fn stiffness(reader: &mut Reader, at: usize, vas: Option<f64>, closed: Option<f64>) -> f64 {
    let typed = (reader.setup)
        .text(Field::Driver(at, DriverText::Vas))
        .is_some_and(|text| !text.trim().is_empty());
    if closed.is_some() && !typed {
        reader.problems.push(Problem {
            field: Field::Driver(at, DriverText::ClosedBox),
            complaint: Complaint::new(
                "what a box does depends on V_as, which is not typed",
                "V_as 60 and here 40",
            ),
        });
    }
    vas.zip(closed).map_or(0.0, |(vas, closed)| vas / closed)
}

/// What is typed takes the place of what is generic; a measurement takes the place of both.
fn model(
    rated: Ohms,
    coil: Option<Ohms>,
    size: Option<Size>,
    [resonance, mechanical_q, electrical_q, inductance]: [Option<f64>; 4],
    stiffness: f64,
    curve: Option<ImpedanceCurve>,
) -> ImpedanceModel {
    if let Some(curve) = curve {
        return ImpedanceModel::Measured(curve);
    }
    let generic = Motor::of_size(size.unwrap_or(Size::Twelve), rated);
    let motor = Motor {
        coil_ohms: coil.map_or(generic.coil_ohms, |coil| coil.0),
        coil_henries: inductance.unwrap_or(generic.coil_henries),
        resonance: resonance.unwrap_or(generic.resonance),
        mechanical_q: mechanical_q.unwrap_or(generic.mechanical_q),
        electrical_q: electrical_q.unwrap_or(generic.electrical_q),
    }
    .in_closed_box(stiffness);
    let typed = [
        resonance,
        mechanical_q,
        electrical_q,
        coil.map(|coil| coil.0),
    ];
    if typed.iter().all(Option::is_some) {
        ImpedanceModel::ThieleSmall(motor)
    } else {
        ImpedanceModel::Generic(motor, size)
    }
}
