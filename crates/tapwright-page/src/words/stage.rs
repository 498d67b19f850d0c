//! Words for the output stage, and what to beware of with it.

use maud::{Markup, html};
use tapwright_core::caution::stage::Caution;
use tapwright_core::report::Report;
use tapwright_core::setup::Topology;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{Burden, Exceeded};
use tapwright_units::Unit;

use super::say::say;
use crate::number;

/// What a primary load spans.
pub fn span(topology: Topology) -> &'static str {
    match topology {
        Topology::PushPull => "plate to plate",
        Topology::SingleEnded => "plate to B+",
    }
}

/// Which of the tubes is the one that a value is of.
enum Which {
    Only,
    Each,
    /// Of an unlike pair.
    Hotter,
    /// Of unlike sides with several tubes each.
    OnHotterSide,
}

fn which_of(report: &Report) -> Which {
    match report.solved.stage() {
        Some(stage) if stage.assumed.tubes.0 > 1 => match stage.stage.imbalance.current {
            0.0 => Which::Each,
            _ if stage.stage.tubes_per_side == 1 => Which::Hotter,
            _ => Which::OnHotterSide,
        },
        _ => Which::Only,
    }
}

/// The plate that a value is of.
pub fn plate(report: &Report) -> &'static str {
    match which_of(report) {
        Which::Only => "the plate",
        Which::Each => "each plate",
        Which::Hotter => "the hotter plate",
        Which::OnHotterSide => "each plate on the hotter side",
    }
}

/// The same where the plate is a label and not in a sentence.
pub fn plate_label(report: &Report) -> &'static str {
    match which_of(report) {
        Which::Only => "plate",
        _ => plate(report),
    }
}

/// The screen that a value is of.
fn screen(report: &Report) -> &'static str {
    match which_of(report) {
        Which::Only => "the screen",
        Which::Each => "each screen",
        Which::Hotter => "the hotter screen",
        Which::OnHotterSide => "each screen on the hotter side",
    }
}

/// The cathode that a value is of.
fn cathode(report: &Report) -> &'static str {
    match which_of(report) {
        Which::Only => "the cathode",
        Which::Each => "each cathode",
        Which::Hotter => "the hotter cathode",
        Which::OnHotterSide => "each cathode on the hotter side",
    }
}

/// A caution of the stage in one sentence.
pub(super) fn caution(report: &Report, caution: &Caution) -> Markup {
    match caution {
        Caution::OverLimit(passed) if with_reactance(report) => {
            over_limit(report, passed, Some(say!("That is into a resistance.")))
        }
        Caution::OverLimit(passed) => over_limit(report, passed, None),
        Caution::OverLimitWithReactance(hertz, passed) => {
            let hertz = number::given(*hertz, Unit::Hertz);
            let at = say!("That is at {hertz}.", hertz = hertz);
            over_limit(report, passed, Some(at))
        }
        Caution::Dirtier(thd, target) => say!(
            "at full drive this load distorts {share}, and the target load {target}.",
            share = number::percent_short(*thd),
            target = number::percent_short(*target),
        ),
    }
}

/// A caution of the stage in a few words.
pub(super) fn caution_in_brief(caution: &Caution) -> &'static str {
    match caution {
        Caution::OverLimit(passed) | Caution::OverLimitWithReactance(_, passed) => {
            match passed.is_up_to_full() {
                true => "a limit of the tube is passed",
                false => "a limit is passed when overdriven",
            }
        }
        Caution::Dirtier(..) => "more distortion",
    }
}

/// What the tube bears at some time, beside its limit: `at idle each plate dissipates 13.5 W; its
/// limit is 12 W.`
pub(super) fn borne(report: &Report, when: &str, passed: &Exceeded, value: f64) -> Markup {
    let value = number::computed(value, unit(passed));
    let limit = number::given(passed.limit, unit(passed));
    match passed.burden {
        Burden::PlateWatts => say!(
            "{when} {plate} dissipates {value}; its limit is {limit}.",
            when = when,
            plate = plate(report),
            value = value,
            limit = limit,
        ),
        Burden::ScreenWatts => say!(
            "{when} {screen} dissipates {value}; its limit is {limit}.",
            when = when,
            screen = screen(report),
            value = value,
            limit = limit,
        ),
        Burden::CathodeAmps => say!(
            "{when} {cathode} carries {value}; its limit is {limit}.",
            when = when,
            cathode = cathode(report),
            value = value,
            limit = limit,
        ),
        Burden::PlateVolts | Burden::PeakPlateVolts => say!(
            "{when} {plate} stands at {value}; its limit is {limit}.",
            when = when,
            plate = plate(report),
            value = value,
            limit = limit,
        ),
        Burden::ScreenVolts => say!(
            "{when} {screen} stands at {value}; its limit is {limit}.",
            when = when,
            screen = screen(report),
            value = value,
            limit = limit,
        ),
    }
}

/// What a burden is counted in.
fn unit(passed: &Exceeded) -> Unit {
    match passed.burden {
        Burden::PlateWatts | Burden::ScreenWatts => Unit::Watt,
        Burden::CathodeAmps => Unit::Ampere,
        Burden::PlateVolts | Burden::PeakPlateVolts | Burden::ScreenVolts => Unit::Volt,
    }
}

/// How to get below a limit at idle.
pub fn cooler(passed: &Exceeded) -> &'static str {
    match passed.burden {
        Burden::PlateVolts | Burden::PeakPlateVolts => "Lower B+, or take another tube.",
        Burden::ScreenVolts => "Give the screens less, by a supply or a resistor of their own.",
        _ => "Make the grid more negative or the cathode resistor larger, or lower B+.",
    }
}

/// Whether the chosen connection was solved with the speakers' reactance.
fn with_reactance(report: &Report) -> bool {
    let followed = report.solved.followed.as_ref();
    let exact = followed.and_then(|followed| followed.exact());
    exact.is_some_and(|exact| exact.with_reactance().is_some())
}

/// A limit passed at idle, in one sentence.
pub fn at_idle(report: &Report, passed: &Exceeded) -> Markup {
    borne(report, "at idle", passed, passed.value)
}

/// A limit passed into a load, and when: already without overdrive, or only there. `into` says
/// more of the load.
fn over_limit(report: &Report, passed: &Exceeded, into: Option<Markup>) -> Markup {
    let when = when(passed.drive);
    html! {
        @if passed.is_up_to_full() {
            @let when = if passed.from < 1.0 { "up to full drive" } else { "at full drive" };
            (borne(report, when, passed, passed.up_to_full)) " "
        } @else {
            (borne(report, &when, passed, passed.value)) " " "At full drive the limit is kept." " "
        }
        @if let Some(into) = into { (into) " " }
        @if passed.is_up_to_full() && passed.value > passed.up_to_full {
            (say!(
                "At its worst, {when}, it comes to {value}.",
                when = when,
                value = number::computed(passed.value, unit(passed)),
            ))
            " "
        }
        @match passed.burden {
            Burden::ScreenWatts => "Fit a larger resistor at each screen.",
            _ => "A higher load or less B+ asks less of it.",
        }
    }
}

/// When something happens, by the ratio of the drive to the one at which grid current starts.
pub fn when(drive: f64) -> String {
    if drive == 0.0 {
        "at idle".into()
    } else if drive < 1.0 {
        format!("at {} of full drive", number::percent_short(drive))
    } else if drive == 1.0 {
        "at full drive".into()
    } else if drive < 4.0 {
        format!(
            "overdriven {} times",
            number::about(drive, Unit::One).trim_end()
        )
    } else {
        "in full overdrive".into()
    }
}

/// The drive above which something is so.
pub fn from_drive(drive: f64) -> String {
    if drive == 0.0 {
        "already at idle".into()
    } else {
        format!(
            "from about {} of full drive on",
            number::percent_short(drive)
        )
    }
}

/// What is odd about the operating point, in one sentence.
pub(super) fn condition(report: &Report, odd: Condition) -> Markup {
    let topology = report.solved.topology;
    match (odd, topology) {
        (Condition::CutOff, Topology::PushPull) => say!(
            "the bias cuts the tubes off: hardly any current at idle, and crossover distortion."
        ),
        (Condition::CutOff, Topology::SingleEnded) => say!(
            "the bias cuts the tube off: hardly any current at idle, and crossover distortion."
        ),
        (Condition::BelowKnee, Topology::PushPull) => say!(
            "at idle the tubes stand below the knee: more plate voltage, or a more negative grid."
        ),
        (Condition::BelowKnee, Topology::SingleEnded) => say!(
            "at idle the tube stands below the knee: more plate voltage, or a more negative grid."
        ),
        (Condition::ScreenAbovePlate, Topology::PushPull) => say!(
            "the screens stand well above the plates: they take the current that the plates should."
        ),
        (Condition::ScreenAbovePlate, Topology::SingleEnded) => say!(
            "the screen stands well above the plate: it takes the current that the plate should."
        ),
        (Condition::NoSwing, _) => {
            say!("the grid idles at the cathode’s voltage: no swing is left before grid current.")
        }
        (Condition::GrossImbalance, _) => {
            say!("the two sides are so unlike that one of them does most of the work.")
        }
        (Condition::StiffSupply, _) => say!("the supply’s resistance is not counted."),
    }
}
