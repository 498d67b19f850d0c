//! What was understood about speakers as they are.

use maud::{Markup, html};
use tapwright_core::setup::{DriverText, Field, List, Loads, StageText};
use tapwright_core::values::DriverValues;
use tapwright_speaker::sweep::frequencies;
use tapwright_speaker::{Driver, ImpedanceModel, LOWEST_SHARE_OF_RATED, Motor};
use tapwright_units::{Ohms, Unit};

use super::{hint, problem_at};
use crate::view::{Notice, Region, Scene, region};
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
        (Loads::Curve, Some(hertz)) => html! {
            "Every load, watt and verdict is the one at " (number::given(hertz, Unit::Hertz))
            ", as if that were a resistor’s; the charts count its phase. Speakers that are not described count as generic ones (invented data)."
        },
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
        @match &driver.model {
            ImpedanceModel::Generic(motor, size) => {
                "What is not typed is of a generic " (words::size(*size)) ", invented data: " (peak(motor))
            }
            ImpedanceModel::ThieleSmall(motor) => { "Thiele–Small: " (peak(motor)) }
            ImpedanceModel::Measured(curve) => {
                "Measured, " (curve.points().len()) " points from "
                (number::given(curve.span().0, Unit::Hertz)) " to " (number::given(curve.span().1, Unit::Hertz))
                "; beyond, the ends are held."
            }
        }
        @if let Some((ohms, hertz)) = below_rating(driver) {
            " "
            span .bad {
                "It falls to " (number::computed(ohms, Unit::Ohm)) " at " (number::computed(hertz, Unit::Hertz))
                ", below 80 % of " (words::rated(driver.rated)) " (IEC 60268-5)."
            }
        }
    }
}

fn peak(motor: &Motor) -> String {
    format!(
        "{} at its resonance, {}.",
        number::computed(motor.impedance(motor.resonance).norm(), Unit::Ohm),
        number::computed(motor.resonance, Unit::Hertz)
    )
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

pub(super) fn understood(scene: &Scene, place: usize, part: DriverText) -> Markup {
    let read = values(scene, place);
    match (part, read) {
        (
            DriverText::Called,
            Some(DriverValues {
                in_place_of: Some(ohms),
                ..
            }),
        ) => html! {
            "Every speaker that hookups write as " (words::rated(*ohms)) "."
        },
        (DriverText::Called, Some(read)) => {
            html! { "Write " (read.called) " in a hookup, as in " (read.called) "//8." }
        }
        (DriverText::Called, None) => hint(part.row().empty),
        (
            DriverText::Coil,
            Some(DriverValues {
                inferred: Some(found),
                ..
            }),
        ) => {
            html! {
                @if found.customary { "Probably rated " } @else { "No usual rating; about " }
                (words::rated(found.rated))
                @for other in &found.others { ", or " (words::rated(*other)) }
                ": a coil has 0.7 to 0.85 of it (common practice)."
            }
        }
        (
            DriverText::Rated,
            Some(DriverValues {
                driver: Some(driver),
                ..
            }),
        ) => {
            html! { (words::rated(Ohms(driver.rated.0))) }
        }
        (DriverText::Curve, read) => {
            let told = scene.notices.iter().find_map(|notice| match notice {
                Notice::File(at, name, what) if *at == Some(place) => Some((name, what)),
                _ => None,
            });
            let known = read.and_then(|read| Some(&read.driver.as_ref()?.model));
            html! {
                @if let Some((name, what)) = told { b { (name) } " " (what) " " }
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
