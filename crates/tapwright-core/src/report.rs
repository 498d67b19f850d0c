//! Everything computed from a [`Setup`], and nothing typed.

use serde::Serialize;

use crate::answer::{self, Answer, Caution};
use crate::connection::{self, Connection};
use crate::matching::Verdict;
use crate::output::{self, Because, Bench, ChosenOutput, Memory, Prepared, StageReport};
use crate::published::{self, PublishedLoad};
use crate::reading::{Fitted, Problem, Reading};
use crate::setup::{Selection, Setup, Topology};
use crate::speaker::{self, DriverShare, Hookup};
use crate::stage::{StageError, stress};
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
    /// Impedance from rated impedances.
    pub impedance: Ohms,
    /// The lowest impedance that these ratings allow in the rated band.
    pub lowest_impedance: Ohms,
    /// What each driver gets.
    pub shares: Vec<DriverShare>,
    /// Most power for the whole hookup, and the place of the driver that limits it.
    /// `None` until every driver has a rating.
    pub largest_power: Option<(Watts, usize)>,
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
    /// Where the load to aim at comes from.
    pub target: Target,
    /// The published loads of the tube in this kind of stage.
    pub published: Vec<PublishedLoad>,
    /// The person's own tube as it was fitted, while it is the one in use.
    pub own: Option<Fitted>,
    /// The output stage, or why it could not be computed; `None` without a tube.
    pub stage: Option<Result<StageReport, String>>,
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
    let prepared = tube(setup, &reading).map(|tube| output::prepare(setup, &reading, tube));
    let target = target(
        setup,
        &reading,
        prepared.as_ref().and_then(|p| p.as_ref().ok()),
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
    if let Some(unmarked) = &reading.unmarked {
        unmarked.spread(&mut connections);
    }
    let bench = prepared.map(|prepared| {
        let prepared = prepared.map_err(|error| error.to_string())?;
        bench(prepared, target, &connections, memory)
    });
    if let Some(Ok(bench)) = &bench {
        bench.judge(&mut connections);
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
    if let Some(Ok(bench)) = &bench {
        bench.condemn(&mut connections, |place| {
            let hookup = hookups.iter().find(|hookup| hookup.place == place)?;
            Some(hookup.largest_power?.0)
        });
    }
    let drive = reading.stage.drive.unwrap_or(1.0);
    let frequency = reading.stage.frequency;
    let mut report = Report {
        missing: missing(&reading),
        topology: setup.topology,
        line: reading.line,
        supply: reading.supply,
        published: published::loads(&setup.tube, setup.topology),
        problems: reading.problems,
        unmarked: reading.unmarked,
        transformer,
        target,
        own: reading.stage.own.and_then(|own| own.fitted),
        stage: None,
        hookups,
        connections,
        answers: Vec::new(),
        chosen: None,
    };
    report.stage = bench.as_ref().map(|bench| match bench {
        Ok(bench) => Ok(bench.report.clone()),
        Err(why) => Err(why.clone()),
    });
    let followed = followed(setup, &report.connections);
    let output = followed.zip(bench.as_ref().and_then(|bench| bench.as_ref().ok()));
    let output = output.map(|((at, _), bench)| {
        let connection = report.connections[at];
        let speakers = report.hookup(connection.choice.hookup);
        let frequency = frequency.zip(speakers.map(|hookup| &hookup.speakers));
        let output = bench.chosen(&connection, drive, frequency);
        if let (Ok(exact), Some(rough)) = (&output, &mut report.connections[at].output) {
            bench.refine(rough, exact);
        }
        (bench, output)
    });
    report.answers = answer::every(&report);
    if let (Some((at, _)), Some((bench, Ok(output)))) = (followed, &output) {
        for answer in &mut report.answers {
            if answer.connection == at {
                (answer.cautions).splice(0..0, with_reactance(&bench.report, output));
            }
        }
    }
    report.chosen = followed.map(|(at, by_hand)| {
        let mut chosen = Chosen::of(&report, at, by_hand);
        if let Some((bench, output)) = output {
            chosen.fill(bench, &report.connections[at], output);
        }
        chosen
    });
    report
}

/// Solves the stage over the loads of all connections, or says why that is not possible.
fn bench<'a>(
    prepared: Prepared,
    target: Target,
    connections: &[Connection],
    memory: &'a mut Memory,
) -> Result<Bench<'a>, String> {
    if let Target::AsRated = target {
        // Then not even the best load was found.
        return Err("into no load at all does this stage give any power".to_owned());
    }
    prepared
        .solve(target.on(Ohms(0.0)), connections, memory)
        .map_err(|error| error.to_string())
}

impl Chosen {
    fn of(report: &Report, connection: usize, by_hand: bool) -> Self {
        Self {
            connection,
            by_hand,
            cautions: answer::cautions(report, connection),
            output: None,
            solved: Vec::new(),
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
            self.solved = workings::solved::of(stage, output);
        }
        self.output = Some(output.map_err(|error| error.to_string()));
    }
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
            speakers: hookup.speakers.clone(),
            shares,
        })
    })
    .collect()
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
