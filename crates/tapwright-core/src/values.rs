//! What the typed texts mean: a [`Setup`] read into transformer, target and hookups,
//! with a complaint for each field that could not be read.

use serde::Serialize;

use crate::published;
use crate::setup::{Field, Loads, Marking, Screens, Selection, Setup, Topology};
use tapwright_iron::iron::Iron;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::transformer::{self, PrimaryLead, Tap, Transformer};
use tapwright_speaker::{Driver, Hookup};
use tapwright_units::entry::{Complaint, Expected};
use tapwright_units::{Ohms, Unit, Volts, Watts};

mod driver;
mod losses;
mod own;
mod quantities;
mod stage;
mod unmarked;

pub use driver::DriverValues;
pub use own::{Fitted, FittedValue, OwnValues};
pub(crate) use stage::is_own;
pub use stage::{ScreenResistor, StageValues};

const TARGET: Expected = Expected {
    unit: Unit::Ohm,
    least: 50.0,
    most: 1e6,
    example: "8k",
    noun: "the load that a tube wants",
};

const SUPPLY: Expected = Expected {
    unit: Unit::Volt,
    least: 10.0,
    most: 2_000.0,
    example: "250",
    noun: "a supply voltage",
};

/// A field that could not be read, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Problem {
    /// Where the text stands.
    pub field: Field,
    /// Why it could not be read.
    #[serde(flatten)]
    pub complaint: Complaint,
}

/// A hookup that could be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HookupValues {
    /// The speakers and how they are joined.
    pub speakers: Hookup,
    /// Power ratings: none, one for all, or one for each driver.
    pub ratings: Vec<Watts>,
    /// The drivers as they are, in the order of the hookup.
    #[serde(skip)]
    pub drivers: Vec<Driver>,
}

/// Everything that could be read. `None` is a field that is empty or at fault.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Values {
    /// Single-ended or push-pull.
    pub topology: Topology,
    /// How the primary is marked.
    pub marking: Marking,
    /// How the screens are connected.
    pub screens: Screens,
    /// Which impedance of the speakers the loads are made from.
    pub loads: Loads,
    /// The hookup or the connection that the person selected.
    pub selected: Option<Selection>,
    /// The tube type as typed, without spaces around it; empty for none.
    pub tube: String,
    /// Primary leads, however they are marked.
    pub leads: Option<Vec<PrimaryLead>>,
    /// Line voltage, when the primary is marked with power taps.
    pub line: Option<Volts>,
    /// Secondary taps.
    pub taps: Option<Vec<Tap>>,
    /// What is known of the iron besides its ratings.
    #[serde(skip)]
    pub losses: Iron,
    /// What the readings of a transformer without marking tell, when it is one.
    pub unmarked: Option<Findings>,
    /// The target load as typed.
    pub target: Option<Ohms>,
    /// The supply voltage.
    pub supply: Option<Volts>,
    /// The rest of the output stage.
    pub stage: StageValues,
    /// One for each speaker described; `None` for one that is not named yet.
    pub drivers: Vec<Option<DriverValues>>,
    /// One for each hookup typed.
    pub hookups: Vec<Option<HookupValues>>,
    /// Fields at fault.
    pub problems: Vec<Problem>,
}

impl Values {
    /// Reads every field of a set-up.
    ///
    /// ```
    /// use tapwright_core::{values::Values, setup::Setup};
    /// let setup = Setup { primary: "8k".into(), taps: "eight".into(), ..Setup::default() };
    /// let values = Values::read(&setup);
    /// assert_eq!(values.problems.len(), 1);
    /// assert_eq!(values.problems[0].field.to_string(), "taps");
    /// assert!(values.leads.is_some());
    /// ```
    pub fn read(setup: &Setup) -> Self {
        let mut reader = Reader {
            setup,
            problems: Vec::new(),
        };
        let unmarked = (setup.marking == Marking::Measured).then(|| unmarked::read(&mut reader));
        let measured = unmarked.as_ref().and_then(Findings::ratings);
        let (line, leads) = match setup.marking {
            Marking::Impedance => (None, reader.field(Field::Primary, transformer::read_leads)),
            Marking::Line => reader.line_transformer(),
            Marking::Measured => (None, measured.as_ref().map(|(leads, _)| leads.clone())),
        };
        let taps = match setup.marking {
            Marking::Measured => measured.map(|(_, taps)| taps),
            _ => reader.field(Field::Taps, transformer::read_taps),
        };
        if !is_own(setup) {
            reader.field(Field::Tube, published::known);
        }
        let losses = losses::read(
            &mut reader,
            leads.as_deref(),
            taps.as_deref(),
            line,
            unmarked.as_ref(),
        );
        let stage = stage::read(&mut reader);
        let drivers = driver::read(&mut reader);
        Self {
            topology: setup.topology,
            marking: setup.marking,
            screens: setup.screens,
            loads: setup.loads,
            selected: setup.selected,
            tube: setup.tube.trim().to_owned(),
            leads,
            line,
            taps,
            losses,
            unmarked,
            target: reader.field(Field::Target, |text| TARGET.read(text).map(Ohms)),
            supply: reader.field(Field::Supply, |text| SUPPLY.read(text).map(Volts)),
            stage,
            hookups: (0..setup.hookups.len())
                .map(|at| reader.hookup(at, &drivers))
                .collect(),
            drivers,
            problems: reader.problems,
        }
    }

    /// The transformer, once its leads and its taps are known.
    ///
    /// ```
    /// use tapwright_core::{values::Values, setup::Setup};
    /// assert!(Values::read(&Setup::default()).transformer().is_none());
    /// ```
    pub fn transformer(&self) -> Option<Transformer> {
        Some(Transformer {
            leads: self.leads.clone()?,
            taps: self.taps.clone()?,
            line: self.line,
        })
    }
}

struct Reader<'a> {
    setup: &'a Setup,
    problems: Vec<Problem>,
}

impl Reader<'_> {
    /// Reads a field with something in it; an empty one is not at fault, it is empty.
    fn field<T>(
        &mut self,
        field: Field,
        read: impl FnOnce(&str) -> Result<T, Complaint>,
    ) -> Option<T> {
        let text = self
            .setup
            .text(field)
            .filter(|text| !text.trim().is_empty())?;
        match read(text) {
            Ok(value) => Some(value),
            Err(complaint) => {
                self.problems.push(Problem { field, complaint });
                None
            }
        }
    }

    fn line_transformer(&mut self) -> (Option<Volts>, Option<Vec<PrimaryLead>>) {
        let line = self.field(Field::LineVolts, transformer::read_line_volts);
        // The power taps are read even without a voltage, so that their own faults show.
        let any_line = line.unwrap_or(Volts(100.0));
        let leads = self.field(Field::LineTaps, |text| {
            transformer::read_power_taps(text, any_line)
        });
        (line, line.and(leads))
    }

    fn hookup(&mut self, at: usize, known: &[Option<DriverValues>]) -> Option<HookupValues> {
        let named: Vec<_> = known.iter().flatten().map(DriverValues::named).collect();
        let (speakers, places) = self.field(Field::HookupSpeakers(at), |text| {
            Hookup::read_with(text, &named)
        })?;
        let of = |(rated, named): (Ohms, Option<usize>)| {
            let described = named.and_then(|at| known.iter().flatten().nth(at));
            (described.and_then(|one| one.driver.clone())).unwrap_or_else(|| Driver::generic(rated))
        };
        let drivers = speakers.drivers();
        let ratings = self
            .field(Field::HookupRating(at), |text| {
                tapwright_speaker::read_ratings(text, drivers)
            })
            .unwrap_or_default();
        Some(HookupValues {
            speakers,
            ratings,
            drivers: places.into_iter().map(of).collect(),
        })
    }
}

/// `typed` with every field that `problems` name replaced by its text in `good`: what
/// the results of those parts are still made from.
///
/// ```
/// use tapwright_core::{values::{backed_by, Values}, setup::Setup};
/// let good = Setup { taps: "8".into(), ..Setup::default() };
/// let typed = Setup { taps: "0".into(), primary: "8k".into(), ..Setup::default() };
/// let problems = Values::read(&typed).problems;
/// assert_eq!(problems.len(), 1);
/// let backed = backed_by(&typed, &problems, &good);
/// assert_eq!((backed.taps.as_str(), backed.primary.as_str()), ("8", "8k"));
/// ```
pub fn backed_by(typed: &Setup, problems: &[Problem], good: &Setup) -> Setup {
    let mut backed = typed.clone();
    for problem in problems {
        if let (Some(text), Some(place)) =
            (good.text(problem.field), backed.text_mut(problem.field))
        {
            text.clone_into(place);
        }
    }
    backed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::link;

    fn problems(link: &str) -> Vec<String> {
        Values::read(&link::parse(link).setup)
            .problems
            .iter()
            .map(|problem| format!("{}: {}", problem.field, problem.complaint.why))
            .collect()
    }

    /// Each field, each kind of nonsense: one complaint, at that field, and no other.
    #[test]
    fn every_field_complains_for_itself() {
        let enormous = "9".repeat(3_000);
        for key in [
            "primary", "power", "line", "taps", "target", "supply", "hookup", "tube",
        ] {
            for bad in [
                "eight",
                "0",
                "-8",
                "1e99",
                "1e-99",
                "8,000",
                "%F0%9F%8E%B8",
                &enormous,
            ] {
                let rest = if matches!(key, "power" | "line") {
                    "&marking=line"
                } else {
                    ""
                };
                let link = format!("v=1&{key}={bad}{rest}");
                let found = problems(&link);
                assert_eq!(
                    found.len(),
                    1,
                    "{key}={}: {found:?}",
                    &bad[..bad.len().min(12)]
                );
            }
        }
        for rating in ["0", "-3", "many", "1,2,3"] {
            assert_eq!(
                problems(&format!("hookup=8//8@{rating}")).len(),
                1,
                "{rating}"
            );
        }
    }

    #[test]
    fn empty_fields_are_empty_and_not_at_fault() {
        assert!(problems("v=1").is_empty());
        assert!(problems("v=1&primary=%20&taps=%20&hookup=&hookup=").is_empty());
    }

    #[test]
    fn a_line_transformer_needs_its_voltage() {
        let values = Values::read(&link::parse("marking=line&line=0&power=5").setup);
        assert_eq!(values.leads, None);
        assert_eq!(values.problems.len(), 1);
    }
}
