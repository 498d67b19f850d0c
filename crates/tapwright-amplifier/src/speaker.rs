//! What hangs on the tap in use.

use std::fmt;
use std::sync::Arc;

use nalgebra::Complex;

/// The speakers as a load.
#[derive(Clone)]
pub struct Load {
    /// Their rated impedance, as a resistance, Ω.
    pub rated: f64,
    /// Their impedance at a frequency in Hz, Ω; `None` to count the rated resistance.
    pub curve: Option<Arc<dyn Fn(f64) -> Complex<f64> + Send + Sync>>,
}

impl Load {
    /// A resistance.
    pub fn rated(ohms: f64) -> Self {
        Self {
            rated: ohms,
            curve: None,
        }
    }
}

impl fmt::Debug for Load {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let how = if self.curve.is_some() {
            "over frequency"
        } else {
            "as a resistance"
        };
        write!(f, "{} Ω {how}", self.rated)
    }
}
