//! The ends and taps of a winding, and how a person refers to one of them.

use crate::transformer::{PrimaryLead, Tap};
use tapwright_units::Unit;
use tapwright_units::entry::number;

/// An end or a tap of a winding: its name, what is stamped on it, and its turns from the
/// common lead, in any unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    name: String,
    stamped: (f64, Unit),
    pub(crate) turns: f64,
}

/// The places of a primary: one for each lead.
pub fn places_of_leads(leads: &[PrimaryLead]) -> Vec<Place> {
    let place = |lead: &PrimaryLead| Place {
        name: lead.name.clone(),
        stamped: match lead.power_tap {
            Some(watts) => (watts.0, Unit::Watt),
            None => (lead.rated.0, Unit::Ohm),
        },
        turns: lead.rated.0.sqrt(),
    };
    leads.iter().map(place).collect()
}

/// The places of a secondary: one for each tap.
pub fn places_of_taps(taps: &[Tap]) -> Vec<Place> {
    let place = |tap: &Tap| Place {
        name: tap.name.clone(),
        stamped: (tap.rated.0, Unit::Ohm),
        turns: tap.rated.0.sqrt(),
    };
    taps.iter().map(place).collect()
}

/// The place that a text refers to, by its name or by its rating.
pub fn find_place(places: &[Place], name: &str) -> Option<usize> {
    let name = name.trim();
    let by_name = |place: &Place| place.name.trim().eq_ignore_ascii_case(name);
    let by_rating = |place: &Place| {
        let (stamped, unit) = place.stamped;
        number(name, unit).is_ok_and(|value| (value / stamped - 1.0).abs() < 1e-9)
    };
    if name.is_empty() {
        return None;
    }
    let named = places.iter().position(by_name);
    named.or_else(|| places.iter().position(by_rating))
}

/// The place with the most turns: from there an ohmmeter reads the whole winding.
pub fn place_with_most_turns(places: &[Place]) -> usize {
    let all = places.iter().enumerate();
    all.max_by(|a, b| a.1.turns.total_cmp(&b.1.turns))
        .map_or(0, |(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::transformer::read_leads;

    #[test]
    fn leads_are_known_by_name_rating_or_watts() {
        let leads = read_leads("brown 8k, blue 10k").expect("leads");
        let places = places_of_leads(&leads);
        for (name, at) in [("Blue", 1), ("8k", 0), ("10000", 1), ("10 kΩ", 1)] {
            assert_eq!(find_place(&places, name), Some(at), "{name}");
        }
        assert_eq!(find_place(&places, "red"), None);
        assert_eq!(place_with_most_turns(&places), 1);
        let powers = crate::transformer::read_power_taps("5, 10", tapwright_units::Volts(100.0));
        let places = places_of_leads(&powers.expect("taps"));
        assert_eq!(find_place(&places, "10 W"), Some(1));
        assert_eq!(place_with_most_turns(&places), 0);
    }
}
