//! What is typed about speakers as they are.

use serde::{Deserialize, Serialize};

texts! {
    /// One kind of speaker as it is: what hookups call it, and what is known of it.
    DriverEntry,
    /// A text of a [`DriverEntry`].
    DriverText {
        /// What hookups call it: a name such as `A`, or the ohms that they write for it.
        Called: called,
        /// Rated impedance, where the name is no number.
        Rated: rated,
        /// DC resistance of the coil, as an ohmmeter reads it.
        Coil: coil,
        /// Size: see [`tapwright_speaker::Size::word`]; empty for unknown.
        Size: size,
        /// Resonance in free air.
        Resonance: resonance,
        /// Mechanical Q at resonance.
        MechanicalQ: mechanical_q,
        /// Electrical Q at resonance.
        ElectricalQ: electrical_q,
        /// Inductance of the coil.
        Inductance: inductance,
        /// Volume of air as stiff as the suspension, litres.
        Vas: vas,
        /// Volume of the closed box, litres; empty for free air or an open back.
        ClosedBox: closed_box,
        /// The measured curve: frequency, ohms, degrees; next point.
        Curve: curve,
        /// Where that is from, and what was thinned.
        From: from,
    }
}

/// Which impedance of the speakers the loads are made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Loads {
    /// The rated one.
    #[default]
    Rated,
    /// The one at the frequency that is typed.
    Curve,
}

impl Loads {
    /// The word for it, in a link and in a form.
    ///
    /// ```
    /// use tapwright_core::setup::Loads;
    /// assert_eq!(Loads::read(Loads::Curve.word()), Some(Loads::Curve));
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::Rated => "rated",
            Self::Curve => "curve",
        }
    }

    /// The way that a word names.
    pub fn read(word: &str) -> Option<Self> {
        [Self::Rated, Self::Curve]
            .into_iter()
            .find(|loads| loads.word() == word)
    }
}
