//! Everything computed from a [`Setup`], and nothing typed.

use serde::Serialize;

use crate::answer::{self, Answer};
use crate::connection::{self, Connection};
use crate::losses::{self, LossReport};
use crate::matching::Verdict;
use crate::output::{Because, Memory, Prepared, StageReport};
use crate::published::{self, PublishedLoad};
use crate::setup::{Loads, Setup, Topology};
use crate::values::{Fitted, Problem, Values};
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::transformer::Transformer;
use tapwright_speaker::sweep;
use tapwright_units::{Ohms, Volts};

mod benches;
mod chosen;
mod hookup;

use benches::{is_on_winding, on_winding};
use chosen::{Further, followed};

pub use chosen::Chosen;
pub use hookup::HookupReport;

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
    /// use tapwright_core::report::Target;
    /// use tapwright_units::Ohms;
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
    solve_read(setup, Values::read(setup), memory)
}

/// As [`solve_with`], when the set-up is read already: `reading` is `Values::read(setup)`.
///
/// ```
/// use tapwright_core::{link, output::Memory, values::Values, report::solve_read, solve};
/// let setup = link::parse("primary=8k&taps=8&hookup=8&tube=6AQ5").setup;
/// let report = solve_read(&setup, Values::read(&setup), &mut Memory::default());
/// assert_eq!(report, solve(&setup));
/// ```
pub fn solve_read(setup: &Setup, reading: Values, memory: &mut Memory) -> Report {
    let prepared = benches::prepare(setup, &reading);
    let target = target(
        setup,
        &reading,
        (prepared.as_ref()).and_then(|p| p.as_ref().ok()?.first()),
    );
    let transformer = reading.transformer();
    let hookups = hookup::every(&reading);
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
        connection::spread(unmarked, &mut connections);
    }
    let benches = prepared.map(|prepared| {
        let prepared = prepared.map_err(|error| error.to_string())?;
        benches::solve(prepared, target, &connections, &networks, memory)
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
            (_, bench) => bench.map(|bench| Ok(bench.with_curve())),
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
    let further = match (followed, &output) {
        (Some((at, _)), Some((bench, Ok(output)))) => {
            Further::of(&report, at, &bench.report, output)
        }
        _ => Further::default(),
    };
    for answer in &mut report.answers {
        if followed.is_some_and(|(at, _)| answer.connection == at) {
            further.add_to(&mut answer.cautions);
        }
    }
    report.chosen = followed.map(|(at, by_hand)| {
        let mut chosen = Chosen::of(&report, at, by_hand);
        further.add_to(&mut chosen.cautions);
        if let Some((bench, output)) = output {
            chosen.fill(bench, &report.connections[at], output);
        }
        chosen
    });
    report
}

/// Makes the loads from the hookups' impedance at a frequency.
fn at_frequency(hookups: &[HookupReport], hertz: f64, connections: &mut [Connection]) {
    let frequencies = sweep::frequencies();
    for hookup in hookups {
        let Some(mixed) = hookup.mixed() else {
            continue;
        };
        let impedance = Ohms(mixed.impedance_at(hertz).norm());
        let all = frequencies.iter().map(|hertz| mixed.impedance_at(*hertz));
        let lowest = Ohms(all.map(|z| z.norm()).fold(impedance.0, f64::min));
        for connection in &mut *connections {
            if connection.choice.hookup == hookup.place {
                connection.with_impedance(impedance, lowest);
            }
        }
    }
}

fn target(setup: &Setup, reading: &Values, prepared: Option<&Prepared>) -> Target {
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

fn missing(reading: &Values) -> Vec<Missing> {
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
