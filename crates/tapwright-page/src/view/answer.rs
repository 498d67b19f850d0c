//! The answer line: one plain sentence, readable at arm's length.

use maud::{Markup, html};
use tapwright_core::answer::{Answer, Reason};
use tapwright_core::caution::supply::live;
use tapwright_core::judged::Because;
use tapwright_core::judged::Judged;
use tapwright_core::matching::Verdict;
use tapwright_core::report::Missing;
use tapwright_core::setup::Marking;
use tapwright_core::target::Target;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::measured::{Lead, Pair, names};
use tapwright_iron::transformer::{PrimaryLead, Secondary, Transformer};
use tapwright_units::Unit;

use super::Scene;
use crate::{number, words};

/// The answer for the hookup that the page follows.
pub(super) fn current<'a>(scene: &'a Scene) -> Option<(&'a Answer, &'a Judged, &'a Transformer)> {
    let report = scene.report;
    let answer = report.answer(report.solved.followed()?.connection.choice.hookup)?;
    Some((
        answer,
        report.solved.connections.get(answer.connection)?,
        report.solved.transformer.as_ref()?,
    ))
}

/// The answer in two lines.
pub(super) fn in_brief(scene: &Scene) -> Option<Markup> {
    let (_, judged, transformer) = current(scene)?;
    Some(super::brief::brief(scene, transformer, judged))
}

pub(super) fn answer(scene: &Scene) -> Markup {
    let Some((answer, judged, transformer)) = current(scene) else {
        return unknown(scene);
    };
    html! {
        div .stale[scene.is_stale(answer.hookup)] {
            (kicker(scene, answer))
            @match tie(scene, answer, judged) {
                Some(leads) => (tied(transformer, judged, &leads)),
                None => (sentence(scene, transformer, judged)),
            }
            (super::brief::brief(scene, transformer, judged))
            (other_choice(scene, transformer, judged))
        }
    }
}

/// What to beware of with this connection, and why it is this one.
pub(super) fn beware(scene: &Scene) -> Markup {
    let report = scene.report;
    let Some((answer, judged, _)) = current(scene) else {
        return html! {};
    };
    let is_tie = tie(scene, answer, judged).is_some();
    html! {
        @if let Some(caution) = answer.cautions.first() {
            p .warning { "Beware: " (words::caution(report, caution)) }
        }
        @if let Some(wiring) = answer.wiring.as_ref().filter(|_| !is_tie) { p .reason { (words::wiring::sentence(report, wiring)) } }
        @if let Some(remedies) = words::remedies(report, &answer.remedies) {
            p .reason { (remedies) }
        }
        @if let Some(reason) = words::reason(report, &answer.reason) {
            p .reason { (reason) }
        }
        (taken(scene))
    }
}

/// What was taken where nothing is typed, each a way to its field.
fn taken(scene: &Scene) -> Markup {
    let Some(stage) = scene.report.solved.stage() else {
        return html! {};
    };
    let taken = words::taken(stage);
    html! {
        @if !taken.is_empty() {
            p .taken {
                "Taken: "
                @for (place, taken) in taken.iter().enumerate() {
                    @if place > 0 { " · " }
                    button type="button" .plain data-visit=(taken.field) { (taken.words) }
                }
            }
        }
    }
}

/// The connection that the page follows, when it is not the recommended one.
fn other_choice(scene: &Scene, transformer: &Transformer, recommended: &Judged) -> Markup {
    let report = scene.report;
    html! {
        @if let Some(chosen) = report.solved.followed().filter(|chosen| chosen.connection.choice != recommended.connection.choice) {
            p .other {
                "You chose " (words::connection(transformer, chosen)) ": "
                (words::ohms(chosen.connection.load.reflected))
                @if let Some(output) = &chosen.output {
                    ", " (number::computed(output.watts.0, Unit::Watt)) " ("
                    (number::signed_decibels(output.against_target.0)) "), "
                    (number::percent_short(output.thd)) " distortion"
                }
                ", " (words::verdict(chosen.verdict())) (words::because(chosen)) "."
            }
        }
    }
}

fn kicker(scene: &Scene, answer: &Answer) -> Markup {
    let impedance = scene
        .report
        .solved
        .hookup(answer.hookup)
        .map(|h| h.impedance);
    html! {
        p .kicker {
            @if let Some(live) = live(&scene.report.solved) {
                b .bad { (words::sentence_case(words::supply::caution_in_brief(&live))) } " · "
            }
            (words::hookup(scene.good, answer.hookup))
            @if let Some(impedance) = impedance { ", " (words::about(impedance)) }
            @if let Some(hertz) = scene.report.solved.frequency.filter(|_| scene.report.solved.by_curve) {
                ", loads at " (number::given(hertz, Unit::Hertz)) ", as resistances"
            }
            @if let Some(judged) = scene.report.solved.connections.get(answer.connection) {
                " · " (words::mark(judged.verdict())) " " (words::verdict(judged.verdict())) (words::because(judged))
            }
            @if let Some(alarm) = scene.report.solved.health.alarms.first() {
                " · " (words::health::in_brief(alarm))
            }
            @if scene.is_stale(answer.hookup) { " · from the last values that could be read" }
        }
    }
}

fn sentence(scene: &Scene, transformer: &Transformer, judged: &Judged) -> Markup {
    let report = scene.report;
    let stage = words::stage(report.solved.topology);
    let reflected = words::ohms(judged.connection.load.reflected);
    let wanted = match report.solved.target {
        Target::AsRated if report.solved.measured.is_some() => {
            words::about(judged.connection.load.target)
        }
        _ => words::rated(judged.connection.load.target),
    };
    html! {
        p .sentence {
            @if let Some(passed) = report.solved.health.hot_at_idle() {
                "Do not run it like this: " b { (words::at_idle(report, passed)) } ". Once that is mended: "
                (wiring(scene, transformer, judged)) ", where "
            } @else if judged.verdict() == Verdict::Avoid && judged.because() == Some(Because::SpeakersTakeLess) {
                b { "Far more power than this hookup takes." } " With other speakers of its impedance: "
                (wiring(scene, transformer, judged)) ", where "
            } @else if report.solved.health.has_odd_point() {
                b { "Set the bias first." } " Then " (wiring(scene, transformer, judged)) ", where "
            } @else if judged.verdict() == Verdict::Avoid {
                "Nothing suits this hookup. The nearest is " (wiring(scene, transformer, judged)) ": "
            } @else {
                "Use " (wiring(scene, transformer, judged)) ": "
            }
            @match report.solved.target {
                Target::AsRated => {
                    "the primary sees " b { (reflected) }
                    @if scene.report.solved.measured.is_some() { ", its guessed rating " (wanted) "." }
                    @else { ", rated " (wanted) "." }
                }
                _ => {
                    (stage) " " (words::verb(report.solved.topology, "see")) " " b { (reflected) } (range(judged))
                    ", " (words::verb(report.solved.topology, "want")) " " (wanted) "."
                }
            }
            @if let Some(output) = &judged.output {
                " " b { (number::computed(output.watts.0, Unit::Watt)) } " at full drive, "
                (number::percent_short(output.thd)) " distortion"
                @if let Some(clean) = judged.much_less_clean() {
                    "; " (number::computed(clean.delivered.watts, Unit::Watt)) " at "
                    (number::percent_short(clean.wanted_thd))
                }
                @if report.solved.own.as_ref().is_some_and(|own| own.contradiction.is_some()) {
                    ", as far as the tube’s contradictory numbers can tell"
                }
                "."
            }
        }
    }
}

/// The primary leads that are equal through the recommended tap, while no tube tells them apart.
fn tie(scene: &Scene, answer: &Answer, judged: &Judged) -> Option<Vec<usize>> {
    let Reason::AnyLead(others) = &answer.reason else {
        return None;
    };
    let all = &scene.report.solved.connections;
    let choices = others
        .iter()
        .filter_map(|place| Some(all.get(*place)?.connection.choice));
    let best = judged.connection.choice;
    let mut leads = vec![best.lead];
    for choice in choices {
        if choice.secondary != best.secondary {
            return None;
        }
        leads.push(choice.lead);
    }
    leads.sort_unstable();
    Some(leads)
}

/// The answer where all leads are equal until the tube is known.
fn tied(transformer: &Transformer, judged: &Judged, leads: &[usize]) -> Markup {
    let named: Vec<&PrimaryLead> = leads
        .iter()
        .filter_map(|at| transformer.leads.get(*at))
        .collect();
    let ratio = judged.connection.ratio;
    html! {
        p .sentence {
            "Use the " (secondary_words(transformer, judged.connection.choice.secondary)) "; "
            @for (place, lead) in named.iter().enumerate() {
                @if place > 0 { @if place + 1 == named.len() { " and " } @else { ", " } }
                b class=(words::wire(&lead.name)) { (words::lead(lead)) }
            }
            " are equal until the tube is known: each sees "
            @if (ratio - 1.0).abs() < 5e-3 { "its own rating." }
            @else { b { (number::times(ratio)) } " its own rating." }
        }
    }
}

/// The tap or the tap pair, underlined in its own colours.
fn secondary_words(transformer: &Transformer, secondary: Secondary) -> Markup {
    html! {
        @match secondary {
            Secondary::Tap(at) => { (tap(transformer, at)) " tap" }
            Secondary::Pair(pair) => {
                (tap(transformer, pair.taps().0)) " to " (tap(transformer, pair.taps().1)) " tap pair"
            }
        }
    }
}

/// How far a measured load may be off.
fn range(judged: &Judged) -> Markup {
    html! {
        @if let Some((low, high)) = judged.connection.range() {
            " (" (words::ohms(low)) " to " (words::ohms(high)) ")"
        }
    }
}

/// The lead and the tap, underlined in their own colours; of a measured transformer both
/// pairs of leads.
fn wiring(scene: &Scene, transformer: &Transformer, judged: &Judged) -> Markup {
    let choice = judged.connection.choice;
    if let Some(findings) = &scene.report.solved.measured {
        let made = findings.transformer.as_ref();
        let over = made.and_then(|made| made.leads.get(choice.lead).map(|lead| lead.pair));
        let under = made.and_then(|made| made.secondary_pair(choice.secondary));
        return html! {
            "the primary between " (between(findings, over)) " and the speaker between "
            (between(findings, under))
        };
    }
    html! {
        "the "
        @if let Some(lead) = transformer.leads.get(choice.lead) {
            b class=(words::wire(&lead.name)) { (words::lead(lead)) }
        }
        " " (words::lead_noun(transformer)) " and the " (secondary_words(transformer, choice.secondary))
    }
}

fn between(findings: &Findings, pair: Option<Pair>) -> Markup {
    let name = |lead: Lead| names::lead_name(&findings.leads, lead);
    html! {
        @if let Some((a, b)) = pair {
            b class=(words::wire(name(a))) { (name(a)) } " and " b class=(words::wire(name(b))) { (name(b)) }
        }
    }
}

fn tap(transformer: &Transformer, at: usize) -> Markup {
    html! {
        @if let Some(tap) = transformer.taps.get(at) {
            b class=(words::wire(&tap.name)) { (words::tap(tap)) }
        }
    }
}

/// What is still to be typed, as the answer while there is none.
fn unknown(scene: &Scene) -> Markup {
    let measured = scene.typed.marking == Marking::Measured;
    let missing = scene.report.missing.iter();
    // Readings tell the primary and the taps together.
    let missing = missing.filter(|missing| !(measured && **missing == Missing::Taps));
    let needs = missing.map(|missing| match missing {
        Missing::Primary if measured => "the turns of the windings",
        Missing::Primary if scene.typed.marking == Marking::Line => {
            "the line voltage and power taps"
        }
        Missing::Primary => "what the primary is rated",
        Missing::Taps => "the secondary taps",
        Missing::Speakers => "a speaker",
    });
    let list = words::in_a_row(&needs.map(str::to_owned).collect::<Vec<_>>());
    html! {
        p .kicker { "Which tap for which speaker" }
        p .sentence.unknown { "Still unknown: " b { (list) } "." }
        @if measured { (super::parts::next_reading(scene)) } @else { p .reason {
            "Three things give a first answer: what the primary is rated, the taps, a speaker."
        } }
    }
}
