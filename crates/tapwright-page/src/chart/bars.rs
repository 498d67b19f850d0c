//! Values as bars against their limits, each on its own scale.

use maud::{Markup, html};

use super::{Measure, table};
use crate::number;

/// The limit stands here when no value goes far beyond it.
const LIMIT_AT: f64 = 1.0 / 1.3;
/// A limit counts as passed beyond this factor, as everywhere on the page.
const TOLERANCE: f64 = tapwright_stage::stress::TOLERANCE;
/// Room beyond the longest bar.
const SPARE: f64 = 1.04;

/// A group of bars.
#[derive(Debug, Clone, PartialEq)]
pub struct Bars {
    /// What [`Bar::now`] is.
    pub now: String,
    /// Short name, unique on the page, of letters and hyphens.
    pub id: &'static str,
    /// Heading.
    pub title: String,
    /// The bars, the first on top.
    pub bars: Vec<Bar>,
}

/// One value against its limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// What is measured.
    pub name: String,
    /// The value, zero or above.
    pub value: f64,
    /// The most allowed, above zero, if that is known.
    pub limit: Option<f64>,
    /// What both count.
    pub measure: Measure,
    /// When the value is reached: `at full power`.
    pub when: String,
    /// The drive above which the limit is passed, if it is: `from 70 % of full drive on`.
    pub from: String,
    /// The value at the drive that was typed.
    pub now: Option<f64>,
}

impl Bar {
    fn share(&self) -> Option<f64> {
        let share = self.value / self.limit?;
        share.is_finite().then_some(share.max(0.0))
    }

    fn is_over(&self) -> bool {
        self.share().is_some_and(|share| share > TOLERANCE)
    }

    /// How the value compares with its limit, in words.
    fn verdict(&self) -> String {
        match (self.limit, self.share()) {
            (Some(limit), Some(share)) => {
                let limit = self.measure.given(limit);
                let percent = Measure::Percent.say(share);
                if self.is_over() {
                    format!("over the limit of {limit}: {percent}")
                } else if share > 1.0 {
                    format!("at the limit of {limit}: {percent}")
                } else {
                    format!("within the limit of {limit}: {percent}")
                }
            }
            _ => "no limit known".into(),
        }
    }
}

/// The bars as a figure; `open` when the table is to be shown.
pub fn bars(bars: &Bars, open: bool) -> Markup {
    // All limits stand under each other, so that one look compares them.
    let longest = (bars.bars.iter().filter_map(Bar::share)).fold(1.0 / LIMIT_AT, f64::max);
    let limit = 1.0 / (longest * SPARE);
    html! {
        figure .chart {
            figcaption { h3 { (bars.title) } }
            ul .bars {
                @for (at, bar) in bars.bars.iter().enumerate() {
                    li class=[bar.is_over().then_some("over")] {
                        span { (bar.name) @if !bar.when.is_empty() { span .muted { ", " (bar.when) } } }
                        b { (bar.measure.say(bar.value)) }
                        @if let Some(share) = bar.share() { (drawing(bars.id, at, share, limit)) }
                        em { (bar.verdict()) @if !bar.from.is_empty() { ", " (bar.from) } }
                        @if let Some(now) = bar.now { em .now { (bars.now) ": " (bar.measure.say(now)) } }
                    }
                }
            }
            (table::fold(bars.id, open, || numbers(bars)))
        }
    }
}

/// One bar. Its lengths are per cent of its box, so it fills any width undistorted.
fn drawing(id: &str, at: usize, share: f64, limit: f64) -> Markup {
    let hatch = format!("hatch-{id}-{at}");
    let percent = |share: f64| format!("{}%", number::trimmed_to(100.0 * share, 1));
    html! {
        svg aria-hidden="true" {
            pattern id=(hatch) width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                path d="M0,0V7" {}
            }
            rect .value y="5" height="12" width=(percent(share * limit)) {}
            rect y="0" height="22" x=(percent(limit)) width=(percent(1.0 - limit)) fill={ "url(#" (hatch) ")" } {}
            line x1=(percent(limit)) x2=(percent(limit)) y1="0" y2="22" {}
        }
    }
}

fn numbers(bars: &Bars) -> Markup {
    html! {
        table .numbers {
            thead { tr { th scope="col" { "what" } th scope="col" { "value" } th scope="col" { "limit" } th scope="col" { "share" } th scope="col" { (bars.now) } } }
            tbody {
                @for bar in &bars.bars {
                    tr {
                        th scope="row" { (bar.name) @if !bar.when.is_empty() { span .muted { (bar.when) } } }
                        td { (bar.measure.say(bar.value)) }
                        td { (bar.limit.map_or("–".into(), |limit| bar.measure.given(limit))) }
                        td { (bar.share().map_or("–".into(), |share| Measure::Percent.say(share))) }
                        td { (bar.now.map_or("–".into(), |now| bar.measure.say(now))) }
                    }
                }
            }
        }
    }
}
