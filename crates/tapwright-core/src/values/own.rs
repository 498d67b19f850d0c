//! What the texts of the person's own tube mean, and the model that they make.

use serde::Serialize;

use super::reader::{Problem, Reader};
use super::stage::grid;
use crate::setup::{Field, OwnKind, OwnLimits, PointEntry, PointText};
use crate::tube_in_use::TubeInUse;
use tapwright_stage::stress::Bounds;
use tapwright_tube::fit::{self, FitError, Given, OwnFit};
use tapwright_tube::{Kind, Model};
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
    /// Each value given, and the model's value.
    pub residuals: Vec<FittedValue>,
    /// The value that does not belong to the rest, if one does not.
    pub contradiction: Option<String>,
    /// What no value settles: the usual was taken.
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

/// The numbers of a point, in V, mA, mS and Ω.
type PointNumbers = PointEntry<Option<f64>>;

pub(super) fn read(reader: &mut Reader) -> OwnValues {
    let setup = reader.setup;
    let kind = match setup.own.kind {
        OwnKind::Triode => Kind::Triode,
        OwnKind::Pentode => Kind::Pentode,
        OwnKind::Beam => Kind::BeamTetrode,
    };
    let bounds = bounds(reader);
    let before = reader.problems.len();
    let mut rows = Vec::new();
    for at in 0..setup.own.points.len() {
        let numbers = point(reader, at);
        if PointText::ALL
            .iter()
            .any(|text| numbers.get(*text).is_some())
        {
            complete(reader, at, kind, &numbers, before);
            rows.push((at, numbers));
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
            .and_then(|(_, first)| Some((first.plate?, first.grid?, first.plate_ma?))),
        fitted,
    }
}

fn bounds(reader: &mut Reader) -> Bounds {
    let limits: OwnLimits<Option<f64>> =
        OwnLimits::from_each(|text| reader.number(Field::Own(text)));
    Bounds {
        plate_watts: limits.own_plate_watts,
        screen_watts: limits.own_screen_watts,
        full_screen_watts: None,
        plate_volts: limits.own_plate_volts,
        screen_volts: limits.own_screen_volts,
        cathode_amps: limits.own_cathode_ma.map(|ma| ma / 1e3),
    }
}

fn point(reader: &mut Reader, at: usize) -> PointNumbers {
    PointEntry::from_each(|text| match text {
        PointText::Grid => reader.number_by(Field::Point(at, text), grid),
        _ => reader.number(Field::Point(at, text)),
    })
}

/// Complains at the values without which a point says nothing.
fn complete(reader: &mut Reader, at: usize, kind: Kind, numbers: &PointNumbers, before: usize) {
    for (text, what) in [
        (PointText::Plate, "plate volts"),
        (PointText::Screen, "screen volts"),
        (PointText::Grid, "grid volts"),
        (PointText::PlateMa, "plate current"),
    ] {
        let field = Field::Point(at, text);
        let told = reader.problems[before..]
            .iter()
            .any(|problem| problem.field == field);
        let unneeded = kind == Kind::Triode && text == PointText::Screen;
        if numbers.get(text).is_none() && !told && !unneeded {
            let why = format!("point {} has no {what} yet", at + 1);
            reader.complain(field, why, text.row().placeholder());
        }
    }
}

fn model(kind: Kind, rows: &[(usize, PointNumbers)]) -> Result<Fitted, (Field, Complaint)> {
    let points: Vec<Given> = rows
        .iter()
        .map(|(_, numbers)| Given {
            plate_volts: numbers.plate.unwrap_or_default(),
            screen_volts: numbers.screen,
            grid_volts: numbers.grid.unwrap_or_default(),
            plate_ma: numbers.plate_ma.unwrap_or_default(),
            screen_ma: numbers.screen_ma,
            gm_ms: numbers.gm,
            rp_kohm: numbers.rp.map(|ohms| ohms / 1e3),
            mu: numbers.mu,
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
