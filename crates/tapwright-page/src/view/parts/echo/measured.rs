//! What the readings of a transformer without marking tell, under them.

use maud::{Markup, html};
use tapwright_core::setup::{Field, MeasuredText, OhmsText, VoltsText};
use tapwright_core::values::is_asked;
use tapwright_iron::measured::danger::{Danger, HAZARDOUS, Hazard};
use tapwright_iron::measured::findings::{Agreement, Findings};
use tapwright_iron::measured::meter::{OHMMETER, VOLTMETER};
use tapwright_iron::measured::{Lead, Pair, names, same};
use tapwright_units::Unit;

use super::hint;
use crate::number;
use crate::view::Scene;
use crate::words::say::say;

mod next;
mod turns;
mod windings;

pub(in crate::view) use next::next;
pub(super) use turns::turns;
pub(super) use windings::windings;

/// A reading with a larger relative uncertainty decides how good the result is. Own estimate.
const COARSE: f64 = 0.05;
/// The fields of the readings that are on the form.
pub(in crate::view) fn fields(scene: &Scene) -> Vec<Field> {
    let mut fields = scene.typed.fields();
    fields.retain(|field| {
        let is_reading = matches!(
            field,
            Field::Measured(_) | Field::Ohms(..) | Field::Volts(..)
        );
        is_reading && is_asked(scene.typed, *field)
    });
    fields
}

fn name(findings: &Findings, lead: Lead) -> &str {
    names::lead_name(&findings.leads, lead)
}

fn pair(findings: &Findings, pair: Pair) -> String {
    names::pair_name(&findings.leads, pair)
}

fn in_order(findings: &Findings, leads: &[Lead]) -> String {
    let names: Vec<&str> = leads.iter().map(|lead| name(findings, *lead)).collect();
    names.join(" – ")
}

pub(super) fn understood(scene: &Scene, field: Field) -> Markup {
    let Some(findings) = &scene.report.solved.measured else {
        return html! {};
    };
    let typed = |field| {
        scene
            .typed
            .text(field)
            .is_some_and(|text| !text.trim().is_empty())
    };
    let usual = |accuracy: tapwright_iron::measured::meter::Accuracy| {
        html! {
            span .hint {
                (say!(
                    "{share} + {counts} counts, usual; the last digit typed is a count",
                    share = number::percent_short(accuracy.share),
                    counts = number::trimmed_to(accuracy.counts, 1),
                ))
            }
        }
    };
    let read_without = |row: usize, part: VoltsText| {
        typed(Field::Volts(row, VoltsText::Volts)) && !typed(Field::Volts(row, part))
    };
    match field {
        Field::Measured(MeasuredText::Leads) if findings.leads.is_empty() => {
            hint(field.row().empty)
        }
        Field::Measured(MeasuredText::Leads) => say!(
            "{count} leads: {names}",
            count = findings.leads.len(),
            names = findings.leads.join(", "),
        ),
        Field::Measured(MeasuredText::Ohmmeter) if !typed(field) => html! {
            (usual(OHMMETER))
            (hint("Take off what the probes read when they touch each other."))
        },
        Field::Measured(MeasuredText::Voltmeter) if !typed(field) => usual(VOLTMETER),
        Field::Ohms(row, OhmsText::Ohms) if typed(field) => {
            missing_pair(typed(Field::Ohms(row, OhmsText::Pair)))
        }
        Field::Volts(row, VoltsText::Fed) => html! {
            (hazard(findings, row))
            @if row == 0 && read_without(row, VoltsText::Fed) { (hint("Which two leads are fed?")) }
        },
        Field::Volts(row, VoltsText::FedVolts) => html! {
            (agreement(findings, row, true))
            @if (row == 0 || typed(Field::Volts(row, VoltsText::Fed)))
                && read_without(row, VoltsText::FedVolts)
            { (hint("With how many volts?")) }
        },
        Field::Volts(row, VoltsText::Volts) if typed(field) => html! {
            (missing_pair(typed(Field::Volts(row, VoltsText::Pair))))
            (agreement(findings, row, false))
        },
        _ => html! {},
    }
}

fn missing_pair(is_there: bool) -> Markup {
    html! { @if !is_there { (hint("Between which two leads?")) } }
}

/// What becomes dangerous when the pair of a row is fed.
fn hazard(findings: &Findings, row: usize) -> Markup {
    let mut hazards = findings.hazards.iter();
    let here = hazards.find(|hazard| hazard.test.row == row);
    html! { @if let Some(hazard) = here { (danger(findings, hazard)) } }
}

/// Whether any test that is typed is dangerous.
pub(in crate::view) fn is_dangerous(scene: &Scene) -> bool {
    let measured = scene.report.solved.measured.as_ref();
    measured.is_some_and(|findings| !findings.hazards.is_empty())
}

/// The tests that are dangerous, for the head of the page.
pub(in crate::view) fn dangers(scene: &Scene) -> Markup {
    html! {
        @if let Some(findings) = &scene.report.solved.measured {
            @for hazard in &findings.hazards { p .warning { (danger(findings, hazard)) } }
        }
    }
}

fn danger(findings: &Findings, hazard: &Hazard) -> Markup {
    html! {
        span .bad {
            @if let Some(worst) = hazard.live.first() {
                (puts(findings, hazard, worst))
                @if let Some(feed) = instead(findings, hazard) {
                    " " (say!("Feed {leads} instead.", leads = pair(findings, feed)))
                }
            } @else {
                (say!(
                    "Other leads are not measured yet, and {fed} may step up to them: ohms first.",
                    fed = pair(findings, hazard.test.fed),
                ))
            }
        }
    }
}

/// Where a test puts the most volts, and how many.
fn puts(findings: &Findings, hazard: &Hazard, worst: &Danger) -> Markup {
    let fed = pair(findings, hazard.test.fed);
    let volts = number::about(worst.volts.0, Unit::Volt);
    let live = pair(findings, worst.pair);
    let limit = number::given(HAZARDOUS.0, Unit::Volt);
    let feed = hazard
        .test
        .volts
        .map(|volts| number::given(volts.0, Unit::Volt));
    match (feed, worst.guessed) {
        (Some(feed), false) => say!(
            "Dangerous: {feed} on {fed} puts {volts} on {live}; {limit} is the limit.",
            feed = feed,
            fed = fed,
            volts = volts,
            live = live,
            limit = limit,
        ),
        (Some(feed), true) => say!(
            "Dangerous: {feed} on {fed} puts about {volts} on {live} \
             (guessed from resistances: up to twice that); {limit} is the limit.",
            feed = feed,
            fed = fed,
            volts = volts,
            live = live,
            limit = limit,
        ),
        (None, false) => say!(
            "Do not feed this: even 6.3\u{a0}V on {fed} puts {volts} on {live}; {limit} is the limit.",
            fed = fed,
            volts = volts,
            live = live,
            limit = limit,
        ),
        (None, true) => say!(
            "Do not feed this: even 6.3\u{a0}V on {fed} puts about {volts} on {live} \
             (guessed from resistances: up to twice that); {limit} is the limit.",
            fed = fed,
            volts = volts,
            live = live,
            limit = limit,
        ),
    }
}

/// What may be fed in place of a dangerous pair.
fn instead(findings: &Findings, hazard: &Hazard) -> Option<Pair> {
    let feed = findings.feed.filter(|feed| feed.stays_lower())?;
    (!same(feed.pair, hazard.test.fed)).then_some(feed.pair)
}

fn agreement(findings: &Findings, row: usize, fed: bool) -> Markup {
    let is_it = |one: &&Agreement| (one.shown.row, one.shown.fed) == (row, fed);
    let Some(agreement) = findings.agreements.iter().find(is_it) else {
        return html! {};
    };
    let expected = number::exact_volts(agreement.expected);
    let volts = agreement.shown.voltage.volts;
    let doubt = volts.uncertainty / volts.value;
    html! {
        @if doubt > COARSE {
            span .hint {
                (say!("± {share}: type every digit that the meter shows. ", share = number::percent_short(doubt)))
            }
        }
        @if agreement.suspected {
            span .bad { (say!("Does not belong: {volts} would.", volts = expected)) }
        } @else if agreement.standardised != 0.0 {
            span .hint { (say!("fit {volts}", volts = expected)) }
        }
    }
}
/// Whether readings contradict each other, those included that are left out.
fn is_contradicted(scene: &Scene) -> bool {
    let findings = [&scene.report.solved.measured, &scene.values.measured];
    findings
        .into_iter()
        .flatten()
        .any(|found| found.contradicted)
}
/// The choice of primary and common lead.
pub(super) fn which(scene: &Scene) -> Markup {
    let Some(findings) = &scene.report.solved.measured else {
        return html! {};
    };
    let windings = || {
        let all = findings.found.windings.iter().enumerate();
        all.filter(|(_, winding)| winding.leads.len() > 1)
    };
    let primary = findings.primary.map(|primary| primary.winding);
    let common: Vec<Lead> = windings()
        .filter(|(at, _)| Some(*at) != primary)
        .flat_map(|(_, winding)| [winding.leads.first(), winding.leads.last()])
        .flatten()
        .copied()
        .collect();
    let of_primary: Vec<Lead> = windings()
        .filter_map(|(_, winding)| winding.leads.first().copied())
        .collect();
    html! {
        (choice(scene, MeasuredText::PrimaryIs, findings, &of_primary))
        (choice(scene, MeasuredText::Common, findings, &common))
    }
}

fn choice(scene: &Scene, text: MeasuredText, findings: &Findings, leads: &[Lead]) -> Markup {
    let field = Field::Measured(text);
    let typed = scene.typed.text(field).unwrap_or_default();
    let offered = leads.iter().any(|lead| name(findings, *lead) == typed);
    html! {
        div .field {
            label for={ "field-" (field) } { (text.row().label) }
            select id={ "field-" (field) } data-field=(field) {
                option value="" { "as found" }
                @for lead in leads {
                    option value=(name(findings, *lead)) { (name(findings, *lead)) }
                }
                @if !typed.is_empty() && !offered { option value=(typed) { (typed) } }
            }
            @if let Some(problem) = scene.problem(field) {
                p .echo { span .bad { (problem.complaint.why) "." } }
            }
        }
    }
}
