//! Why a tube cannot be fitted, or why its points do not agree, in words.

use super::{Given, Quantity, Residual};
use crate::Kind;
use std::fmt;

/// Why no model could be made. Points count from 0 here and from 1 in words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FitError {
    /// More points than the fit takes; the most it takes.
    TooMany(usize),
    /// No point has what a fit needs at least.
    TooLittle,
    /// A value that no tube can have at this point.
    Impossible {
        /// Which point.
        point: usize,
        /// What is wrong with it.
        what: Impossible,
    },
    /// The values are each possible, and the fit still found no model.
    Unsolved,
}

/// What is wrong with a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Impossible {
    /// The quantity is out of range; its name, its value, the lowest and highest possible.
    OutOfRange(&'static str, f64, f64, f64),
    /// The grid is positive: these models end at zero grid volts.
    PositiveGrid(f64),
    /// A tube with a screen needs the screen's voltage.
    NoScreenVolts,
    /// A triode has no screen.
    ScreenOfTriode,
    /// Current although the grid is at or beyond cut-off, which is at this many volts.
    CutOff(f64),
}

/// Two given values that no tube of the kind has at once, or one that the model cannot meet
/// together with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contradiction {
    /// The point.
    pub point: usize,
    /// The quantity that does not belong.
    pub quantity: Quantity,
    /// As given.
    pub given: f64,
    /// What it is against.
    pub against: Against,
}

/// What a value contradicts. The number is what the value would have to be near.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Against {
    /// Another point at the same voltages.
    Point(usize, f64),
    /// Transconductance times plate resistance of the same point.
    Product(f64),
    /// All the other values: the model fitted to them together.
    TheRest(f64),
}

/// The clearest contradiction that there is: two points at the same voltages first, then a
/// triode whose factors do not multiply, then the value that the model misses by most.
pub(super) fn contradiction(
    kind: Kind,
    points: &[Given],
    residuals: &[Residual],
) -> Option<Contradiction> {
    twice(points)
        .or_else(|| (kind == Kind::Triode).then(|| product(points)).flatten())
        .or_else(|| far(residuals))
}

fn twice(points: &[Given]) -> Option<Contradiction> {
    let volts = |p: &Given| (p.plate_volts, p.screen_volts, p.grid_volts);
    for (point, given) in points.iter().enumerate() {
        for (other, before) in points[..point].iter().enumerate() {
            if volts(given) != volts(before) {
                continue;
            }
            for quantity in Quantity::ALL {
                let (Some(here), Some(there)) = (given.of(quantity), before.of(quantity)) else {
                    continue;
                };
                // A fit would go through the middle, half of the difference from each.
                if (here / there).ln().abs() > 0.5 * quantity.too_far() {
                    return Some(Contradiction {
                        point,
                        quantity,
                        given: here,
                        against: Against::Point(other, there),
                    });
                }
            }
        }
    }
    None
}

fn product(points: &[Given]) -> Option<Contradiction> {
    points.iter().enumerate().find_map(|(point, given)| {
        let mu = given.mu?;
        let product = given.gm_ms? * given.rp_kohm?;
        ((product / mu).ln().abs() > 0.15).then_some(Contradiction {
            point,
            quantity: Quantity::Mu,
            given: mu,
            against: Against::Product(product),
        })
    })
}

fn far(residuals: &[Residual]) -> Option<Contradiction> {
    let off = |r: &Residual| (r.fitted / r.given - 1.0).abs() / r.quantity.too_far();
    let worst = residuals.iter().max_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(worst) > 1.0).then_some(Contradiction {
        point: worst.point,
        quantity: worst.quantity,
        given: worst.given,
        against: Against::TheRest(worst.fitted),
    })
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooMany(most) => write!(f, "more than {most} points"),
            Self::TooLittle => f.write_str(
                "too little to fit: one point needs plate current, transconductance, and plate \
                 resistance or µ; or give the current at three grid voltages",
            ),
            Self::Impossible { point, what } => write!(f, "point {}: {what}", point + 1),
            Self::Unsolved => f.write_str("no tube curve fits these values"),
        }
    }
}

impl std::error::Error for FitError {}

impl fmt::Display for Impossible {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange(what, value, low, high) => {
                write!(
                    f,
                    "{what} cannot be {}; {} to {} can be",
                    short(*value),
                    short(*low),
                    short(*high)
                )
            }
            Self::PositiveGrid(volts) => write!(
                f,
                "grid voltage cannot be +{} V here; grid volts are zero or negative",
                short(*volts)
            ),
            Self::NoScreenVolts => f.write_str("the screen voltage is missing"),
            Self::ScreenOfTriode => f.write_str("a triode has no screen"),
            Self::CutOff(volts) => write!(
                f,
                "no current flows there: the tube is cut off near {volts:.1} V on the grid"
            ),
        }
    }
}

impl fmt::Display for Contradiction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.quantity.unit();
        write!(
            f,
            "point {}: {} {}{unit} does not agree with ",
            self.point + 1,
            self.quantity.name(),
            short(self.given),
        )?;
        match self.against {
            Against::Point(other, value) => write!(
                f,
                "{}{unit} at the same voltages in point {}",
                short(value),
                other + 1
            ),
            Against::Product(value) => write!(
                f,
                "transconductance times plate resistance, which is {}",
                short(value)
            ),
            Against::TheRest(value) => {
                write!(f, "the other values, which lead to {}{unit}", short(value))
            }
        }
    }
}

/// To three digits.
fn short(value: f64) -> String {
    let places = 2 - (value.abs().max(1e-6).log10().floor() as i32).min(2);
    format!("{value:.*}", usize::try_from(places).unwrap_or(0))
}
