//! The load that the primary shows to the tubes.

use tapwright_units::Ohms;

/// The load that a speaker reflects through an ideal transformer: `Z′ = n² Z`, with the turns of
/// the primary divided by the turns of the tap or tap pair in use for `n`. What copper and core
/// add is in [`crate::network`].
///
/// ```
/// use tapwright_iron::reflected_load::reflected_load;
/// use tapwright_units::Ohms;
/// assert_eq!(reflected_load(25.0, Ohms(8.0)), Ohms(5_000.0));
/// ```
pub fn reflected_load(turns_ratio: f64, speaker: Ohms) -> Ohms {
    Ohms(turns_ratio.powi(2) * speaker.0)
}
