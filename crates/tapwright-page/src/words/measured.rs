//! Words for what to beware of with a transformer that was measured.

use maud::{Markup, html};
use tapwright_core::answer::Caution;

use super::{in_a_row, ohms};
use crate::number;

/// A caution of a measured transformer in one sentence; `None` for others.
pub(super) fn caution(caution: &Caution) -> Option<Markup> {
    Some(match caution {
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
        _ => return None,
    })
}

/// A caution of a measured transformer in a few words; `None` for others, and for those that every
/// connection has.
pub(super) fn caution_in_brief(caution: &Caution) -> Option<&'static str> {
    Some(match caution {
        Caution::ReadingsUnsure => "the readings are not settled",
        Caution::RatioUnsure(..) => "the ratio is not sure enough",
        _ => return None,
    })
}
