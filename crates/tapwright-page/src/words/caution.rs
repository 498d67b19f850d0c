//! Words for what to beware of.

use maud::{Markup, html};
use tapwright_core::answer::Caution;
use tapwright_core::report::{Report, Target};
use tapwright_core::setup::Topology;
use tapwright_iron::losses::Core;
use tapwright_stage::idle::Condition;
use tapwright_stage::stress::{Burden, Exceeded};
use tapwright_units::Unit;

use super::{in_a_row, lead, lead_noun, ohms, stage, tap, verb};
use crate::number;

/// That the tubes see so small a share of what is wanted.
fn sees_only(report: &Report, ratio: f64) -> Markup {
    html! {
        (stage(report.topology)) " " (verb(report.topology, "see")) " only "
        (number::times(ratio)) " " (wanted(report)) "."
    }
}

/// A caution in one sentence.
pub fn caution(report: &Report, caution: &Caution) -> Markup {
    let Some(transformer) = &report.transformer else {
        return html! {};
    };
    let stage = stage(report.topology);
    match caution {
        Caution::DirectCurrentInUngappedCore(idle) => html! {
            @if report.losses.known.core == Core::Ungapped { "the core has no gap: " }
            @else { "a line transformer’s core has no gap: " }
            @match (idle, report.topology) {
                (Some(idle), Topology::SingleEnded) => {
                    "the tube’s " (number::computed(idle.0, Unit::Ampere)) " of idle current"
                }
                (Some(idle), Topology::PushPull) => {
                    (number::computed(idle.0, Unit::Ampere)) " that the two sides do not cancel"
                }
                (None, _) => { "the tube’s idle current" }
            }
            " magnetises it one way, inductance and bass collapse, and power goes with them. "
            @match report.topology {
                Topology::SingleEnded => {
                    "Use it in push-pull, or feed the plate through a choke and a capacitor."
                }
                Topology::PushPull => { "Match the tubes, or balance their currents." }
            }
        },
        Caution::TubeContradictsItself(how) => html! {
            "the numbers typed for your tube do not belong together (" (how) "): what follows is a compromise between them."
        },
        Caution::LimitsUnknown => html! {
            "no limit is typed for the plate or the screen of your tube: whether it runs too hot is not checked."
        },
        Caution::HotAtIdle(passed) => html! {
            (at_idle(report, passed)) ", whatever the load. " (cooler(passed))
        },
        Caution::NoCentreTap => html! {
            "push-pull feeds B+ into the middle of the winding, and "
            @if report.line.is_some() { "this power tap has none: only a tap of four times its watts would be it." }
            @else { "none was found on this primary." }
        },
        Caution::CentreTapIs(lead) => html! {
            "B+ goes to the " (transformer.leads.get(*lead).map(super::lead).unwrap_or_default()) " "
            (lead_noun(transformer)) ", which is the middle of this winding; the plates go to its two ends."
        },
        Caution::UnlikeSides(differ) => html! {
            "the currents of the two sides differ by " (number::computed(differ.0, Unit::Ampere))
            ", which magnetises the core one way and costs bass. Match the tubes."
        },
        Caution::OverLimit(passed) => html! {
            @if with_reactance(report) { "into a resistance, " }
            (over_limit(report, passed))
        },
        Caution::OverLimitWithReactance(hertz, passed) => html! {
            "at " (number::given(*hertz, Unit::Hertz)) ", " (over_limit(report, passed))
        },
        Caution::ReadingsUnsure => html! {
            "the readings of this transformer leave something open, or do not agree: settle that first, under Iron."
        },
        Caution::RatioUnsure(low, high) => html! {
            "as far as the readings go, the load is " (ohms(*low)) " to " (ohms(*high))
            ": a finer meter, or more readings, would make sure of the verdict."
        },
        Caution::UnusedLeads(leads) => html! {
            "insulate the unused "
            (in_a_row(&leads.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>()))
            " of the primary: up to "
            (number::times(leads.iter().map(|(_, swing)| *swing).fold(0.0, f64::max)))
            " the swing of the plate, on top of B+."
        },
        Caution::UnusedWindings(windings) => html! {
            "insulate both ends of the unused "
            @for (place, (ends, swing)) in windings.iter().enumerate() {
                @if place > 0 { ", " }
                (ends)
                @if let Some(swing) = swing { " (" (number::times(*swing)) " the swing of the primary)" }
                @else { " (its turns are not known)" }
            }
            ": join them to nothing."
        },
        Caution::LosesPower(decibels) => html! {
            "this load costs " (number::decibels(-decibels.0)) " of the power that the target load gives."
        },
        Caution::Odd(odd) => html! { (condition(report, *odd)) "." },
        Caution::NotAFit(ratio) => html! {
            "this is " (number::times(*ratio)) " " (wanted(report)) ": " (misfit(report, *ratio < 1.0)) "."
        },
        Caution::MoreThanSpeakersTake(power, takes) => html! {
            (stage) " can give " (number::about(power.0, Unit::Watt)) " at full drive and more beyond, and this hookup takes "
            (number::about(takes.0, Unit::Watt)) "."
        },
        Caution::OverdriveMoreThanSpeakersTake(power, takes) => html! {
            "in full overdrive " (stage) " can give " (number::about(power.0, Unit::Watt)) ", and this hookup takes "
            (number::about(takes.0, Unit::Watt)) "."
        },
        Caution::GapUnknown(amps) => html! {
            (number::computed(amps.0, Unit::Ampere)) " of direct current flow through the primary: its core needs a gap. "
            "Whether it has one can be said under what the iron loses."
        },
        Caution::OverLineVoltage(volts, line) => html! {
            "at full power " (number::about(volts.0, Unit::Volt)) " stand on a power tap made for "
            (number::about(line.0, Unit::Volt)) ": the core saturates in the bass, and the insulation is not rated for it."
        },
        Caution::Saturates(watts, hertz) => html! {
            "below " (number::about(*hertz, Unit::Hertz)) " the core saturates before "
            (number::about(watts.0, Unit::Watt)) " are reached: the bass distorts, and the tubes’ current runs up."
        },
        Caution::FallsTo(ratio) => html! {
            "all this is at " (number::given(report.frequency.unwrap_or_default(), Unit::Hertz))
            "; elsewhere the speakers’ impedance falls, down to where " (sees_only(report, *ratio))
        },
        Caution::MayFallTo(ratio) => html! {
            "speakers may dip to 80 % of their rating, and then " (sees_only(report, *ratio))
        },
        Caution::CommonLeadIsLive => html! {
            "with a tap pair the common lead carries signal. First take it off the chassis and the feedback "
            "and insulate it; only then ground one of the two taps. Both grounded would short turns."
        },
        Caution::Degenerate => html! {
            "so few turns lie between these taps that lead resistance and leakage decide, not the ratio."
        },
        Caution::UnusedPrimaryLeads(leads) => {
            let names = leads
                .iter()
                .map(|(at, _)| transformer.leads.get(*at).map(lead));
            let names = in_a_row(&names.flatten().collect::<Vec<_>>());
            let swing = leads.iter().map(|(_, swing)| *swing).fold(0.0, f64::max);
            let (noun, them, carry) = match leads.len() {
                1 => ("", "it", "carries"),
                _ => ("s", "they", "carry up to"),
            };
            html! {
                "insulate the unused " (names) " " (lead_noun(transformer)) (noun) ": " (them) " " (carry) " "
                (number::times(swing)) " the swing of the plate, on top of B+."
            }
        }
        Caution::UnusedTaps(taps) => html! {
            "insulate the unused "
            (in_a_row(&taps.iter().filter_map(|at| transformer.taps.get(*at).map(tap)).collect::<Vec<_>>()))
            @if taps.len() == 1 { " tap" } @else { " taps" }
            ", and never join two taps: that shorts the turns between them."
        },
        Caution::NeverWithoutLoad => html! {
            "never run the stage without a speaker or a load resistor: open, the plate voltage can "
            "break the insulation."
        },
    }
}

/// What passes a limit and its unit: `each plate dissipates`.
fn bears(report: &Report, burden: Burden) -> (String, Unit) {
    let (what, unit) = match burden {
        Burden::PlateWatts => ("plate dissipates", Unit::Watt),
        Burden::ScreenWatts => ("screen dissipates", Unit::Watt),
        Burden::CathodeAmps => ("cathode carries", Unit::Ampere),
        Burden::PlateVolts | Burden::PeakPlateVolts => ("plate stands at", Unit::Volt),
        Burden::ScreenVolts => ("screen stands at", Unit::Volt),
    };
    (format!("{} {what}", super::which(report)), unit)
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
    let output = report
        .chosen
        .as_ref()
        .and_then(|chosen| chosen.output.as_ref());
    matches!(output, Some(Ok(output)) if matches!(output.reactive, Some(Ok(_))))
}

/// A limit passed at idle, in half a sentence: `at idle each plate dissipates 13.5 W, and 12 W
/// is allowed`.
pub fn at_idle(report: &Report, passed: &Exceeded) -> Markup {
    let (bears, unit) = bears(report, passed.burden);
    html! {
        "at idle " (bears) " " (number::computed(passed.value, unit)) ", and "
        (number::given(passed.limit, unit)) " is allowed"
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
        ", and " (number::given(passed.limit, unit)) " is allowed. "
        (match passed.burden {
            Burden::ScreenWatts => "A larger resistor at each screen holds it back.",
            _ => "A higher load or less B+ asks less of it.",
        })
    }
}

/// When something happens, by the drive over the one at which grid current starts.
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

/// From which drive on something is so.
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
fn condition(report: &Report, odd: Condition) -> String {
    let stage = stage(report.topology);
    let verb = |word| verb(report.topology, word);
    match odd {
        Condition::CutOff => format!(
            "the bias cuts {stage} off: hardly any current at idle, and crossover distortion"
        ),
        Condition::BelowKnee => format!(
            "at idle {stage} {} below the knee: more plate voltage, or a more negative grid",
            verb("stand")
        ),
        Condition::ScreenAbovePlate => match report.topology {
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

/// What a ratio is held against.
fn wanted(report: &Report) -> &'static str {
    match report.target {
        Target::AsRated => "the lead’s own rating",
        _ => "the load wanted",
    }
}

/// What a load that is too low or too high costs.
fn misfit(report: &Report, low: bool) -> &'static str {
    let screen = match &report.target {
        Target::Published(published) => published.screen,
        _ => true,
    };
    match (low, report.topology, screen) {
        (true, Topology::PushPull, _) => "less power, more plate current, hotter plates",
        (true, Topology::SingleEnded, _) => "less power and a larger swing of current",
        (false, Topology::PushPull, true) => {
            "less power, higher plate peaks, and more for the screens when overdriven"
        }
        (false, Topology::SingleEnded, true) => {
            "less power, higher plate peaks, and more for the screen when overdriven"
        }
        (false, _, false) => "less power and higher plate peaks",
    }
}

/// A caution in a few words, for where there is no room; `None` for those that every
/// connection has.
pub fn caution_in_brief(caution: &Caution) -> Option<&'static str> {
    match caution {
        Caution::DirectCurrentInUngappedCore(_) => Some("direct current in a core without a gap"),
        Caution::Saturates(..) => Some("the core saturates in the bass"),
        Caution::FallsTo(_) | Caution::MayFallTo(_) => Some("may dip too low"),
        Caution::CommonLeadIsLive => Some("the common lead is live"),
        Caution::Degenerate => Some("too few turns"),
        Caution::MoreThanSpeakersTake(..) => Some("more watts than the speakers take"),
        Caution::OverLineVoltage(..) => Some("more volts than the line"),
        Caution::TubeContradictsItself(_) => Some("the tube’s numbers contradict each other"),
        Caution::HotAtIdle(_) => Some("a limit is passed at idle"),
        Caution::LimitsUnknown => Some("no limits typed"),
        Caution::NoCentreTap => Some("no centre tap"),
        Caution::UnlikeSides(_) => Some("direct current in the core"),
        Caution::OverLimit(passed) | Caution::OverLimitWithReactance(_, passed) => {
            Some(match passed.is_up_to_full() {
                true => "a limit of the tube is passed",
                false => "a limit is passed when overdriven",
            })
        }
        Caution::LosesPower(_) => Some("power is lost"),
        Caution::ReadingsUnsure => Some("the readings are not settled"),
        Caution::RatioUnsure(..) => Some("the ratio is not sure enough"),
        Caution::Odd(_) => Some("odd operating point"),
        Caution::OverdriveMoreThanSpeakersTake(..) => {
            Some("overdriven, more watts than the speakers take")
        }
        Caution::NotAFit(_)
        | Caution::GapUnknown(_)
        | Caution::CentreTapIs(_)
        | Caution::UnusedPrimaryLeads(_)
        | Caution::UnusedLeads(_)
        | Caution::UnusedWindings(_)
        | Caution::UnusedTaps(_)
        | Caution::NeverWithoutLoad => None,
    }
}
