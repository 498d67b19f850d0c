//! What the typed texts mean: a [`Setup`] read into transformer, target and hookups,
//! with a complaint for each field that could not be read.

use std::collections::HashMap;

use serde::Serialize;

use crate::published;
use crate::setup::{Field, HookupText, Loads, Marking, Screens, Selection, Setup, Topology};
use tapwright_iron::iron::Iron;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::transformer::{self, End, PrimaryLead, Tap, Transformer, split_off};
use tapwright_speaker::{Driver, Hookup};
use tapwright_units::{Ohms, Volts, Watts};

mod amplifier;
mod asked;
mod driver;
mod heaters;
mod inductance;
mod iron;
mod measured;
mod own;
mod quantities;
mod reader;
mod readings;
mod stage;
mod supply;

pub use amplifier::{AmplifierValues, DriverTriode, Wanted};
pub use asked::{has_screen, is_asked};
pub use driver::DriverValues;
pub use heaters::{HeaterValues, Refused};
pub use own::{Fitted, FittedValue, OwnValues};
pub use reader::Problem;
use reader::Reader;
pub use readings::{ReadingsValues, Shown, WantedWatts};
pub use stage::{ScreenResistor, StageNumbers};
pub use supply::{Feeds, RectifierKind, SectionValues, SupplyValues};
pub use tapwright_amplifier::TakeOff;

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

/// What the leads of a stamped transformer are called that have no rating.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct EndLeads {
    /// The lead of the primary that goes to B+.
    pub supply: Option<String>,
    /// The common lead of the secondary.
    pub common: Option<String>,
}

impl EndLeads {
    fn read(setup: &Setup) -> Self {
        let named = |text: &str, end| {
            let (_, name) = split_off(text, end).ok()?;
            name.filter(|name| !name.is_empty())
        };
        let primary = match setup.marking {
            Marking::Impedance => &setup.primary,
            Marking::Line => &setup.line_taps,
            Marking::Measured => return Self::default(),
        };
        Self {
            supply: named(primary, End::Supply),
            common: named(&setup.taps, End::Common),
        }
    }
}

/// Everything that could be read. `None` is a field that is empty, at fault or not asked for.
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
    /// What the leads without a rating are called, of a stamped transformer.
    pub ends: EndLeads,
    /// What is known of the iron besides its ratings.
    #[serde(skip)]
    pub iron: Iron,
    /// What the readings of a transformer without marking tell, when it is one.
    pub measured: Option<Findings>,
    /// The target load as typed.
    pub target: Option<Ohms>,
    /// The supply voltage.
    pub supply: Option<Volts>,
    /// The rest of the output stage.
    pub stage: StageNumbers,
    /// The resistor that all screens have in common.
    pub screen_resistor: Option<ScreenResistor>,
    /// The driver and the feedback.
    pub amplifier: AmplifierValues,
    /// The readings at idle, and what is wanted there.
    pub readings: ReadingsValues,
    /// The heaters.
    pub heaters: HeaterValues,
    /// The power supply.
    pub power_supply: SupplyValues,
    /// The person's own tube, while it is the one in use.
    pub own: Option<OwnValues>,
    /// One for each speaker described; `None` for one that is not named yet.
    pub drivers: Vec<Option<DriverValues>>,
    /// One for each hookup typed.
    pub hookups: Vec<Option<HookupValues>>,
    /// The number in each field that holds one, as [`Self::number`] has it.
    #[serde(skip)]
    numbers: HashMap<Field, f64>,
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
        let mut reader = Reader::new(setup);
        let measured = (setup.marking == Marking::Measured).then(|| measured::read(&mut reader));
        let found = measured.as_ref().and_then(Findings::ratings);
        let (line, leads) = match setup.marking {
            Marking::Impedance => (None, reader.field(Field::Primary, transformer::read_leads)),
            Marking::Line => reader.line_transformer(),
            Marking::Measured => (None, found.as_ref().map(|(leads, _)| leads.clone())),
        };
        let taps = match setup.marking {
            Marking::Measured => found.map(|(_, taps)| taps),
            _ => reader.field(Field::Taps, transformer::read_taps),
        };
        let known = transformer(leads.as_deref(), taps.as_deref(), line);
        let own = setup.has_own_tube();
        if !own {
            reader.field(Field::Tube, published::known);
        }
        let iron = iron::read(
            &mut reader,
            leads.as_deref(),
            known.as_ref(),
            measured.as_ref(),
        );
        let (stage, screen_resistor) = stage::read(&mut reader);
        let own = own.then(|| own::read(&mut reader));
        let drivers = driver::read(&mut reader);
        let amplifier = amplifier::read(&mut reader, taps.as_deref());
        let readings = readings::read(&mut reader);
        let power_supply = supply::read(&mut reader);
        let heaters = heaters::read(&mut reader, &power_supply);
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
            ends: EndLeads::read(setup),
            iron,
            measured,
            target: reader.number(Field::Target).map(Ohms),
            supply: reader.number(Field::Supply).map(Volts),
            stage,
            screen_resistor,
            amplifier,
            readings,
            heaters,
            power_supply,
            own,
            hookups: (0..setup.hookups.len())
                .map(|at| reader.hookup(at, &drivers))
                .collect(),
            drivers,
            numbers: reader.numbers,
            problems: reader.problems,
        }
    }

    /// The number in a field, in the unit of its row, or a fraction of one where that is a
    /// percentage.
    ///
    /// ```
    /// use tapwright_core::{link, setup::{Field, StageText}, values::Values};
    /// let values = Values::read(&link::parse("drive=150&source=0.1k").setup);
    /// assert_eq!(values.number(Field::Stage(StageText::Drive)), Some(1.5));
    /// assert_eq!(values.number(Field::Stage(StageText::Source)), Some(100.0));
    /// assert_eq!(values.number(Field::Supply), None);
    /// ```
    pub fn number(&self, field: Field) -> Option<f64> {
        self.numbers.get(&field).copied()
    }

    /// The transformer, once its leads and its taps are known.
    ///
    /// ```
    /// use tapwright_core::{values::Values, setup::Setup};
    /// assert!(Values::read(&Setup::default()).transformer().is_none());
    /// ```
    pub fn transformer(&self) -> Option<Transformer> {
        transformer(self.leads.as_deref(), self.taps.as_deref(), self.line)
    }
}

fn transformer(
    leads: Option<&[PrimaryLead]>,
    taps: Option<&[Tap]>,
    line: Option<Volts>,
) -> Option<Transformer> {
    Some(Transformer {
        leads: leads?.to_vec(),
        taps: taps?.to_vec(),
        line,
    })
}

impl Reader<'_> {
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
        let field = Field::Hookup(at, HookupText::Speakers);
        let (speakers, places) = self.field(field, |text| Hookup::read_with(text, &named))?;
        let driver = |(rated, named): (Ohms, Option<usize>)| {
            let described = named.and_then(|at| known.iter().flatten().nth(at));
            (described.and_then(|one| one.driver.clone())).unwrap_or_else(|| Driver::generic(rated))
        };
        let drivers = speakers.drivers();
        let ratings = self.field(Field::Hookup(at, HookupText::Rating), |text| {
            tapwright_speaker::read_ratings(text, drivers)
        });
        Some(HookupValues {
            speakers,
            ratings: ratings.unwrap_or_default(),
            drivers: places.into_iter().map(driver).collect(),
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
        if let Some(text) = good.text(problem.field) {
            backed.set(problem.field, text);
        }
    }
    backed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::link;
    use tapwright_iron::winding_resistance::WindingResistance;

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

    /// Slips of the hand, each with what it is taken for, at its field.
    #[test]
    fn a_slip_is_called_what_it_is() {
        for (link, problem) in [
            ("supply=4-8", "supply: “4-8” is a range"),
            ("target=8k-10k", "target: “8k-10k” is a range"),
            ("hookup=4-8", "hookup.1.speakers: “4-8” is a range"),
            ("taps=4-8", "taps: “4-8” is a range"),
            ("supply=3OO", "supply: “3OO” has the letter O"),
            ("supply=300%20VAC", "supply: “300 VAC” is AC, and DC"),
            ("tube=6V6GT&screen=250VAC", "screen: “250VAC” is AC, and DC"),
            (
                "primary=8k%20blue%2010k",
                "primary: is “blue” the 8k or the 10k?",
            ),
            ("primary=8k//8k", "primary: “8k//8k”: separate values"),
        ] {
            let found = problems(link);
            assert_eq!(found.len(), 1, "{link}: {found:?}");
            assert!(found[0].starts_with(problem), "{link}: {found:?}");
        }
    }

    #[test]
    fn resistors_may_be_joined() {
        let values = Values::read(
            &link::parse(
                "v=1&primary=8k&taps=8&tube=6V6GT&cathode=470//470&source=100%2B47&stopper=1k//1k\
                 &screen_ohms=220%2B250%20no%20cap&winding=150%2B150&tap_winding=1//1\
                 &core_ohms=8k:%20120k//120k",
            )
            .setup,
        );
        assert_eq!(values.problems, []);
        assert_eq!(values.stage.cathode, Some(235.0));
        assert_eq!(values.stage.source, Some(147.0));
        assert_eq!(values.stage.stopper, Some(500.0));
        let screens = values.screen_resistor.map(|resistor| resistor.ohms);
        assert_eq!(screens, Some(470.0));
        let whole =
            |winding: &Option<WindingResistance>| winding.as_ref()?.at(0).map(|wire| wire.ohms);
        assert_eq!(whole(&values.iron.primary), Some(300.0));
        assert_eq!(whole(&values.iron.secondary), Some(0.5));
        let core = values.iron.core_ohms.map(|core| core.value);
        assert_eq!(core, Some(60e3));
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
