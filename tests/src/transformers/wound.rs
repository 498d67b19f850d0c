//! A transformer as it was wound: what its readings should tell.
//!
//! Copper goes with turns times the length of a turn, which grows slowly from the inner end of a
//! winding to the outer one.

use fastrand::Rng;
use tapwright_iron::measured::{Lead, Pair};

/// A winding: its leads from end to end.
#[derive(Debug, Clone)]
pub struct Winding {
    /// The leads.
    pub leads: Vec<Lead>,
    /// Turns up to each.
    turns: Vec<f64>,
    /// Ohms up to each.
    ohms: Vec<f64>,
}

/// A transformer with one primary and one secondary, perhaps with more.
#[derive(Debug, Clone)]
pub struct Transformer {
    /// Whether it is one for push-pull.
    pub push_pull: bool,
    /// How many leads it has.
    pub leads: usize,
    /// The primary first, then the secondary, then others; a screen is a winding of one lead.
    pub windings: Vec<Winding>,
}

/// What a winding is made of, before its leads have names.
struct Plan {
    /// Where taps stand, as parts of its turns.
    taps: Vec<f64>,
    turns: f64,
    ohms: f64,
}

/// Secondaries: the ratings of their leads above the common one, Ω.
const SECONDARIES: [&[f64]; 8] = [
    &[8.0],
    &[4.0, 8.0],
    &[4.0, 8.0, 16.0],
    &[3.2],
    &[8.0, 16.0],
    &[3.0, 8.0, 15.0],
    &[4.0, 16.0],
    &[2.0, 4.0, 8.0, 16.0],
];

/// The part of a primary's turns where most makers put the screen's tap. Common practice, no source.
const USUAL_SCREEN: f64 = 0.43;

/// No winding has less, Ω.
const LEAST_OHMS: f64 = 0.05;

impl Transformer {
    /// One that a number draws.
    pub fn drawn(rng: &mut Rng) -> Self {
        let push_pull = rng.bool();
        let plans = plans(rng, push_pull);
        let count: usize = plans.iter().map(|plan| plan.taps.len() + 2).sum();
        let has_screen = chance(rng, 0.1);
        let leads = count + usize::from(has_screen);
        let mut names: Vec<Lead> = (0..leads).collect();
        rng.shuffle(&mut names);
        let mut names = names.into_iter();
        let mut windings: Vec<Winding> = Vec::new();
        for plan in plans {
            let longer = between(rng, 0.0, 0.5);
            windings.push(Winding::new(plan, longer, &mut names));
        }
        windings.extend(names.map(|lead| Winding {
            leads: vec![lead],
            turns: vec![0.0],
            ohms: vec![0.0],
        }));
        Self {
            push_pull,
            leads,
            windings,
        }
    }

    /// The winding of a lead, by its place.
    pub fn home(&self, lead: Lead) -> Option<usize> {
        (self.windings.iter()).position(|winding| winding.leads.contains(&lead))
    }

    /// Turns between two leads; `None` when they are on two windings.
    pub fn turns(&self, pair: Pair) -> Option<f64> {
        self.along(pair, |winding| &winding.turns)
    }

    /// Ohms between two leads; `None` when they are on two windings.
    pub fn ohms(&self, pair: Pair) -> Option<f64> {
        self.along(pair, |winding| &winding.ohms)
    }

    /// The two ends of the primary.
    pub fn ends(&self) -> Pair {
        let leads = &self.windings[0].leads;
        (leads[0], leads[leads.len() - 1])
    }

    fn along(&self, (a, b): Pair, up_to: impl Fn(&Winding) -> &Vec<f64>) -> Option<f64> {
        let winding = &self.windings[self.home(a)?];
        let at = |lead: Lead| {
            let place = winding.leads.iter().position(|other| *other == lead)?;
            Some(up_to(winding)[place])
        };
        Some((at(a)? - at(b)?).abs())
    }
}

impl Winding {
    /// Takes names for its leads. From the inner end to the outer one turns get longer by `longer`.
    fn new(plan: Plan, longer: f64, names: &mut impl Iterator<Item = Lead>) -> Self {
        let mut parts = plan.taps;
        parts.extend([0.0, 1.0]);
        parts.sort_by(f64::total_cmp);
        let wire = |part: f64| part * (1.0 + 0.5 * longer * part) / (1.0 + 0.5 * longer);
        let ohms = plan.ohms.max(LEAST_OHMS);
        Self {
            leads: names.take(parts.len()).collect(),
            turns: parts.iter().map(|part| part * plan.turns).collect(),
            ohms: parts.iter().map(|part| ohms * wire(*part)).collect(),
        }
    }
}

fn plans(rng: &mut Rng, push_pull: bool) -> Vec<Plan> {
    let rated = decade(rng, 2_000.0, 12_000.0);
    let turns = between(rng, 1_500.0, 4_000.0);
    let ohms = rated * decade(rng, 0.02, 0.08);
    let mut plans = vec![Plan {
        taps: primary_taps(rng, push_pull),
        turns,
        ohms,
    }];
    let ratings = SECONDARIES[rng.usize(..SECONDARIES.len())];
    let (whole, inner) = ratings.split_last().unwrap_or((&8.0, &[]));
    let low = turns * (whole / rated).sqrt();
    // With about as much copper as the primary.
    plans.push(Plan {
        taps: inner.iter().map(|rating| (rating / whole).sqrt()).collect(),
        turns: low,
        ohms: ohms * (low / turns).powi(2) * decade(rng, 0.5, 2.0),
    });
    // A third winding: for feedback, of thin wire, or a second secondary.
    if chance(rng, 0.3) {
        let third = low * between(rng, 0.3, 1.2);
        let thin = ohms / turns * third * decade(rng, 0.2, 1.0);
        let thick = ohms * (third / turns).powi(2) * decade(rng, 0.7, 2.0);
        plans.push(Plan {
            taps: Vec::new(),
            turns: third,
            ohms: if chance(rng, 0.6) { thin } else { thick },
        });
    }
    plans
}

/// Where taps stand along a primary, as parts of its turns.
fn primary_taps(rng: &mut Rng, push_pull: bool) -> Vec<f64> {
    let mut taps = Vec::new();
    if push_pull {
        // Makers miss the middle by a few turns.
        taps.push(0.5 + between(rng, -0.004, 0.004));
        if chance(rng, 0.3) {
            let part = 0.5 * screen(rng);
            taps.extend([0.5 - part, 0.5 + part]);
        }
        return taps;
    }
    if chance(rng, 0.25) {
        taps.push(screen(rng));
    }
    if chance(rng, 0.25) {
        // A second rating.
        taps.push(between(rng, 0.45, 0.85).sqrt());
    }
    if chance(rng, 0.05) {
        // Against hum.
        taps.push(between(rng, 0.04, 0.08));
    }
    taps
}

fn screen(rng: &mut Rng) -> f64 {
    if rng.bool() {
        USUAL_SCREEN
    } else {
        between(rng, 0.2, 0.45)
    }
}

/// Evenly between two values.
pub(super) fn between(rng: &mut Rng, least: f64, most: f64) -> f64 {
    least + (most - least) * rng.f64()
}

/// Evenly on the logarithm.
fn decade(rng: &mut Rng, least: f64, most: f64) -> f64 {
    between(rng, least.ln(), most.ln()).exp()
}

pub(super) fn chance(rng: &mut Rng, part: f64) -> bool {
    rng.f64() < part
}
