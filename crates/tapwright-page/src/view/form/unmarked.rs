//! The tables of readings for a transformer without marking.

use maud::{Markup, html};
use tapwright_core::setup::{Field, LumpText, OhmsText, Setup, VoltsText};

use super::super::Scene;
use super::{cell, text};

pub(super) fn form(scene: &Scene) -> Markup {
    let lump = |field, label, placeholder| text(Field::Lump(field), label, placeholder);
    html! {
        (lump(LumpText::Leads, "Leads, every one", "red, blue, black, green"))
        div .readings role="group" aria-label="Readings of the ohmmeter" {
            p { b { "Ohms between leads" } }
            @for row in 0..scene.typed.unmarked.ohms.len() { (ohms(row)) }
            button type="button" #add-ohms data-do="add-ohms" { "Add a reading" }
            details data-open="ohmmeter" {
                summary {
                    "The ohmmeter’s accuracy"
                    span .adds { "type it: how sure the order of the leads is" }
                }
                (lump(LumpText::Ohmmeter, "Accuracy, % + counts", "1 % + 2"))
            }
            div #echo-windings role="status" {}
        }
        div .readings role="group" aria-label="Readings of the AC voltmeter" {
            p { b { "Volts AC, with one pair fed" } }
            @for row in 0..scene.typed.unmarked.volts.len() { (volts(row)) }
            button type="button" #add-volts data-do="add-volts" { "Add a reading" }
            details data-open="voltmeter" {
                summary {
                    "The voltmeter’s accuracy"
                    span .adds { "type it: how far the loads may be off" }
                }
                (lump(LumpText::Voltmeter, "Accuracy, % + counts", "1 % + 3"))
            }
            div #echo-turns role="status" {}
        }
        details data-open="which-winding" {
            summary {
                "Which winding is which"
                span .adds { "choose, if you know better" }
            }
            div #echo-which {}
        }
    }
}

fn remove(action: &str, row: usize) -> Markup {
    html! {
        button type="button" .plain data-do={ "remove-" (action) "." (row + 1) }
            aria-label={ "Remove reading " (row + 1) " in " (action) } { "×" }
    }
}

fn ohms(row: usize) -> Markup {
    let n = row + 1;
    html! {
        div .reading data-row="ohms" {
            (cell(Field::Ohms(row, OhmsText::Pair), &format!("Two leads, reading {n} in ohms"), "red-blue"))
            (cell(Field::Ohms(row, OhmsText::Ohms), &format!("Ohms, reading {n}"), "318, or open"))
            (remove("ohms", row))
        }
    }
}

fn volts(row: usize) -> Markup {
    let n = row + 1;
    let field = |part, label: &str, placeholder| {
        cell(
            Field::Volts(row, part),
            &format!("{label}, AC reading {n}"),
            placeholder,
        )
    };
    let folded = |part, label, placeholder| text(Field::Volts(row, part), label, placeholder);
    html! {
        div .reading data-row="volts" role="group" aria-label={ "AC reading " (n) } {
            @if row == 0 {
                (field(VoltsText::Fed, "Two leads that are fed", "fed: red-blue"))
                (field(VoltsText::FedVolts, "Volts fed", "6.31"))
                span {}
            }
            (field(VoltsText::Pair, "Two leads that are read", "read: black-white"))
            (field(VoltsText::Volts, "Volts read", "0.2442"))
            (remove("volts", row))
            details data-open={ "volts." (n) } {
                summary {
                    @if row == 0 { "Windings in series?" } @else { "Fed otherwise, or in series?" }
                }
                @if row > 0 {
                    div .pair {
                        (folded(VoltsText::Fed, "Fed leads", "as above"))
                        (folded(VoltsText::FedVolts, "Volts fed", "as above"))
                    }
                }
                (folded(VoltsText::Joined, "Joined leads, one of each winding", "blue-black"))
            }
        }
    }
}

/// Whether a fold stands open without being opened: that of a row of volts which holds
/// something.
pub fn opens_itself(typed: &Setup, fold: &str) -> bool {
    let row = fold
        .strip_prefix("volts.")
        .and_then(|row| row.parse::<usize>().ok());
    let Some(row) = row.and_then(|row| row.checked_sub(1)) else {
        return false;
    };
    let holds = |part| {
        let text = typed.text(Field::Volts(row, part));
        text.is_some_and(|text| !text.trim().is_empty())
    };
    holds(VoltsText::Joined) || row > 0 && (holds(VoltsText::Fed) || holds(VoltsText::FedVolts))
}
