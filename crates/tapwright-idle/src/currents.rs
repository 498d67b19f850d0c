//! The currents and the dissipation that the readings tell of, all fitted together.

use serde::Serialize;
use tapwright_units::uncertainty::Uncertain;

use crate::doubt::{self, Doubt};
use crate::enough::{self, NotEnough};
use crate::fit::Fitted;
use crate::reading::{Readings, Which};
use crate::sheet::{Point, SUPPLY, Sheet, UNKNOWNS, Unknowns};
use crate::wiring::{CathodePath, ScreenPath, Taken, Wiring};

/// One side, each of its tubes alike. Volts are from the cathode.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SideFound {
    /// Cathode current of one tube, A.
    pub cathode_amps: Uncertain,
    /// Screen current of one tube, A.
    pub screen_amps: Uncertain,
    /// Plate current of one tube, A.
    pub plate_amps: Uncertain,
    /// Plate, V.
    pub plate_volts: Uncertain,
    /// Screen, V; the plate's in triode connection.
    pub screen_volts: Uncertain,
    /// Cathode from ground, V.
    pub cathode_volts: Uncertain,
    /// Grid, V.
    pub grid_volts: f64,
    /// Plate dissipation of one tube, W.
    pub plate_watts: Uncertain,
    /// Screen dissipation of one tube, W.
    pub screen_watts: Uncertain,
}

/// What stands in for a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stands {
    /// B+ as it is typed for the stage.
    Supply,
    /// The screen's volts as they are in the model.
    ScreenVolts,
    /// The screen's share of the current as the model has it.
    ScreenShare,
    /// The drop over a primary of unknown resistance: none, within 3 %.
    NoDrop,
    /// Both sides alike within 10 %.
    SidesAlike,
}

/// The plate current of all tubes by one way alone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Way {
    /// Whether that is the cathodes' resistor; otherwise the primary's winding.
    pub by_cathode: bool,
    /// A.
    pub plate_amps: Uncertain,
}

/// What the readings tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Currents {
    /// Side 1 and, in push-pull, side 2.
    pub sides: Vec<SideFound>,
    /// B+ at the primary, V from ground.
    pub supply_volts: Uncertain,
    /// What one side's part of the primary comes to, Ω; `None` where it is not known.
    pub winding_ohms: Option<f64>,
    /// What is between the cathodes and ground, as the whole current sees it, Ω.
    pub cathode_ohms: Option<f64>,
    /// How far the cathode currents of the sides differ, over their mean.
    pub apart: Option<Uncertain>,
    /// The current by each way, where there are two.
    pub ways: Vec<Way>,
    /// Readings that do not belong with the others.
    pub doubt: Option<Doubt>,
    /// What stands in for readings.
    pub stands: Vec<Stands>,
}

/// Currents and dissipation, by every reading there is.
///
/// # Errors
/// [`NotEnough`] says which reading would do.
pub fn find(wiring: &Wiring, readings: &Readings, taken: &Taken) -> Result<Currents, NotEnough> {
    let sheet = Sheet::new(wiring, readings, taken);
    enough::of(&sheet)?;
    let fitted = sheet.fit().ok_or(NotEnough::NoSolution)?;
    let mut currents = found(&sheet, &fitted);
    if !currents.is_sane() {
        return Err(NotEnough::NoSolution);
    }
    currents.ways = ways(&sheet);
    currents.doubt = doubt::among(&sheet, fitted.sum_of_squares, fitted.redundant);
    Ok(currents)
}

fn found(sheet: &Sheet, fitted: &Fitted<UNKNOWNS>) -> Currents {
    let tubes = f64::from(sheet.wiring.tubes_per_side);
    let of = |side: usize, quantity: &dyn Fn(&Point) -> f64| Uncertain {
        value: quantity(&sheet.points(&fitted.at)[side]),
        uncertainty: fitted.uncertainty(|at| quantity(&sheet.points(at)[side])),
    };
    let side = |side: usize| SideFound {
        cathode_amps: of(side, &|p| (p.plate_amps + p.screen_amps) / tubes),
        screen_amps: of(side, &|p| p.screen_amps / tubes),
        plate_amps: of(side, &|p| p.plate_amps / tubes),
        plate_volts: of(side, &|p| p.plate - p.cathode),
        screen_volts: of(side, &|p| p.screen - p.cathode),
        cathode_volts: of(side, &|p| p.cathode),
        grid_volts: sheet.grid_volts(side) - sheet.points(&fitted.at)[side].cathode,
        plate_watts: of(side, &|p| (p.plate - p.cathode) * p.plate_amps / tubes),
        screen_watts: of(side, &|p| (p.screen - p.cathode) * p.screen_amps / tubes),
    };
    let current = |point: &Point| point.plate_amps + point.screen_amps;
    let apart = |at: &Unknowns| {
        let points = sheet.points(at);
        let [one, other] = [current(&points[0]), current(&points[1])];
        2.0 * (one - other) / (one + other)
    };
    let points = sheet.points(&fitted.at);
    let all: f64 = points.iter().map(current).sum();
    let winding =
        |point: &Point| point.drop / (point.plate_amps + sheet.in_winding() * point.screen_amps);
    let sides = sheet.wiring.sides;
    Currents {
        sides: (0..sides).map(side).collect(),
        supply_volts: Uncertain {
            value: fitted.at[SUPPLY],
            uncertainty: fitted.uncertainty(|at| at[SUPPLY]),
        },
        winding_ohms: (sheet.wiring.winding.is_some() || !sheet.drop_is_taken(0))
            .then(|| points.iter().take(sides).map(winding).sum::<f64>() / sides as f64),
        cathode_ohms: match sheet.wiring.cathode {
            CathodePath::Grounded => None,
            _ => Some(points[0].cathode / all),
        },
        apart: (sides == 2 && sheet.settled() == 2).then(|| Uncertain {
            value: apart(&fitted.at),
            uncertainty: fitted.uncertainty(apart),
        }),
        ways: Vec::new(),
        doubt: None,
        stands: stands(sheet),
    }
}

fn stands(sheet: &Sheet) -> Vec<Stands> {
    let sides = sheet.wiring.sides;
    let any_plate = sheet.readings.sides.iter().any(|read| read.plate.is_some());
    let any_side = |is_it: &dyn Fn(usize) -> bool| (0..sides).any(is_it);
    let screens = [0, 1].map(|side| sheet.readings.sides[side].screen.is_some());
    [
        (
            !any_plate && sheet.readings.supply.is_none(),
            Stands::Supply,
        ),
        (
            sheet.wiring.screen == ScreenPath::Steady && screens == [false; 2],
            Stands::ScreenVolts,
        ),
        (
            sheet.has_screen() && !any_side(&|side| sheet.screen_is_read(side)),
            Stands::ScreenShare,
        ),
        (any_side(&|side| sheet.drop_is_taken(side)), Stands::NoDrop),
        (sides == 2 && sheet.settled() < 2, Stands::SidesAlike),
    ]
    .into_iter()
    .filter_map(|(stands, what)| stands.then_some(what))
    .collect()
}

/// The plate current by the cathodes alone and by the primary alone, where both tell.
fn ways(sheet: &Sheet) -> Vec<Way> {
    let reads_plate = sheet.readings.sides.iter().any(|read| read.plate.is_some());
    let by_cathode = sheet
        .suspects()
        .into_iter()
        .fold(*sheet, |rest, which| match which {
            Which::PrimaryDrop(_) => rest.without(which),
            Which::Supply if reads_plate => rest.without(which),
            _ => rest,
        });
    let by_primary = sheet
        .suspects()
        .into_iter()
        .fold(*sheet, |rest, which| match which {
            Which::Cathode(_) => rest.without(which),
            _ => rest,
        });
    let sides = sheet.wiring.sides;
    let all = |at: &Unknowns, sheet: &Sheet| -> f64 {
        sheet.points(at).iter().map(|point| point.plate_amps).sum()
    };
    let way = |sheet: &Sheet, by_cathode: bool| {
        let whole = match by_cathode {
            true => sheet.common_current() || (0..sides).all(|side| sheet.own_current(side)),
            false => (0..sides).all(|side| sheet.own_current(side)),
        };
        let fitted = whole.then(|| sheet.fit())??;
        Some(Way {
            by_cathode,
            plate_amps: Uncertain {
                value: all(&fitted.at, sheet),
                uncertainty: fitted.uncertainty(|at| all(at, sheet)),
            },
        })
    };
    match (way(&by_cathode, true), way(&by_primary, false)) {
        (Some(one), Some(other)) => vec![one, other],
        _ => Vec::new(),
    }
}

impl Currents {
    /// Whether currents flow the way they flow in a tube.
    fn is_sane(&self) -> bool {
        self.sides.iter().all(|side| {
            side.plate_amps.value > 0.0
                && side.plate_amps.value < 20.0
                && side.screen_amps.value >= 0.0
                && side.plate_volts.value > 0.0
        })
    }

    /// Plate current of all tubes, A, and screen current.
    pub fn all_amps(&self, tubes_per_side: u32) -> (f64, f64) {
        let tubes = f64::from(tubes_per_side);
        let plates = self.sides.iter().map(|side| tubes * side.plate_amps.value);
        let screens = self.sides.iter().map(|side| tubes * side.screen_amps.value);
        (plates.sum(), screens.sum())
    }
}

#[cfg(test)]
mod tests;
