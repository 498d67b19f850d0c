//! Everything computed from a [`Setup`], and nothing typed.

use serde::Serialize;

use crate::answer::{self, Answer, Caution};
use crate::connection::{self, Connection};
use crate::losses::{self, LossReport, Network};
use crate::matching::Verdict;
use crate::output::{self, Because, Bench, ChosenOutput, Memory, Prepared, Slot, StageReport};
use crate::published::{self, PublishedLoad};
use crate::reading::{Fitted, Problem, ReadHookup, Reading};
use crate::setup::{Loads, Selection, Setup, Topology};
use crate::speaker::{self, Driver, DriverShare, Hookup, Mixed, SafePower};
use crate::stage::{StageError, stress};
use crate::sweep::{self, Sweep};
use crate::transformer::Transformer;
use crate::tube;
use crate::tube_in_use::TubeInUse;
use crate::units::{Ohms, Volts, Watts};
use crate::unmarked::findings::Findings;
use crate::working::{Solved, Working};
use crate::workings;

/// Where the load to aim at comes from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Target {
    /// The person typed it.
    Typed(Ohms),
    /// A published operating example of the tube.
    Published(PublishedLoad),
    /// The tube is known, and nothing is published for it in this stage: the load with the
    /// most power at little distortion.
    Computed(Ohms),
    /// Nothing is known of the tube: each lead's own rated impedance.
    AsRated,
}

impl Target {
    /// The load wanted on a lead whose rated impedance is `rated`.
    ///
    /// ```
    /// use tapwright_core::{report::Target, units::Ohms};
    /// assert_eq!(Target::AsRated.on(Ohms(8e3)), Ohms(8e3));
    /// assert_eq!(Target::Typed(Ohms(5e3)).on(Ohms(8e3)), Ohms(5e3));
    /// ```
    pub fn on(&self, rated: Ohms) -> Ohms {
        match self {
            Self::Typed(load) | Self::Computed(load) => *load,
            Self::Published(published) => published.load,
            Self::AsRated => rated,
        }
    }
}

/// What is still to be typed before there is an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Missing {
    /// No primary lead.
    Primary,
    /// No secondary tap.
    Taps,
    /// No speaker in any hookup.
    Speakers,
}

/// A hookup and what its drivers get.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HookupReport {
    /// Its place in the set-up, counted from 0.
    pub place: usize,
    /// The speakers and how they are joined.
    pub speakers: Hookup,
    /// The drivers as they are, in the order of the hookup.
    #[serde(skip)]
    pub drivers: Vec<Driver>,
    /// Impedance from rated impedances.
    pub impedance: Ohms,
    /// The lowest impedance that these ratings allow in the rated band.
    pub lowest_impedance: Ohms,
    /// What each driver gets.
    pub shares: Vec<DriverShare>,
    /// Most power for the whole hookup, and the place of the driver that limits it.
    /// `None` until every driver has a rating.
    pub largest_power: Option<(Watts, usize)>,
    /// The same over frequency, when a driver is described as it is.
    pub safe: Option<SafePower>,
}

impl HookupReport {
    /// The hookup with its drivers, over frequency.
    pub fn mixed(&self) -> Option<Mixed<'_>> {
        Mixed::new(&self.speakers, &self.drivers)
    }

    /// The most power that the hookup takes, at rated impedances and over frequency.
    pub fn takes(&self) -> Option<Watts> {
        let safe = self.safe.map_or(f64::INFINITY, |safe| safe.watts.0);
        let (rated, _) = self.largest_power?;
        Some(Watts(rated.0.min(safe)))
    }
}

/// The connection that the rest of the page follows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Chosen {
    /// Its place among [`Report::connections`].
    pub connection: usize,
    /// Whether the person chose it, or it is the recommended one.
    pub by_hand: bool,
    /// What to beware of with it.
    pub cautions: Vec<Caution>,
    /// What the stage does into it, or why that could not be computed; `None` without a tube.
    pub output: Option<Result<ChosenOutput, String>>,
    /// Its hookup over frequency.
    pub sweep: Option<Sweep>,
    /// The same at the frequency that was typed, alone.
    pub at_frequency: Option<Sweep>,
    /// How each of its numbers came about.
    pub workings: Vec<Working>,
    /// What was solved numerically for it.
    pub solved: Vec<Solved>,
}

/// Everything computed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// Fields that could not be read.
    pub problems: Vec<Problem>,
    /// What is still to be typed.
    pub missing: Vec<Missing>,
    /// What the primary ratings span, as typed.
    pub topology: Topology,
    /// What the readings tell of a transformer without marking, when it is one.
    pub unmarked: Option<Findings>,
    /// The transformer, once known.
    pub transformer: Option<Transformer>,
    /// The line voltage as read, also when the power taps are not known yet.
    pub line: Option<Volts>,
    /// The supply voltage as read.
    pub supply: Option<Volts>,
    /// The frequency at which speakers' impedance is wanted, Hz.
    pub frequency: Option<f64>,
    /// Whether the loads are made from the impedance there.
    pub by_curve: bool,
    /// Where the load to aim at comes from.
    pub target: Target,
    /// The published loads of the tube in this kind of stage.
    pub published: Vec<PublishedLoad>,
    /// The person's own tube as it was fitted, while it is the one in use.
    pub own: Option<Fitted>,
    /// The output stage, or why it could not be computed; `None` without a tube.
    pub stage: Option<Result<StageReport, String>>,
    /// What the iron loses, and where it ends.
    pub losses: LossReport,
    /// Every hookup that could be read.
    pub hookups: Vec<HookupReport>,
    /// Every connection, those of one hookup together.
    pub connections: Vec<Connection>,
    /// One for each hookup: which connection to use.
    pub answers: Vec<Answer>,
    /// The chosen connection.
    pub chosen: Option<Chosen>,
}

impl Report {
    /// The hookup at a place in the set-up, if it could be read.
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let report = solve(&link::parse("hookup=&hookup=8").setup);
    /// assert!(report.hookup(0).is_none() && report.hookup(1).is_some());
    /// ```
    pub fn hookup(&self, place: usize) -> Option<&HookupReport> {
        self.hookups.iter().find(|hookup| hookup.place == place)
    }

    /// The answer for the hookup at a place in the set-up.
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let report = solve(&link::parse("primary=8k&taps=8&hookup=8").setup);
    /// assert!(report.answer(0).is_some() && report.answer(1).is_none());
    /// ```
    pub fn answer(&self, place: usize) -> Option<&Answer> {
        self.answers.iter().find(|answer| answer.hookup == place)
    }

    /// The connection that the page follows.
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let report = solve(&link::parse("primary=8k&taps=8&hookup=8").setup);
    /// assert_eq!(report.followed(), Some(&report.connections[0]));
    /// ```
    pub fn followed(&self) -> Option<&Connection> {
        self.connections.get(self.chosen.as_ref()?.connection)
    }
}

/// Computes everything that a set-up allows. Never panics, never fails as a whole: a
/// part that cannot be computed is absent, and [`Report::problems`] or
/// [`Report::missing`] say why.
///
/// ```
/// use tapwright_core::{link, solve};
/// let report = solve(&link::parse("primary=8k&taps=8&hookup=8").setup);
/// assert_eq!(report.connections.len(), 1);
/// assert_eq!(report.answers.len(), 1);
/// ```
pub fn solve(setup: &Setup) -> Report {
    solve_with(setup, &mut Memory::default())
}

/// As [`solve`], sooner where the stage is the one that `memory` was left with.
///
/// ```
/// use tapwright_core::{link, output::Memory, solve, solve_with};
/// let setup = link::parse("primary=8k&taps=8&hookup=8&tube=6AQ5").setup;
/// let mut memory = Memory::default();
/// for _ in 0..2 {
///     assert_eq!(solve_with(&setup, &mut memory), solve(&setup));
/// }
/// ```
pub fn solve_with(setup: &Setup, memory: &mut Memory) -> Report {
    let reading = Reading::of(setup);
    let windings = windings(&reading);
    let prepared = tube(setup, &reading).map(|tube| prepare(setup, &reading, &tube, &windings));
    let target = target(
        setup,
        &reading,
        (prepared.as_ref()).and_then(|p| p.as_ref().ok()?.first()),
    );
    let transformer = reading.transformer();
    let hookups = hookups(&reading);
    let mut connections = transformer.as_ref().map_or_else(Vec::new, |transformer| {
        let speakers: Vec<_> = hookups.iter().map(|h| (h.place, &h.speakers)).collect();
        connection::every(transformer, &speakers, |lead| {
            transformer
                .leads
                .get(lead)
                .map(|lead| target.on(lead.rated))
        })
    });
    let by_curve = (reading.stage.frequency).filter(|_| setup.loads == Loads::Curve);
    if let Some(hertz) = by_curve {
        at_frequency(&hookups, hertz, &mut connections);
    }
    let networks = losses::networks(&reading.losses, transformer.as_ref(), &connections);
    if let Some(unmarked) = &reading.unmarked {
        unmarked.spread(&mut connections);
    }
    let benches = prepared.map(|prepared| {
        let prepared = prepared.map_err(|error| error.to_string())?;
        let mut loads = Vec::new();
        for (connection, network) in connections.iter().zip(&networks) {
            loads.push(network.behind_copper(connection.impedance.0));
        }
        let mut benches = Vec::new();
        for (prepared, slot) in prepared.into_iter().zip(memory.slots(windings.len())) {
            benches.push(bench(prepared, target, &loads, slot)?);
        }
        Ok::<_, String>(benches)
    });
    let solved = || benches.iter().flatten().flatten();
    for bench in solved() {
        bench.judge(on_winding(bench, &mut connections, &networks));
    }
    if let Some(transformer) = &transformer
        && transformer.line.is_some()
        && setup.topology == Topology::PushPull
    {
        for connection in &mut connections {
            if transformer.middle(connection.choice.lead).is_none() {
                connection.worsen(Verdict::Avoid, Because::NoCentreTap);
            }
        }
    }
    if let Some(transformer) = &transformer {
        connection::rank(transformer, &mut connections);
    }
    let takes = |place: usize| {
        let hookup = hookups.iter().find(|hookup| hookup.place == place)?;
        hookup.takes()
    };
    for bench in solved() {
        bench.condemn(on_winding(bench, &mut connections, &networks), &takes);
    }
    let followed = followed(setup, &connections);
    let bench = solved()
        .find(|bench| followed.is_some_and(|(at, _)| is_on_winding(bench, networks.get(at))))
        .or_else(|| solved().next());
    let drive = reading.stage.drive.unwrap_or(1.0);
    let frequency = reading.stage.frequency;
    let by_curve = by_curve.is_some();
    let mut report = Report {
        missing: missing(&reading),
        topology: setup.topology,
        line: reading.line,
        supply: reading.supply,
        published: published::loads(&setup.tube, setup.topology),
        problems: reading.problems,
        unmarked: reading.unmarked,
        transformer,
        frequency,
        by_curve,
        target,
        own: reading.stage.own.and_then(|own| own.fitted),
        stage: match (&benches, bench) {
            (Some(Err(why)), _) => Some(Err(why.clone())),
            (_, bench) => bench.map(|bench| Ok(bench.report.clone())),
        },
        losses: LossReport::default(),
        hookups,
        connections,
        answers: Vec::new(),
        chosen: None,
    };
    let output = followed.zip(bench);
    let output = output.and_then(|((at, _), bench)| {
        let connection = report.connections[at];
        let speakers = report.hookup(connection.choice.hookup);
        let frequency = frequency.zip(speakers.and_then(HookupReport::mixed));
        let output = bench.chosen(&connection, networks.get(at)?, drive, frequency);
        if let (Ok(exact), Some(rough)) = (&output, &mut report.connections[at].output) {
            bench.refine(rough, exact);
        }
        Some((bench, output))
    });
    report.losses = LossReport::of(
        reading.losses,
        &report,
        networks,
        followed.map(|(at, _)| at),
    );
    let stage = report.stage.as_ref().and_then(|stage| stage.as_ref().ok());
    if answer::direct_current(&report, stage).is_some() {
        for connection in &mut report.connections {
            connection.worsen(Verdict::Usable, Because::DirectCurrent);
        }
    }
    report.answers = answer::every(&report);
    let beyond = match (followed, &output) {
        (Some((at, _)), Some((_, Ok(output)))) => {
            answer::beyond_full(&report, at, output, report.frequency)
        }
        _ => Vec::new(),
    };
    if let (Some((at, _)), Some((bench, Ok(output)))) = (followed, &output) {
        for answer in &mut report.answers {
            if answer.connection == at {
                (answer.cautions).splice(0..0, with_reactance(&bench.report, output));
                insert_before_last(&mut answer.cautions, &beyond);
            }
        }
    }
    report.chosen = followed.map(|(at, by_hand)| {
        let mut chosen = Chosen::of(&report, at, by_hand);
        if let Some((bench, output)) = output {
            chosen.fill(bench, &report.connections[at], output);
            insert_before_last(&mut chosen.cautions, &beyond);
        }
        chosen
    });
    report
}

/// Makes the loads from the hookups' impedance at a frequency.
fn at_frequency(hookups: &[HookupReport], hertz: f64, connections: &mut [Connection]) {
    for hookup in hookups {
        let Some(mixed) = hookup.mixed() else {
            continue;
        };
        let impedance = Ohms(mixed.impedance_at(hertz).norm());
        for connection in &mut *connections {
            if connection.choice.hookup == hookup.place {
                connection.with_impedance(impedance);
            }
        }
    }
}

/// The winding resistances that the primary leads have, each once: the stage is solved on
/// every one of them. One of nothing where none is known.
fn windings(reading: &Reading) -> Vec<f64> {
    let leads = reading.leads.as_ref().map_or(1, Vec::len);
    let mut windings = Vec::new();
    for lead in 0..leads {
        let ohms = reading.losses.primary_ohms(lead);
        if !windings.contains(&ohms) {
            windings.push(ohms);
        }
    }
    windings
}

/// The stage on each of the windings.
fn prepare(
    setup: &Setup,
    reading: &Reading,
    tube: &TubeInUse,
    windings: &[f64],
) -> Result<Vec<Prepared>, StageError> {
    let mut prepared = Vec::new();
    for ohms in windings {
        prepared.push(output::prepare(setup, reading, tube.clone(), *ohms)?);
    }
    Ok(prepared)
}

/// Whether a stage was solved on the winding that a network has.
fn is_on_winding(bench: &Bench, network: Option<&Network>) -> bool {
    network.is_some_and(|network| network.primary_ohms == bench.report.stage.primary_ohms)
}

/// The connections on the winding that a stage was solved on, with their networks.
fn on_winding<'c>(
    bench: &Bench,
    connections: &'c mut [Connection],
    networks: &'c [Network],
) -> impl Iterator<Item = (&'c mut Connection, &'c Network)> {
    (connections.iter_mut().zip(networks))
        .filter(|(_, network)| is_on_winding(bench, Some(network)))
}

/// Solves the stage over the loads of all connections, or says why that is not possible.
fn bench<'a>(
    prepared: Prepared,
    target: Target,
    loads: &[f64],
    memory: &'a mut Slot,
) -> Result<Bench<'a>, String> {
    if let Target::AsRated = target {
        // Then not even the best load was found.
        return Err("into no load at all does this stage give any power".to_owned());
    }
    prepared
        .solve(target.on(Ohms(0.0)), loads, memory)
        .map_err(|error| error.to_string())
}

impl Chosen {
    fn of(report: &Report, connection: usize, by_hand: bool) -> Self {
        let passage = report.losses.passages.get(connection);
        let band =
            passage.and_then(|p| workings::losses::band(report.connections.get(connection)?, p));
        Self {
            connection,
            by_hand,
            cautions: answer::cautions(report, connection),
            output: None,
            sweep: swept(report, connection, &sweep::frequencies()),
            at_frequency: (report.frequency).and_then(|hertz| swept(report, connection, &[hertz])),
            solved: band.into_iter().collect(),
            workings: workings::of(report, connection),
        }
    }

    /// Puts in what the stage does into it, with the workings.
    fn fill(
        &mut self,
        bench: &Bench,
        connection: &Connection,
        output: Result<ChosenOutput, StageError>,
    ) {
        if let Ok(output) = &output {
            let stage = &bench.report;
            (self.cautions).splice(0..0, with_reactance(stage, output));
            (self.workings).extend(workings::stage::of(stage, output, connection));
            (self.solved).extend(workings::solved::of(stage, output));
        }
        self.output = Some(output.map_err(|error| error.to_string()));
    }
}

/// Puts cautions before the last one, which every connection has.
fn insert_before_last(cautions: &mut Vec<Caution>, more: &[Caution]) {
    let at = cautions.len().saturating_sub(1);
    cautions.splice(at..at, more.iter().cloned());
}

/// The limits that are passed further with the speakers' reactance than without, or only so.
fn with_reactance(stage: &StageReport, output: &ChosenOutput) -> Vec<Caution> {
    let Some(Ok(found)) = &output.reactive else {
        return Vec::new();
    };
    let passed = stress::exceeded(&stage.idle, &output.stresses, &stage.tube.bounds);
    (passed.into_iter().zip(output.passed))
        .filter_map(|(passed, without)| {
            let passed = passed.filter(|passed| passed.from > 0.0)?;
            let worse = without.is_none_or(|without| passed.value > 1.02 * without.value);
            worse.then_some(Caution::OverLimitWithReactance(found.hertz, passed))
        })
        .collect()
}

/// The tube that the stage is computed with, if one is chosen.
fn tube(setup: &Setup, reading: &Reading) -> Option<TubeInUse> {
    if let Some(own) = &reading.stage.own {
        return TubeInUse::own(own);
    }
    tube::find(&setup.tube)
        .filter(|tube| published::is_power_tube(tube))
        .map(TubeInUse::of)
}

fn target(setup: &Setup, reading: &Reading, prepared: Option<&Prepared>) -> Target {
    if let Some(load) = reading.target {
        return Target::Typed(load);
    }
    let tubes = prepared.map(Prepared::tubes);
    published::nearest(
        &setup.tube,
        setup.topology,
        setup.screens,
        reading.supply,
        tubes,
    )
    .map(Target::Published)
    .or_else(|| prepared?.best_load().map(Target::Computed))
    .unwrap_or(Target::AsRated)
}

fn hookups(reading: &Reading) -> Vec<HookupReport> {
    let read = reading.hookups.iter().enumerate();
    read.filter_map(|(place, hookup)| {
        let hookup = hookup.as_ref()?;
        let shares = hookup.speakers.shares(&hookup.ratings);
        Some(HookupReport {
            place,
            impedance: hookup.speakers.impedance(),
            lowest_impedance: hookup.speakers.lowest_impedance(),
            largest_power: speaker::largest_power(&shares),
            safe: safe(hookup),
            drivers: hookup.drivers.clone(),
            speakers: hookup.speakers.clone(),
            shares,
        })
    })
    .collect()
}

fn safe(hookup: &ReadHookup) -> Option<SafePower> {
    if hookup.drivers.iter().all(|driver| driver.name.is_empty()) {
        // All of one kind: the shares are the rated ones at every frequency.
        return None;
    }
    let mixed = Mixed::new(&hookup.speakers, &hookup.drivers)?;
    mixed.safe_power(&sweep::frequencies(), &hookup.ratings)
}

fn missing(reading: &Reading) -> Vec<Missing> {
    [
        (reading.leads.is_none(), Missing::Primary),
        (reading.taps.is_none(), Missing::Taps),
        (
            reading.hookups.iter().all(Option::is_none),
            Missing::Speakers,
        ),
    ]
    .into_iter()
    .filter_map(|(absent, what)| absent.then_some(what))
    .collect()
}

fn swept(report: &Report, place: usize, frequencies: &[f64]) -> Option<Sweep> {
    let connection = report.connections.get(place)?;
    let mixed = report.hookup(connection.choice.hookup)?.mixed()?;
    let passage = report.losses.passages.get(place);
    let network = passage.map_or(Network::ideal(connection.turns_ratio), |passage| {
        passage.network
    });
    Some(Sweep::of(mixed, frequencies, &|hertz, z| {
        network.input(hertz, z)
    }))
}

/// The connection that the person selected, if it exists, and that they did; otherwise the
/// recommended one of the hookup they selected, or of the first.
fn followed(setup: &Setup, connections: &[Connection]) -> Option<(usize, bool)> {
    let by_hand = match setup.selected {
        Some(Selection::Connection(choice)) => connections
            .iter()
            .position(|connection| connection.choice == choice),
        _ => None,
    };
    let best = |hookup: Option<usize>| {
        connections.iter().position(|connection| {
            connection.rank == 1 && hookup.is_none_or(|hookup| connection.choice.hookup == hookup)
        })
    };
    let selected = setup.selected.map(|selection| selection.hookup());
    let recommended = || {
        selected
            .and_then(|at| best(Some(at)))
            .or_else(|| best(None))
    };
    by_hand
        .map(|at| (at, true))
        .or_else(|| Some((recommended()?, false)))
}
