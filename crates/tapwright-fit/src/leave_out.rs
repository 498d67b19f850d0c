//! Leave-one-out: how well a fit to the other rows predicts a row that takes part in the fit.
//!
//! Structure of the models, weights and priors are chosen by this, so that the rows that are
//! held back stay a check that nobody has tuned to.

use crate::accuracy::{Target, target};
use crate::compare::{Comparison, Quantity, compare};
use crate::fit::fit;
use std::fmt::Write as _;
use tapwright_core::tube::{TUBES, Tube};

/// Every value of every fitted row, predicted by a fit to the tube's other fitted rows. Tubes
/// with a single fitted row give none. Rows whose fit fails are left out and counted.
pub fn predictions() -> (Vec<Comparison>, usize) {
    let mut out = Vec::new();
    let mut failed = 0;
    for tube in TUBES {
        let points = tube.points.iter().filter(|p| p.fitted).count();
        let examples = tube.examples.iter().filter(|e| e.fitted).count();
        if points + examples < 2 {
            continue;
        }
        for left_out in 0..points + examples {
            match predict(tube, left_out, points) {
                Some(values) => out.extend(values),
                None => failed += 1,
            }
        }
    }
    (out, failed)
}

/// The values of the fitted row with this number, points before examples.
fn predict(tube: &Tube, left_out: usize, points: usize) -> Option<Vec<Comparison>> {
    let mut kept_points = tube.points.to_vec();
    let mut kept_examples = tube.examples.to_vec();
    let mut row = (Vec::new(), Vec::new());
    if left_out < points {
        let at = (0..kept_points.len()).filter(|i| kept_points[*i].fitted).nth(left_out)?;
        row.0.push(kept_points.remove(at));
    } else {
        let at = (0..kept_examples.len())
            .filter(|i| kept_examples[*i].fitted)
            .nth(left_out - points)?;
        row.1.push(kept_examples.remove(at));
    }
    // The table's slices live as long as the program; these few are let go of at its end.
    let rest = Tube {
        points: kept_points.leak(),
        examples: kept_examples.leak(),
        ..*tube
    };
    let alone = Tube {
        points: row.0.leak(),
        examples: row.1.leak(),
        ..*tube
    };
    let fitted = fit(&rest)?;
    fitted.converged.then(|| compare(&alone, fitted.model, true))
}

/// Mean and root mean square of the errors for each quantity, and how many meet the target
/// of a row that is held back.
pub fn table(all: &[Comparison]) -> String {
    let mut text = format!("{:15}  {:>6}  {:>7}  {:>7}  met\n", "leave-one-out", "values", "mean", "rms");
    for quantity in [
        Quantity::IdlePlate,
        Quantity::IdleScreen,
        Quantity::FullPlate,
        Quantity::FullScreen,
        Quantity::Transconductance,
        Quantity::PlateResistance,
        Quantity::Power,
        Quantity::Distortion,
    ] {
        let errors: Vec<f64> = all
            .iter()
            .filter(|c| c.quantity == quantity)
            .map(|c| match quantity {
                Quantity::Distortion => c.predicted - c.published,
                _ => 100.0 * c.error(),
            })
            .collect();
        let count = errors.len().max(1) as f64;
        let mean = errors.iter().sum::<f64>() / count;
        let rms = (errors.iter().map(|e| e * e).sum::<f64>() / count).sqrt();
        let limit = target(quantity, false).map(|t| match t {
            Target::Relative(part) => 100.0 * part,
            Target::Points(points) => points,
        });
        let met = limit.map_or(String::new(), |limit| {
            errors.iter().filter(|e| e.abs() <= limit).count().to_string()
        });
        let _ = writeln!(
            text,
            "{:15}  {:>6}  {mean:>+7.2}  {rms:>7.2}  {met}",
            quantity.name(),
            errors.len()
        );
    }
    text
}
