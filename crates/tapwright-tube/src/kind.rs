//! What is inside the bulb.

use serde::{Deserialize, Serialize};

use crate::{Model, Pentode, Triode};

/// What is inside the bulb.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// One grid.
    Triode,
    /// Control grid, screen, suppressor.
    Pentode,
    /// Control grid, screen, beam-forming plates.
    #[serde(rename(deserialize = "beam tetrode"))]
    BeamTetrode,
}

impl Kind {
    /// The kind as one writes it in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Triode => "triode",
            Self::Pentode => "pentode",
            Self::BeamTetrode => "beam tetrode",
        }
    }

    /// Whether tubes of this kind have a screen grid.
    ///
    /// ```
    /// use tapwright_tube::Kind;
    /// assert!(Kind::BeamTetrode.has_screen() && !Kind::Triode.has_screen());
    /// ```
    pub fn has_screen(self) -> bool {
        self != Self::Triode
    }

    /// The model that a fit to a tube of this kind starts from.
    pub(crate) fn unfitted(self) -> Model {
        if self.has_screen() {
            Model::Pentode(Pentode::UNFITTED)
        } else {
            Model::Triode(Triode::UNFITTED)
        }
    }
}
