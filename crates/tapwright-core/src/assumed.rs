//! The output stage to be computed: what was typed, and what is taken where nothing was.
//!
//! Nothing that is taken may endanger a tube: the published operating example nearest to
//! what was typed is followed where it is near, and elsewhere, or where the example would
//! idle too hot, the grid is set for a dissipation that is known to be safe.

use serde::Serialize;

use crate::published;
use crate::setup::{Screens, Topology};
use crate::tube_in_use::TubeInUse;
use crate::values::{ScreenResistor, StageNumbers, Values};
use tapwright_stage::stress::{Bounds, Burden, exceeded_at_idle};
use tapwright_stage::{Idle, Imbalance, ScreenFeed, Stage, StageError, Stoppers, Supply};
use tapwright_tube::{Bias, Kind, OperatingExample};
use tapwright_units::Volts;

/// A published example is followed up to this difference of plate voltage.
const NEAR: f64 = 0.1;

/// Up to this difference of plate voltage the stage counts as the published one, screens and
/// all.
const AS_PUBLISHED: f64 = 0.02;

/// Screens are wired to B+ where that is at most this many times their limit. Common practice,
/// no source.
const ON_SUPPLY_UP_TO: f64 = 1.1;

/// Share of the plate dissipation at idle where no example is followed: fixed bias in
/// push-pull, and single-ended class A. Common practice, no source.
const SHARE_PUSH_PULL: f64 = 0.65;
const SHARE_SINGLE_ENDED: f64 = 0.85;

/// Why a value is what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// It was typed.
    Typed,
    /// It stands in the published example.
    Published,
    /// The kind of stage implies it.
    Customary,
    /// It is what B+ is.
    FromSupply,
    /// The published limit of the screen.
    ScreenLimit,
    /// Of two ways that are both common the one that asks more of the tube.
    MoreCareful,
    /// It sets the plate dissipation at idle to a safe share of the limit.
    SafeDissipation,
    /// The supply that is described gives it.
    Described,
    /// It is not counted.
    NotCounted,
}

/// The volts that name a published example.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ExampleVolts {
    /// At the plate.
    pub plate: Volts,
    /// Whether they are counted from a cathode that stands above ground.
    pub from_cathode: bool,
}

/// What the supply that is described gives a stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Supplied {
    /// B+ at idle, V: as typed, or as computed.
    pub volts: f64,
    /// By how much it falls for an ampere more, Ω.
    pub ohms: f64,
    /// What stands between the plates' capacitor and the screens', Ω.
    pub screen_ohms: Option<f64>,
}

/// The tube that the stage is computed with, if one is chosen.
pub(crate) fn tube(values: &Values) -> Option<TubeInUse> {
    if let Some(own) = &values.own {
        return own.tube();
    }
    tapwright_tube::find(&values.tube)
        .filter(|tube| published::is_power_tube(tube))
        .map(TubeInUse::of)
}

/// Everything that the stage was made of.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Assumed {
    /// Tubes in all.
    pub tubes: (u32, Why),
    /// B+ at the primary at idle, V from ground.
    pub supply: (f64, Why),
    /// Steady screens: their supply, V from ground.
    pub screen: Option<(f64, Why)>,
    /// The other common voltage for them, where the more careful one was taken, V.
    pub other_screen: Option<f64>,
    /// Screen resistor common to all tubes.
    pub screen_resistor: (ScreenResistor, Why),
    /// Screen tap, fraction of the turns.
    pub screen_tap: Option<(f64, Why)>,
    /// What holds the grid negative.
    pub bias: (Bias, Why),
    /// The example that was followed.
    pub example: Option<ExampleVolts>,
}

/// Builds the stage from what was read, on a primary with a winding resistance in ohms, behind the
/// supply that is described, if one is.
///
/// # Errors
/// As [`Idle::of`].
pub(crate) fn stage(
    values: &Values,
    tube: &TubeInUse,
    winding: f64,
    supplied: Option<&Supplied>,
) -> Result<(Stage, Assumed), StageError> {
    let described = supplied.map(|supplied| supplied.volts);
    let supply = values.supply.map(|volts| volts.0).or(described);
    let known = tube.designation.and_then(tapwright_tube::find);
    Builder {
        values,
        typed: &values.stage,
        supplied,
        supply,
        tube,
        winding,
        example: known
            .and_then(|tube| published::example(tube, values.topology, values.screens, supply)),
    }
    .build()
}

/// A feed of the screens, with the voltage or the tap that was taken for it.
type ChosenFeed = (ScreenFeed, Option<(f64, Why)>, Option<(f64, Why)>);

struct Builder<'a> {
    values: &'a Values,
    typed: &'a StageNumbers,
    supplied: Option<&'a Supplied>,
    /// B+ as typed, or as the described supply gives it.
    supply: Option<f64>,
    tube: &'a TubeInUse,
    winding: f64,
    example: Option<&'a OperatingExample>,
}

impl Builder<'_> {
    fn build(&self) -> Result<(Stage, Assumed), StageError> {
        let tubes = self.tubes();
        let supply = self.supply();
        let (feed, screen, screen_tap) = self.screen(supply.0);
        let taken = screen.is_some_and(|(_, why)| why == Why::MoreCareful);
        let other_screen = taken.then(|| self.lower_screen(supply.0)).flatten();
        let screen_resistor = self.screen_resistor();
        let mut stage = Stage {
            model: self.tube.model,
            topology: self.values.topology,
            tubes_per_side: match self.values.topology {
                Topology::PushPull => tubes.0 / 2,
                Topology::SingleEnded => tubes.0,
            },
            plate_supply: Supply {
                volts: supply.0,
                ohms: 0.0,
            },
            screen: feed,
            bias: Bias::Fixed(0.0),
            stoppers: Stoppers {
                each: self.typed.stopper.unwrap_or_default(),
                common: match feed {
                    ScreenFeed::Tap(_) => 0.0,
                    _ => screen_resistor.0.before_and_without().1,
                },
            },
            primary_ohms: self.winding,
            imbalance: Imbalance {
                current: self.typed.unlike_current.unwrap_or_default(),
                drive: self.typed.unlike_drive.unwrap_or_default(),
                turns: self.typed.unlike_turns.unwrap_or_default(),
            },
        };
        let bias = self.bias(&stage, supply.0, tubes.0)?;
        stage.bias = bias.0;
        let described = self.supplied.map(|supplied| supplied.ohms);
        let source = self.typed.source.or(described);
        if let Some(ohms) = source.filter(|ohms| *ohms > 0.0) {
            // B+ is what a meter shows at idle: behind its resistance stands more.
            let idle = Idle::of(&stage)?;
            let screens = match stage.screen {
                ScreenFeed::Own(_) => 0.0,
                _ => idle.all_screen_amps,
            };
            stage.plate_supply = Supply {
                volts: supply.0 + ohms * (idle.all_plate_amps + screens),
                ohms,
            };
        }
        let assumed = Assumed {
            tubes,
            supply,
            screen,
            other_screen,
            screen_resistor,
            screen_tap,
            bias,
            example: self.example.map(|example| ExampleVolts {
                plate: Volts(example.plate_volts),
                from_cathode: example.counts_from_cathode(),
            }),
        };
        Ok((stage, assumed))
    }

    fn tubes(&self) -> (u32, Why) {
        let customary = || {
            (
                published::customary_tubes(self.values.topology),
                Why::Customary,
            )
        };
        (self.typed.tubes).map_or_else(customary, |tubes| (tubes as u32, Why::Typed))
    }

    fn supply(&self) -> (f64, Why) {
        if let Some(volts) = self.supply {
            return match self.values.supply {
                Some(_) => (volts, Why::Typed),
                None => (volts, Why::Described),
            };
        }
        match self.example {
            Some(example) => self.for_screens(example.supply_volts().round(), Why::Published),
            None => self.for_screens(self.tube.usual_plate_volts, Why::Customary),
        }
    }

    /// A B+ to be taken: no more than the screens may stand at where they hang on it.
    fn for_screens(&self, volts: f64, why: Why) -> (f64, Why) {
        let hang = self.tube.kind != Kind::Triode && self.values.screens != Screens::Steady;
        match self.tube.bounds.screen_volts.filter(|_| hang) {
            Some(limit) if limit < volts => (limit, Why::ScreenLimit),
            _ => (volts, why),
        }
    }

    /// The feed, and the voltage or the tap that was taken for it.
    fn screen(&self, supply: f64) -> ChosenFeed {
        let (ohms, _) = self.screen_resistor().0.before_and_without();
        if self.tube.kind == Kind::Triode || self.values.screens == Screens::Plates {
            return (ScreenFeed::Tap(1.0), None, None);
        }
        if self.values.screens == Screens::Taps {
            // Common practice, no source.
            let tap = self
                .typed
                .screen_tap
                .map_or((0.43, Why::Customary), |tap| (tap, Why::Typed));
            return (ScreenFeed::Tap(tap.0), None, Some(tap));
        }
        let own = |volts: f64, why| {
            (
                ScreenFeed::Own(Supply { volts, ohms }),
                Some((volts, why)),
                None,
            )
        };
        if let Some(volts) = self.typed.screen {
            return own(volts, Why::Typed);
        }
        let on_supply = |why| (ScreenFeed::Dropper(ohms), Some((supply, why)), None);
        let behind = self.supplied.and_then(|supplied| supplied.screen_ohms);
        if let (Some(behind), None) = (behind, self.values.screen_resistor) {
            let feed = ScreenFeed::Dropper(behind);
            return (feed, Some((supply, Why::FromSupply)), None);
        }
        match self.lower_screen(supply) {
            None => on_supply(Why::FromSupply),
            Some(_) if self.would_be_on_supply(supply) => on_supply(Why::MoreCareful),
            Some(volts) if volts == self.screen_limit() => own(volts, Why::ScreenLimit),
            Some(volts) => own(volts, Why::Published),
        }
    }

    fn screen_limit(&self) -> f64 {
        self.tube.bounds.screen_volts.unwrap_or(f64::INFINITY)
    }

    /// The voltage below B+ that the screens of such a stage commonly have: as published, or
    /// their limit. `None` where they hang on B+.
    fn lower_screen(&self, supply: f64) -> Option<f64> {
        let limit = self.screen_limit();
        let published = self.example.map(OperatingExample::screen_volts);
        let plate = self.example.map_or(supply, |example| example.plate_volts);
        let apart = published.filter(|volts| (volts / plate - 1.0).abs() > 0.02);
        // A resistor that is typed hangs on B+.
        let resistor = self.values.screen_resistor.is_some_and(|r| r.ohms > 0.0);
        apart
            .filter(|volts| *volts <= limit.min(supply))
            .or_else(|| {
                (supply > limit && !resistor && !self.is_published(supply)).then_some(limit)
            })
    }

    /// Whether B+ is that of the example: then its screens are wired as published too.
    fn is_published(&self, supply: f64) -> bool {
        (self.example)
            .is_some_and(|example| (supply / example.supply_volts() - 1.0).abs() <= AS_PUBLISHED)
    }

    /// Whether screens are as commonly wired to a B+ that was typed as to a lower voltage. They
    /// run hotter there.
    fn would_be_on_supply(&self, supply: f64) -> bool {
        self.supply.is_some()
            && !self.is_published(supply)
            && supply <= ON_SUPPLY_UP_TO * self.screen_limit()
    }

    fn screen_resistor(&self) -> (ScreenResistor, Why) {
        match (self.values.screen_resistor, self.example) {
            (Some(resistor), _) => (resistor, Why::Typed),
            (None, Some(example)) if example.screen_ohms > 0.0 => {
                let tubes = f64::from(self.tubes().0)
                    / f64::from(published::customary_tubes(example.topology));
                let published = ScreenResistor {
                    ohms: example.screen_ohms / tubes,
                    capacitor: false,
                };
                (published, Why::Published)
            }
            _ => (ScreenResistor::NONE, Why::NotCounted),
        }
    }

    fn bias(&self, stage: &Stage, supply: f64, tubes: u32) -> Result<(Bias, Why), StageError> {
        if let Some(ohms) = self.typed.cathode {
            return Ok((Bias::Cathode(ohms), Why::Typed));
        }
        if let Some(volts) = self.typed.grid {
            return Ok((Bias::Fixed(volts), Why::Typed));
        }
        let limit = self.tube.bounds.plate_watts;
        let published = self.published_bias(supply, tubes);
        if let Some(bias) = published {
            let idle = Idle::of(&Stage { bias, ..*stage })?;
            if exceeded_at_idle(&idle, &self.tube.bounds)
                .iter()
                .all(|passed| passed.burden == Burden::PlateVolts)
            {
                return Ok((bias, Why::Published));
            }
        }
        let watts = self.safe_watts(limit);
        let grid = grid_for(stage, watts, &self.tube.bounds)?;
        Ok((Bias::Fixed(grid), Why::SafeDissipation))
    }

    /// The bias of the example or of the typed point that is near enough.
    fn published_bias(&self, supply: f64, tubes: u32) -> Option<Bias> {
        if let Some(example) = self.example {
            let far = |a: f64, b: f64| (a / b - 1.0).abs() > NEAR;
            let other_plate = far(supply, example.supply_volts()) && self.supply.is_some();
            let screens = self.screen(supply).1.map(|(volts, _)| volts);
            let other_screens = screens.is_some_and(|volts| far(volts, example.screen_volts()));
            if other_plate || other_screens {
                return None;
            }
            return Some(match example.bias {
                Bias::Fixed(volts) => Bias::Fixed(volts),
                Bias::Cathode(ohms) => Bias::Cathode(
                    ohms * f64::from(published::customary_tubes(example.topology))
                        / f64::from(tubes),
                ),
            });
        }
        let (plate, grid) = self.tube.typed_point?;
        ((supply / plate - 1.0).abs() <= NEAR && self.values.topology == Topology::SingleEnded)
            .then_some(Bias::Fixed(grid))
    }

    /// Plate dissipation of one tube at idle to set the grid for, W.
    fn safe_watts(&self, limit: Option<f64>) -> f64 {
        let share = match self.values.topology {
            Topology::PushPull => SHARE_PUSH_PULL,
            Topology::SingleEnded => SHARE_SINGLE_ENDED,
        };
        let most = share * limit.unwrap_or(self.tube.usual_plate_watts);
        // An example that idles cooler is followed in that.
        self.example.map_or(most, |example| {
            let each = example.plate_ma.idle
                / 1e3
                / f64::from(published::customary_tubes(example.topology));
            most.min(each * example.plate_volts)
        })
    }
}

/// The fixed grid voltage at which one tube idles at this plate dissipation, by bisection;
/// or as near as the other limits allow, and half of the current at zero grid volts, so
/// that a swing is left. The most negative tried where even that is hotter.
fn grid_for(stage: &Stage, watts: f64, bounds: &Bounds) -> Result<f64, StageError> {
    let volts = stage.plate_supply.volts;
    let (mut low, mut high) = (-volts.min(400.0), 0.0);
    let within = |value: f64, limit: Option<f64>| limit.is_none_or(|limit| value <= limit);
    let bias = Bias::Fixed(0.0);
    let most = 0.5 * Idle::of(&Stage { bias, ..*stage })?.plate_amps;
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        let bias = Bias::Fixed(middle);
        let idle = Idle::of(&Stage { bias, ..*stage })?;
        let safe = idle.plate_watts <= watts
            && idle.plate_amps <= most
            && within(idle.screen_watts, bounds.screen_watts)
            && within(idle.plate_amps + idle.screen_amps, bounds.cathode_amps);
        if safe {
            low = middle;
        } else {
            high = middle;
        }
    }
    // A tenth is as fine as one sets it before a meter shows the current.
    Ok((low * 10.0).floor() / 10.0)
}
