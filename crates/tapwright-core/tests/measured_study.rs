//! A thousand random transformers, read as a person reads them first, then by what the page asks
//! for until it asks no more. Invented data.
//!
//! Copper goes with turns times the length of a turn, which grows slowly from the inner end of a
//! winding to the outer one. Meters show so many digits, and each has one error of its gain and one
//! of its zero in every range, within what meters of that kind state.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

#[path = "../../tapwright-iron/tests/iron/bench_noise.rs"]
mod bench_noise;

use std::time::{SystemTime, UNIX_EPOCH};

use bench_noise::Noise;
use tapwright_core::report::Report;
use tapwright_core::setup::{
    Field, Marking, MeasuredText, OhmsEntry, OhmsText, Setup, Topology, VoltsEntry, VoltsText,
};
use tapwright_core::solve;
use tapwright_iron::measured::findings::{Findings, Meter, Next, Open, TapKind};
use tapwright_iron::measured::{Lead, Pair, same};

/// A winding as it was wound: its leads from end to end, with turns up to each.
#[derive(Debug)]
struct Wound {
    leads: Vec<(Lead, f64)>,
    /// Ohms up to each lead.
    ohms: Vec<f64>,
}

#[derive(Debug)]
struct Transformer {
    push_pull: bool,
    leads: usize,
    /// The primary first, then the secondary, then others; a screen is a winding of one lead.
    windings: Vec<Wound>,
}

/// Where taps stand along a primary, as parts of its turns.
fn primary_taps(noise: &mut Noise, push_pull: bool) -> Vec<f64> {
    let mut taps = Vec::new();
    if push_pull {
        // Makers miss the middle by a few turns.
        taps.push(0.5 + 0.002 * noise.normal().clamp(-2.0, 2.0));
        if noise.chance(0.3) {
            let screen = if noise.chance(0.5) {
                0.43
            } else {
                noise.between(0.2, 0.45)
            };
            taps.extend([0.5 - 0.5 * screen, 0.5 + 0.5 * screen]);
        }
        return taps;
    }
    if noise.chance(0.25) {
        taps.push(if noise.chance(0.5) {
            0.43
        } else {
            noise.between(0.2, 0.45)
        });
    }
    if noise.chance(0.25) {
        // A second rating.
        taps.push(noise.between(0.45_f64, 0.85).sqrt());
    }
    if noise.chance(0.05) {
        // Against hum.
        taps.push(noise.between(0.04, 0.08));
    }
    taps
}

/// Ohms up to each lead of a winding with so many ohms. From end to end turns get longer by `longer`.
fn copper(leads: &[(Lead, f64)], ohms: f64, longer: f64) -> Vec<f64> {
    let whole = leads.last().expect("an end").1.max(f64::MIN_POSITIVE);
    let up_to = |part: f64| part * (1.0 + 0.5 * longer * part) / (1.0 + 0.5 * longer);
    leads
        .iter()
        .map(|(_, turns)| ohms * up_to(turns / whole))
        .collect()
}

fn transformer(noise: &mut Noise) -> Transformer {
    let push_pull = noise.chance(0.5);
    let rated = noise.decade(2_000.0, 12_000.0);
    let turns = noise.between(1_500.0, 4_000.0);
    let mut shapes: Vec<(Vec<f64>, f64, f64)> = Vec::new();
    let taps = primary_taps(noise, push_pull);
    let ohms = rated * noise.decade(0.02, 0.08);
    shapes.push((taps.clone(), turns, ohms));
    // The secondary, with like copper.
    let secondaries: [&[f64]; 8] = [
        &[8.0],
        &[4.0, 8.0],
        &[4.0, 8.0, 16.0],
        &[3.2],
        &[8.0, 16.0],
        &[3.0, 8.0, 15.0],
        &[4.0, 16.0],
        &[2.0, 4.0, 8.0, 16.0],
    ];
    let secondary = secondaries[noise.count(0, secondaries.len() - 1)];
    let whole = secondary.last().expect("a tap");
    let low = turns * (whole / rated).sqrt();
    let parts = secondary[..secondary.len() - 1]
        .iter()
        .map(|ohms| (ohms / whole).sqrt());
    shapes.push((
        parts.collect(),
        low,
        ohms * (low / turns).powi(2) * noise.decade(0.5, 2.0),
    ));
    // A third winding: for feedback, of thin wire, or a second secondary.
    if noise.chance(0.3) {
        let third = low * noise.between(0.3, 1.2);
        let thin = ohms / turns * third * noise.decade(0.2, 1.0);
        let thick = ohms * (third / turns).powi(2) * noise.decade(0.7, 2.0);
        let ohms = if noise.chance(0.6) { thin } else { thick };
        shapes.push((Vec::new(), third, ohms));
    }
    let count: usize = shapes.iter().map(|(taps, ..)| taps.len() + 2).sum();
    let screen = noise.chance(0.1);
    let leads = count + usize::from(screen);
    let mut names: Vec<Lead> = (0..leads).collect();
    noise.shuffle(&mut names);
    let mut names = names.into_iter();
    let mut windings: Vec<Wound> = Vec::new();
    for (mut parts, turns, ohms) in shapes {
        parts.extend([0.0, 1.0]);
        parts.sort_by(f64::total_cmp);
        let leads: Vec<(Lead, f64)> = (names.by_ref())
            .zip(parts.iter().map(|part| part * turns))
            .collect();
        let longer = noise.between(0.0, 0.5);
        let ohms = copper(&leads, ohms.max(0.05), longer);
        windings.push(Wound { leads, ohms });
    }
    windings.extend(names.map(|lead| Wound {
        leads: vec![(lead, 0.0)],
        ohms: vec![0.0],
    }));
    Transformer {
        push_pull,
        leads,
        windings,
    }
}

impl Transformer {
    /// The winding of a lead, and its place along it.
    fn place(&self, lead: Lead) -> (usize, usize) {
        let on = |wound: &Wound| wound.leads.iter().position(|(other, _)| *other == lead);
        let mut all = self.windings.iter().enumerate();
        all.find_map(|(at, wound)| Some((at, on(wound)?)))
            .expect("a lead of it")
    }

    fn order(&self, winding: usize) -> Vec<Lead> {
        self.windings[winding]
            .leads
            .iter()
            .map(|(lead, _)| *lead)
            .collect()
    }

    /// Turns between two leads of one winding; `None` when they are on two.
    fn turns(&self, (a, b): Pair) -> Option<f64> {
        let (a, b) = (self.place(a), self.place(b));
        let up_to = |(at, place): (usize, usize)| self.windings[at].leads[place].1;
        (a.0 == b.0).then(|| (up_to(a) - up_to(b)).abs())
    }

    fn ohms(&self, (a, b): Pair) -> Option<f64> {
        let (a, b) = (self.place(a), self.place(b));
        let up_to = |(at, place): (usize, usize)| self.windings[at].ohms[place];
        (a.0 == b.0).then(|| (up_to(a) - up_to(b)).abs())
    }

    /// All pairs of leads of one winding.
    fn pairs(&self, winding: usize) -> Vec<Pair> {
        let leads = self.order(winding);
        let with = |at: usize| leads[at + 1..].iter().map(move |b| (at, *b));
        (0..leads.len())
            .flat_map(with)
            .map(|(at, b)| (leads[at], b))
            .collect()
    }
}

/// A meter with ranges.
struct Multimeter {
    /// Digits after the point, and the most that is shown, range by range.
    ranges: Vec<(usize, f64)>,
    gain: Vec<f64>,
    zero: Vec<f64>,
}

impl Multimeter {
    fn new(noise: &mut Noise, ranges: &[(usize, f64)], share: f64) -> Self {
        let common = 0.6 * share * noise.between(-1.0, 1.0);
        let of_range = |_: &(usize, f64)| 1.0 + common + 0.4 * share * noise.between(-1.0, 1.0);
        let gain = ranges.iter().map(of_range).collect();
        let zero = ranges.iter().map(|_| noise.between(-1.0, 1.0)).collect();
        Self {
            ranges: ranges.to_vec(),
            gain,
            zero,
        }
    }

    /// What it shows, as digits; on a range too high when the person is not careful.
    fn shows(&self, noise: &mut Noise, value: f64, careless: bool) -> String {
        let fits = self.ranges.iter().position(|(_, most)| value < *most);
        let last = self.ranges.len() - 1;
        let range = (fits.unwrap_or(last) + usize::from(careless)).min(last);
        let (digits, _) = self.ranges[range];
        let count = 0.1_f64.powi(i32::try_from(digits).expect("few"));
        // From one reading to the next the source, or the contact, changes a little.
        let drift = 1.0 + 0.001 * noise.normal();
        let shown = value * drift * self.gain[range] + self.zero[range] * count;
        format!("{:.digits$}", shown.max(count))
    }
}

/// The person at the bench, with two meters and a transformer.
struct Bench {
    noise: Noise,
    made: Transformer,
    ohmmeter: Multimeter,
    voltmeter: Multimeter,
    source: f64,
    setup: Setup,
    /// Readings taken.
    taken: usize,
}

impl Bench {
    fn new(seed: u64) -> Self {
        let mut noise = Noise(seed);
        let made = transformer(&mut noise);
        let ohmmeter = if noise.chance(0.5) {
            Multimeter::new(&mut noise, &[(1, 200.0), (0, 2_000.0)], 0.01)
        } else {
            Multimeter::new(&mut noise, &[(1, 600.0), (0, 6_000.0)], 0.01)
        };
        let voltmeter = if noise.chance(0.5) {
            Multimeter::new(
                &mut noise,
                &[(4, 0.2), (3, 2.0), (2, 20.0), (1, 200.0)],
                0.01,
            )
        } else {
            Multimeter::new(&mut noise, &[(3, 6.0), (2, 60.0)], 0.01)
        };
        let source = noise.between(6.0, 7.0);
        let names: Vec<String> = (0..made.leads).map(|lead| format!("w{lead}")).collect();
        let mut setup = Setup {
            marking: Marking::Measured,
            topology: if made.push_pull {
                Topology::PushPull
            } else {
                Topology::SingleEnded
            },
            ..Setup::default()
        };
        setup.hookups[0].speakers = "8".into();
        assert!(setup.set(Field::Measured(MeasuredText::Leads), &names.join(", ")));
        Self {
            noise,
            made,
            ohmmeter,
            voltmeter,
            source,
            setup,
            taken: 0,
        }
    }

    fn named(&self, (a, b): Pair) -> String {
        format!("w{a}-w{b}")
    }

    fn read_ohms(&mut self, pair: Pair, careless: bool) {
        let ohms = match self.made.ohms(pair) {
            Some(ohms) => self.ohmmeter.shows(&mut self.noise, ohms, careless),
            None => "open".into(),
        };
        let row = self.setup.measured.ohms.len();
        self.setup.measured.ohms.push(OhmsEntry::default());
        let pair = self.named(pair);
        assert!(self.setup.set(Field::Ohms(row, OhmsText::Pair), &pair));
        assert!(self.setup.set(Field::Ohms(row, OhmsText::Ohms), &ohms));
        self.taken += 1;
    }

    /// Reads volts while a pair is fed; the feed is typed where it changes.
    fn read_volts(&mut self, feed: Pair, pair: Option<Pair>, careless: bool) {
        let row = self.setup.measured.volts.len();
        let before = (self.setup.measured.volts.iter().rev()).find(|row| !row.fed.is_empty());
        let is_new = before.is_none_or(|before| before.fed != self.named(feed));
        self.setup.measured.volts.push(VoltsEntry::default());
        let per_turn = self.source / self.made.turns(feed).expect("one winding is fed");
        let mut texts = vec![(VoltsText::Fed, String::new())];
        if is_new {
            let fed = self.voltmeter.shows(&mut self.noise, self.source, false);
            texts = vec![
                (VoltsText::Fed, self.named(feed)),
                (VoltsText::FedVolts, fed),
            ];
            self.taken += 1;
        }
        if let Some(pair) = pair {
            let volts = per_turn * self.made.turns(pair).expect("one winding is read");
            let shown = self.voltmeter.shows(&mut self.noise, volts, careless);
            texts.extend([
                (VoltsText::Pair, self.named(pair)),
                (VoltsText::Volts, shown),
            ]);
            self.taken += 1;
        }
        for (part, text) in texts {
            assert!(self.setup.set(Field::Volts(row, part), &text));
        }
    }

    /// The readings that a person takes first: from a centre tap, from a common lead, or from any
    /// lead to any; half of them are missing.
    fn first_readings(&mut self) {
        let from_inner = self.noise.chance(0.5);
        let all_pairs = self.noise.chance(0.2);
        let careless = if self.noise.chance(0.3) { 0.5 } else { 0.0 };
        let mut pairs: Vec<Vec<Pair>> = Vec::new();
        for winding in 0..self.made.windings.len() {
            let order = self.made.order(winding);
            let from = match order.len() {
                0 | 1 => continue,
                2 => order[0],
                n if from_inner => order[self.noise.count(1, n - 2)],
                n => order[if self.noise.chance(0.5) { 0 } else { n - 1 }],
            };
            let star = order.iter().filter(|lead| **lead != from);
            pairs.push(match all_pairs {
                true => self.made.pairs(winding),
                false => star.map(|lead| (from, *lead)).collect(),
            });
        }
        let mut apart: Vec<Pair> = Vec::new();
        for at in 1..self.made.windings.len() {
            for other in 0..at {
                apart.push((self.made.order(other)[0], self.made.order(at)[0]));
            }
        }
        for pair in pairs.iter().flatten().chain(&apart) {
            if self.noise.chance(0.5) {
                let careless = self.noise.chance(careless);
                self.read_ohms(*pair, careless);
            }
        }
        // The first reading on the primary is fed, if it is: otherwise the page has to ask.
        if self.noise.chance(0.5) {
            // A good part of it: to feed a few turns would step the rest up.
            let part = |pair: &Pair| self.made.turns(*pair).expect("on the primary");
            let most = pairs[0].iter().map(part).fold(0.0, f64::max);
            let wide = |pair: &&Pair| part(pair) > 0.45 * most;
            let feed = *pairs[0].iter().find(wide).expect("the widest");
            let mut fed = false;
            for pair in pairs.iter().flatten().filter(|pair| !same(**pair, feed)) {
                if self.noise.chance(0.5) {
                    let careless = self.noise.chance(careless);
                    self.read_volts(feed, Some(*pair), careless);
                    fed = true;
                }
            }
            if !fed {
                self.read_volts(feed, None, false);
            }
        }
    }
}

/// What the oracle counts.
#[derive(Debug, Default)]
struct Tally {
    wrong: Vec<String>,
    ranges: usize,
    held: usize,
    settled: usize,
    cannot_tell: Vec<Open>,
    endless: Vec<String>,
    steps: Vec<i64>,
    total: Vec<i64>,
}

fn same_order(a: &[Lead], b: &[Lead]) -> bool {
    a == b || a.iter().rev().eq(b)
}

/// What is said that is not true.
fn lies(made: &Transformer, report: &Report) -> Vec<String> {
    let found: &Findings = report.solved.measured.as_ref().expect("it is measured");
    let mut lies = Vec::new();
    let mut check = |holds: bool, what: String| {
        if !holds {
            lies.push(what);
        }
    };
    for problem in &report.problems {
        check(
            false,
            format!("refused {}: {}", problem.field, problem.complaint.why),
        );
    }
    for winding in &found.found.windings {
        let truth = made.order(made.place(winding.leads[0]).0);
        check(
            winding.leads.iter().all(|lead| truth.contains(lead)),
            format!("not on one winding: {:?}", winding.leads),
        );
        if winding.closed {
            check(
                winding.leads.len() == truth.len(),
                format!("closed: {:?}", winding.leads),
            );
        }
        let known: Vec<Lead> = (truth.iter().copied())
            .filter(|lead| winding.leads.contains(lead))
            .collect();
        if winding.order_known || !found.unsure {
            check(
                same_order(&winding.leads, &known),
                format!(
                    "order {:?} is {known:?}, unsure {}",
                    winding.leads, found.unsure
                ),
            );
        }
        if winding.ends_known && known.len() > 1 {
            let ends = (winding.leads[0], winding.leads[winding.leads.len() - 1]);
            let truth = (known[0], known[known.len() - 1]);
            check(same(ends, truth), format!("ends {ends:?} are {truth:?}"));
        }
    }
    check(
        found.doubts.is_empty(),
        format!("doubts {:?}", found.doubts),
    );
    let suspected = found.agreements.iter().filter(|one| one.suspected).count();
    check(suspected == 0, format!("{suspected} readings suspected"));
    if found.unsure {
        return lies;
    }
    let winding_of = |at: usize| made.place(found.found.windings[at].leads[0]).0;
    if let Some(primary) = found.primary {
        check(winding_of(primary.winding) == 0, "the primary".into());
    }
    if let Some(secondary) = found.secondary {
        check(winding_of(secondary) > 0, "the secondary".into());
    }
    let order = made.order(0);
    let ends = (order[0], order[order.len() - 1]);
    for tap in &found.inner_taps {
        if made.place(tap.lead).0 != 0 {
            continue;
        }
        let part = |pair: Pair| made.turns(pair).unwrap_or(f64::NAN);
        let off = (part((ends.0, tap.lead)) / part(ends) - 0.5).abs();
        match tap.kind {
            TapKind::Middle => check(off < 0.01, format!("middle: off by {off}")),
            TapKind::PerhapsMiddle => check(off < 0.1, format!("perhaps the middle: off by {off}")),
            TapKind::Screen | TapKind::Other => check(off > 0.01, "no middle, and it is".into()),
        }
    }
    lies
}

/// How many stated loads there are, and how many hold the truth.
fn ranges(made: &Transformer, report: &Report) -> (usize, usize) {
    let found = report.solved.measured.as_ref().expect("it is measured");
    let Some(transformer) = &found.transformer else {
        return (0, 0);
    };
    let (mut stated, mut held) = (0, 0);
    for judged in &report.solved.connections {
        let choice = judged.connection.choice;
        let over = transformer.leads[choice.lead].pair;
        let under = transformer.secondary_pair(choice.secondary).expect("a tap");
        let (low, high) = judged.connection.range().expect("measured");
        stated += 1;
        let truth = made.turns(over).zip(made.turns(under));
        held += usize::from(truth.is_some_and(|(over, under)| {
            let load = judged.connection.impedance.0 * (over / under).powi(2);
            low.0 <= load && load <= high.0
        }));
    }
    (stated, held)
}

/// One transformer from the first readings to the end.
fn follow(seed: u64, tally: &mut Tally) {
    let mut bench = Bench::new(seed);
    bench.first_readings();
    let first = bench.taken;
    let most = first + 60;
    let mut asked: Vec<Next> = Vec::new();
    loop {
        let report = solve(&bench.setup);
        let said = lies(&bench.made, &report);
        tally
            .wrong
            .extend(said.into_iter().map(|lie| format!("{seed}: {lie}")));
        let (stated, held) = ranges(&bench.made, &report);
        tally.ranges += stated;
        tally.held += held;
        let found = report.solved.measured.as_ref().expect("it is measured");
        let end = match &found.next {
            None if found.unsure => Some(Err("unsure, and nothing is asked".to_owned())),
            None => Some(Ok(None)),
            Some(Next::CannotTell(open)) => Some(Ok(Some(open.clone()))),
            Some(next) if bench.taken > most => Some(Err(format!("no end, {next:?}"))),
            Some(Next::Contradiction) => Some(Err("contradiction".to_owned())),
            Some(_) => None,
        };
        if let Some(end) = end {
            match end {
                Ok(None) => tally.settled += 1,
                Ok(Some(open)) => tally.cannot_tell.push(open),
                Err(why) => tally.endless.push(format!("{seed}: {why}")),
            }
            let over = |taken: usize| taken as i64 - bench.made.leads as i64;
            tally.steps.push(over(bench.taken - first));
            tally.total.push(over(bench.taken));
            return;
        }
        let next = found.next.clone().expect("checked");
        if asked.contains(&next) {
            tally.endless.push(format!("{seed}: asks again {next:?}"));
            return;
        }
        asked.push(next.clone());
        match next {
            Next::OneWinding(pair) | Next::Ohms(pair) => bench.read_ohms(pair, false),
            Next::Volts(next) => bench.read_volts(next.feed, Some(next.pair), false),
            Next::Again(again) => {
                let feed = (report
                    .solved
                    .measured
                    .as_ref()
                    .expect("measured")
                    .agreements
                    .iter())
                .find(|one| one.shown.fed)
                .map(|one| one.shown.voltage.pair);
                match (again.meter, feed) {
                    (Meter::Ohms, _) => bench.read_ohms(again.pair, false),
                    (Meter::Volts, Some(feed)) => bench.read_volts(feed, Some(again.pair), false),
                    (Meter::Volts, None) => panic!("volts again without a feed"),
                }
            }
            other => panic!("{seed}: {other:?}"),
        }
    }
}

fn median(mut list: Vec<i64>) -> i64 {
    list.sort_unstable();
    list[list.len() / 2]
}

/// Days since 1970, in UTC: every day another transformer.
fn today() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |since| since.as_secs() / 86_400)
}

#[test]
fn a_tenth_of_the_transformers_and_one_by_the_date() {
    hold((1_000..2_000).step_by(10).chain([today()]));
}

/// Takes long: `cargo test --release -p tapwright-core --test measured_study -- --ignored --nocapture`.
#[test]
#[ignore = "the suite runs a tenth of it"]
fn a_thousand_random_transformers() {
    hold(1_000..2_000);
}

fn hold(seeds: impl Iterator<Item = u64>) {
    let mut tally = Tally::default();
    for seed in seeds {
        follow(seed, &mut tally);
    }
    let held = 100.0 * tally.held as f64 / tally.ranges as f64;
    println!(
        "{} wrong, {held:.2} % of {} ranges hold, {} settled, {} cannot be told, {} without an end, \
         median of further readings leads {:+}, of all readings leads {:+}",
        tally.wrong.len(),
        tally.ranges,
        tally.settled,
        tally.cannot_tell.len(),
        tally.endless.len(),
        median(tally.steps.clone()),
        median(tally.total.clone()),
    );
    let kinds = |open: &Open| {
        format!("{open:?}")
            .split('(')
            .next()
            .unwrap_or_default()
            .to_owned()
    };
    let mut told: Vec<String> = tally.cannot_tell.iter().map(kinds).collect();
    told.sort();
    println!(
        "cannot tell: {} order, {} turns",
        told.iter().filter(|k| *k == "Order").count(),
        told.iter().filter(|k| *k == "Turns").count()
    );
    for line in tally.wrong.iter().chain(&tally.endless).take(40) {
        println!("{line}");
    }
    assert!(tally.wrong.is_empty());
    assert!(tally.endless.is_empty());
    assert!(held >= 93.0, "{held}");
    assert!(median(tally.steps) <= 4);
}
