//! The fit of one tube's model to its published values.
//!
//! The unknowns are the logarithms of the parameters, so that they stay above zero (`ρ` by
//! its odds, so that it stays below one). Each residual is an error over the error that is
//! expected of a published value of its kind; each shape parameter has a prior, which is
//! common practice in tubes of its kind (no source) and holds what the values do not settle.

use crate::compare::{Comparison, Quantity, compare};
use crate::problem::{Solution, least_squares};
use tapwright_core::tube::{Kind, Model, Pentode, Triode, Tube};

/// A fitted model, and how well it meets the rows it was fitted to.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The model.
    pub model: Model,
    /// The least-squares solution, in the unknowns.
    pub solution: Solution,
}

/// Fits the model of `tube` to its rows that are marked `fitted`.
pub fn fit(tube: &Tube) -> Fitted {
    let (start, spread) = priors(tube);
    let residuals = |x: &[f64]| -> Vec<f64> {
        let model = model_of(tube.kind, x);
        let mut r: Vec<f64> = compare(tube, model, true).iter().map(residual).collect();
        for ((x, start), spread) in x.iter().zip(&start).zip(&spread) {
            r.push((x - start) / spread);
        }
        r
    };
    let solution = least_squares(&start, 1e-5, &residuals);
    Fitted {
        model: model_of(tube.kind, &solution.parameters),
        solution,
    }
}

/// Error over the error expected. A row that could not be solved counts as far off.
fn residual(c: &Comparison) -> f64 {
    if !c.predicted.is_finite() || c.predicted <= 0.0 {
        return 30.0;
    }
    let relative = (c.predicted / c.published).ln();
    match c.quantity {
        Quantity::IdlePlate => relative / 0.02,
        Quantity::IdleScreen => relative / 0.12,
        Quantity::FullPlate => relative / 0.04,
        Quantity::FullScreen => relative / 0.20,
        Quantity::Transconductance | Quantity::Mu => relative / 0.06,
        Quantity::PlateResistance => relative / 0.25,
        Quantity::Power => relative / 0.025,
        Quantity::Distortion => (c.predicted - c.published) / 1.0,
    }
}

/// Prior mean and spread of each unknown.
fn priors(tube: &Tube) -> (Vec<f64>, Vec<f64>) {
    let currents = tube
        .points
        .iter()
        .map(|p| {
            (
                p.plate_volts,
                p.screen_volts,
                p.grid_volts,
                p.plate_ma.or(p.cathode_ma).unwrap_or(1.0),
            )
        })
        .chain(tube.examples.iter().map(|e| {
            let tubes = if e.topology == tapwright_core::tube::Topology::PushPull {
                2.0
            } else {
                1.0
            };
            let grid = match e.bias {
                tapwright_core::tube::Bias::Fixed(v) => v,
                tapwright_core::tube::Bias::Cathode(ohms) => -1e-3 * ohms * e.idle_plate_ma,
            };
            (e.plate_volts, e.screen_volts, grid, e.idle_plate_ma / tubes)
        }))
        .max_by(|a, b| a.3.total_cmp(&b.3));
    let (plate, screen, grid, ma) = currents.unwrap_or((250.0, 250.0, -10.0, 10.0));
    match tube.kind {
        Kind::Triode => {
            let mu = tube
                .points
                .iter()
                .filter(|p| p.fitted)
                .find_map(|p| p.mu)
                .or_else(|| {
                    tube.examples
                        .iter()
                        .find_map(|e| Some(e.gm_ms? * e.rp_kohm?))
                });
            let mu: f64 = mu.unwrap_or(20.0);
            let e = (plate / mu + grid).max(0.02 * plate / mu);
            let means = [mu, 1.4, 1e-3 * ma / e.powf(1.4), 6.0 * mu, 300.0, 0.4];
            (
                means.iter().map(|m| m.ln()).collect(),
                vec![0.15, 0.08, 2.0, 0.8, 1.0, 0.5],
            )
        }
        Kind::Pentode | Kind::BeamTetrode => {
            let mu = tube.mu_screen.unwrap_or(10.0);
            let e = (screen / mu + grid).max(0.02 * screen / mu);
            let beam = tube.kind == Kind::BeamTetrode;
            let perveance = 1e-3 * 1.1 * ma / e.powf(1.4);
            let line = 4.5e-4 * (ma / 50.0).max(0.2).powf(0.7);
            let means = [
                mu,
                1.4,
                perveance,
                40.0,
                if beam { 0.08 } else { 0.15 },
                0.7,
                if beam { 0.5 } else { 0.1 },
                3e-4,
                line,
                3.5,
            ];
            let mut start: Vec<f64> = means.iter().map(|m: &f64| m.ln()).collect();
            start.push((0.7_f64 / 0.3).ln());
            start.push(0.4_f64.ln());
            (
                start,
                vec![
                    0.08, 0.06, 2.0, 0.6, 0.6, 0.4, 0.6, 0.7, 0.35, 0.3, 0.8, 0.5,
                ],
            )
        }
    }
}

fn model_of(kind: Kind, x: &[f64]) -> Model {
    let e: Vec<f64> = x.iter().map(|v| v.clamp(-60.0, 60.0).exp()).collect();
    match kind {
        Kind::Triode => Model::Triode(Triode {
            mu: e[0],
            exponent: e[1],
            perveance: e[2],
            kp: e[3],
            kvb: e[4],
            contact: e[5],
        }),
        Kind::Pentode | Kind::BeamTetrode => Model::Pentode(Pentode {
            mu: e[0],
            exponent: e[1],
            perveance: e[2],
            kp: e[3],
            share: e[4],
            share_slope: e[5],
            share_drive: e[6],
            early: e[7],
            line: e[8],
            knee: e[9],
            returned: e[10] / (1.0 + e[10]),
            contact: e[11],
        }),
    }
}

/// The fitted models as `data/fitted.toml` has them.
pub fn as_toml(fitted: &[(&str, Model)]) -> String {
    let mut text = String::from(
        "# Written by `cargo run --release -p tapwright-fit`. Do not edit: change data/tubes.toml and fit again.\n",
    );
    for (name, model) in fitted {
        let fields: Vec<(&str, f64)> = match model {
            Model::Triode(t) => vec![
                ("mu", t.mu),
                ("exponent", t.exponent),
                ("perveance", t.perveance),
                ("kp", t.kp),
                ("kvb", t.kvb),
                ("contact", t.contact),
            ],
            Model::Pentode(p) => vec![
                ("mu", p.mu),
                ("exponent", p.exponent),
                ("perveance", p.perveance),
                ("kp", p.kp),
                ("share", p.share),
                ("share_slope", p.share_slope),
                ("share_drive", p.share_drive),
                ("early", p.early),
                ("line", p.line),
                ("knee", p.knee),
                ("returned", p.returned),
                ("contact", p.contact),
            ],
        };
        text += &format!("\n[[model]]\ntype = \"{name}\"\n");
        for (field, value) in fields {
            text += &format!("{field} = {}\n", six_digits(value));
        }
    }
    text
}

fn six_digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    format!("{rounded:?}")
}
