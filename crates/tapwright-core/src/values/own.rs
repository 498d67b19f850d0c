//! What the texts of the person's own tube mean, and the model that they make.

use serde::Serialize;

use super::stage::{expected, grid};
use super::{Problem, Reader};
use crate::setup::{Field, OwnKind, OwnText, PointText};
use crate::tube_in_use::TubeInUse;
use tapwright_stage::stress::Bounds;
use tapwright_tube::fit::{self, FitError, Given, OwnFit};
use tapwright_tube::{Kind, Model};
use tapwright_units::Unit;
use tapwright_units::entry::Complaint;

/// The person's own tube as far as it could be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OwnValues {
    /// Its kind.
    pub kind: Kind,
    /// Its limits.
    pub bounds: Bounds,
    /// Plate volts, grid volts and plate milliamperes of the first point.
    pub first: Option<(f64, f64, f64)>,
    /// The model, once the points make one.
    pub fitted: Option<Fitted>,
}

impl OwnValues {
    /// The tube, once its points make a model.
    pub fn tube(&self) -> Option<TubeInUse> {
        let fitted = self.fitted.as_ref()?;
        let (plate, grid, plate_ma) = self.first?;
        Some(TubeInUse {
            designation: None,
            kind: self.kind,
            model: fitted.model,
            bounds: self.bounds,
            rating: None,
            limits_source: None,
            usual_plate_volts: plate,
            usual_plate_watts: plate * plate_ma / 1e3,
            typed_point: Some((plate, grid)),
        })
    }
}

/// A model fitted to what was typed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fitted {
    /// The model.
    pub model: Model,
    /// Every value given beside what the model makes of it.
    pub residuals: Vec<FittedValue>,
    /// The value that does not belong to the rest, if one does not.
    pub contradiction: Option<String>,
    /// What no value settles, so that what is usual was taken.
    pub assumed: Vec<&'static str>,
}

/// One value given and fitted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FittedValue {
    /// Which point, from 0.
    pub point: usize,
    /// What.
    pub quantity: &'static str,
    /// Its unit, with the space before it.
    pub unit: &'static str,
    /// As typed.
    pub given: f64,
    /// As the model has it.
    pub fitted: f64,
}

/// The place of a value among [`PointText::ALL`].
const PLATE: usize = 0;
const SCREEN: usize = 1;
const GRID_VOLTS: usize = 2;
const PLATE_MA: usize = 3;

pub(super) fn read(reader: &mut Reader) -> OwnValues {
    let setup = reader.setup;
    let kind = match setup.own.kind {
        OwnKind::Triode => Kind::Triode,
        OwnKind::Pentode => Kind::Pentode,
        OwnKind::Beam => Kind::BeamTetrode,
    };
    let bounds = bounds(reader, kind);
    let before = reader.problems.len();
    let mut rows = Vec::new();
    for at in 0..setup.own.points.len() {
        let values = point(reader, at, kind);
        if values.iter().any(Option::is_some) {
            complete(reader, at, kind, &values, before);
            rows.push((at, values));
        }
    }
    let mut fitted = None;
    if reader.problems.len() == before {
        match model(kind, &rows) {
            Ok(fit) => fitted = Some(fit),
            Err((field, complaint)) => reader.problems.push(Problem { field, complaint }),
        }
    }
    OwnValues {
        kind,
        bounds,
        first: rows
            .first()
            .and_then(|(_, values)| Some((values[PLATE]?, values[GRID_VOLTS]?, values[PLATE_MA]?))),
        fitted,
    }
}

fn bounds(reader: &mut Reader, kind: Kind) -> Bounds {
    let mut limit = |text: OwnText| {
        let expected = match text {
            OwnText::PlateWatts => expected(Unit::Watt, 0.05, 5_000.0, "12", "a plate dissipation"),
            OwnText::ScreenWatts => expected(Unit::Watt, 0.01, 500.0, "2", "a screen dissipation"),
            OwnText::PlateVolts => expected(Unit::Volt, 10.0, 10_000.0, "300", "a plate voltage"),
            OwnText::ScreenVolts => expected(Unit::Volt, 10.0, 5_000.0, "285", "a screen voltage"),
            OwnText::CathodeMa => {
                expected(Unit::Milliampere, 0.1, 10_000.0, "65", "a cathode current")
            }
        };
        let of_screen = matches!(text, OwnText::ScreenWatts | OwnText::ScreenVolts);
        if of_screen && kind == Kind::Triode {
            return None;
        }
        reader.field(Field::Own(text), |typed| expected.read(typed))
    };
    Bounds {
        plate_watts: limit(OwnText::PlateWatts),
        screen_watts: limit(OwnText::ScreenWatts),
        plate_volts: limit(OwnText::PlateVolts),
        screen_volts: limit(OwnText::ScreenVolts),
        cathode_amps: limit(OwnText::CathodeMa).map(|ma| ma / 1e3),
    }
}

/// The values of a point in the order of [`PointText::ALL`], in V, mA, mS and Ω.
fn point(reader: &mut Reader, at: usize, kind: Kind) -> [Option<f64>; 8] {
    let mut values = [None; 8];
    for (value, part) in values.iter_mut().zip(PointText::ALL) {
        let field = Field::Point(at, *part);
        let expected = match part {
            PointText::Plate => expected(Unit::Volt, 1.0, 5_000.0, "250", "a plate voltage"),
            PointText::Screen => expected(Unit::Volt, 1.0, 5_000.0, "250", "a screen voltage"),
            PointText::Grid => {
                *value = reader.field(field, grid);
                continue;
            }
            PointText::PlateMa => {
                expected(Unit::Milliampere, 0.001, 5_000.0, "45", "a plate current")
            }
            PointText::ScreenMa => {
                expected(Unit::Milliampere, 0.001, 1_000.0, "4.5", "a screen current")
            }
            PointText::Gm => expected(Unit::Millisiemens, 0.01, 200.0, "4.1", "a transconductance"),
            PointText::Rp => expected(Unit::Ohm, 50.0, 5e6, "52k", "a plate resistance"),
            PointText::Mu => expected(Unit::One, 1.0, 500.0, "9.8", "an amplification factor"),
        };
        if kind != Kind::Triode || !matches!(part, PointText::Screen | PointText::ScreenMa) {
            *value = reader.field(field, |typed| expected.read(typed));
        }
    }
    values
}

/// Complains at the values without which a point says nothing.
fn complete(reader: &mut Reader, at: usize, kind: Kind, values: &[Option<f64>; 8], before: usize) {
    let needed = [
        (PLATE, PointText::Plate, "plate volts", "250"),
        (SCREEN, PointText::Screen, "screen volts", "250"),
        (GRID_VOLTS, PointText::Grid, "grid volts", "-12.5"),
        (PLATE_MA, PointText::PlateMa, "plate current", "45"),
    ];
    for (place, part, what, example) in needed {
        let field = Field::Point(at, part);
        let told = reader.problems[before..]
            .iter()
            .any(|problem| problem.field == field);
        let unneeded = kind == Kind::Triode && part == PointText::Screen;
        if values[place].is_none() && !told && !unneeded {
            reader.problems.push(Problem {
                field,
                complaint: Complaint::new(format!("point {} has no {what} yet", at + 1), example),
            });
        }
    }
}

fn model(kind: Kind, rows: &[(usize, [Option<f64>; 8])]) -> Result<Fitted, (Field, Complaint)> {
    let points: Vec<Given> = rows
        .iter()
        .map(|(_, values)| {
            let [plate, screen, grid, plate_ma, screen_ma, gm_ms, rp, mu] = *values;
            Given {
                plate_volts: plate.unwrap_or_default(),
                screen_volts: screen,
                grid_volts: grid.unwrap_or_default(),
                plate_ma: plate_ma.unwrap_or_default(),
                screen_ma,
                gm_ms,
                rp_kohm: rp.map(|ohms| ohms / 1e3),
                mu,
            }
        })
        .collect();
    let example =
        "plate 250, screen 250, grid -12.5, plate current 45, transconductance 4.1, µ 9.8";
    if points.is_empty() {
        let why = "no operating point of your tube is typed yet";
        return Err((Field::Tube, Complaint::new(why, example)));
    }
    let typed_at = |point: usize| rows.get(point).map_or(0, |row| row.0);
    let fit = fit::own(kind, &points).map_err(|error| {
        let field = match error {
            FitError::Impossible { point, .. } => Field::Point(typed_at(point), PointText::PlateMa),
            _ => Field::Tube,
        };
        (field, Complaint::new(error.to_string(), example))
    })?;
    let OwnFit {
        model,
        residuals,
        contradiction,
        assumed,
    } = fit;
    Ok(Fitted {
        model,
        residuals: residuals
            .iter()
            .map(|residual| FittedValue {
                point: typed_at(residual.point),
                quantity: residual.quantity.name(),
                unit: residual.quantity.unit(),
                given: residual.given,
                fitted: residual.fitted,
            })
            .collect(),
        contradiction: contradiction.map(|found| found.to_string()),
        assumed: assumed.iter().map(|what| what.name()).collect(),
    })
}
