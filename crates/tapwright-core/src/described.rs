//! The power supply as it was described, and B+ behind it with what the stage draws at idle.

use serde::Serialize;
use tapwright_stage::Idle;
use tapwright_supply::{Capacitor, Feed, MainsTransformer, Section, Series, Steady, Supply};

use crate::assumed::{self, Supplied};
use crate::setup::{Field, Isolation, SectionText, StampedCurrent, SupplyText};
use crate::taken::Taken;
use crate::values::{Feeds, RectifierKind, SupplyValues, Values};

/// Usual ratings of mains taps, V. Common practice, no source.
const USUAL_TAPS: [f64; 10] = [
    100.0, 110.0, 115.0, 117.0, 120.0, 127.0, 200.0, 220.0, 230.0, 240.0,
];
const USUAL_HERTZ: f64 = 50.0;
/// What each half of the copper loses of a small transformer's volts at its stamped current.
/// Common practice, no source.
const LOST_IN_WIRE: f64 = 0.05;
/// A stamped current where none is known, A. Common practice, no source.
const USUAL_AMPS: f64 = 0.1;
/// What the stages before the output stage draw, A. Common practice, no source.
const USUAL_DRIVER_AMPS: f64 = 0.002;
/// The mains' own resistance where nothing else is in the way, Ω. Common practice, no source.
const MAINS_OHMS: f64 = 1.0;

/// B+ counts as found when it moves by less than this, V.
const FOUND: f64 = 0.02;
/// It takes some five; a supply that hardly gives what is drawn takes more.
const MOST_ROUNDS: usize = 40;

/// What is drawn from the supply, A.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Loads {
    /// By the output tubes' plates.
    pub plates: f64,
    /// By their screens.
    pub screens: f64,
    /// By the stages before.
    pub drivers: f64,
}

impl Loads {
    /// All of them, with plates and screens that many times what they are.
    pub fn times(self, factor: f64) -> Self {
        Self {
            plates: factor * self.plates,
            screens: factor * self.screens,
            ..self
        }
    }

    /// In all, A.
    pub fn amps(self) -> f64 {
        self.plates + self.screens + self.drivers
    }
}

/// The capacitors that feed something, counted from the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Places {
    /// The plates.
    pub plates: usize,
    /// The screens.
    pub screens: usize,
    /// The stages before.
    pub drivers: usize,
}

/// A supply of which enough is known to be solved.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Described {
    /// The mains as it is, V.
    pub mains: f64,
    /// The tap in use, V; the mains where there is no transformer.
    pub tap: f64,
    /// Every tap, V.
    pub taps: Vec<f64>,
    /// The tap that suits the mains.
    pub advised: f64,
    /// The transformer; `None` where the chassis is live.
    pub transformer: Option<MainsTransformer>,
    /// The rectifier.
    pub rectifier: RectifierKind,
    /// The resistor at each plate of the rectifier, Ω.
    pub plate_ohms: f64,
    /// The supply on the tap in use, without loads.
    pub supply: Supply,
    /// Ratings of the capacitors, V.
    pub rated: Vec<Option<f64>>,
    /// What hangs where.
    pub places: Places,
    /// What the stages before the output stage draw, A.
    pub driver_amps: f64,
    /// What is stamped on the secondary, A, where that was typed.
    pub stamped_amps: Option<f64>,
    /// How that is meant.
    pub current: StampedCurrent,
    /// The fuse, A.
    pub fuse: Option<f64>,
    /// What was taken.
    pub taken: Vec<Taken>,
}

/// The fields that a supply still needs; empty where none is described at all.
pub fn missing(values: &SupplyValues) -> Vec<Field> {
    let text = |text| Field::PowerSupply(text);
    let is_live = values.isolation == Isolation::None;
    let (winding, mains) = (values.winding, values.numbers.mains);
    let (rectifier, first) = (values.rectifier, values.numbers.reservoir);
    if winding.is_none() && rectifier.is_none() && first.is_none() && !is_live {
        return Vec::new();
    }
    let mut missing = Vec::new();
    let mut wants = |absent: bool, field| missing.extend(absent.then_some(field));
    wants(is_live && mains.is_none(), text(SupplyText::Mains));
    wants(!is_live && winding.is_none(), text(SupplyText::Winding));
    wants(rectifier.is_none(), text(SupplyText::Rectifier));
    wants(first.is_none(), text(SupplyText::First));
    for (at, section) in values.filter.iter().enumerate() {
        let is_begun = SectionText::ALL
            .iter()
            .any(|text| section.numbers.get(*text).is_some());
        let numbers = &section.numbers;
        wants(
            is_begun && numbers.ohms.is_none(),
            Field::Section(at, SectionText::Ohms),
        );
        wants(
            is_begun && numbers.farads.is_none(),
            Field::Section(at, SectionText::Farads),
        );
    }
    missing
}

impl Described {
    /// The supply, where enough of it is typed.
    pub fn new(values: &SupplyValues) -> Option<Self> {
        let rectifier = values.rectifier?;
        let farads = values.numbers.reservoir?;
        if !missing(values).is_empty() {
            return None;
        }
        let numbers = &values.numbers;
        let mut taken = Vec::new();
        let mut take = |text, typed: Option<f64>, usual: f64| {
            typed.unwrap_or_else(|| {
                taken.push(Taken {
                    field: Field::PowerSupply(text),
                    value: usual,
                });
                usual
            })
        };
        let hertz = take(SupplyText::Hertz, numbers.mains_hertz, USUAL_HERTZ);
        let taps = taps(values);
        let mains = match (numbers.mains, numbers.mains_tap, taps.as_slice()) {
            (typed @ Some(_), ..) => take(SupplyText::Mains, typed, 0.0),
            (None, Some(tap), _) => take(SupplyText::Mains, None, tap),
            (None, None, taps) => take(
                SupplyText::Mains,
                None,
                taps.iter().copied().fold(0.0, f64::max),
            ),
        };
        let advised = MainsTransformer::tap_for(mains, &taps)?;
        let tap = numbers.mains_tap.unwrap_or(advised);
        let transformer = match values.isolation {
            Isolation::None => None,
            Isolation::Transformer => {
                let stamped = take(SupplyText::Amps, numbers.winding_amps, USUAL_AMPS);
                let volts = values.winding?;
                // What is reflected goes by the turns squared, at the volts without load.
                let turns = (volts * (1.0 + 2.0 * LOST_IN_WIRE) / tap).powi(2);
                let usual = match numbers.mains_ohms {
                    Some(ohms) => ohms * turns,
                    None => LOST_IN_WIRE * volts / stamped,
                };
                let winding = take(SupplyText::WindingOhms, numbers.winding_ohms, usual);
                Some(MainsTransformer {
                    rated_volts: tap,
                    stamped_volts: volts,
                    stamped_amps: stamped,
                    winding_ohms: winding,
                    primary_ohms: take(SupplyText::MainsOhms, numbers.mains_ohms, winding / turns),
                })
            }
        };
        let driver_amps = take(
            SupplyText::DriverMa,
            numbers.driver_ma,
            1e3 * USUAL_DRIVER_AMPS,
        ) / 1e3;
        let capacitor = |farads, bleeder_ohms| Capacitor {
            farads,
            amps: 0.0,
            bleeder_ohms,
        };
        let begun = values
            .filter
            .iter()
            .filter(|section| section.numbers.ohms.is_some());
        let mut rated = vec![numbers.reservoir_volts];
        let mut feeds = vec![Feeds::default()];
        let sections = begun
            .filter_map(|section| {
                let ohms = section.numbers.ohms?;
                rated.push(section.numbers.volts);
                feeds.push(section.feeds);
                Some(Section {
                    series: match section.numbers.henries {
                        Some(henries) => Series::Choke(henries, ohms),
                        None => Series::Resistor(ohms),
                    },
                    capacitor: capacitor(section.numbers.farads?, None),
                })
            })
            .collect();
        let plate_ohms = numbers.rectifier_ohms.unwrap_or_default();
        Some(Self {
            mains,
            tap,
            taps,
            advised,
            transformer,
            rectifier,
            plate_ohms,
            supply: Supply {
                feed: feed(transformer.as_ref(), mains, tap, plate_ohms, hertz),
                circuit: values.circuit,
                law: rectifier.law(),
                first: capacitor(farads, numbers.bleeder),
                sections,
            },
            rated,
            places: places(&feeds),
            driver_amps,
            stamped_amps: numbers.winding_amps.filter(|_| transformer.is_some()),
            current: values.current,
            fuse: numbers.mains_fuse,
            taken,
        })
    }

    /// The same supply with the mains on another tap.
    pub fn on_tap(&self, tap: f64) -> Self {
        let hertz = self.supply.feed.hertz;
        let transformer = self.transformer.as_ref();
        let mut other = self.clone();
        other.supply.feed = feed(transformer, self.mains, tap, self.plate_ohms, hertz);
        other.tap = tap;
        other
    }

    /// Turns of the secondary, or of half of it, over those of the primary in use.
    pub fn turns(&self) -> f64 {
        self.transformer
            .map_or(1.0, |transformer| transformer.turns(self.tap))
    }

    /// The supply with these currents.
    pub fn loaded(&self, loads: Loads) -> Supply {
        let mut amps = vec![0.0; 1 + self.supply.sections.len()];
        for (place, load) in [
            (self.places.plates, loads.plates),
            (self.places.screens, loads.screens),
            (self.places.drivers, loads.drivers),
        ] {
            amps[place] += load;
        }
        self.supply.with_amps(&amps)
    }

    /// B+ at the plates with these currents, V; `None` where the supply cannot give them.
    pub fn volts(&self, loads: Loads) -> Option<f64> {
        let steady = Steady::of(&self.loaded(loads)).ok()?;
        Some(steady.nodes[self.places.plates].volts)
    }

    /// What is between the plates' capacitor and the screens', Ω; `None` where they share one.
    pub fn screen_ohms(&self) -> Option<f64> {
        let sections = self
            .supply
            .sections
            .get(self.places.plates..self.places.screens)?;
        let ohms: f64 = sections.iter().map(|section| section.series.ohms()).sum();
        (ohms > 0.0).then_some(ohms)
    }
}

/// The winding as the rectifier sees it; without a transformer the mains themselves.
fn feed(
    transformer: Option<&MainsTransformer>,
    mains: f64,
    tap: f64,
    plate_ohms: f64,
    hertz: f64,
) -> Feed {
    let straight = (mains, MAINS_OHMS);
    let (volts, ohms) = transformer.map_or(straight, |transformer| transformer.feed(mains, tap));
    Feed {
        volts,
        ohms: ohms + plate_ohms,
        hertz,
    }
}

/// The taps typed, the one that is in use, or the usual one nearest to the mains.
fn taps(values: &SupplyValues) -> Vec<f64> {
    if values.isolation == Isolation::None {
        return vec![values.numbers.mains.unwrap_or(230.0)];
    }
    if !values.taps.is_empty() {
        return values.taps.clone();
    }
    let mains = values.numbers.mains.unwrap_or(230.0);
    let usual = USUAL_TAPS.iter().copied();
    let nearest = usual.min_by(|a, b| (a - mains).abs().total_cmp(&(b - mains).abs()));
    vec![values.numbers.mains_tap.or(nearest).unwrap_or(mains)]
}

/// Who hangs where: as said, else plates at the first capacitor, screens with the plates, drivers
/// at the last.
fn places(feeds: &[Feeds]) -> Places {
    let said = |of: fn(&Feeds) -> bool| feeds.iter().position(of);
    let plates = said(|feeds| feeds.plates).unwrap_or(0);
    Places {
        plates,
        screens: said(|feeds| feeds.screens).unwrap_or(plates),
        drivers: said(|feeds| feeds.drivers).unwrap_or(feeds.len() - 1),
    }
}

/// A supply with what the output stage draws from it at idle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SolvedSupply {
    /// The supply.
    #[serde(skip)]
    pub described: Described,
    /// What is drawn at idle; of plates and screens nothing without a tube.
    pub loads: Loads,
    /// B+ at the plates at idle, V.
    pub volts: f64,
    /// By how much it falls for an ampere more, Ω: from idle to half as much again.
    pub ohms: f64,
    /// B+ as typed, V. It wins.
    pub typed: Option<f64>,
}

impl SolvedSupply {
    /// The supply that is described, with the stage at idle behind it; `None` where nothing or not
    /// enough is described.
    ///
    /// Where B+ is typed the stage idles there. Elsewhere both are found together: the stage draws
    /// what it draws at the volts that are left when it draws that.
    ///
    /// # Errors
    /// Why no B+ could be found, in words.
    pub(crate) fn new(values: &Values, winding: f64) -> Option<Result<Self, String>> {
        let described = Described::new(&values.power_supply)?;
        Some(Self::solve(values, described, winding))
    }

    fn solve(values: &Values, described: Described, winding: f64) -> Result<Self, String> {
        let none = Loads {
            drivers: described.driver_amps,
            ..Loads::default()
        };
        let typed = values.supply.map(|volts| volts.0);
        let starved = || "the supply cannot give the current that the stage draws".to_owned();
        let volts_at = |loads: Loads| described.volts(loads).ok_or_else(starved);
        let tube = assumed::tube(values);
        let draws = |volts: f64| -> Result<Loads, String> {
            let Some(tube) = &tube else {
                return Ok(none);
            };
            let supplied = Supplied {
                volts,
                ohms: 0.0,
                screen_ohms: described.screen_ohms(),
            };
            let (stage, _) = assumed::stage(values, tube, winding, Some(&supplied))
                .map_err(|why| why.to_string())?;
            let idle = Idle::of(&stage).map_err(|why| why.to_string())?;
            Ok(Loads {
                plates: idle.all_plate_amps,
                screens: idle.all_screen_amps,
                ..none
            })
        };
        let loads = match typed {
            Some(volts) => draws(volts)?,
            None => found_together(volts_at(none)?, draws, |loads| described.volts(loads))
                .ok_or_else(starved)?,
        };
        let volts = volts_at(loads)?;
        let more = loads.times(1.5);
        let ohms = match described.volts(more) {
            Some(lower) if more.amps() > loads.amps() => {
                (volts - lower) / (more.amps() - loads.amps())
            }
            _ => 0.0,
        };
        Ok(Self {
            described,
            loads,
            volts,
            ohms,
            typed,
        })
    }

    /// What the stage is made from.
    pub(crate) fn supplied(&self) -> Supplied {
        Supplied {
            volts: self.typed.unwrap_or(self.volts),
            ohms: self.ohms,
            screen_ohms: self.described.screen_ohms(),
        }
    }
}

/// The loads at which the volts that are left are those that draw them: the higher the volts, the
/// more is drawn, and the less is left, so that one point does both. False position between
/// nothing and what is left without load, with the value at the end that stays halved (the
/// Illinois rule).
fn found_together(
    open: f64,
    draws: impl Fn(f64) -> Result<Loads, String>,
    volts: impl Fn(Loads) -> Option<f64>,
) -> Option<Loads> {
    let (mut low, mut high) = (0.0, open);
    // What is drawn at `low` is too little, at `high` too much, by so many volts.
    let mut below = open;
    let mut above = open - volts(draws(open).ok()?).unwrap_or_default();
    for _ in 0..MOST_ROUNDS {
        let middle = low + (high - low) * below / (below + above);
        // A stage that has no idle point at so few volts has one higher up.
        let drawn = draws(middle).ok();
        let short = drawn.map_or(-below, |loads| middle - volts(loads).unwrap_or_default());
        if short.abs() < FOUND {
            return drawn;
        }
        if short < 0.0 {
            (low, below) = (middle, -short);
            above *= 0.5;
        } else {
            (high, above) = (middle, short);
            below *= 0.5;
        }
    }
    None
}

/// Whether the rectifiers give volts before the tubes draw any current.
pub fn is_fast(rectifier: RectifierKind) -> bool {
    match rectifier {
        RectifierKind::Silicon => true,
        RectifierKind::Tube(tube) => tube.heating == tapwright_supply::Heating::Direct,
    }
}
