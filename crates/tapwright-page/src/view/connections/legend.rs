//! What the cells of the table hold and what their verdicts mean: one line that opens.

use maud::{Markup, html};
use tapwright_core::judged::{FITS_WITHIN_DECIBELS, USABLE_WITHIN_DECIBELS};
use tapwright_core::matching::{FITS_WITHIN, USABLE_WITHIN, Verdict};
use tapwright_core::target::Target;

use crate::view::Scene;
use crate::{number, words};

/// A round number without a unit.
fn plain(value: f64) -> String {
    number::trimmed_to(value, 2)
}

pub(super) fn legend(scene: &Scene) -> Markup {
    let against = match scene.report.solved.target {
        Target::AsRated => "the lead’s own rating",
        _ => "the target load",
    };
    let with_stage = scene.report.solved.stage().is_some();
    html! {
        details data-open="legend" {
            summary #fold-legend {
                @for verdict in [Verdict::Fits, Verdict::Usable, Verdict::Avoid] {
                    span class={ "mark " (words::verdict(verdict)) } { (words::mark(verdict)) } " " (words::verdict(verdict)) " "
                }
                @if with_stage { "· load, watts, %" } @else { "· load, mismatch loss" }
            }
            (in_full(scene, against, with_stage))
        }
    }
}

fn in_full(scene: &Scene, against: &str, with_stage: bool) -> Markup {
    html! {
        span .fits {
            (words::mark(Verdict::Fits)) " fits: load within a factor of " (plain(FITS_WITHIN)) " of " (against)
            @if with_stage { ", at most " (plain(FITS_WITHIN_DECIBELS)) " dB lost, and no harder on the tube than the target load" }
        }
        span .usable {
            (words::mark(Verdict::Usable)) " usable: load within a factor of " (plain(USABLE_WITHIN))
            @if with_stage { " and at most " (plain(USABLE_WITHIN_DECIBELS)) " dB lost; or somewhat harder on the tube, or much more distortion" }
        }
        span .avoid { (words::mark(Verdict::Avoid)) " avoid: further off" @if with_stage { ", or much harder on the tube" } }
        @match (scene.typed.shown.list, with_stage) {
            (true, true) => span .muted .keys {
                "Power and distortion (THD) are those at full drive; “to target” is that power against the target load."
            },
            (false, true) => span .muted .keys {
                "Each cell: load, how far off; then watts and distortion at full drive, and decibels against the target load."
            },
            (_, false) => span .muted .keys {
                "Each cell: load, how far off, and the loss of a plain source of that resistance. Choose the tube: its watts are another matter."
            },
        }
    }
}
