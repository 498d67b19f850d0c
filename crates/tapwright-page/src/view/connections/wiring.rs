//! Where every lead of the transformer goes, with the connection that the page follows.

use maud::{Markup, html};
use tapwright_core::values::EndLeads;
use tapwright_tube::Topology;

use crate::view::Scene;
use crate::words::say::say;
use crate::words::wiring as word;

/// What has to be insulated.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let chosen = scene.report.chosen.as_ref();
    let wiring = chosen.and_then(|chosen| chosen.wiring.as_ref());
    let count = wiring.map_or(0, |wiring| wiring.insulated.len());
    say!("{count} to insulate", count = count)
}

pub(super) fn wiring(scene: &Scene) -> Markup {
    let report = scene.report;
    let Some(wiring) = report
        .chosen
        .as_ref()
        .and_then(|chosen| chosen.wiring.as_ref())
    else {
        return html! {};
    };
    let plate = match report.solved.topology {
        Topology::PushPull => "plates",
        Topology::SingleEnded => "plate",
    };
    html! {
        @if scene.wide { h3 { "Where every lead goes" } }
        table .wiring {
            tbody {
                tr { th scope="row" { (plate) } td { (word::plates(report, wiring)) } }
                tr {
                    th scope="row" { "B+" }
                    td {
                        @match &wiring.supply {
                            Some(supply) => (word::underlined(report, supply)),
                            None => "nowhere: no middle of this winding is known",
                        }
                    }
                }
                tr { th scope="row" { "speaker" } td { (word::underlined(report, &wiring.speaker)) } }
                tr {
                    th scope="row" { "ground, and the speaker’s other side" }
                    td { (word::underlined(report, &wiring.ground)) }
                }
                @for idle in &wiring.insulated {
                    tr {
                        th scope="row" { "insulate" }
                        td { (word::idle(report, idle)) span .muted { ": " (word::swing(report, idle)) } }
                    }
                }
            }
        }
        @if wiring.either_way {
            p .hint {
                "Plate and B+ may change places: nothing on a bare winding says which end is which. \
                 Feedback turns over with them: if it howls, change them."
            }
        }
        @if report.solved.stage().is_some() && !wiring.insulated.is_empty() {
            p .hint { "Swings are those at full drive into the rated speaker; overdriven or without a load they are higher." }
        }
        @if report.solved.measured.is_none() && report.solved.ends == EndLeads::default() {
            p .hint { "Type the other leads into the lists too, “red B+” and “black common”: they come out here by name." }
        }
    }
}
