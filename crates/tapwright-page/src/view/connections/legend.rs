//! What the cells of the table hold and what their verdicts mean: one line that opens.

use maud::{Markup, html};
use tapwright_core::judged::{FITS_WITHIN_DECIBELS, USABLE_WITHIN_DECIBELS};
use tapwright_core::matching::{FITS_WITHIN, USABLE_WITHIN, Verdict};
use tapwright_core::target::Target;

use crate::view::Scene;
use crate::words::say::say;
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
        span .fits { (words::mark(Verdict::Fits)) " " (fits(against, with_stage)) }
        span .usable { (words::mark(Verdict::Usable)) " " (usable(with_stage)) }
        span .avoid { (words::mark(Verdict::Avoid)) " " (avoid(with_stage)) }
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

fn fits(against: &str, with_stage: bool) -> Markup {
    let factor = plain(FITS_WITHIN);
    match with_stage {
        true => say!(
            "fits: load within a factor of {factor} of {wanted}, at most {decibels} dB lost, and no harder on the tube \
             than the target load",
            factor = factor,
            wanted = against,
            decibels = plain(FITS_WITHIN_DECIBELS),
        ),
        false => say!(
            "fits: load within a factor of {factor} of {wanted}",
            factor = factor,
            wanted = against,
        ),
    }
}

fn usable(with_stage: bool) -> Markup {
    let factor = plain(USABLE_WITHIN);
    match with_stage {
        true => say!(
            "usable: load within a factor of {factor} and at most {decibels} dB lost; or somewhat harder on the tube, \
             or much more distortion",
            factor = factor,
            decibels = plain(USABLE_WITHIN_DECIBELS),
        ),
        false => say!("usable: load within a factor of {factor}", factor = factor),
    }
}

fn avoid(with_stage: bool) -> Markup {
    match with_stage {
        true => say!("avoid: further off, or much harder on the tube"),
        false => say!("avoid: further off"),
    }
}
