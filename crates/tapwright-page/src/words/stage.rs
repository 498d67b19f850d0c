//! Words for the output stage, and what to beware of with it.

use maud::{Markup, html};
use tapwright_core::caution::stage::Caution;
use tapwright_core::report::Report;
use tapwright_core::setup::Topology;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{Burden, Exceeded};
use tapwright_units::Unit;

use crate::number;

/// The tube or tubes, as the subject of a sentence.
pub fn stage(topology: Topology) -> &'static str {
    match topology {
        Topology::PushPull => "the tubes",
        Topology::SingleEnded => "the tube",
    }
}

/// What the tube or tubes do: `sees`, or `see` for two.
pub fn verb(topology: Topology, verb: &str) -> String {
    match topology {
        Topology::PushPull => verb.to_owned(),
        Topology::SingleEnded => format!("{verb}s"),
    }
}

/// What a primary load spans.
pub fn span(topology: Topology) -> &'static str {
    match topology {
        Topology::PushPull => "plate to plate",
        Topology::SingleEnded => "plate to B+",
    }
}

/// Which of the tubes a value is of, to stand before `plate` or `grid`: of an unlike pair the
/// hotter one.
pub fn which(report: &Report) -> &'static str {
    match report.solved.stage() {
        Some(stage) if stage.assumed.tubes.0 > 1 => match stage.stage.imbalance.current {
            0.0 => "each",
            _ if stage.stage.tubes_per_side == 1 => "the hotter",
            _ => "on the hotter side each",
        },
        _ => "the",
    }
}

/// A caution of the stage in one sentence.
pub(super) fn caution(report: &Report, caution: &Caution) -> Markup {
    match caution {
        Caution::OverLimit(passed) => html! {
            @if with_reactance(report) { "into a resistance, " }
            (over_limit(report, passed))
        },
        Caution::OverLimitWithReactance(hertz, passed) => html! {
            "at " (number::given(*hertz, Unit::Hertz)) ", " (over_limit(report, passed))
        },
        Caution::Dirtier(thd, target) => html! {
            "at full drive this load distorts " (number::percent_short(*thd)) ", and the target load "
            (number::percent_short(*target)) "."
        },
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

/// What passes a limit and its unit: `each plate dissipates`.
pub(super) fn bears(report: &Report, burden: Burden) -> (String, Unit) {
    let (what, unit) = match burden {
        Burden::PlateWatts => ("plate dissipates", Unit::Watt),
        Burden::ScreenWatts => ("screen dissipates", Unit::Watt),
        Burden::CathodeAmps => ("cathode carries", Unit::Ampere),
        Burden::PlateVolts | Burden::PeakPlateVolts => ("plate stands at", Unit::Volt),
        Burden::ScreenVolts => ("screen stands at", Unit::Volt),
    };
    (format!("{} {what}", which(report)), unit)
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

/// A limit passed at idle, in half a sentence: `at idle each plate dissipates 13.5 W; its limit
/// is 12 W`.
pub fn at_idle(report: &Report, passed: &Exceeded) -> Markup {
    let (bears, unit) = bears(report, passed.burden);
    html! {
        "at idle " (bears) " " (number::computed(passed.value, unit)) "; its limit is "
        (number::given(passed.limit, unit))
    }
}

/// A limit passed into a load, and when: already without overdrive, or only there.
fn over_limit(report: &Report, passed: &Exceeded) -> Markup {
    let (bears, unit) = bears(report, passed.burden);
    let value = |value| number::computed(value, unit);
    html! {
        @if passed.is_up_to_full() {
            @if passed.from < 1.0 { "up to full drive " } @else { "at full drive " }
            (bears) " " (value(passed.up_to_full))
            @if passed.value > passed.up_to_full { ", " (when(passed.drive)) " " (value(passed.value)) }
        } @else {
            "not at full drive, but " (when(passed.drive)) " " (bears) " " (value(passed.value))
        }
        "; its limit is " (number::given(passed.limit, unit)) ". "
        (match passed.burden {
            Burden::ScreenWatts => "Fit a larger resistor at each screen.",
            _ => "A higher load or less B+ asks less of it.",
        })
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

/// What is odd about the operating point.
pub(super) fn condition(report: &Report, odd: Condition) -> String {
    let stage = stage(report.solved.topology);
    let verb = |word| verb(report.solved.topology, word);
    match odd {
        Condition::CutOff => format!(
            "the bias cuts {stage} off: hardly any current at idle, and crossover distortion"
        ),
        Condition::BelowKnee => format!(
            "at idle {stage} {} below the knee: more plate voltage, or a more negative grid",
            verb("stand")
        ),
        Condition::ScreenAbovePlate => match report.solved.topology {
            Topology::PushPull => "the screens stand well above the plates: they take the current that the plates should".into(),
            Topology::SingleEnded => "the screen stands well above the plate: it takes the current that the plate should".into(),
        },
        Condition::NoSwing => {
            "the grid idles at the cathode’s voltage: no swing is left before grid current".into()
        }
        Condition::GrossImbalance => {
            "the two sides are so unlike that one of them does most of the work".into()
        }
        Condition::StiffSupply => "the supply’s resistance is not counted".into(),
    }
}
