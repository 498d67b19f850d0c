//! Words for the things in a report: leads, taps, hookups, verdicts, cautions.

use maud::{Markup, html};
use tapwright_core::answer::{Caution, Reason};
use tapwright_core::connection::Connection;
use tapwright_core::matching::Verdict;
use tapwright_core::output::Because;
use tapwright_core::report::{Report, Target};
use tapwright_core::setup::{Setup, Topology};
use tapwright_core::speaker::Hookup;
use tapwright_core::stage::idle::Condition;
use tapwright_core::stage::stress::{Burden, Exceeded};
use tapwright_core::transformer::{PrimaryLead, Secondary, Tap, Transformer};
use tapwright_core::units::{Ohms, Unit};

use crate::number;

/// A mark that does not depend on colour, beside the word.
pub fn mark(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "●",
        Verdict::Usable => "◐",
        Verdict::Avoid => "○",
    }
}

/// The verdict in a word; also the name of its style.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "fits",
        Verdict::Usable => "usable",
        Verdict::Avoid => "avoid",
    }
}

/// Ohms as computed.
pub fn ohms(value: Ohms) -> String {
    number::computed(value.0, Unit::Ohm)
}

/// Ohms made from a few ratings: no more digits than that is good for.
pub fn about(value: Ohms) -> String {
    number::about(value.0, Unit::Ohm)
}

/// Ohms as rated or typed.
pub fn rated(value: Ohms) -> String {
    number::given(value.0, Unit::Ohm)
}

/// A lead's rating as it is stamped: `8 kΩ`, or `5 W` on a line transformer.
pub fn lead_rating(lead: &PrimaryLead) -> String {
    lead.power_tap.map_or_else(
        || rated(lead.rated),
        |watts| number::given(watts.0, Unit::Watt),
    )
}

/// A lead with its name: `brown 8 kΩ`.
pub fn lead(lead: &PrimaryLead) -> String {
    named(&lead.name, &lead_rating(lead))
}

/// A tap with its name: `white 3 Ω`.
pub fn tap(tap: &Tap) -> String {
    named(&tap.name, &rated(tap.rated))
}

fn named(name: &str, rating: &str) -> String {
    if name.is_empty() {
        rating.to_owned()
    } else {
        format!("{name} {rating}")
    }
}

/// A tap or tap pair: `white 3 Ω`, `3 Ω–15 Ω`.
pub fn secondary(transformer: &Transformer, secondary: Secondary) -> String {
    let name = |at: usize| transformer.taps.get(at).map(tap).unwrap_or_default();
    match secondary {
        Secondary::Tap(at) => name(at),
        Secondary::Pair(pair) => {
            let (a, b) = pair.taps();
            format!("{}–{}", name(a), name(b))
        }
    }
}

/// `tap` or `tap pair`.
pub fn kind(secondary: Secondary) -> &'static str {
    match secondary {
        Secondary::Tap(_) => "tap",
        Secondary::Pair(_) => "tap pair",
    }
}

/// A connection in one phrase: `brown 8 kΩ lead, white 3 Ω tap`.
pub fn connection(transformer: &Transformer, connection: &Connection) -> String {
    let choice = connection.choice;
    format!(
        "{} {}, {} {}",
        transformer
            .leads
            .get(choice.lead)
            .map(lead)
            .unwrap_or_default(),
        lead_noun(transformer),
        secondary(transformer, choice.secondary),
        kind(choice.secondary)
    )
}

/// What a primary lead is called on this transformer.
pub fn lead_noun(transformer: &Transformer) -> &'static str {
    if transformer.line.is_some() {
        "power tap"
    } else {
        "lead"
    }
}

/// What a hookup is called: the name typed, or its speakers.
pub fn hookup(setup: &Setup, place: usize) -> String {
    let Some(entry) = setup.hookups.get(place) else {
        return String::new();
    };
    match entry.name.trim() {
        "" => entry.speakers.trim().to_owned(),
        name => name.to_owned(),
    }
}

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

/// Words in the order typed: `two 8 Ω in parallel`, `8 Ω in series with (15 Ω and 8 Ω in parallel)`.
pub fn speakers(hookup: &Hookup) -> String {
    let (how, parts) = match hookup {
        Hookup::Driver(rating) => return rated(*rating),
        Hookup::Series(_) => ("in series", flattened(hookup, true)),
        Hookup::Parallel(_) => ("in parallel", flattened(hookup, false)),
    };
    if let Some(first) = parts.first()
        && parts.iter().all(|part| part == first)
    {
        let group = match first {
            Hookup::Driver(rating) => rated(*rating),
            _ => format!("groups of ({})", speakers(first)),
        };
        return format!("{} {group} {how}", count(parts.len()));
    }
    let each: Vec<String> = (parts.iter())
        .map(|part| match part {
            Hookup::Driver(rating) => rated(*rating),
            _ => format!("({})", speakers(part)),
        })
        .collect();
    format!("{} {how}", each.join(" and "))
}

/// The parts of a chain of one kind of join: `8+8+8` has three.
fn flattened(hookup: &Hookup, series: bool) -> Vec<&Hookup> {
    match hookup {
        Hookup::Series(pair) if series => {
            [flattened(&pair.0, series), flattened(&pair.1, series)].concat()
        }
        Hookup::Parallel(pair) if !series => {
            [flattened(&pair.0, series), flattened(&pair.1, series)].concat()
        }
        other => vec![other],
    }
}

fn count(n: usize) -> String {
    const WORDS: [&str; 9] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    ];
    WORDS
        .get(n)
        .map_or_else(|| n.to_string(), |word| (*word).to_owned())
}

/// Wire colours that a name may hold, with the style that underlines in that colour.
const WIRES: [(&str, &str); 13] = [
    ("black", "wire-black"),
    ("brown", "wire-brown"),
    ("red", "wire-red"),
    ("orange", "wire-orange"),
    ("yellow", "wire-yellow"),
    ("green", "wire-green"),
    ("blue", "wire-blue"),
    ("violet", "wire-violet"),
    ("purple", "wire-violet"),
    ("grey", "wire-grey"),
    ("gray", "wire-grey"),
    ("white", "wire-white"),
    ("pink", "wire-pink"),
];

/// The style of a wire by the colour in its name; plain when there is none.
pub fn wire(name: &str) -> &'static str {
    let name = name.to_ascii_lowercase();
    WIRES
        .iter()
        .find(|(colour, _)| {
            name.split(|c: char| !c.is_alphabetic())
                .any(|word| word == *colour)
        })
        .map_or("wire", |(_, style)| style)
}

/// A caution in one sentence.
pub fn caution(report: &Report, caution: &Caution) -> Markup {
    let Some(transformer) = &report.transformer else {
        return html! {};
    };
    let stage = stage(report.topology);
    match caution {
        Caution::DirectCurrentInUngappedCore(idle) => html! {
            "a line transformer’s core has no gap: "
            @match idle {
                Some(idle) => { "the tube’s " (number::computed(idle.0, Unit::Ampere)) " of idle current" }
                None => { "the tube’s idle current" }
            }
            " magnetises it one way, inductance and bass collapse, and power goes with them. "
            "Use it in push-pull, or feed the plate through a choke and a capacitor."
        },
        Caution::TubeContradictsItself(how) => html! {
            "the numbers typed for your tube do not belong together (" (how) "): what follows is a compromise between them."
        },
        Caution::HotAtIdle(passed) => html! {
            (passes(report, passed)) ", whatever the load. "
            @match passed.burden {
                Burden::PlateVolts | Burden::PeakPlateVolts => "Lower B+, or take another tube.",
                Burden::ScreenVolts => "Give the screens less, by a supply or a resistor of their own.",
                _ => "Make the grid more negative or the cathode resistor larger, or lower B+.",
            }
        },
        Caution::OverLimit(passed) => html! {
            (passes(report, passed)) "."
        },
        Caution::LosesPower(decibels) => html! {
            "this load costs " (number::decibels(-decibels.0)) " of the power that the target load gives."
        },
        Caution::Odd(odd) => html! { (condition(report, *odd)) "." },
        Caution::NotAFit(ratio) => html! {
            "this is " (number::times(*ratio)) " " (wanted(report)) ": " (misfit(report, *ratio < 1.0)) "."
        },
        Caution::MoreThanSpeakersTake(power, takes) => html! {
            (stage) " can give " (number::about(power.0, Unit::Watt)) " before clipping and more beyond, and this hookup takes "
            (number::about(takes.0, Unit::Watt)) "."
        },
        Caution::OverLineVoltage(volts, line) => html! {
            "at full power " (number::about(volts.0, Unit::Volt)) " stand on a power tap made for "
            (number::about(line.0, Unit::Volt)) ": the core saturates in the bass, and the insulation is not rated for it."
        },
        Caution::MayFallTo(ratio) => html! {
            "speakers may dip to 80 % of their rating, and then " (stage) " " (verb(report.topology, "see")) " only "
            (number::times(*ratio)) " " (wanted(report)) "."
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

/// A limit passed, in half a sentence: `each plate dissipates 13.5 W, 12 W allowed`.
fn passes(report: &Report, passed: &Exceeded) -> Markup {
    let (what, unit) = match passed.burden {
        Burden::PlateWatts => ("plate dissipates", Unit::Watt),
        Burden::ScreenWatts => ("screen dissipates", Unit::Watt),
        Burden::CathodeAmps => ("cathode carries", Unit::Ampere),
        Burden::PlateVolts | Burden::PeakPlateVolts => ("plate stands at", Unit::Volt),
        Burden::ScreenVolts => ("screen stands at", Unit::Volt),
    };
    let which = match report.topology {
        Topology::PushPull => "each ",
        Topology::SingleEnded => "the ",
    };
    html! {
        (when(passed.drive)) " " (which) (what) " " (number::computed(passed.value, unit)) ", and "
        (number::given(passed.limit, unit)) " is allowed"
    }
}

/// When something happens, by the drive over the one at which grid current starts.
pub fn when(drive: f64) -> String {
    if drive == 0.0 {
        "at idle".into()
    } else if drive < 1.0 {
        format!(
            "at {} of the drive that clips",
            number::percent_short(drive)
        )
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

/// Why a connection is worse than its ratio says; empty when it is not.
pub fn because(connection: &Connection) -> &'static str {
    match connection.output.and_then(|output| output.because) {
        Some(Because::PowerLost) => " (power lost)",
        Some(Because::LimitPassed) => " (limit passed)",
        None => "",
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
        Caution::MayFallTo(_) => Some("may dip too low"),
        Caution::CommonLeadIsLive => Some("the common lead is live"),
        Caution::Degenerate => Some("too few turns"),
        Caution::MoreThanSpeakersTake(..) => Some("more watts than the speakers take"),
        Caution::OverLineVoltage(..) => Some("more volts than the line"),
        Caution::TubeContradictsItself(_) => Some("the tube’s numbers contradict each other"),
        Caution::HotAtIdle(_) => Some("a limit is passed at idle"),
        Caution::OverLimit(passed) if passed.drive <= 1.0 => Some("a limit of the tube is passed"),
        Caution::OverLimit(_) => Some("a limit is passed when overdriven"),
        Caution::LosesPower(_) => Some("power is lost"),
        Caution::Odd(_) => Some("odd operating point"),
        Caution::NotAFit(_)
        | Caution::UnusedPrimaryLeads(_)
        | Caution::UnusedTaps(_)
        | Caution::NeverWithoutLoad => None,
    }
}

/// `a`, `a and b`, `a, b and c`.
pub fn in_a_row(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

/// Why a connection was taken, in one sentence; empty when it is simply the nearest.
pub fn reason(report: &Report, reason: &Reason) -> Option<String> {
    let transformer = report.transformer.as_ref()?;
    let name = |at: usize| {
        report
            .connections
            .get(at)
            .map(|c| connection(transformer, c))
            .unwrap_or_default()
    };
    let names = |places: &[usize]| {
        places
            .iter()
            .map(|at| name(*at))
            .collect::<Vec<_>>()
            .join("; ")
    };
    match reason {
        Reason::Nearest => None,
        Reason::TapBeforePair(pair) => Some(format!(
            "A pair is a little nearer ({}), but a plain tap in the same class is simpler and keeps the common lead at ground.",
            name(*pair)
        )),
        Reason::MoreTurnsInUse(others) => Some(format!(
            "Equally near: {}. This one leaves fewer turns idle.",
            names(others)
        )),
        Reason::FirstOfEquals(others) => Some(format!(
            "Equally near: {}. The order typed decides.",
            names(others)
        )),
        Reason::AnyLead(others) => Some(format!(
            "Through this tap every lead sees the same share of its own rating (also: {}). Pick a tube or type the load it wants to settle which lead.",
            names(others)
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hookups_in_words() {
        for (text, words) in [
            ("8", "8 Ω"),
            ("8//8", "two 8 Ω in parallel"),
            ("8+8+8", "three 8 Ω in series"),
            (
                "(8+8)//(8+8)",
                "two groups of (two 8 Ω in series) in parallel",
            ),
            ("15//8", "15 Ω and 8 Ω in parallel"),
            ("4+8//8", "4 Ω and (two 8 Ω in parallel) in series"),
        ] {
            let hookup = Hookup::read(text).unwrap();
            assert_eq!(speakers(&hookup).replace('\u{a0}', " "), words);
        }
    }

    #[test]
    fn a_colour_anywhere_in_a_name_is_found_and_half_a_word_is_not() {
        assert_eq!(wire("light Blue/white"), "wire-blue");
        assert_eq!(wire("redundant"), "wire");
        assert_eq!(wire(""), "wire");
    }
}
