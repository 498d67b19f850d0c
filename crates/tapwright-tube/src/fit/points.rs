//! What typed points must be, and what they leave open.

use super::{Assumed, Given, Impossible, why::FitError};
use crate::Kind;

/// Checks one point by itself.
pub fn check(kind: Kind, p: &Given) -> Result<(), Impossible> {
    let range = |what, value: Option<f64>, low, high| match value {
        Some(v) if !(low..=high).contains(&v) => Err(Impossible::OutOfRange(what, v, low, high)),
        _ => Ok(()),
    };
    if p.grid_volts > 0.0 {
        return Err(Impossible::PositiveGrid(p.grid_volts));
    }
    match (kind, p.screen_volts) {
        (Kind::Triode, Some(_)) => return Err(Impossible::ScreenOfTriode),
        (Kind::Pentode | Kind::BeamTetrode, None) => return Err(Impossible::NoScreenVolts),
        (Kind::Triode, None) if p.screen_ma.is_some() => return Err(Impossible::ScreenOfTriode),
        _ => {}
    }
    range("plate voltage", Some(p.plate_volts), 1.0, 5000.0)?;
    range("screen voltage", p.screen_volts, 1.0, 5000.0)?;
    range("grid voltage", Some(p.grid_volts), -1000.0, 0.0)?;
    range("plate current", Some(p.plate_ma), 1e-3, 1e4)?;
    range("screen current", p.screen_ma, 1e-3, 1e4)?;
    range("transconductance", p.gm_ms, 1e-3, 1e3)?;
    range("plate resistance", p.rp_kohm, 1e-2, 1e5)?;
    range("µ", p.mu, 1.0, 1000.0)
}

/// Whether a fit has enough to go by.
pub fn enough(points: &[Given]) -> Result<(), FitError> {
    let whole = |p: &Given| p.gm_ms.is_some() && (p.rp_kohm.is_some() || p.mu.is_some());
    if points.iter().any(whole) || grids(points) >= 3 {
        Ok(())
    } else {
        Err(FitError::TooLittle)
    }
}

/// How many different grid voltages there are.
fn grids(points: &[Given]) -> usize {
    // Counted without sorting, which is a lot of code for a handful of points.
    let seen_before = |i: usize| {
        let here = points[i].grid_volts;
        points[..i].iter().any(|p| p.grid_volts == here)
    };
    (0..points.len()).filter(|i| !seen_before(*i)).count()
}

/// The voltage that pulls the current from the cathode besides the grid's: the screen's, or
/// the plate's of a triode.
pub fn controlling(p: &Given) -> f64 {
    p.screen_volts.unwrap_or(p.plate_volts)
}

/// µ as typed, or as the product of what was typed for a triode.
fn typed_mu(p: &Given) -> Option<f64> {
    let product = || p.gm_ms.zip(p.rp_kohm).map(|(gm, rp)| gm * rp);
    p.mu.or_else(|| p.screen_volts.is_none().then(product).flatten())
}

/// µ to start from, and how well it is known.
pub fn mu_before(points: &[Given], anchor: &Given) -> (f64, f64) {
    if let Some(mu) = points.iter().find_map(typed_mu) {
        return (mu.clamp(1.0, 1000.0), 0.08);
    }
    // I = p E^x gives E = x I/g_m; and µ is the screen's volts over E less the grid's.
    let from_drive =
        |p: &Given| Some(controlling(p) / (1.4 * p.plate_ma / p.gm_ms? - p.grid_volts));
    if let Some(mu) = points.iter().find_map(from_drive) {
        return (mu.clamp(1.0, 1000.0), 0.15);
    }
    let lowest = points.iter().map(|p| p.grid_volts).fold(0.0, f64::min);
    let mu = controlling(anchor) / (0.5 - 1.2 * lowest);
    (mu.clamp(1.0, 1000.0), 0.5)
}

/// The first point that gives current although its grid is beyond cut-off by the typed µ, and
/// where cut-off is. A point with a transconductance, or the only one, is an operating point
/// and has to be above; one among several may be in the tail, up to twice as far.
pub fn beyond_cut_off(points: &[Given], mu: f64) -> Option<(usize, f64)> {
    points.iter().find_map(typed_mu)?;
    points.iter().enumerate().find_map(|(i, p)| {
        let cut_off = -controlling(p) / mu;
        let operating = p.gm_ms.is_some() || points.len() == 1;
        // The contact potential is worth half a volt and more.
        let limit = cut_off * if operating { 1.15 } else { 2.0 } - 1.0;
        (p.grid_volts < limit).then_some((i, cut_off))
    })
}

/// What the points leave open.
pub fn assumed(kind: Kind, points: &[Given]) -> Vec<Assumed> {
    let any = |test: &dyn Fn(&Given) -> bool| points.iter().any(test);
    let most = points.iter().map(|p| p.plate_ma).fold(0.0, f64::max);
    let same_grid_other_plate = points.iter().any(|p| {
        points
            .iter()
            .any(|q| q.grid_volts == p.grid_volts && q.plate_volts != p.plate_volts)
    });
    let triode = kind == Kind::Triode;
    let mut open = Vec::new();
    let mut say = |is_open: bool, what| {
        if is_open {
            open.push(what);
        }
    };
    let has_mu = any(&|p| typed_mu(p).is_some()) || (triode && same_grid_other_plate);
    say(!has_mu, Assumed::Mu);
    say(
        !any(&|p| p.gm_ms.is_some()) && grids(points) < 3,
        Assumed::Growth,
    );
    say(!any(&|p| p.plate_ma < 0.15 * most), Assumed::CutOff);
    if !triode {
        say(
            !any(&|p| p.rp_kohm.is_some()) && !same_grid_other_plate,
            Assumed::PlateSlope,
        );
        say(!any(&|p| p.screen_ma.is_some()), Assumed::ScreenCurrent);
        let in_knee = |p: &Given| p.plate_volts < 0.25 * controlling(p);
        say(!any(&in_knee), Assumed::Knee);
    }
    open
}
