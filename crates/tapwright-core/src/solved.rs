//! Everything computed from what was typed, before anything is said of it.

use serde::Serialize;

use crate::connection::{self, SpeakerLoad};
use crate::described::{self, SolvedSupply};
use crate::health::Health;
use crate::hookup::{self, SolvedHookup};
use crate::iron::{Path, SolvedIron, Surroundings, network};
use crate::judged::{Bar, Candidate, Judged, Ranked, ranks};
use crate::output::{self, Bench, Output, Prepared, SOLVED_ONE_BY_ONE, SolvedStage, Windings};
use crate::published::{self, PublishedLoad};
use crate::setup::{Field, Isolation, Loads, Topology};
use crate::target::Target;
use crate::values::{AmplifierValues, EndLeads, Fitted, HeaterValues, ReadingsValues, Values};
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::transformer::Transformer;
use tapwright_stage::StageError;
use tapwright_units::{Ohms, Volts, Watts};

mod followed;

pub use followed::Followed;

/// Everything computed. A part that cannot be computed is absent or says why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Solved {
    /// What the primary ratings span, as typed.
    pub topology: Topology,
    /// What the readings tell of a transformer without marking, when it is one.
    pub measured: Option<Findings>,
    /// The transformer, once known.
    pub transformer: Option<Transformer>,
    /// What its leads without a rating are called.
    pub ends: EndLeads,
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
    pub stage: Option<Result<SolvedStage, String>>,
    /// The power supply with the stage at idle behind it, or why that has no solution; `None`
    /// until enough of it is described.
    pub power_supply: Option<Result<SolvedSupply, String>>,
    /// What is still to be typed of a supply that is begun.
    pub supply_wants: Vec<Field>,
    /// Whether nothing isolates the amplifier from the mains.
    pub is_live: bool,
    /// The driver and the feedback as they were read.
    pub amplifier: AmplifierValues,
    /// The readings at idle as they were read, and what is wanted there.
    pub readings: ReadingsValues,
    /// The heaters as they were read.
    pub heaters: HeaterValues,
    /// What is wrong with the stage, whatever it is connected to.
    pub health: Health,
    /// What the iron loses, and where it ends.
    pub iron: SolvedIron,
    /// Every hookup that could be read.
    pub hookups: Vec<SolvedHookup>,
    /// Every connection, those of one hookup together.
    pub connections: Vec<Judged>,
    /// The connection that the page follows.
    pub followed: Option<Followed>,
}

impl Solved {
    /// The output stage, where it could be computed.
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let stage = |text| solve(&link::parse(text).setup).solved.stage().is_some();
    /// assert!(stage("tube=EL84&supply=250") && !stage("supply=250"));
    /// ```
    pub fn stage(&self) -> Option<&SolvedStage> {
        self.stage.as_ref()?.as_ref().ok()
    }

    /// The hookup at a place in the set-up, if it could be read.
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let solved = solve(&link::parse("hookup=&hookup=8").setup).solved;
    /// assert!(solved.hookup(0).is_none() && solved.hookup(1).is_some());
    /// ```
    pub fn hookup(&self, place: usize) -> Option<&SolvedHookup> {
        self.hookups.iter().find(|hookup| hookup.place == place)
    }

    /// The connection that the page follows.
    ///
    /// ```
    /// use tapwright_core::{link, solve};
    /// let solved = solve(&link::parse("primary=8k&taps=8&hookup=8").setup).solved;
    /// assert_eq!(solved.followed(), Some(&solved.connections[0]));
    /// ```
    pub fn followed(&self) -> Option<&Judged> {
        self.connections.get(self.followed.as_ref()?.place)
    }

    /// The power through a connection: what the stage delivers, or the published power where
    /// none could be computed.
    pub fn power_through(&self, judged: &Judged) -> Option<Watts> {
        let published = match &self.target {
            Target::Published(published) => published.power,
            _ => None,
        };
        judged.output.map(|output| output.watts).or(published)
    }

    /// Computes everything that a set-up allows.
    pub(crate) fn new(values: &Values) -> Self {
        let winding = output::windings(values)
            .first()
            .copied()
            .unwrap_or_default();
        let power_supply = SolvedSupply::new(values, winding);
        let described = power_supply.as_ref().and_then(|found| found.as_ref().ok());
        let supplied = described.map(SolvedSupply::supplied);
        let prepared = output::prepare(values, supplied.as_ref());
        let first = prepared.as_ref().and_then(|p| p.as_ref().ok()?.first());
        let target = Target::find(values, first);
        let transformer = values.transformer();
        let hookups = hookup::every(values);
        let frequency = values.stage.frequency;
        let by_curve = frequency.filter(|_| values.loads == Loads::Curve);
        let loads: Vec<SpeakerLoad> = hookups.iter().map(|h| h.load(by_curve)).collect();
        let paths = match &transformer {
            Some(transformer) => paths(transformer, values, &loads, target),
            None => Vec::new(),
        };
        let windings = prepared.as_ref().map(|prepared| {
            let prepared = prepared.as_ref().map_err(ToString::to_string)?;
            solve_windings(prepared, target, &paths)
        });
        let one_by_one = match paths.len() {
            0..=SOLVED_ONE_BY_ONE => paths.as_slice(),
            _ => &[],
        };
        let benches = benches(prepared.as_ref(), windings.as_ref(), target, one_by_one);
        let solved = match &benches {
            Some(Ok(benches)) => benches.as_slice(),
            _ => &[],
        };
        let (candidates, ranks) = match &transformer {
            Some(transformer) => judged(
                &paths,
                Bar {
                    topology: values.topology,
                    transformer,
                    benches: solved,
                    hookups: &hookups,
                },
            ),
            None => (Vec::new(), Vec::new()),
        };
        let followed = followed::place(values.selected, &paths, &ranks).map(|(place, by_hand)| {
            let candidate = &candidates[place];
            let at = candidate.path.connection.choice.hookup;
            let hookup = hookups.iter().find(|hookup| hookup.place == at);
            let drive = values.stage.drive.unwrap_or(1.0);
            Followed::new(place, by_hand, candidate, hookup, frequency, drive)
        });
        let bench = (followed.as_ref())
            .and_then(|followed| candidates[followed.place].bench)
            .or(solved.first());
        let stage = match (&benches, bench) {
            (Some(Err(why)), _) => Some(Err(why.clone())),
            (_, bench) => bench.map(|bench| Ok(bench.with_curve())),
        };
        let outputs: Vec<Option<Output>> = (candidates.iter().enumerate())
            .map(|(place, candidate)| match &followed {
                Some(followed) if followed.place == place => candidate.refined(followed.exact()),
                _ => candidate.output,
            })
            .collect();
        let iron = SolvedIron::new(
            values.iron.clone(),
            Surroundings {
                topology: values.topology,
                transformer: transformer.as_ref(),
                is_line: values.line.is_some(),
                stage: stage.as_ref().and_then(|stage| stage.as_ref().ok()),
            },
            &paths,
            &outputs,
            followed.as_ref().map(|followed| followed.place),
        );
        let clean = |place: usize, rank: usize| match &followed {
            Some(followed) if followed.place == place => followed.exact()?.clean,
            _ => (rank == 1).then(|| candidates[place].clean())?,
        };
        let connections = (candidates.iter().zip(ranks).zip(outputs).enumerate())
            .map(|(place, ((candidate, rank), output))| Judged {
                connection: candidate.path.connection,
                output,
                clean: clean(place, rank),
                standing: candidate.standing,
                rank,
            })
            .collect();
        let own = (values.own.as_ref()).and_then(|own| own.fitted.clone());
        let health = Health::new(
            stage.as_ref().and_then(|stage| stage.as_ref().ok()),
            &iron,
            own.as_ref(),
        );
        Self {
            health,
            power_supply,
            supply_wants: described::missing(&values.power_supply),
            is_live: values.power_supply.isolation == Isolation::None,
            amplifier: values.amplifier.clone(),
            readings: values.readings.clone(),
            heaters: values.heaters.clone(),
            ends: values.ends.clone(),
            topology: values.topology,
            line: values.line,
            supply: values.supply,
            published: published::loads(&values.tube, values.topology),
            measured: values.measured.clone(),
            frequency,
            by_curve: by_curve.is_some(),
            target,
            own,
            stage,
            iron,
            hookups,
            connections,
            followed,
            transformer,
        }
    }
}

/// Every connection with its verdict, and its rank.
fn judged<'a>(paths: &'a [Path], bar: Bar<'a>) -> (Vec<Candidate<'a>>, Vec<usize>) {
    let candidates: Vec<Candidate> = (paths.iter())
        .map(|path| Candidate::new(path, bar))
        .collect();
    let ranked: Vec<Ranked> = (candidates.iter())
        .map(|candidate| Ranked {
            connection: &candidate.path.connection,
            verdict: candidate.standing.verdict,
            output: candidate.output.as_ref(),
        })
        .collect();
    let ranks = ranks(bar.transformer, &ranked);
    (candidates, ranks)
}

/// Every connection with its network; those of one hookup together.
fn paths(
    transformer: &Transformer,
    values: &Values,
    loads: &[SpeakerLoad],
    target: Target,
) -> Vec<Path> {
    let on_lead = |lead: usize| Some(target.on(transformer.leads.get(lead)?.rated));
    let measured = values.measured.as_ref();
    (connection::every(transformer, measured, loads, on_lead).into_iter())
        .map(|connection| Path {
            network: network(&values.iron, transformer, &connection),
            connection,
        })
        .collect()
}

/// The stage solved on every winding over the loads of all connections, or why not.
fn solve_windings(
    prepared: &[Prepared],
    target: Target,
    paths: &[Path],
) -> Result<Windings, String> {
    if let Target::AsRated = target {
        // Then not even the best load was found.
        return Err("into no load at all does this stage give any power".to_owned());
    }
    let loads: Vec<f64> = paths.iter().map(Path::load).collect();
    output::solve_windings(prepared, target.on(Ohms(0.0)), &loads)
        .map_err(|error| error.to_string())
}

/// The stage on each winding, which solves some connections one by one; `None` without a tube.
fn benches<'w>(
    prepared: Option<&Result<Vec<Prepared>, StageError>>,
    windings: Option<&'w Result<Windings, String>>,
    target: Target,
    one_by_one: &[Path],
) -> Option<Result<Vec<Bench<'w>>, String>> {
    Some(match (prepared?, windings?) {
        (_, Err(why)) => Err(why.clone()),
        (Err(error), _) => Err(error.to_string()),
        (Ok(prepared), Ok(windings)) => {
            let target = target.on(Ohms(0.0));
            let bench = |prepared: &Prepared| {
                let winding = prepared.primary_ohms();
                let on_it = |path: &&Path| path.network.primary_ohms == winding;
                let loads = one_by_one.iter().filter(on_it).map(Path::load);
                Bench::new(prepared, target, windings, &loads.collect::<Vec<f64>>())
            };
            let benches = prepared.iter().map(bench);
            (benches.collect::<Result<_, _>>()).map_err(|error: StageError| error.to_string())
        }
    })
}
