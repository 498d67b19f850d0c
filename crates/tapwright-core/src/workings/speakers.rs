//! Speakers as they are, one by one, and the hookup at the frequency that was typed.

use super::input;
use crate::hookup::SolvedHookup;
use crate::working::Working;
use tapwright_speaker::{Driver, ImpedanceModel};
use tapwright_units::Unit;

const THIELE_SMALL: &str = "Thiele, J. Audio Eng. Soc. 1971; Small, J. Audio Eng. Soc. 1972";

pub(super) fn push_workings(
    hookup: &SolvedHookup,
    hertz: Option<f64>,
    workings: &mut Vec<Working>,
) {
    let mut told: Vec<&str> = Vec::new();
    for driver in &hookup.drivers {
        if !driver.name.is_empty() && !told.contains(&driver.name.as_str()) {
            told.push(&driver.name);
            workings.extend(peak(driver));
        }
    }
    let mixed = hookup.mixed();
    if let (Some(hertz), Some(mixed)) = (hertz, mixed) {
        let z = mixed.impedance_at(hertz);
        workings.push(Working {
            quantity: "Hookup at the frequency typed",
            symbol: "Z_f",
            formula: "√(R² + X²)",
            inputs: vec![
                input("R", z.re, Unit::Ohm, "real part, all drivers as they are"),
                input("X", z.im, Unit::Ohm, "imaginary part"),
            ],
            result: z.norm(),
            unit: Unit::Ohm,
            source: "modulus of a complex impedance",
            note: "",
        });
    }
    if let (Some(safe), Some(mixed)) = (&hookup.safe, mixed)
        && let Some(share) = mixed.at(safe.hertz).1.get(safe.driver)
        && let Some(rating) = hookup.shares.get(safe.driver).and_then(|s| s.rating)
    {
        workings.push(Working {
            quantity: "Most power over frequency",
            symbol: "P_f",
            formula: "P / p_f",
            inputs: vec![
                input("P", rating.0, Unit::Watt, "rating of the speaker that reaches it first"),
                input("p_f", share.power, Unit::One, "its largest share of the power"),
            ],
            result: safe.watts.0,
            unit: Unit::Watt,
            source: "power in a part is its share of the whole: Re(V × I*)",
            note: "Power that heats the coil and moves the cone; what excursion allows is not counted.",
        });
    }
}

/// Impedance at resonance: `R_e (1 + Q_ms/Q_es)`, which a closed box does not change.
fn peak(driver: &Driver) -> Option<Working> {
    let motor = match &driver.model {
        ImpedanceModel::Generic(motor, _) | ImpedanceModel::ThieleSmall(motor) => motor,
        ImpedanceModel::Measured(_) => return None,
    };
    Some(Working {
        quantity: "Speaker at its resonance",
        symbol: "Z_max",
        formula: "R_e × (1 + Q_ms / Q_es)",
        inputs: vec![
            input("R_e", motor.coil_ohms, Unit::Ohm, "resistance of the coil"),
            input("Q_ms", motor.mechanical_q, Unit::One, "mechanical Q"),
            input("Q_es", motor.electrical_q, Unit::One, "electrical Q"),
        ],
        result: motor.coil_ohms * (1.0 + motor.mechanical_q / motor.electrical_q),
        unit: Unit::Ohm,
        source: THIELE_SMALL,
        note: "Without the inductance of the coil. A closed box raises both Qs alike.",
    })
}
