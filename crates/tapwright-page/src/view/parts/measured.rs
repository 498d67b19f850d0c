//! The tables of readings for a transformer without marking.

use maud::{Markup, html};
use tapwright_core::setup::{Field, List, MeasuredText, OhmsText, Setup, VoltsText};

use super::control::{cell, control, labelled};
use crate::action::Action;
use crate::view::Scene;
use crate::words::say::say;

pub(super) fn form(scene: &Scene) -> Markup {
    let once = |text| control(scene, Field::Measured(text));
    html! {
        (once(MeasuredText::Leads))
        div .readings role="group" aria-label="Readings of the ohmmeter" {
            p { b { "Ohms between leads" } }
            @for row in 0..scene.typed.rows(List::Ohms) { (ohms(scene, row)) }
            button type="button" #add-ohms data-do=(Action::Add(List::Ohms)) { "Add a reading" }
            details data-open="ohmmeter" {
                summary {
                    "The ohmmeter’s accuracy"
                    span .adds { "type it: how sure the order of the leads is" }
                }
                (once(MeasuredText::Ohmmeter))
            }
            div #echo-windings role="status" {}
        }
        div .readings role="group" aria-label="Readings of the AC voltmeter" {
            p { b { "Volts AC, with one pair fed" } }
            @for row in 0..scene.typed.rows(List::Volts) { (volts(scene, row)) }
            button type="button" #add-volts data-do=(Action::Add(List::Volts)) { "Add a reading" }
            details data-open="voltmeter" {
                summary {
                    "The voltmeter’s accuracy"
                    span .adds { "type it: how far the loads may be off" }
                }
                (once(MeasuredText::Voltmeter))
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

fn remove(list: List, row: usize) -> Markup {
    html! {
        button type="button" .plain data-do=(Action::Remove(list, row))
            aria-label=(say!("Remove reading {number} in {list}", number = row + 1, list = list.about().key)) { "×" }
    }
}

fn ohms(scene: &Scene, row: usize) -> Markup {
    html! {
        div .reading data-row="ohms" {
            (cell(scene, Field::Ohms(row, OhmsText::Pair)))
            (cell(scene, Field::Ohms(row, OhmsText::Ohms)))
            (remove(List::Ohms, row))
        }
    }
}

fn volts(scene: &Scene, row: usize) -> Markup {
    let n = row + 1;
    let field = |text| cell(scene, Field::Volts(row, text));
    let folded = |text, label| labelled(Field::Volts(row, text), label, "as above");
    html! {
        div .reading data-row="volts" role="group" aria-label={ "AC reading " (n) } {
            @if row == 0 {
                (field(VoltsText::Fed))
                (field(VoltsText::FedVolts))
                span {}
            }
            (field(VoltsText::Pair))
            (field(VoltsText::Volts))
            (remove(List::Volts, row))
            details data-open={ "volts." (n) } {
                summary {
                    @if row == 0 { "Windings in series?" } @else { "Fed otherwise, or in series?" }
                }
                @if row > 0 {
                    div .pair {
                        (folded(VoltsText::Fed, "Fed leads"))
                        (folded(VoltsText::FedVolts, "Volts fed"))
                    }
                }
                (control(scene, Field::Volts(row, VoltsText::Joined)))
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
