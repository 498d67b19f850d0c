//! What is known of a transformer besides its ratings: winding resistances, core loss,
//! inductances, capacitance, rated power, direct current. All of it is optional: what is not
//! known counts as ideal, and [`Iron::not_counted`] says so.

use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr, VariantArray};

use crate::flux::FluxLimit;
use crate::network::Network;
use crate::transformer::{Secondary, Transformer};
use crate::winding_resistance::WindingResistance;

/// Whether the core has a gap, which direct current needs.
///
/// ```
/// use tapwright_iron::iron::Core;
/// assert_eq!("ungapped".parse(), Ok(Core::Ungapped));
/// assert_eq!(<&str>::from(Core::Gapped), "gapped");
/// ```
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Default,
    Serialize,
    Deserialize,
    EnumString,
    IntoStaticStr,
    VariantArray,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Core {
    /// Nobody has said.
    #[default]
    Unknown,
    /// It has a gap.
    Gapped,
    /// It has none.
    Ungapped,
}

/// A value known on one primary lead, in ohms, henries or farads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnLead {
    /// Its value there.
    pub value: f64,
    /// The lead, by its place.
    pub lead: usize,
    /// Where it is from.
    pub origin: Origin,
}

/// Where a value is from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Origin {
    /// The person typed it.
    Typed,
    /// The stated lower −3 dB point between rated loads.
    Edge {
        /// The −3 dB point, Hz.
        hertz: f64,
        /// Rated load of the lead, Ω.
        rated: f64,
    },
    /// A reading on the primary: inductance with the secondary open, leakage with it shorted.
    Meter {
        /// Volts across the primary.
        volts: f64,
        /// Amperes through it.
        amps: f64,
        /// Frequency, Hz.
        hertz: f64,
        /// Copper that was subtracted, Ω.
        copper: f64,
        /// Core loss that was subtracted, Ω.
        core: Option<f64>,
    },
}

/// What is known of a transformer besides its ratings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Iron {
    /// Resistance of the primary.
    pub primary: Option<WindingResistance>,
    /// Resistance of the secondary.
    pub secondary: Option<WindingResistance>,
    /// Core loss, as a resistance across the primary.
    pub core_ohms: Option<OnLead>,
    /// Primary inductance.
    pub inductance: Option<OnLead>,
    /// Leakage inductance, referred to the primary.
    pub leakage: Option<OnLead>,
    /// Capacitance across the primary.
    pub capacitance: Option<OnLead>,
    /// Rated power, W.
    pub watts: Option<f64>,
    /// Lowest frequency at that power, Hz.
    pub hertz: Option<f64>,
    /// Whether the core has a gap.
    pub core: Core,
    /// Steady current that magnetises the core, as typed, A.
    pub direct_amps: Option<f64>,
    /// Source resistance of the tubes over the whole primary, as typed, Ω.
    pub source_ohms: Option<f64>,
}

/// A way in which a real transformer differs from an ideal one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Imperfection {
    /// Resistance of the primary's wire.
    PrimaryCopper,
    /// Resistance of the secondary's wire.
    SecondaryCopper,
    /// Loss in the core.
    Core,
    /// Finite primary inductance.
    Inductance,
    /// Leakage inductance.
    Leakage,
    /// Capacitance across the primary.
    Capacitance,
    /// Saturation of the core.
    Saturation,
}

impl Iron {
    /// The transformer as a network with one of its leads and one way to use the secondary.
    /// `None` for a lead or tap that is not there.
    ///
    /// A value measured on another lead is converted by turns: inductances and the core's loss
    /// resistance grow with the square of the turns, capacitance falls with it.
    pub fn network(
        &self,
        transformer: &Transformer,
        lead: usize,
        secondary: Secondary,
    ) -> Option<Network> {
        let wire = self.secondary.as_ref().and_then(|winding| match secondary {
            Secondary::Tap(at) => winding.at(at),
            Secondary::Pair(pair) => winding.between(pair),
        });
        let rated = |at: usize| transformer.leads.get(at).map(|lead| lead.rated.0);
        let here = rated(lead)?;
        let squared = |known: Option<OnLead>| {
            let known = known?;
            Some((known.value, here / rated(known.lead)?))
        };
        let times = |known| squared(known).map(|(value, factor)| value * factor);
        Some(Network {
            turns_ratio: transformer.turns_ratio(lead, secondary)?,
            primary_ohms: self.primary_ohms(lead),
            secondary_ohms: wire.map_or(0.0, |wire| wire.ohms),
            core_ohms: times(self.core_ohms),
            inductance: times(self.inductance),
            leakage: times(self.leakage).unwrap_or_default(),
            capacitance: squared(self.capacitance).map_or(0.0, |(value, factor)| value / factor),
        })
    }

    /// Winding resistance of a primary lead, Ω; zero when it is not known.
    pub fn primary_ohms(&self, lead: usize) -> f64 {
        let wire = self.primary.as_ref().and_then(|winding| winding.at(lead));
        wire.map_or(0.0, |wire| wire.ohms)
    }

    /// The rated power and its lowest frequency, when both are known.
    pub fn flux_limit(&self) -> Option<FluxLimit> {
        Some(FluxLimit {
            watts: self.watts?,
            hertz: self.hertz?,
        })
    }

    /// What is taken as ideal because nothing is known of it.
    ///
    /// ```
    /// use tapwright_iron::iron::{Imperfection, Iron};
    /// assert_eq!(Iron::default().not_counted().len(), 7);
    /// let iron = Iron { watts: Some(10.0), hertz: Some(50.0), ..Iron::default() };
    /// assert!(!iron.not_counted().contains(&Imperfection::Saturation));
    /// ```
    pub fn not_counted(&self) -> Vec<Imperfection> {
        [
            (self.primary.is_some(), Imperfection::PrimaryCopper),
            (self.secondary.is_some(), Imperfection::SecondaryCopper),
            (self.core_ohms.is_some(), Imperfection::Core),
            (self.inductance.is_some(), Imperfection::Inductance),
            (self.leakage.is_some(), Imperfection::Leakage),
            (self.capacitance.is_some(), Imperfection::Capacitance),
            (self.flux_limit().is_some(), Imperfection::Saturation),
        ]
        .into_iter()
        .filter_map(|(known, loss)| (!known).then_some(loss))
        .collect()
    }

    /// Whether anything is known at all.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::transformer::{read_leads, read_taps};

    /// 2.5 k of 10 k is half the turns: a quarter of the henries, four times the farads.
    #[test]
    fn what_was_measured_on_one_lead_counts_on_another() {
        let transformer = Transformer {
            leads: read_leads("2.5k, 10k").expect("leads"),
            taps: read_taps("4, 16").expect("taps"),
            line: None,
        };
        let on_lead = |value| {
            Some(OnLead {
                value,
                lead: 1,
                origin: Origin::Typed,
            })
        };
        let iron = Iron {
            core_ohms: on_lead(40e3),
            inductance: on_lead(12.0),
            leakage: on_lead(0.04),
            capacitance: on_lead(1e-9),
            ..Iron::default()
        };
        let network = iron
            .network(&transformer, 0, Secondary::Tap(1))
            .expect("there");
        assert_eq!(network.core_ohms, Some(10e3));
        assert_eq!(network.inductance, Some(3.0));
        assert!((network.leakage - 0.01).abs() < 1e-15);
        assert!((network.capacitance - 4e-9).abs() < 1e-20);
        assert_eq!((network.primary_ohms, network.secondary_ohms), (0.0, 0.0));
        assert_eq!(iron.network(&transformer, 2, Secondary::Tap(1)), None);
        assert_eq!(
            Iron::default().network(&transformer, 1, Secondary::Tap(0)),
            Some(Network::ideal(50.0))
        );
    }
}
