//! What is typed about the output stage, and about a tube that is not in the data.

use serde::{Deserialize, Serialize};

/// What stands in the place of a tube type when the person types a tube of their own.
pub const OWN_TUBE: &str = "own";

/// Declares an entry of texts, the fields that name them, and the way from one to the
/// other. A field's key is the name of its text.
macro_rules! texts {
    ($(#[$doc:meta])* $entry:ident, $(#[$of:meta])* $field:ident {
        $($(#[$what:meta])* $variant:ident: $name:ident,)*
    }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
        #[serde(default)]
        pub struct $entry {
            $($(#[$what])* pub $name: String,)*
        }

        $(#[$of])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum $field {
            $($(#[$what])* $variant,)*
        }

        impl $field {
            /// Every field, in the order of a link.
            pub const ALL: &[Self] = &[$(Self::$variant,)*];

            /// Its key.
            pub fn key(self) -> &'static str {
                match self {
                    $(Self::$variant => stringify!($name),)*
                }
            }

            pub(super) fn from_key(key: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|field| field.key() == key)
            }
        }

        impl $entry {
            pub(super) fn text(&self, field: $field) -> &str {
                match field {
                    $($field::$variant => &self.$name,)*
                }
            }

            pub(super) fn text_mut(&mut self, field: $field) -> &mut String {
                match field {
                    $($field::$variant => &mut self.$name,)*
                }
            }
        }
    };
}

texts! {
    /// The output stage as typed, all but the kind of stage, the tube and B+.
    StageEntry,
    /// A text of a [`StageEntry`].
    StageText {
        /// Tubes in all.
        Tubes: tubes,
        /// Screen supply, V from ground; empty for B+.
        Screen: screen,
        /// Screen dropping resistor, common to all tubes; "no cap" after it where no capacitor
        /// follows.
        ScreenOhms: screen_ohms,
        /// Resistor at each screen.
        Stopper: stopper,
        /// Screen tap, % of the turns from B+ to the plate.
        ScreenTap: screen_tap,
        /// Grid from cathode, V, at or below zero.
        Grid: grid,
        /// Cathode resistor, common to all tubes.
        Cathode: cathode,
        /// Winding resistance of the whole primary.
        Winding: winding,
        /// Resistance of the supply behind B+.
        Source: source,
        /// Difference of the two sides' currents over their mean, %.
        UnlikeCurrent: unlike_current,
        /// Difference of the two sides' drive over its mean, %.
        UnlikeDrive: unlike_drive,
        /// Difference of the two half windings' turns over their mean, %.
        UnlikeTurns: unlike_turns,
        /// Drive, % of the one at which grid current starts.
        Drive: drive,
        /// Frequency at which the speakers' reactance is counted, Hz; empty for none.
        Frequency: frequency,
    }
}

texts! {
    /// The limits of the person's own tube, as typed.
    OwnLimits,
    /// A text of an [`OwnLimits`].
    OwnText {
        /// Plate dissipation, W.
        PlateWatts: own_plate_watts,
        /// Screen dissipation, W.
        ScreenWatts: own_screen_watts,
        /// Plate, V.
        PlateVolts: own_plate_volts,
        /// Screen, V.
        ScreenVolts: own_screen_volts,
        /// Cathode current, mA.
        CathodeMa: own_cathode_ma,
    }
}

texts! {
    /// One operating point of the person's own tube, as typed from a datasheet.
    PointEntry,
    /// A text of a [`PointEntry`].
    PointText {
        /// Plate, V from the cathode.
        Plate: plate,
        /// Screen, V from the cathode.
        Screen: screen,
        /// Grid, V from the cathode.
        Grid: grid,
        /// Plate current, mA.
        PlateMa: plate_ma,
        /// Screen current, mA.
        ScreenMa: screen_ma,
        /// Transconductance, mS.
        Gm: gm,
        /// Plate resistance, kΩ.
        Rp: rp,
        /// Amplification factor; of a tube with a screen, from grid 1 to the screen.
        Mu: mu,
    }
}

/// How the screens are connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Screens {
    /// To a steady voltage: B+, or a supply of their own.
    #[default]
    Steady,
    /// To taps on the primary.
    Taps,
    /// To the plates: triode connection.
    Plates,
}

impl Screens {
    /// Every way.
    pub const ALL: [Self; 3] = [Self::Steady, Self::Taps, Self::Plates];

    /// The word for it, in a link and in a form.
    ///
    /// ```
    /// assert_eq!(tapwright_core::setup::Screens::Plates.word(), "plates");
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::Steady => "steady",
            Self::Taps => "taps",
            Self::Plates => "plates",
        }
    }

    /// The way that a word names.
    ///
    /// ```
    /// use tapwright_core::setup::Screens;
    /// assert_eq!(Screens::read("taps"), Some(Screens::Taps));
    /// ```
    pub fn read(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|way| way.word() == word)
    }
}

/// The tube that a person types from a datasheet.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct OwnTube {
    /// Whether it has a screen, and of which kind.
    pub kind: OwnKind,
    /// Its limits.
    pub limits: OwnLimits,
    /// Its operating points; one is the minimum.
    pub points: Vec<PointEntry>,
}

/// The kind of the person's own tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OwnKind {
    /// Beam tetrode.
    #[default]
    Beam,
    /// Pentode.
    Pentode,
    /// Triode.
    Triode,
}

impl OwnKind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::Beam, Self::Pentode, Self::Triode];

    /// The word for it, in a link and in a form.
    ///
    /// ```
    /// assert_eq!(tapwright_core::setup::OwnKind::Beam.word(), "beam");
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::Beam => "beam",
            Self::Pentode => "pentode",
            Self::Triode => "triode",
        }
    }

    /// The kind that a word names.
    ///
    /// ```
    /// use tapwright_core::setup::OwnKind;
    /// assert_eq!(OwnKind::read("triode"), Some(OwnKind::Triode));
    /// ```
    pub fn read(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}
