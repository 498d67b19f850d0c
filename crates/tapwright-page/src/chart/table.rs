//! A chart's numbers as a table.

use maud::{Markup, html};

use super::{Along, Chart, Curve, readout};
use crate::action::Action;
use crate::words::say::say;

/// About as many rows as a table has.
const ROWS: f64 = 20.0;

/// A fold that is filled only when open: closed, it costs next to nothing.
pub(super) fn fold(id: &str, open: bool, table: impl FnOnce() -> Markup) -> Markup {
    html! {
        button type="button" .plain id={ "fold-table-" (id) } data-do=(Action::Fold(format!("table.{id}"))) aria-expanded=(open) {
            @if open { "Fold the table away" } @else { "Show as a table" }
        }
        @if open { (table()) }
    }
}

pub(super) fn table(chart: &Chart) -> Markup {
    match (&chart.along, chart.path()) {
        (Along::Path { .. }, Some(path)) => along_path(chart, path),
        _ => along_axis(chart),
    }
}

/// One row: what stands at its head, a note to it, and the values.
struct TableRow {
    head: String,
    note: String,
    chosen: bool,
    values: Vec<String>,
}

fn along_axis(chart: &Chart) -> Markup {
    let curves = chart.read_curves();
    let heads = curves.iter().map(|(curve, axis)| {
        // The unit as the axis has it, the name as the curve has it.
        let title = axis.title();
        match title.strip_prefix(axis.name) {
            Some(unit) => format!("{}{unit}", curve.name),
            None => title,
        }
    });
    let ticks = chart.x.ticks(ROWS, 1.0 / ROWS);
    // A mark replaces the round value beside it.
    let apart = |a: f64, b: f64| (chart.x.share(a) - chart.x.share(b)).abs() > 0.005;
    let mut at: Vec<(f64, &str, bool)> = (ticks.iter().map(|tick| tick.value))
        .filter(|value| chart.ticks.iter().all(|mark| apart(mark.at, *value)))
        .map(|value| (value, "", false))
        .chain((chart.ticks.iter()).map(|mark| (mark.at, mark.name.as_str(), mark.chosen)))
        .filter(|(x, ..)| (-1e-9..=1.0 + 1e-9).contains(&chart.x.share(*x)))
        .collect();
    at.sort_by(|a, b| a.0.total_cmp(&b.0));
    let rows = at.into_iter().map(|(x, name, chosen)| TableRow {
        head: chart.x.digits(x),
        note: name.into(),
        chosen,
        values: (curves.iter())
            .map(|(curve, axis)| {
                readout::value(chart, curve, x).map_or("–".into(), |value| axis.digits(value))
            })
            .collect(),
    });
    show(std::iter::once(chart.x.title()).chain(heads), rows)
}

fn along_path(chart: &Chart, path: &Curve) -> Markup {
    let also = match &chart.along {
        Along::Path { also, .. } => also.as_ref(),
        Along::Axis => None,
    };
    let last = path.points.len().saturating_sub(1);
    let every = (last as f64 / ROWS).ceil().max(1.0) as usize;
    let axis = chart.axis(path);
    let heads = std::iter::once(chart.x.title())
        .chain(axis.map(|axis| axis.title()))
        .chain(also.map(|also| also.axis.title()));
    let rows = (path.points.iter().enumerate())
        .filter(|(at, _)| at % every == 0 || *at == last)
        .map(|(at, (x, y))| TableRow {
            head: chart.x.digits(*x),
            note: String::new(),
            chosen: false,
            values: axis
                .map(|axis| axis.digits(*y))
                .into_iter()
                .chain(also.map(|also| {
                    (also.values.get(at)).map_or("–".into(), |value| also.axis.digits(*value))
                }))
                .collect(),
        });
    show(heads, rows)
}

fn show(heads: impl Iterator<Item = String>, rows: impl Iterator<Item = TableRow>) -> Markup {
    html! {
        table .numbers {
            thead { tr { @for head in heads { th scope="col" { (head) } } } }
            tbody {
                @for row in rows {
                    tr class=[row.chosen.then_some("chosen")] {
                        th scope="row" {
                            (row.head)
                            @if !row.note.is_empty() {
                                span .muted {
                                    @if row.chosen { (say!("{note}, chosen", note = row.note)) } @else { (row.note) }
                                }
                            }
                        }
                        @for value in row.values { td { (value) } }
                    }
                }
            }
        }
    }
}
