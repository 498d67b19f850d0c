//! What was understood about speakers as they are.

use maud::{Markup, html};
use tapwright_core::setup::{DriverText, Field, List, Loads, StageText};
use tapwright_core::values::DriverValues;
use tapwright_speaker::sweep::frequencies;
use tapwright_speaker::{Driver, ImpedanceModel, InferredRating, LOWEST_SHARE_OF_RATED, Motor};
use tapwright_units::Unit;

use super::{hint, problem_at};
use crate::view::{Notice, Region, Scene, region};
use crate::words::say::say;
use crate::{number, words};

/// The fields of the speakers that are on the form.
fn fields(scene: &Scene) -> Vec<Field> {
    let drivers = 0..scene.typed.drivers.len();
    drivers.flat_map(|at| List::Driver.fields(at)).collect()
}

/// What is said of more than one field.
pub(super) fn more(scene: &Scene) -> Vec<Region> {
    let mut regions = vec![
        region("echo-drivers", in_brief(scene)),
        region("echo-loads", loads(scene)),
    ];
    let drivers = 0..scene.typed.drivers.len();
    regions.extend(drivers.map(|place| {
        let id = format!("echo-known-{}", place + 1);
        region(&id, known(scene, place))
    }));
    regions
}

fn values<'a>(scene: &'a Scene, place: usize) -> Option<&'a DriverValues> {
    scene.values.drivers.get(place)?.as_ref()
}

fn in_brief(scene: &Scene) -> Markup {
    for field in fields(scene) {
        if let Some(problem) = problem_at(scene, field) {
            return problem;
        }
    }
    html! {
        @if scene.typed.drivers.is_empty() {
            (hint("generic: type size, Thiele–Small, or drop a curve here"))
        }
        @for (place, row) in scene.typed.drivers.iter().enumerate() {
            @if place > 0 { ", " }
            (row.called)
        }
    }
}

fn loads(scene: &Scene) -> Markup {
    let report = scene.report;
    match (scene.typed.loads, report.solved.frequency) {
        (Loads::Rated, _) => html! {},
        (Loads::Curve, Some(hertz)) => say!(
            "Every load, watt and verdict is the one at {hertz}, as if that were a resistor’s; the charts count its phase. \
             Speakers that are not described count as generic ones (invented data).",
            hertz = number::given(hertz, Unit::Hertz),
        ),
        (Loads::Curve, None) => match problem_at(scene, Field::Stage(StageText::Frequency)) {
            Some(problem) => problem,
            None => html! {
                span .bad { "At which? Type the frequency under “More of the stage”. Rated ohms until then." }
            },
        },
    }
}

/// Where a speaker's impedance is from, and its main numbers.
fn known(scene: &Scene, place: usize) -> Markup {
    let Some(driver) = values(scene, place).and_then(|values| values.driver.as_ref()) else {
        return html! {};
    };
    html! {
        (origin(&driver.model))
        @if let Some((ohms, hertz)) = below_rating(driver) {
            " "
            span .bad {
                (say!(
                    "It falls to {ohms} at {hertz}, below 80 % of {rated} (IEC 60268-5).",
                    ohms = number::computed(ohms, Unit::Ohm),
                    hertz = number::computed(hertz, Unit::Hertz),
                    rated = words::rated(driver.rated),
                ))
            }
        }
    }
}

fn origin(model: &ImpedanceModel) -> Markup {
    match model {
        ImpedanceModel::Generic(motor, size) => say!(
            "What is not typed is of a generic {speaker}, invented data: {ohms} at its resonance, {hertz}.",
            speaker = words::size(*size),
            ohms = peak(motor),
            hertz = number::computed(motor.resonance, Unit::Hertz),
        ),
        ImpedanceModel::ThieleSmall(motor) => say!(
            "Thiele–Small: {ohms} at its resonance, {hertz}.",
            ohms = peak(motor),
            hertz = number::computed(motor.resonance, Unit::Hertz),
        ),
        ImpedanceModel::Measured(curve) => say!(
            "Measured, {count} points from {lowest} to {highest}; beyond, the ends are held.",
            count = curve.points().len(),
            lowest = number::given(curve.span().0, Unit::Hertz),
            highest = number::given(curve.span().1, Unit::Hertz),
        ),
    }
}

fn peak(motor: &Motor) -> String {
    number::computed(motor.impedance(motor.resonance).norm(), Unit::Ohm)
}

/// The lowest modulus, and where, when it is lower than the rating allows.
fn below_rating(driver: &Driver) -> Option<(f64, f64)> {
    let mut lowest = (f64::INFINITY, 0.0);
    for hertz in frequencies() {
        let ohms = driver.impedance(hertz).norm();
        if ohms < lowest.0 {
            lowest = (ohms, hertz);
        }
    }
    (lowest.0 < 0.999 * LOWEST_SHARE_OF_RATED * driver.rated.0).then_some(lowest)
}

/// Whether a motor or a box is typed beside the curve, which then counts for nothing.
fn has_motor(scene: &Scene, place: usize) -> bool {
    [
        DriverText::Resonance,
        DriverText::MechanicalQ,
        DriverText::ElectricalQ,
        DriverText::Inductance,
        DriverText::ClosedBox,
    ]
    .iter()
    .filter_map(|part| scene.typed.text(Field::Driver(place, *part)))
    .any(|text| !text.trim().is_empty())
}

/// The rating that the coil's resistance suggests.
fn rating_by_coil(found: &InferredRating) -> Markup {
    let rated = words::rated(found.rated);
    let others: Vec<String> = found
        .others
        .iter()
        .map(|other| words::rated(*other))
        .collect();
    html! {
        @if found.customary {
            (say!("Probably rated {ohms}.", ohms = rated))
        } @else {
            (say!("No usual rating; about {ohms}.", ohms = rated))
        }
        @if !others.is_empty() {
            " "
            (say!("Also possible: {others}.", others = words::in_a_row(&others)))
        }
        " " "A coil has 0.7 to 0.85 of its rating (common practice)."
    }
}

pub(super) fn understood(scene: &Scene, place: usize, part: DriverText) -> Markup {
    let read = values(scene, place);
    match (part, read) {
        (
            DriverText::Called,
            Some(DriverValues {
                in_place_of: Some(ohms),
                ..
            }),
        ) => say!(
            "Every speaker that hookups write as {ohms}.",
            ohms = words::rated(*ohms)
        ),
        (DriverText::Called, Some(read)) => say!(
            "Write {name} in a hookup, as in {name}//8.",
            name = read.called,
        ),
        (DriverText::Called, None) => hint(part.row().empty),
        (
            DriverText::Coil,
            Some(DriverValues {
                inferred: Some(found),
                ..
            }),
        ) => rating_by_coil(found),
        (
            DriverText::Rated,
            Some(DriverValues {
                driver: Some(driver),
                ..
            }),
        ) => {
            html! { (words::rated(driver.rated)) }
        }
        (DriverText::Curve, read) => {
            let told = scene.notices.iter().find_map(|notice| match notice {
                Notice::File(at, what) if *at == Some(place) => Some(what),
                _ => None,
            });
            let known = read.and_then(|read| Some(&read.driver.as_ref()?.model));
            html! {
                @if let Some(what) = told { (what) " " }
                @if let (Some(ImpedanceModel::Measured(_)), true) = (known, has_motor(scene, place)) {
                    "The curve counts; what is typed of resonance and box does not."
                } @else {
                    "In place of all above: frequency, ohms, degrees from a table in text, or Touchstone."
                }
            }
        }
        _ => html! {},
    }
}
