//! Leave-one-out: how well a fit to the other rows predicts a row that takes part in the fit.
//!
//! Structure of the models, weights and priors are chosen by this, so that the rows that are
//! held back stay a check that nobody has tuned to.

use crate::accuracy::{Target, target};
use crate::compare::{Comparison, Quantity, compare};
use crate::fit::fit;
use std::fmt::Write as _;
use tapwright_tube::{Tube, tubes};

/// Every value of every fitted row, predicted by a fit to the tube's other fitted rows. Tubes
/// with a single fitted row give none, nor does a row without which nothing is known of µ.
/// Rows whose fit fails are left out and counted.
pub fn predictions() -> (Vec<Comparison>, usize) {
    let mut out = Vec::new();
    let mut failed = 0;
    for tube in tubes() {
        let points = tube.points.iter().filter(|p| p.fitted).count();
        let examples = tube.examples.iter().filter(|e| e.fitted).count();
        if points + examples < 2 {
            continue;
        }
        for left_out in 0..points + examples {
            if mu_lost(tube, left_out) {
                continue;
            }
            match predict(tube, left_out, points) {
                Some(values) => out.extend(values),
                None => failed += 1,
            }
        }
    }
    (out, failed)
}

/// Whether no other fitted row tells µ, points before examples.
fn mu_lost(tube: &Tube, left_out: usize) -> bool {
    let points = tube.points.iter().filter(|p| p.fitted);
    let examples = tube.examples.iter().filter(|e| e.fitted);
    let told = points
        .map(|p| p.mu.is_some())
        .chain(examples.map(|e| e.gm_ms.is_some() && e.rp_kohm.is_some()));
    let others = told.enumerate().filter(|(row, _)| *row != left_out);
    tube.mu_screen.is_none() && !others.into_iter().any(|(_, told)| told)
}

/// The values of the fitted row with this number, points before examples.
fn predict(tube: &Tube, left_out: usize, points: usize) -> Option<Vec<Comparison>> {
    let mut rest = tube.clone();
    let mut alone = Tube {
        points: Vec::new(),
        examples: Vec::new(),
        ..tube.clone()
    };
    if left_out < points {
        let mut fitted = (0..).zip(&tube.points).filter(|(_, row)| row.fitted);
        let (at, _) = fitted.nth(left_out)?;
        alone.points.push(rest.points.remove(at));
    } else {
        let mut fitted = (0..).zip(&tube.examples).filter(|(_, row)| row.fitted);
        let (at, _) = fitted.nth(left_out - points)?;
        alone.examples.push(rest.examples.remove(at));
    }
    let fitted = fit(&rest)?;
    fitted
        .converged
        .then(|| compare(&alone, fitted.model, true))
}

/// Mean and root mean square of the errors for each quantity, and how many meet the target
/// of a row that is held back.
pub fn table(all: &[Comparison]) -> String {
    let mut text = format!(
        "{:15}  {:>6}  {:>7}  {:>7}  met\n",
        "leave-one-out", "values", "mean", "rms"
    );
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
            errors
                .iter()
                .filter(|e| e.abs() <= limit)
                .count()
                .to_string()
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

#[cfg(test)]
mod tests {
    use super::*;

    fn tube(name: &str) -> &'static Tube {
        tubes().iter().find(|t| t.designation == name).unwrap()
    }

    /// The 2A3's push-pull row has no slopes: without the other nothing is known of µ. Either
    /// row of the 12AX7 has them, and the published µ of a pentode is no row.
    #[test]
    fn a_row_that_alone_tells_mu_is_not_left_out() {
        assert!(mu_lost(tube("2A3"), 0));
        assert!(!mu_lost(tube("2A3"), 1));
        assert!(!mu_lost(tube("12AX7"), 0));
        assert!(!mu_lost(tube("KT88"), 0));
    }

    /// The row that is left out has no part in its prediction: the 12AX7 at 100 V comes from
    /// the point at 250 V alone, and not as near as where it took part.
    #[test]
    fn a_row_left_out_is_predicted_from_the_rest() {
        let tube = tube("12AX7");
        let values = predict(tube, 1, 2).unwrap();
        assert_eq!(values.len(), 4);
        assert_eq!(values[0].published, 0.5);
        let fitted = compare(tube, tube.model, true);
        let same = fitted
            .iter()
            .find(|c| c.row == values[0].row && c.quantity == Quantity::IdlePlate)
            .unwrap();
        assert!(values[0].error().abs() > same.error().abs());
        assert!(values[0].error().abs() < 0.1, "{}", values[0].predicted);
    }

    /// Errors of +10 % and −30 %: mean −10, root mean square √500 = 22.36.
    #[test]
    fn the_table_has_mean_and_root_mean_square() {
        let one = predict(tube("12AX7"), 1, 2).unwrap().remove(0);
        let with = |predicted| Comparison {
            quantity: Quantity::Power,
            published: 10.0,
            predicted,
            ..one.clone()
        };
        let text = table(&[with(11.0), with(7.0)]);
        let line = text.lines().find(|l| l.starts_with("power")).unwrap();
        assert!(line.contains("-10.00"), "{line}");
        assert!(line.contains("22.36"), "{line}");
        assert!(line.ends_with("  0"), "{line}");
    }
}
