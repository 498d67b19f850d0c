//! The answer line: one plain sentence, readable at arm's length.

use maud::{Markup, html};
use tapwright_core::answer::{Answer, Reason};
use tapwright_core::caution::supply::live;
use tapwright_core::judged::Because;
use tapwright_core::judged::Judged;
use tapwright_core::matching::Verdict;
use tapwright_core::report::Missing;
use tapwright_core::setup::{Marking, Topology};
use tapwright_core::target::Target;
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::measured::{Lead, Pair, names};
use tapwright_iron::transformer::{PrimaryLead, Secondary, Transformer};
use tapwright_units::Unit;

use super::Scene;
use crate::words::say::say;
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
            p .warning { (say!("Beware: {caution}", caution = words::caution(report, caution))) }
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
    let fields = html! {
        @for (place, taken) in taken.iter().enumerate() {
            @if place > 0 { " · " }
            button type="button" .plain data-visit=(taken.field) { (taken.words) }
        }
    };
    html! {
        @if !taken.is_empty() { p .taken { (say!("Taken: {fields}", fields = fields)) } }
    }
}

/// The connection that the page follows, when it is not the recommended one.
fn other_choice(scene: &Scene, transformer: &Transformer, recommended: &Judged) -> Markup {
    let other = (scene.report.solved.followed())
        .filter(|chosen| chosen.connection.choice != recommended.connection.choice);
    html! {
        @if let Some(chosen) = other { p .other { (you_chose(transformer, chosen)) } }
    }
}

fn you_chose(transformer: &Transformer, chosen: &Judged) -> Markup {
    let connection = words::connection(transformer, chosen);
    let load = words::ohms(chosen.connection.load.reflected);
    let verdict = html! { (words::verdict(chosen.verdict())) (words::because(chosen)) };
    match &chosen.output {
        Some(output) => say!(
            "You chose {connection}: {load}, {watts} ({decibels}), {share} distortion, {verdict}.",
            connection = connection,
            load = load,
            watts = number::computed(output.watts.0, Unit::Watt),
            decibels = number::signed_decibels(output.against_target.0),
            share = number::percent_short(output.thd),
            verdict = verdict,
        ),
        None => say!(
            "You chose {connection}: {load}, {verdict}.",
            connection = connection,
            load = load,
            verdict = verdict,
        ),
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
                ", " (say!("loads at {hertz}, as resistances", hertz = number::given(hertz, Unit::Hertz)))
            }
            @if let Some(judged) = scene.report.solved.connections.get(answer.connection) {
                " · " (words::mark(judged.verdict())) " " (words::verdict(judged.verdict())) (words::because(judged))
            }
            @if let Some(alarm) = scene.report.solved.health.alarms.first() {
                " · " (words::health::in_brief(alarm))
            }
            @if scene.is_stale(answer.hookup) { " · " "from the last values that could be read" }
        }
    }
}

fn sentence(scene: &Scene, transformer: &Transformer, judged: &Judged) -> Markup {
    let own = scene.report.solved.own.as_ref();
    html! {
        p .sentence {
            (what_to_use(scene, transformer, judged)) " " (load(scene, judged))
            @if judged.output.is_some() {
                " " (power(judged))
                @if own.is_some_and(|own| own.contradiction.is_some()) {
                    " " (say!("That is as far as the tube’s contradictory numbers can tell."))
                }
            }
        }
    }
}

/// The connection, and what must be known or done before it is made.
fn what_to_use(scene: &Scene, transformer: &Transformer, judged: &Judged) -> Markup {
    let health = &scene.report.solved.health;
    let wiring = wiring(scene, transformer, judged);
    let is_to_avoid = judged.verdict() == Verdict::Avoid;
    if let Some(passed) = health.hot_at_idle() {
        return say!(
            "Do not run it like this: <b>{fault}</b> Once that is mended, use {wiring}.",
            fault = words::at_idle(scene.report, passed),
            wiring = wiring,
        );
    }
    if is_to_avoid && judged.because() == Some(Because::SpeakersTakeLess) {
        return say!(
            "<b>Far more power than this hookup takes.</b> With other speakers of its impedance, use {wiring}.",
            wiring = wiring,
        );
    }
    if health.has_odd_point() {
        return say!(
            "<b>Set the bias first.</b> Then use {wiring}.",
            wiring = wiring,
        );
    }
    if is_to_avoid {
        return say!(
            "Nothing suits this hookup. The nearest is {wiring}.",
            wiring = wiring,
        );
    }
    say!("Use {wiring}.", wiring = wiring)
}

/// The load through this connection, beside the one that is wanted.
fn load(scene: &Scene, judged: &Judged) -> Markup {
    let solved = &scene.report.solved;
    let load = &judged.connection.load;
    let is_guessed = solved.measured.is_some();
    match (solved.target, solved.topology) {
        (Target::AsRated, _) if is_guessed => say!(
            "The primary sees <b>{load}</b>, its guessed rating {wanted}.",
            load = words::ohms(load.reflected),
            wanted = words::about(load.target),
        ),
        (Target::AsRated, _) => say!(
            "The primary sees <b>{load}</b>, rated {wanted}.",
            load = words::ohms(load.reflected),
            wanted = words::rated(load.target),
        ),
        (_, Topology::PushPull) => say!(
            "The tubes see {load} and want {wanted}.",
            load = with_range(judged),
            wanted = words::rated(load.target),
        ),
        (_, Topology::SingleEnded) => say!(
            "The tube sees {load} and wants {wanted}.",
            load = with_range(judged),
            wanted = words::rated(load.target),
        ),
    }
}

/// A load, and how far it may be off where it is measured.
fn with_range(judged: &Judged) -> Markup {
    let load = words::ohms(judged.connection.load.reflected);
    match judged.connection.range() {
        Some((low, high)) => say!(
            "<b>{load}</b> ({low} to {high})",
            load = load,
            low = words::ohms(low),
            high = words::ohms(high),
        ),
        None => html! { b { (load) } },
    }
}

/// The power at full drive and its distortion; how much of it is clean, where that is much less.
fn power(judged: &Judged) -> Markup {
    let Some(output) = &judged.output else {
        return html! {};
    };
    let watts = number::computed(output.watts.0, Unit::Watt);
    let share = number::percent_short(output.thd);
    match judged.much_less_clean() {
        Some(clean) => say!(
            "<b>{watts}</b> at full drive, {share} distortion; {clean} at {wanted}.",
            watts = watts,
            share = share,
            clean = number::computed(clean.delivered.watts, Unit::Watt),
            wanted = number::percent_short(clean.wanted_thd),
        ),
        None => say!(
            "<b>{watts}</b> at full drive, {share} distortion.",
            watts = watts,
            share = share,
        ),
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
    let named: Vec<Markup> = (leads.iter())
        .filter_map(|at| transformer.leads.get(*at))
        .map(lead)
        .collect();
    let tap = secondary(transformer, judged.connection.choice.secondary);
    let leads = words::markup_in_a_row(&named);
    let ratio = judged.connection.ratio;
    html! {
        p .sentence {
            @if (ratio - 1.0).abs() < 5e-3 {
                (say!(
                    "Use {tap}; {leads} are equal until the tube is known: each sees its own rating.",
                    tap = tap,
                    leads = leads,
                ))
            } @else {
                (say!(
                    "Use {tap}; {leads} are equal until the tube is known: each sees <b>{times}</b> its own rating.",
                    tap = tap,
                    leads = leads,
                    times = number::times(ratio),
                ))
            }
        }
    }
}

/// A primary lead, underlined in its own colour.
fn lead(lead: &PrimaryLead) -> Markup {
    html! { b class=(words::wire(&lead.name)) { (words::lead(lead)) } }
}

/// The tap or the tap pair, underlined in its own colours.
fn secondary(transformer: &Transformer, secondary: Secondary) -> Markup {
    match secondary {
        Secondary::Tap(at) => say!("the {tap} tap", tap = tap(transformer, at)),
        Secondary::Pair(pair) => {
            let (from, to) = pair.taps();
            say!(
                "the {from} to {to} tap pair",
                from = tap(transformer, from),
                to = tap(transformer, to),
            )
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
        return say!(
            "the primary between {primary} and the speaker between {speaker}",
            primary = between(findings, over),
            speaker = between(findings, under),
        );
    }
    let lead = transformer.leads.get(choice.lead).map(lead);
    let lead = lead.unwrap_or_default();
    let tap = secondary(transformer, choice.secondary);
    match transformer.line {
        Some(_) => say!("the {lead} power tap and {tap}", lead = lead, tap = tap),
        None => say!("the {lead} lead and {tap}", lead = lead, tap = tap),
    }
}

/// Two leads, underlined in their own colours.
fn between(findings: &Findings, pair: Option<Pair>) -> Markup {
    let name = |lead: Lead| {
        let name = names::lead_name(&findings.leads, lead);
        html! { b class=(words::wire(name)) { (name) } }
    };
    let leads = pair.map(|(a, b)| [name(a), name(b)]);
    words::markup_in_a_row(&leads.into_iter().flatten().collect::<Vec<_>>())
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
        p .sentence.unknown { (say!("Still unknown: <b>{fields}</b>.", fields = list)) }
        @if measured { (super::parts::next_reading(scene)) } @else { p .reason {
            "Three things give a first answer: what the primary is rated, the taps, a speaker."
        } }
    }
}
