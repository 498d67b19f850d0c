//! Words for the health of the stage: what is wrong with it, and what mends it.

use maud::{Markup, html};
use tapwright_core::health::Ailment;
use tapwright_core::report::Report;
use tapwright_iron::iron::Core;
use tapwright_stage::stress::{Burden, Exceeded};
use tapwright_tube::Topology;
use tapwright_units::{Amps, Unit};

use super::markup_in_sentence_case;
use super::say::say;
use super::stage::{at_idle, borne, condition, cooler};
use crate::number;

/// Something that is wrong with the stage, in a sentence or two, with what would mend it.
pub fn ailment(report: &Report, ailment: &Ailment) -> Markup {
    match ailment {
        Ailment::AtIdle(passed) => html! {
            (markup_in_sentence_case(at_idle(report, passed))) " " (cooler(passed))
        },
        Ailment::AtFullSignal(passed) => with_signal(report, "At full signal", passed),
        Ailment::Overdriven(passed) => with_signal(report, "Turned up past clipping,", passed),
        Ailment::Odd(odd) => markup_in_sentence_case(condition(report, *odd)),
        Ailment::DirtyAtTarget(thd) => say!(
            "Even into the load that it wants, this stage distorts {share} at full drive.",
            share = number::percent_short(*thd),
        ),
        Ailment::DirectCurrent(direct) => html! {
            @if report.solved.iron.known.core == Core::Ungapped { "The core has no gap." }
            @else { "A line transformer’s core has no gap." }
            " " (magnetised(report, direct.amps)) " "
            @match report.solved.topology {
                Topology::SingleEnded => {
                    "Use it in push-pull, or feed the plate through a choke and a capacitor."
                }
                Topology::PushPull => { "Match the tubes, or balance their currents." }
            }
        },
        Ailment::UnlikeSides(differ) => say!(
            "The currents of the two sides differ by {amps}, which magnetises the core one way and costs bass. \
             Match the tubes.",
            amps = number::computed(differ.0, Unit::Ampere),
        ),
        Ailment::TubeContradictsItself(how) => say!(
            "The numbers typed for your tube do not belong together ({how}): what follows is a compromise between them.",
            how = how,
        ),
        Ailment::LimitsUnknown => say!(
            "No limit is typed for the plate or the screen of your tube: whether it runs too hot is not checked."
        ),
    }
}

/// A limit that is passed with a signal, and what mends that.
fn with_signal(report: &Report, when: &str, passed: &Exceeded) -> Markup {
    html! {
        (borne(report, when, passed, passed.value)) " " (easier(report, passed))
    }
}

/// What direct current does to a core without a gap.
fn magnetised(report: &Report, amps: Option<Amps>) -> Markup {
    let amps = amps.map(|amps| number::computed(amps.0, Unit::Ampere));
    match (amps, report.solved.topology) {
        (Some(amps), Topology::SingleEnded) => say!(
            "The tube’s {amps} of idle current magnetises it one way; inductance, bass and power collapse.",
            amps = amps,
        ),
        (Some(amps), Topology::PushPull) => say!(
            "Direct current of {amps}, which the two sides do not cancel, magnetises it one way; \
             inductance, bass and power collapse.",
            amps = amps,
        ),
        (None, _) => say!(
            "The tube’s idle current magnetises it one way; inductance, bass and power collapse."
        ),
    }
}

/// The ailment in a few words, with its numbers: `screen 3.9 W of 2 W`.
pub fn in_brief(ailment: &Ailment) -> String {
    match ailment {
        Ailment::AtIdle(passed) => format!("at idle {}", numbers(passed)),
        Ailment::AtFullSignal(passed) | Ailment::Overdriven(passed) => numbers(passed),
        Ailment::Odd(_) => "odd operating point".into(),
        Ailment::DirtyAtTarget(thd) => format!("{} distortion", number::percent_short(*thd)),
        Ailment::DirectCurrent(_) => "direct current in a core without a gap".into(),
        Ailment::UnlikeSides(_) => "unlike sides".into(),
        Ailment::TubeContradictsItself(_) => "the tube’s numbers contradict each other".into(),
        Ailment::LimitsUnknown => "no limits typed".into(),
    }
}

fn numbers(passed: &Exceeded) -> String {
    let (what, unit) = match passed.burden {
        Burden::PlateWatts => ("plate", Unit::Watt),
        Burden::ScreenWatts => ("screen", Unit::Watt),
        Burden::CathodeAmps => ("cathode", Unit::Ampere),
        Burden::PlateVolts | Burden::PeakPlateVolts => ("plate", Unit::Volt),
        Burden::ScreenVolts => ("screen", Unit::Volt),
    };
    let (value, limit) = (
        number::computed(passed.value, unit),
        number::given(passed.limit, unit),
    );
    format!("{what} {value} of {limit}")
}

/// How to get below a limit that is passed with a signal.
fn easier(report: &Report, passed: &Exceeded) -> String {
    if passed.burden != Burden::ScreenWatts {
        return "Less B+ or a cooler bias asks less of it.".into();
    }
    match resistor_wanted(report) {
        Some(ohms) => format!(
            "Fit at least {} at each screen.",
            number::given(ohms, Unit::Ohm)
        ),
        None => "Fit a larger resistor at each screen.".into(),
    }
}

/// The resistor that keeps a screen within its limit, where the connection that is followed is
/// about the target load.
fn resistor_wanted(report: &Report) -> Option<f64> {
    let solved = &report.solved;
    let exact = solved.followed.as_ref()?.exact()?;
    if !solved.followed()?.connection.load.verdict().is_fit() {
        return None;
    }
    // Some thirty cycles: asked for only where it is told.
    let wanted = exact.stopper_wanted(&solved.stage()?.stage)?;
    Some(wanted.ohms)
}
