//! The rows that are fitted together: what the readings, the tolerances and what is taken ask of
//! the currents.
//!
//! Unknown are B+, the plate and screen current of each side, and the error of each resistance
//! and of the gain that the readings of plates and B+ have in common. The rows are the
//! readings, the tolerances, and what is taken where nothing was read:
//!
//! - `V_k = R_k (I_a + I_s)`, for one tube's current or for all
//! - `V_a = V_b − R_p (I_a + f I_s)`, with f the screen tap: 0 for steady screens, 1 for
//!   screens on the plates
//! - the screen's drop `R_s I_s`; where it was not read, `I_s` as the model divides the current
//!
//! Every limit of an error counts as an even distribution (JCGM 100:2008, 4.3.7).

use crate::fit::{Fitted, least_squares};
use crate::reading::{Reading, Readings, SideReadings, Which, within};
use crate::wiring::{CathodePath, ScreenPath, ScreenResistor, Taken, Wiring};

/// Limit of the model's error in the screen's share of the current: what it is held to on
/// published points that it was not fitted to.
const SHARE_LIMIT: f64 = 0.25;

/// Limit of how far each of two tubes that nothing tells apart is from their mean. Common
/// practice, no source.
const TUBE_LIMIT: f64 = 0.1;

/// Limit of what is taken for screens that were not read, and of what an unknown winding drops,
/// part of the volts. Own estimate.
const TAKEN_LIMIT: f64 = 0.03;

/// Limit of how far two screens on one resistor differ in their share. Own estimate.
const SHARES_ALIKE: f64 = 0.1;

pub(crate) const SUPPLY: usize = 0;
const GAIN: usize = 1;
const PER_SIDE: usize = 7;
pub(crate) const UNKNOWNS: usize = 2 + 2 * PER_SIDE;

/// Unknowns of one side, after those that both have in common.
#[derive(Clone, Copy)]
pub(crate) enum Slot {
    /// Plate current of all its tubes, A.
    Plate,
    /// Screen current of all its tubes, A.
    Screen,
    /// Steady screen, V from ground.
    ScreenVolts,
    /// Drop over a winding of unknown resistance, V.
    Drop,
    /// Relative error of the winding.
    Winding,
    /// Relative error of the cathode's resistor, or V of a cathode on an unknown one.
    Cathode,
    /// Relative error of the screen resistor.
    ScreenResistor,
}

pub(crate) type Unknowns = [f64; UNKNOWNS];

pub(crate) fn place(side: usize, slot: Slot) -> usize {
    2 + side * PER_SIDE + slot as usize
}

/// One side at one set of unknowns; volts from ground, amperes of all its tubes.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Point {
    pub plate: f64,
    pub screen: f64,
    pub cathode: f64,
    pub drop: f64,
    pub plate_amps: f64,
    pub screen_amps: f64,
    pub screen_drop: f64,
}

/// How far a voltage is from what is shown of it, in standard uncertainties.
fn off(volts: f64, shown: &Reading) -> f64 {
    let limits = within(shown.share * shown.volts).hypot(within(shown.counts));
    (volts * shown.left_by_meter() - shown.volts) / limits
}

/// The readings with what they were taken on.
#[derive(Clone, Copy)]
pub(crate) struct Sheet<'a> {
    pub wiring: &'a Wiring,
    pub readings: Readings,
    pub taken: &'a Taken,
    /// The resistance whose tolerance is not relied on.
    pub loose: Option<Which>,
}

impl<'a> Sheet<'a> {
    pub fn new(wiring: &'a Wiring, readings: &Readings, taken: &'a Taken) -> Self {
        let mut readings = *readings;
        if wiring.sides == 1 {
            readings.sides[1] = Default::default();
        }
        Self {
            wiring,
            readings,
            taken,
            loose: None,
        }
    }

    /// Every reading and every resistance that could be at fault.
    pub fn suspects(&self) -> Vec<Which> {
        let mut all = Vec::new();
        if self.readings.supply.is_some() {
            all.push(Which::Supply);
        }
        for (side, read) in (0..self.wiring.sides).zip(&self.readings.sides) {
            let on_side = [
                (read.plate.is_some(), Which::Plate(side)),
                (read.screen.is_some(), Which::Screen(side)),
                (read.cathode.is_some(), Which::Cathode(side)),
                (read.primary_drop.is_some(), Which::PrimaryDrop(side)),
                (read.screen_drop.is_some(), Which::ScreenDrop(side)),
            ];
            let there = on_side.into_iter().filter(|(there, _)| *there);
            all.extend(there.map(|(_, which)| which));
        }
        all
    }

    /// The same without one reading.
    pub fn without(&self, which: Which) -> Self {
        let mut rest = *self;
        let sides = &mut rest.readings.sides;
        match which {
            Which::Supply => rest.readings.supply = None,
            Which::Plate(side) => sides[side].plate = None,
            Which::Screen(side) => sides[side].screen = None,
            Which::Cathode(side) => sides[side].cathode = None,
            Which::PrimaryDrop(side) => sides[side].primary_drop = None,
            Which::ScreenDrop(side) => sides[side].screen_drop = None,
            Which::CathodeResistor | Which::Winding => rest.loose = Some(which),
        }
        rest
    }

    pub fn cathode_is_known(&self) -> bool {
        matches!(
            self.wiring.cathode,
            CathodePath::Common(_) | CathodePath::Each(_)
        ) && self.loose != Some(Which::CathodeResistor)
    }

    pub fn winding_is_known(&self) -> bool {
        self.wiring.winding.is_some() && self.loose != Some(Which::Winding)
    }

    /// Whether one side's current follows from readings of its own.
    pub fn own_current(&self, side: usize) -> bool {
        let read = &self.readings.sides[side];
        let two = read.plate.is_some() && self.readings.supply.is_some();
        let by_winding = self.winding_is_known() && (read.primary_drop.is_some() || two);
        let own = matches!(self.wiring.cathode, CathodePath::Each(_));
        by_winding || (own && self.cathode_is_known() && read.cathode.is_some())
    }

    /// Whether the current of all tubes together follows from the common resistor.
    pub fn common_current(&self) -> bool {
        matches!(self.wiring.cathode, CathodePath::Common(_))
            && self.cathode_is_known()
            && self
                .readings
                .sides
                .iter()
                .any(|read| read.cathode.is_some())
    }

    /// How many currents the readings settle.
    pub fn settled(&self) -> usize {
        let own = (0..self.wiring.sides).filter(|side| self.own_current(*side));
        (own.count() + usize::from(self.common_current())).min(self.wiring.sides)
    }

    /// Whether plate volts are to be had.
    pub fn has_plate(&self) -> bool {
        let read = self.readings.sides.iter().any(|read| read.plate.is_some());
        read || self.readings.supply.is_some() || self.taken.supply.is_some()
    }

    pub fn has_screen(&self) -> bool {
        self.wiring.screen != ScreenPath::Absent
    }

    /// Part of the screen's current that the whole of a side's winding carries.
    pub fn in_winding(&self) -> f64 {
        match self.wiring.screen {
            ScreenPath::OnPlate => 1.0,
            ScreenPath::Tap(fraction) => fraction,
            ScreenPath::Absent | ScreenPath::Steady => 0.0,
        }
    }

    pub fn points(&self, at: &Unknowns) -> [Point; 2] {
        let supply = at[SUPPLY];
        let of = |side: usize, slot: Slot| at[place(side, slot)];
        let screen = |side: usize| match self.has_screen() {
            true => of(side, Slot::Screen),
            false => 0.0,
        };
        let current = |side: usize| of(side, Slot::Plate) + screen(side);
        let all: f64 = (0..self.wiring.sides).map(current).sum();
        let all_screens: f64 = (0..self.wiring.sides).map(screen).sum();
        let tubes = f64::from(self.wiring.tubes_per_side);
        let mut points = [Point::default(); 2];
        for (side, point) in points.iter_mut().enumerate().take(self.wiring.sides) {
            let plate_amps = of(side, Slot::Plate);
            let screen_amps = screen(side);
            let drop = match self.wiring.winding {
                Some(winding) => {
                    let ohms = winding.ohms * (1.0 + of(side, Slot::Winding));
                    ohms * (plate_amps + self.in_winding() * screen_amps)
                }
                None => of(side, Slot::Drop),
            };
            let plate = supply - drop;
            *point = Point {
                plate,
                screen: match self.wiring.screen {
                    ScreenPath::Steady => of(side, Slot::ScreenVolts),
                    ScreenPath::Tap(fraction) => supply - fraction * drop,
                    ScreenPath::OnPlate | ScreenPath::Absent => plate,
                },
                cathode: match self.wiring.cathode {
                    CathodePath::Common(resistor) => {
                        resistor.ohms * (1.0 + of(0, Slot::Cathode)) * all
                    }
                    CathodePath::Each(resistor) => {
                        resistor.ohms * (1.0 + of(side, Slot::Cathode)) * current(side) / tubes
                    }
                    CathodePath::Unknown => of(0, Slot::Cathode),
                    CathodePath::Grounded => 0.0,
                },
                drop,
                plate_amps,
                screen_amps,
                screen_drop: match self.wiring.screen_resistor {
                    Some(ScreenResistor::Each(resistor)) => {
                        let ohms = resistor.ohms * (1.0 + of(side, Slot::ScreenResistor));
                        ohms * screen_amps / tubes
                    }
                    Some(ScreenResistor::Common(resistor)) => {
                        resistor.ohms * (1.0 + of(0, Slot::ScreenResistor)) * all_screens
                    }
                    None => 0.0,
                },
            };
        }
        points
    }

    /// The screen's current over the plate's as the model divides them; a factor on all
    /// currents cancels.
    pub fn share(&self, point: &Point) -> f64 {
        let grid = (self.grid_volts(0) - point.cathode).min(0.0);
        let from_cathode = |volts: f64| (volts - point.cathode).max(1.0);
        let flow =
            (self.taken.model).flow(from_cathode(point.plate), from_cathode(point.screen), grid);
        match flow.plate.amps > 0.0 {
            true => flow.screen.amps / flow.plate.amps,
            false => 0.1,
        }
    }

    /// Grid from ground, V, without the meter.
    pub fn grid_volts(&self, side: usize) -> f64 {
        let read = self.readings.sides[side].grid;
        read.map_or(self.taken.grid_volts, |grid| grid.without_meter())
    }

    pub fn rows(&self, at: &Unknowns, rows: &mut Vec<f64>) {
        let points = self.points(at);
        let sides = self.wiring.sides;
        let gain = 1.0 + at[GAIN];
        let mut share: f64 = 0.0;
        let mut by_common_gain = |volts: f64, shown: &Reading, rows: &mut Vec<f64>| {
            share = share.max(shown.share);
            let expected = volts * shown.left_by_meter() * gain;
            rows.push((expected - shown.volts) / within(shown.counts));
        };
        if let Some(shown) = &self.readings.supply {
            by_common_gain(at[SUPPLY], shown, rows);
        }
        for (point, read) in points.iter().zip(&self.readings.sides).take(sides) {
            if let Some(shown) = &read.plate {
                by_common_gain(point.plate, shown, rows);
            }
        }
        rows.push(at[GAIN] / within(share.max(1e-4)));
        let read = &self.readings.sides;
        let any_plate = read.iter().any(|read| read.plate.is_some());
        if let (false, None, Some((volts, limit))) =
            (any_plate, &self.readings.supply, self.taken.supply)
        {
            rows.push((at[SUPPLY] - volts) / within(limit));
        }
        for side in 0..sides {
            self.rows_of_side(at, &points, side, rows);
        }
        if sides == 2 && self.settled() < 2 {
            let [one, other] = [points[0].plate_amps, points[1].plate_amps];
            let mean = (0.5 * (one + other)).abs().max(1e-6);
            rows.push((one - other) / mean / (2_f64.sqrt() * within(TUBE_LIMIT)));
        }
        let tolerance = |side: usize, slot: Slot, tolerance: f64| {
            at[place(side, slot)] / within(tolerance.max(1e-4))
        };
        match self.wiring.cathode {
            CathodePath::Common(resistor) if self.cathode_is_known() => {
                rows.push(tolerance(0, Slot::Cathode, resistor.tolerance));
            }
            CathodePath::Each(resistor) if self.cathode_is_known() => {
                let each =
                    (0..sides).map(|side| tolerance(side, Slot::Cathode, resistor.tolerance));
                rows.extend(each);
            }
            _ => {}
        }
        if let (Some(winding), true) = (self.wiring.winding, self.winding_is_known()) {
            rows.extend((0..sides).map(|side| tolerance(side, Slot::Winding, winding.tolerance)));
        }
        match self.wiring.screen_resistor {
            Some(ScreenResistor::Common(resistor)) => {
                rows.push(tolerance(0, Slot::ScreenResistor, resistor.tolerance));
            }
            Some(ScreenResistor::Each(resistor)) => {
                let each = (0..sides)
                    .map(|side| tolerance(side, Slot::ScreenResistor, resistor.tolerance));
                rows.extend(each);
            }
            None => {}
        }
    }

    pub fn rows_of_side(
        &self,
        at: &Unknowns,
        points: &[Point; 2],
        side: usize,
        rows: &mut Vec<f64>,
    ) {
        let (point, read) = (&points[side], &self.readings.sides[side]);
        if let Some(cathode) = &read.cathode {
            rows.push(off(point.cathode, cathode));
        }
        if let Some(drop) = &read.primary_drop {
            rows.push(off(point.drop, drop));
        }
        if let (Some(drop), true) = (&read.screen_drop, self.wiring.screen_resistor.is_some()) {
            rows.push(off(point.screen_drop, drop));
        }
        if self.wiring.screen == ScreenPath::Steady {
            let other = 1 - side;
            let other_read = self.readings.sides[other].screen.is_some();
            match &read.screen {
                Some(screen) => rows.push(off(point.screen, screen)),
                None => {
                    let volts = match other_read {
                        true => points[other].screen,
                        false => self.taken.screen_volts,
                    };
                    rows.push((point.screen - volts) / within(TAKEN_LIMIT * volts.abs().max(1.0)));
                }
            }
        }
        if self.drop_is_taken(side) {
            rows.push(point.drop / within(TAKEN_LIMIT * at[SUPPLY].abs().max(1.0)));
        }
        if self.has_screen() {
            self.rows_of_share(points, side, rows);
        }
    }

    pub fn rows_of_share(&self, points: &[Point; 2], side: usize, rows: &mut Vec<f64>) {
        let point = &points[side];
        let plate = point.plate_amps.abs().max(1e-6);
        if self.screen_is_read(side) {
            return;
        }
        let common = matches!(self.wiring.screen_resistor, Some(ScreenResistor::Common(_)));
        if side == 1 && common && self.screen_is_read(0) {
            // One resistor gives the sum of both: the shares are alike.
            let other = points[0].screen_amps / points[0].plate_amps.abs().max(1e-6);
            let ratio = point.screen_amps / plate;
            rows.push((ratio - other) / within(SHARES_ALIKE * other.abs().max(1e-3)));
            return;
        }
        let share = self.share(point);
        rows.push((point.screen_amps / plate - share) / within(SHARE_LIMIT * share.max(1e-4)));
    }

    pub fn screen_is_read(&self, side: usize) -> bool {
        self.readings.sides[side].screen_drop.is_some() && self.wiring.screen_resistor.is_some()
    }

    pub fn drop_is_taken(&self, side: usize) -> bool {
        let read = &self.readings.sides[side];
        let two = read.plate.is_some() && self.readings.supply.is_some();
        self.wiring.winding.is_none() && read.primary_drop.is_none() && !two
    }

    pub fn start(&self) -> (Unknowns, Unknowns) {
        let sides = &self.readings.sides;
        let plate = sides.iter().find_map(|read| read.plate);
        let supply = (self.readings.supply.or(plate))
            .map(|shown| shown.volts)
            .or(self.taken.supply.map(|(volts, _)| volts))
            .unwrap_or(250.0);
        let mut at = [0.0; UNKNOWNS];
        let mut sizes = [1.0; UNKNOWNS];
        at[SUPPLY] = supply;
        sizes[SUPPLY] = 10.0;
        sizes[GAIN] = 0.01;
        for side in 0..2 {
            let mut set = |slot: Slot, start: f64, size: f64| {
                at[place(side, slot)] = start;
                sizes[place(side, slot)] = size;
            };
            set(Slot::Plate, 0.03, 0.03);
            set(Slot::Screen, 0.003, 0.003);
            set(Slot::ScreenVolts, self.taken.screen_volts, 10.0);
            set(Slot::Drop, 0.0, 1.0);
            set(Slot::Winding, 0.0, 0.1);
            set(Slot::ScreenResistor, 0.0, 0.1);
            let unknown = self.wiring.cathode == CathodePath::Unknown;
            set(Slot::Cathode, 0.0, if unknown { 1.0 } else { 0.1 });
        }
        (at, sizes)
    }

    /// The unknowns that the rows ask for.
    fn free(&self) -> Vec<usize> {
        let steady = self.wiring.screen == ScreenPath::Steady;
        let resistor = self.wiring.cathode != CathodePath::Grounded;
        let slots = [
            (true, Slot::Plate),
            (self.has_screen(), Slot::Screen),
            (steady, Slot::ScreenVolts),
            (self.wiring.winding.is_none(), Slot::Drop),
            (self.wiring.winding.is_some(), Slot::Winding),
            (resistor, Slot::Cathode),
            (self.wiring.screen_resistor.is_some(), Slot::ScreenResistor),
        ];
        let of_side = |side: usize| {
            let asked = slots.into_iter().filter(|(asked, _)| *asked);
            asked.map(move |(_, slot)| place(side, slot))
        };
        let sides = (0..self.wiring.sides).flat_map(of_side);
        [SUPPLY, GAIN].into_iter().chain(sides).collect()
    }

    /// All rows fitted together.
    pub fn fit(&self) -> Option<Fitted<UNKNOWNS>> {
        let (start, sizes) = self.start();
        self.fit_from(start, sizes)
    }

    fn fit_from(&self, start: Unknowns, sizes: Unknowns) -> Option<Fitted<UNKNOWNS>> {
        least_squares(start, sizes, &self.free(), |at, rows| self.rows(at, rows))
    }

    /// All rows fitted together, from a solution near by.
    #[cfg(test)]
    pub fn fit_near(&self, near: Unknowns) -> Option<Fitted<UNKNOWNS>> {
        self.fit_from(near, self.start().1)
    }

    /// Whether the current follows from more than one of the resistances, so that one of them
    /// may be what does not belong.
    pub fn resistances(&self) -> Vec<Which> {
        let mut all = Vec::new();
        if self.cathode_is_known()
            && self
                .readings
                .sides
                .iter()
                .any(|read| read.cathode.is_some())
        {
            all.push(Which::CathodeResistor);
        }
        let read = |read: &SideReadings| {
            read.primary_drop.is_some() || (read.plate.is_some() && self.readings.supply.is_some())
        };
        if self.winding_is_known() && self.readings.sides.iter().any(read) {
            all.push(Which::Winding);
        }
        all
    }
}
