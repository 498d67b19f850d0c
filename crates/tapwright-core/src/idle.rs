//! The idle point as readings tell it, and the bias for the dissipation wanted: a leaf of its
//! own, a pure function of [`Solved`].

use serde::Serialize;
use tapwright_idle::currents::{self, Currents, SideFound};
use tapwright_idle::leak::{self, Leak};
use tapwright_idle::scaled::OtherSetting;
use tapwright_idle::wanted::AtBias;
use tapwright_idle::{NotEnough, Scaled};
use tapwright_stage::StageError;
use tapwright_tube::{Bias, RatingSystem};
use tapwright_units::uncertainty::Uncertain;

mod along;
mod note;
mod on_bench;
mod set;
mod workings;

pub use along::AlongBias;
pub use note::Note;
pub use set::{Driven, Later, Made, Reached, Setting, WantedReport};
pub use tapwright_idle::{Doubt, Stands, Wanting, Way, Which};

use crate::output::SolvedStage;
use crate::solved::Solved;
use crate::values::WantedWatts;
use crate::working::Working;

/// What the plate and the screen of one tube may dissipate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limit {
    /// Plate, W.
    pub plate_watts: f64,
    /// Screen, W.
    pub screen_watts: Option<f64>,
    /// The promise that these are.
    pub rating: Option<RatingSystem>,
}

/// What the readings came to.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Read {
    /// Nothing was read.
    Nothing,
    /// Any one of these lists would do: all that is in it.
    NotEnough(Vec<Vec<Wanting>>),
    /// The readings cannot be of one stage.
    Impossible,
    /// Currents and dissipation.
    Found(Box<FoundIdle>),
}

/// Currents and dissipation from readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FoundIdle {
    /// Side 1 and, in push-pull, side 2.
    pub sides: Vec<SideShare>,
    /// How far the cathode currents of the sides differ, over their mean.
    pub apart: Option<Uncertain>,
    /// The current by each way, where there are two.
    pub ways: Vec<Way>,
    /// Readings that do not belong with the others.
    pub doubt: Option<Doubt>,
    /// What stands in for readings.
    pub stands: Vec<Stands>,
    /// All currents over those of the model of the type.
    pub factor: Option<f64>,
    /// Grid volts by which the model is shifted, where a second setting was read.
    pub shift: Option<f64>,
    /// Whether a second setting was read that no tube like this one can have.
    pub other_is_odd: bool,
    /// What the resistor between the cathodes and ground dissipates, W.
    pub cathode_resistor_watts: Option<f64>,
}

/// One side, and its dissipation over the limits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SideShare {
    /// Currents, volts and watts of one tube.
    #[serde(flatten)]
    pub found: SideFound,
    /// Plate dissipation over its limit.
    pub plate_share: Option<Uncertain>,
    /// Screen dissipation over its limit.
    pub screen_share: Option<Uncertain>,
}

/// The idle point, read and wanted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IdleReport {
    /// Tubes in all.
    pub tubes: u32,
    /// What one tube may dissipate, where that is known.
    pub limit: Option<Limit>,
    /// As computed with the model of the type, one tube.
    pub computed: AtBias,
    /// As read.
    pub read: Read,
    /// A grid above ground.
    pub leak: Option<Leak>,
    /// What was wanted; not answered while a grid stands above ground.
    pub wanted: Option<WantedReport>,
    /// Plate dissipation against the bias.
    pub along: Option<AlongBias>,
    /// What to beware of.
    pub notes: Vec<Note>,
    /// How the numbers came about.
    pub workings: Vec<Working>,
}

/// The idle point of the stage that is followed; `None` without a tube.
///
/// # Errors
/// Why the stage has no idle point, in words.
pub fn ask(solved: &Solved) -> Option<Result<IdleReport, String>> {
    let stage = solved.stage()?;
    Some(report(solved, stage).map_err(|why| why.to_string()))
}

fn report(solved: &Solved, stage: &SolvedStage) -> Result<IdleReport, StageError> {
    let bench = on_bench::bench(solved, stage);
    let driver_plate = solved.amplifier.drive.driver_supply;
    let mut grids = bench.readings.sides.iter().filter_map(|side| side.grid);
    let leak = grids.find_map(|grid| leak::of(&grid, on_bench::leak_ohms(solved), driver_plate));
    let limit = stage.tube.bounds.plate_watts.map(|plate_watts| Limit {
        plate_watts,
        screen_watts: stage.tube.bounds.screen_watts,
        rating: stage.tube.rating,
    });
    let (currents, scaled, read) = match bench.is_read {
        false => (None, None, Read::Nothing),
        true => match currents::find(&bench.wiring, &bench.readings, &bench.taken) {
            Err(NotEnough::AnyOf(lists)) => (None, None, Read::NotEnough(lists)),
            Err(NotEnough::NoSolution) => (None, None, Read::Impossible),
            Ok(currents) => {
                let (scaled, other_is_odd) = match leak {
                    // The model has no grid above ground, and nothing is set until it is mended.
                    Some(_) => (None, false),
                    None => scaled(solved, stage, &currents),
                };
                let found = found(&currents, scaled.as_ref(), other_is_odd, limit);
                (Some(currents), scaled, Read::Found(Box::new(found)))
            }
        },
    };
    let of_tube = scaled.map_or(stage.stage, |scaled| scaled.stage);
    let watts = solved.readings.wanted.and_then(|wanted| match wanted {
        WantedWatts::Watts(watts) => Some(watts),
        WantedWatts::OfLimit(share) => limit.map(|limit| share * limit.plate_watts),
    });
    let wanted = match watts.filter(|_| leak.is_none()) {
        Some(watts) => Some(set::wanted(
            solved,
            stage,
            &of_tube,
            currents.as_ref(),
            limit,
            watts,
        )?),
        None => None,
    };
    let along = along::along(
        &of_tube,
        limit,
        read_watts(currents.as_ref()).filter(|_| leak.is_none()),
        wanted.as_ref(),
    );
    let mut notes = note::notes(stage, limit, &read, wanted.as_ref(), leak.is_some(), &bench);
    if solved.readings.wanted.is_some() && watts.is_none() {
        notes.push(Note::LimitUnknown);
    }
    Ok(IdleReport {
        tubes: stage.assumed.tubes.0,
        limit,
        computed: AtBias::of(&stage.stage, stage.stage.bias)?,
        workings: workings::every(&bench, currents.as_ref(), wanted.as_ref()),
        read,
        leak,
        wanted,
        along,
        notes,
    })
}

/// The stage scaled to the readings, and whether a second setting that was read cannot be.
fn scaled(solved: &Solved, stage: &SolvedStage, currents: &Currents) -> (Option<Scaled>, bool) {
    let one = Scaled::new(&stage.stage, currents);
    let Some((ohms, cathode_volts)) = solved.readings.other else {
        return (one, false);
    };
    let other = OtherSetting {
        ohms,
        cathode_volts,
    };
    let is_cathode = matches!(stage.stage.bias, Bias::Cathode(_));
    match is_cathode.then(|| Scaled::with_second(&stage.stage, currents, other)) {
        Some(Some(both)) => (Some(both), false),
        Some(None) => (one, true),
        None => (one, false),
    }
}

fn found(
    currents: &Currents,
    scaled: Option<&Scaled>,
    other_is_odd: bool,
    limit: Option<Limit>,
) -> FoundIdle {
    let over = |watts: Uncertain, limit: f64| Uncertain {
        value: watts.value / limit,
        uncertainty: watts.uncertainty / limit,
    };
    let sides = currents.sides.iter().map(|side| SideShare {
        found: *side,
        plate_share: limit.map(|limit| over(side.plate_watts, limit.plate_watts)),
        screen_share: limit
            .and_then(|limit| limit.screen_watts)
            .map(|limit| over(side.screen_watts, limit)),
    });
    FoundIdle {
        sides: sides.collect(),
        apart: currents.apart,
        ways: currents.ways.clone(),
        doubt: currents.doubt.clone(),
        stands: currents.stands.clone(),
        factor: scaled.map(|scaled| scaled.factor),
        shift: (scaled.map(|scaled| scaled.shift)).filter(|shift| *shift != 0.0),
        other_is_odd,
        cathode_resistor_watts: currents.cathode_ohms.map(|ohms| {
            let volts = currents.sides[0].cathode_volts.value;
            volts * volts / ohms
        }),
    }
}

/// The hotter tube's dissipation as read, W.
fn read_watts(currents: Option<&Currents>) -> Option<f64> {
    let sides = currents?.sides.iter();
    let watts = sides.map(|side| side.plate_watts.value);
    Some(watts.fold(0.0, f64::max))
}
