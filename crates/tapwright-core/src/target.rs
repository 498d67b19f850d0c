//! The load to aim at, and where it comes from.

use serde::Serialize;

use crate::output::Prepared;
use crate::published::{self, PublishedLoad};
use crate::values::Values;
use tapwright_units::Ohms;

/// Where the load to aim at comes from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Target {
    /// The person typed it.
    Typed(Ohms),
    /// A published operating example of the tube.
    Published(PublishedLoad),
    /// The tube is known, and nothing is published for it in this stage: the load with the
    /// most power at little distortion.
    Computed(Ohms),
    /// Nothing is known of the tube: each lead's own rated impedance.
    AsRated,
}

impl Target {
    /// The target load on a lead whose rated impedance is `rated`.
    ///
    /// ```
    /// use tapwright_core::target::Target;
    /// use tapwright_units::Ohms;
    /// assert_eq!(Target::AsRated.on(Ohms(8e3)), Ohms(8e3));
    /// assert_eq!(Target::Typed(Ohms(5e3)).on(Ohms(8e3)), Ohms(5e3));
    /// ```
    pub fn on(&self, rated: Ohms) -> Ohms {
        match self {
            Self::Typed(load) | Self::Computed(load) => *load,
            Self::Published(published) => published.load,
            Self::AsRated => rated,
        }
    }

    /// The typed load, else the published one, else the one that the stage does best into.
    pub(crate) fn find(values: &Values, prepared: Option<&Prepared>) -> Self {
        if let Some(load) = values.target {
            return Self::Typed(load);
        }
        published::nearest(
            &values.tube,
            values.topology,
            values.screens,
            values.supply,
            prepared.map(Prepared::tubes),
        )
        .map(Self::Published)
        .or_else(|| prepared?.best_load().map(Self::Computed))
        .unwrap_or(Self::AsRated)
    }
}
