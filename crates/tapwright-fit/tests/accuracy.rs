//! The committed models against every published row of `data/tubes.toml` (sources there).

use tapwright_core::tube::TUBES;
use tapwright_fit::compare::{Comparison, Quantity, compare};

fn all() -> Vec<Comparison> {
    TUBES
        .iter()
        .flat_map(|t| compare(t, t.model, false))
        .collect()
}

/// Whether a prediction is as near as asked: a relative limit, or points of distortion.
fn near(c: &Comparison) -> bool {
    let error = c.error().abs();
    match c.quantity {
        Quantity::IdlePlate => error <= 0.05,
        Quantity::IdleScreen => error <= 0.25,
        Quantity::Power => error <= if c.fitted { 0.05 } else { 0.08 },
        Quantity::Distortion => (c.predicted - c.published).abs() <= 2.0,
        _ => true,
    }
}

/// On rows that took part in the fit: idle plate current and power within 5 %.
#[test]
fn fitted_rows_are_met() {
    for c in all().iter().filter(|c| c.fitted) {
        if matches!(c.quantity, Quantity::IdlePlate | Quantity::Power) {
            assert!(near(c), "{c:?}");
        }
    }
}

/// On rows held back: prints those that miss the limits, and holds the share that meets them
/// where it stands. The misses are known weak spots, not noise in the check.
#[test]
fn held_rows_are_mostly_met() {
    for (quantity, least) in [
        (Quantity::IdlePlate, 0.65),
        (Quantity::IdleScreen, 0.85),
        (Quantity::Power, 0.75),
        (Quantity::Distortion, 0.85),
    ] {
        let rows: Vec<_> = all()
            .into_iter()
            .filter(|c| !c.fitted && c.quantity == quantity)
            .collect();
        let met = rows.iter().filter(|c| near(c)).count();
        println!(
            "{quantity:?}: {met} of {} rows held back are within the limit",
            rows.len()
        );
        for c in rows.iter().filter(|c| !near(c)) {
            println!(
                "  misses: {} published {} predicted {:.3}",
                c.row, c.published, c.predicted
            );
        }
        assert!(
            met as f64 >= least * rows.len() as f64,
            "{quantity:?}: {met} of {}",
            rows.len()
        );
    }
}
