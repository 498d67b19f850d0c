//! Which leads share a winding, and in which order, from DC resistances.
//!
//! Between leads of one winding a meter shows a resistance, between windings it shows none;
//! along a winding resistances add up. What the readings leave open is said, with the
//! reading that would settle it; readings that contradict each other are named.

use super::lead_order::{Distance, Layout, Orders, orders};
use super::{Lead, Pair, same};
use tapwright_units::uncertainty::Uncertain;

/// Halves of a winding that differ by no more than this part of the whole have a centre tap
/// between them: the outer half has the longer turns. Common practice, no source.
const HALVES_WITHIN: f64 = 0.15;

/// Leads of one winding up to which a wrong reading is looked for by leaving out each: beyond
/// that it would take longer than a keystroke may, and all are named.
const MOST_SUSPECTED: usize = 10;

/// One reading of the ohmmeter between two leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistance {
    /// The two leads.
    pub pair: Pair,
    /// Ohms; `None` is an open circuit.
    pub ohms: Option<Uncertain>,
}

/// A winding as far as it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Winding {
    /// Its leads from one end to the other, in the likeliest order. One lead alone has no
    /// partner so far.
    pub leads: Vec<Lead>,
    /// Whether resistances, and not only voltages, tie all of them together.
    pub tied: bool,
    /// Whether readings exclude that any further lead belongs to it.
    pub closed: bool,
    /// Whether the two ends are known beyond doubt.
    pub ends_known: bool,
    /// Whether the order is known beyond doubt.
    pub order_known: bool,
    /// Resistance between neighbours in that order, Ω; empty when there are none.
    pub sections: Vec<Uncertain>,
    /// Resistance from end to end, Ω.
    pub ohms: Option<Uncertain>,
    /// The lead in the middle, where the halves are nearly equal.
    pub centre_tap: Option<CentreTap>,
    /// Every order that the readings allow, the likeliest first.
    pub orders: Vec<Vec<Lead>>,
}

/// A tap in the middle of a winding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CentreTap {
    /// The lead.
    pub lead: Lead,
    /// Difference of the halves' resistances over the whole.
    pub unlike: f64,
}

/// What is still open, and the reading that would settle it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// Whether these two leads are on one winding.
    OneWinding(Pair),
    /// In which order the leads of a winding stand.
    Order(Pair),
    /// The same, where ohms tell no more and volts AC may.
    Volts(Pair),
}

impl Question {
    /// The pair to be read.
    ///
    /// ```
    /// # use tapwright_iron::measured::windings::Question;
    /// assert_eq!(Question::OneWinding((0, 1)).pair(), (0, 1));
    /// ```
    pub fn pair(self) -> Pair {
        match self {
            Self::OneWinding(pair) | Self::Order(pair) | Self::Volts(pair) => pair,
        }
    }
}

/// Readings that cannot all be right, by their places.
#[derive(Debug, Clone, PartialEq)]
pub enum Conflict {
    /// The first shows an open circuit between leads that the others connect.
    OpenAndConnected(Vec<usize>),
    /// Lengths along a winding that do not add up. Without any one of these, the rest do.
    DoNotAddUp(Vec<usize>),
}

/// Everything that the ohmmeter told.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Windings, the one with the most resistance first; leads without a partner last.
    pub windings: Vec<Winding>,
    /// What is open, the most useful reading first.
    pub questions: Vec<Question>,
    /// What cannot be right.
    pub contradictions: Vec<Conflict>,
    /// How many times the resistance of any other winding the first one has: the likely
    /// primary. `None` until there are two to compare.
    pub primary_times: Option<f64>,
}

impl Found {
    /// The winding that a lead is on, by its place.
    pub fn winding_of(&self, lead: Lead) -> Option<usize> {
        (self.windings.iter()).position(|winding| winding.leads.contains(&lead))
    }

    /// Resistance of the wire between two leads of one winding, Ω; `None` where no reading
    /// tells.
    pub fn resistance(&self, pair: Pair) -> Option<Uncertain> {
        let winding = self.windings.get(self.winding_of(pair.0)?)?;
        let place = |lead: Lead| winding.leads.iter().position(|other| *other == lead);
        let (a, b) = (place(pair.0)?, place(pair.1)?);
        let sections = winding.sections.get(a.min(b)..a.max(b))?;
        let squares: f64 = sections.iter().map(|s| s.uncertainty * s.uncertainty).sum();
        Some(Uncertain {
            value: sections.iter().map(|section| section.value).sum(),
            uncertainty: squares.sqrt(),
        })
    }
}

/// Finds the windings of a transformer with `leads` leads. `sessions` are the voltages of one
/// AC test each, between leads of one winding: they tie leads together too, and settle an
/// order that the resistances leave open. Readings to leads that are not there do not count.
///
/// ```
/// use tapwright_iron::measured::{windings::{self, Resistance}};
/// use tapwright_units::uncertainty::Uncertain;
/// let ohms = |a, b, value: f64| Resistance {
///     pair: (a, b),
///     ohms: Some(Uncertain { value, uncertainty: 0.01 * value }),
/// };
/// let open = |a, b| Resistance { pair: (a, b), ohms: None };
/// let found = windings::find(
///     5,
///     &[ohms(0, 1, 320.0), ohms(0, 2, 150.0), ohms(1, 2, 170.0), ohms(3, 4, 0.6), open(0, 3)],
///     &[],
/// );
/// assert_eq!(found.windings[0].leads, [0, 2, 1]);
/// assert_eq!(found.windings[0].centre_tap.map(|tap| tap.lead), Some(2));
/// assert!(found.questions.is_empty());
/// ```
pub fn find(leads: usize, readings: &[Resistance], sessions: &[Vec<Distance>]) -> Found {
    let mut finder = Finder {
        leads,
        connected: Vec::new(),
        open: Vec::new(),
        by_voltage: Vec::new(),
        sessions,
        questions: Vec::new(),
        contradictions: Vec::new(),
    };
    finder.take(readings);
    let mut ties = finder.by_voltage.clone();
    for (_, distance) in &finder.connected {
        ties.push(distance.ends);
    }
    let mut windings = Vec::new();
    for group in gather(leads, &ties) {
        windings.push(finder.winding(&group));
    }
    finder.separate(&mut windings);
    let ohms = |winding: &Winding| {
        winding
            .ohms
            .map_or(-(1.0 / winding.leads.len() as f64), |o| o.value)
    };
    windings.sort_by(|a, b| ohms(b).total_cmp(&ohms(a)));
    let primary_times = match &windings[..] {
        [first, second, ..] => first.ohms.zip(second.ohms).map(|(a, b)| a.value / b.value),
        _ => None,
    };
    Found {
        windings,
        questions: finder.questions,
        contradictions: finder.contradictions,
        primary_times,
    }
}

struct Finder<'a> {
    leads: usize,
    /// Readings of a resistance, with their places.
    connected: Vec<(usize, Distance)>,
    /// Readings of an open circuit, with their places.
    open: Vec<(usize, Pair)>,
    /// Pairs that an AC test took for leads of one winding.
    by_voltage: Vec<Pair>,
    sessions: &'a [Vec<Distance>],
    questions: Vec<Question>,
    contradictions: Vec<Conflict>,
}

impl Finder<'_> {
    /// Sorts the readings by what they say.
    fn take(&mut self, readings: &[Resistance]) {
        let leads = self.leads;
        let is_there = |pair: Pair| pair.0 < leads && pair.1 < leads && pair.0 != pair.1;
        for (place, reading) in readings.iter().enumerate() {
            let ends = reading.pair;
            match reading.ohms {
                _ if !is_there(ends) => {}
                Some(length) => self.connected.push((place, Distance { ends, length })),
                None => self.open.push((place, ends)),
            }
        }
        for distance in self.sessions.iter().flatten() {
            if is_there(distance.ends) {
                self.by_voltage.push(distance.ends);
            }
        }
    }

    fn winding(&mut self, group: &[Lead]) -> Winding {
        let mut resistances = self.connected.clone();
        resistances.retain(|(_, distance)| group.contains(&distance.ends.0));
        let ties: Vec<Pair> = resistances.iter().map(|(_, d)| d.ends).collect();
        let tied = gather(self.leads, &ties).iter().any(|tied| tied == group);
        let mut found = self.orders(group, &resistances);
        let mut sound = found.agree();
        if !sound {
            let suspects = suspects(group, &resistances);
            if let [culprit] = suspects[..] {
                resistances.retain(|(place, _)| *place != culprit);
                found = self.orders(group, &resistances);
            }
            let named = if suspects.is_empty() {
                resistances.iter().map(|(place, _)| *place).collect()
            } else {
                suspects
            };
            self.contradictions.push(Conflict::DoNotAddUp(named));
        }
        sound &= self.no_open_inside(group, &resistances);
        // Either way round is one order: the end that was named first comes first.
        for order in &mut found.possible {
            if order.first() > order.last() {
                order.reverse();
            }
        }
        let order = found.possible.first().cloned().unwrap_or_default();
        if !found.is_settled() && group.len() > 2 {
            self.ask_for_order(&found, &resistances);
        }
        let ends = |order: &Vec<Lead>| (order.first().copied(), order.last().copied());
        let ends_known = sound
            && tied
            && found.complete
            && (found.possible.iter()).all(|other| ends(other) == ends(&order));
        let lengths: Vec<Distance> = resistances.iter().map(|(_, distance)| *distance).collect();
        let layout = Layout::new(&order, &lengths).filter(|_| tied && group.len() > 1);
        let between = |a: Lead, b: Lead| layout.as_ref().and_then(|l| l.distance((a, b)));
        let sections: Vec<Uncertain> = (order.windows(2))
            .filter_map(|pair| between(pair[0], pair[1]))
            .collect();
        let ohms = (order.first().zip(order.last())).and_then(|(a, b)| between(*a, *b));
        let order_known = sound && tied && found.is_settled();
        Winding {
            tied,
            closed: false,
            ends_known,
            order_known,
            centre_tap: centre_tap(&order, &sections),
            sections,
            ohms,
            orders: found.possible,
            leads: order,
        }
    }

    /// Orders by the resistances; where they leave something open, by the voltages too.
    fn orders(&self, group: &[Lead], resistances: &[(usize, Distance)]) -> Orders {
        let lengths: Vec<Distance> = resistances.iter().map(|(_, distance)| *distance).collect();
        let alone = orders(group, std::slice::from_ref(&lengths));
        if alone.is_settled() || !alone.agree() || group.len() < 3 {
            return alone;
        }
        let mut sets = vec![lengths];
        sets.extend(self.sessions.iter().map(|session| {
            let inside = session.iter().filter(|d| group.contains(&d.ends.0));
            inside
                .filter(|d| group.contains(&d.ends.1))
                .copied()
                .collect()
        }));
        let both = orders(group, &sets);
        if both.agree() { both } else { alone }
    }

    /// Whether no reading shows an open circuit between leads of this group.
    fn no_open_inside(&mut self, group: &[Lead], resistances: &[(usize, Distance)]) -> bool {
        let mut inside = self.open.clone();
        inside.retain(|(_, pair)| group.contains(&pair.0) && group.contains(&pair.1));
        for (place, pair) in &inside {
            let mut places = vec![*place];
            places.extend(path(resistances, *pair));
            self.contradictions.push(Conflict::OpenAndConnected(places));
        }
        inside.is_empty()
    }

    /// The pair whose reading tells the most of the possible orders apart; none that was read
    /// already.
    fn ask_for_order(&mut self, found: &Orders, resistances: &[(usize, Distance)]) {
        let lengths: Vec<Distance> = resistances.iter().map(|(_, distance)| *distance).collect();
        let layouts: Vec<Layout> = (found.possible.iter())
            .filter_map(|order| Layout::new(order, &lengths))
            .collect();
        let Some(leads) = found.possible.first() else {
            return;
        };
        let largest = lengths.iter().map(|d| d.length.value).fold(0.0, f64::max);
        let read = |all: &[Distance], pair: Pair| all.iter().any(|d| same(d.ends, pair));
        let mut best: Option<(usize, f64, Question)> = None;
        for (at, a) in leads.iter().enumerate() {
            for b in &leads[at + 1..] {
                let pair = (*a, *b);
                // Volts are finer than ohms: what they left open ohms will not settle.
                if self.sessions.iter().any(|session| read(session, pair)) {
                    continue;
                }
                let mut values: Vec<f64> = (layouts.iter())
                    .filter_map(|layout| layout.distance((*a, *b)))
                    .filter(|distance| distance.uncertainty < largest)
                    .map(|distance| distance.value.abs())
                    .collect();
                values.sort_by(f64::total_cmp);
                // Apart by more than a twentieth, a meter tells them apart.
                let is_step = |pair: &&[f64]| pair[1] - pair[0] > 0.05 * pair[1];
                let steps = values.windows(2).filter(is_step).count();
                let spread = values
                    .last()
                    .zip(values.first())
                    .map_or(0.0, |(l, f)| l - f);
                let (rank, question) = if read(&lengths, pair) {
                    (0, Question::Volts(pair))
                } else {
                    (1 + steps, Question::Order(pair))
                };
                if best.is_none_or(|(r, s, _)| rank > r || rank == r && spread > s) {
                    best = Some((rank, spread, question));
                }
            }
        }
        self.questions.extend(best.map(|(.., question)| question));
    }

    /// Marks the windings that readings hold apart from all others, and asks about the rest.
    fn separate(&mut self, windings: &mut [Winding]) {
        let mut asked = Vec::new();
        let apart = |a: &Winding, b: &Winding| {
            let from = |x: &Winding, y: &Winding, pair: &Pair| {
                x.leads.contains(&pair.0) && y.leads.contains(&pair.1)
            };
            (self.open.iter()).any(|(_, pair)| from(a, b, pair) || from(b, a, pair))
        };
        let mut closed = vec![true; windings.len()];
        for (at, a) in windings.iter().enumerate() {
            for (beyond, b) in windings.iter().enumerate().skip(at + 1) {
                if apart(a, b) {
                    continue;
                }
                closed[at] = false;
                closed[beyond] = false;
                if let (Some(from), Some(to)) = (a.leads.first(), b.leads.first()) {
                    asked.push((a.leads.len() + b.leads.len(), (*from, *to)));
                }
            }
        }
        for (winding, closed) in windings.iter_mut().zip(closed) {
            winding.closed = closed;
        }
        let mut questions = Vec::new();
        for pair in &self.by_voltage {
            if (windings.iter()).any(|w| !w.tied && w.leads.contains(&pair.0)) {
                questions.push(Question::OneWinding(*pair));
            }
        }
        // A lead without a partner is more of a riddle than two windings.
        asked.sort_by_key(|(leads, _)| *leads);
        for (_, pair) in asked {
            questions.push(Question::OneWinding(pair));
        }
        questions.append(&mut self.questions);
        self.questions = questions;
    }
}

/// The readings without which the rest adds up, each by itself; those that leave the winding
/// in one piece.
fn suspects(group: &[Lead], resistances: &[(usize, Distance)]) -> Vec<usize> {
    if group.len() > MOST_SUSPECTED {
        return Vec::new();
    }
    let without = |place: usize| -> Vec<Distance> {
        let rest = resistances.iter().filter(|(other, _)| *other != place);
        rest.map(|(_, distance)| *distance).collect()
    };
    (resistances.iter())
        .map(|(place, _)| *place)
        .filter(|place| orders(group, &[without(*place)]).agree())
        .collect()
}

/// Places of the readings on a way from one lead of a pair to the other.
fn path(resistances: &[(usize, Distance)], pair: Pair) -> Vec<usize> {
    let mut ways: Vec<(Lead, Vec<usize>)> = vec![(pair.0, Vec::new())];
    let mut at = 0;
    while let Some((here, way)) = ways.get(at).cloned() {
        if here == pair.1 {
            return way;
        }
        for (place, distance) in resistances {
            let next = match distance.ends {
                (a, b) if a == here => b,
                (a, b) if b == here => a,
                _ => continue,
            };
            if ways.iter().all(|(lead, _)| *lead != next) {
                ways.push((next, [&way[..], &[*place]].concat()));
            }
        }
        at += 1;
    }
    Vec::new()
}

/// Groups of leads that pairs connect, in the order of their first leads.
fn gather(leads: usize, pairs: &[Pair]) -> Vec<Vec<Lead>> {
    let mut group: Vec<Lead> = (0..leads).collect();
    for (a, b) in pairs {
        let (from, to) = (group[*a].max(group[*b]), group[*a].min(group[*b]));
        for g in &mut group {
            if *g == from {
                *g = to;
            }
        }
    }
    let mut groups = vec![Vec::new(); leads];
    for (lead, group) in group.into_iter().enumerate() {
        groups[group].push(lead);
    }
    groups.retain(|members| !members.is_empty());
    groups
}

/// The tap that divides a winding into nearly equal halves.
fn centre_tap(order: &[Lead], sections: &[Uncertain]) -> Option<CentreTap> {
    if sections.len() + 1 != order.len() {
        return None;
    }
    let whole: f64 = sections.iter().map(|section| section.value).sum();
    let mut before = 0.0;
    let inner = sections.iter().zip(order.iter().skip(1));
    let taps = inner
        .take(sections.len().saturating_sub(1))
        .map(|(section, lead)| {
            before += section.value;
            CentreTap {
                lead: *lead,
                unlike: (2.0 * before / whole - 1.0).abs(),
            }
        });
    taps.filter(|tap| tap.unlike <= HALVES_WITHIN)
        .min_by(|a, b| a.unlike.total_cmp(&b.unlike))
}

#[cfg(test)]
mod tests;
