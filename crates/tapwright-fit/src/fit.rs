//! The fit of one tube's model to its published values.
//!
//! Each residual is an error over the error that is expected of a published value of its
//! kind; the [prior](Prior) holds what the values do not settle.

use crate::compare::{Comparison, Quantity, compare};
use tapwright_squares::{Precision, least_squares};
use tapwright_tube::fit::prior::{Anchor, Prior};
use tapwright_tube::{Bias, Model, OperatingExample, Pentode, Topology, Triode, Tube};

/// A fitted model, and how well it meets the rows it was fitted to.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The model, its parameters rounded to the six digits that are written down.
    pub model: Model,
    /// Sum of the squared residuals, priors included.
    pub sum_of_squares: f64,
    /// Whether the fit converged.
    pub converged: bool,
}

/// Fits the model of `tube` to its rows that are marked `fitted`; `None` when there is no
/// solution to start from.
pub fn fit(tube: &Tube) -> Option<Fitted> {
    let prior = prior(tube);
    let residuals = |x: &[f64]| {
        let rows = compare(tube, prior.model(x), true);
        (prior.residuals(x))
            .chain(rows.iter().map(residual))
            .collect()
    };
    let precision = Precision {
        relative_step: 0.0,
        least_step: 1e-5,
        tolerance: 1e-14,
    };
    let minimum = least_squares(prior.means(), precision, residuals)?;
    Some(Fitted {
        model: rounded(prior.model(&minimum.unknowns)),
        sum_of_squares: minimum.sum_of_squares,
        converged: minimum.converged,
    })
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

/// What is known of the tube before its rows are looked at: the published µ, and a size
/// guessed from the row with the most current.
fn prior(tube: &Tube) -> Prior {
    let of_points = tube.points.iter().map(|p| {
        let ma = p.plate_ma.or(p.cathode_ma).unwrap_or(1.0);
        (p.screen_volts(), p.grid_volts, ma)
    });
    let of_examples = tube.examples.iter().map(|e| {
        let tubes = if e.topology == Topology::PushPull {
            2.0
        } else {
            1.0
        };
        let grid = match e.bias {
            Bias::Fixed(volts) => volts,
            Bias::Cathode(ohms) => -1e-3 * ohms * e.plate_ma.idle,
        };
        (e.screen_volts(), grid, e.plate_ma.idle / tubes)
    });
    let (screen_volts, grid_volts, plate_ma) = of_points
        .chain(of_examples)
        .max_by(|a, b| a.2.total_cmp(&b.2))
        .unwrap_or((250.0, -10.0, 10.0));
    let anchor = Anchor {
        screen_volts,
        grid_volts,
        plate_ma,
    };
    if let Some(mu) = tube.mu_screen {
        return Prior::new(tube.kind, anchor, mu, 0.08);
    }
    let of_points = tube.points.iter().filter(|p| p.fitted).find_map(|p| p.mu);
    let of_example = |e: &OperatingExample| Some(e.gm_ms? * e.rp_kohm?);
    let mu = of_points.or_else(|| {
        tube.examples
            .iter()
            .filter(|e| e.fitted)
            .find_map(of_example)
    });
    Prior::new(tube.kind, anchor, mu.unwrap_or(20.0), 0.15)
}

fn rounded(model: Model) -> Model {
    match model {
        Model::Triode(t) => Model::Triode(Triode {
            mu: six_digits(t.mu),
            exponent: six_digits(t.exponent),
            perveance: six_digits(t.perveance),
            kp: six_digits(t.kp),
            kvb: six_digits(t.kvb),
            contact: six_digits(t.contact),
        }),
        Model::Pentode(p) => Model::Pentode(Pentode {
            mu: six_digits(p.mu),
            exponent: six_digits(p.exponent),
            perveance: six_digits(p.perveance),
            kp: six_digits(p.kp),
            share: six_digits(p.share),
            share_slope: six_digits(p.share_slope),
            share_drive: six_digits(p.share_drive),
            early: six_digits(p.early),
            line: six_digits(p.line),
            knee: six_digits(p.knee),
            returned: six_digits(p.returned),
            contact: six_digits(p.contact),
        }),
    }
}

fn six_digits(value: f64) -> f64 {
    format!("{value:.5e}").parse().unwrap_or(value)
}

/// The fitted models as `data/fitted.toml` has them.
pub fn as_toml(fitted: &[(&str, Model)]) -> String {
    let mut text = String::from(
        "# Written by `cargo xtask fit`. Do not edit: change data/tubes.toml and fit again.\n",
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
            text += &format!("{field} = {value:?}\n");
        }
    }
    text
}
