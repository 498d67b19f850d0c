//! What the voltages tell of the turns, and which to read next.

use maud::{Markup, html};
use tapwright_iron::measured::findings::Findings;
use tapwright_iron::measured::turns::LikeEnds;
use tapwright_units::{Ohms, Unit};

use super::next::{is_in_volts, next};
use super::{name, pair};
use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

/// What the voltages tell, and which to read next.
pub(in crate::view::parts::echo) fn turns(scene: &Scene) -> Markup {
    let Some(findings) = scene
        .report
        .solved
        .measured
        .as_ref()
        .filter(|found| found.feed.is_some())
    else {
        return html! {};
    };
    html! {
        @if is_in_volts(findings) { (next(scene)) }
        @if findings.turns.iter().any(|turns| turns.part.is_some()) && !findings.agreements.is_empty() {
            table .shares {
                thead { tr {
                    th scope="col" { "winding" }
                    th scope="col" { "turns" }
                    th scope="col" { "±" }
                } }
                tbody {
                    @for turns in &findings.turns {
                        @if let Some(part) = turns.part {
                            tr {
                                th scope="row" { (pair(findings, (turns.start, turns.lead))) }
                                td .number { (number::about(1000.0 * part.n, Unit::One).trim_end()) }
                                td .number { @if part.relative > 0.0 { (number::percent_short(part.relative)) } @else { "all" } }
                            }
                        }
                    }
                }
            }
            p .hint { "Of 1000 in the whole primary; ± is one standard uncertainty." }
        }
        @for ends in &findings.like_ends {
            p .echo { (like_ends(findings, ends)) }
        }
        @if let Some(guess) = findings.transformer.as_ref().map(|made| &made.guess).filter(|guess| guess.customary) {
            p .echo {
                (say!(
                    "<b>A guess: </b>{leads} to {taps}, usual ratings within {share}. The loads above do not depend on it; \
                     what a stated −3\u{a0}dB point or a rated power makes of the core does.",
                    leads = in_a_row(&guess.leads),
                    taps = in_a_row(&guess.taps),
                    share = number::percent_short(guess.within - 1.0),
                ))
            }
        }
    }
}

fn in_a_row(ratings: &[Ohms]) -> String {
    words::in_a_row(
        &ratings
            .iter()
            .map(|ohms| words::rated(*ohms))
            .collect::<Vec<_>>(),
    )
}

fn like_ends(findings: &Findings, ends: &LikeEnds) -> Markup {
    let (one, other) = (name(findings, ends.alike.0), name(findings, ends.alike.1));
    match ends.known {
        true => say!("{one} and {other} are like ends.", one = one, other = other),
        false => say!(
            "{one} and {other} are like ends, but the readings are too coarse, or disagree too much, to be sure.",
            one = one,
            other = other,
        ),
    }
}
