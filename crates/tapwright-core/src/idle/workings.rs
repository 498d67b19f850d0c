//! How currents and dissipation came about, as one redoes them by hand.

use tapwright_idle::currents::Currents;
use tapwright_idle::{CathodePath, Stands};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use super::WantedReport;
use super::on_bench::OnBench;
use crate::working::{Working, input};

/// Every number that a formula gives.
pub(super) fn every(
    bench: &OnBench,
    currents: Option<&Currents>,
    wanted: Option<&WantedReport>,
) -> Vec<Working> {
    let mut all = Vec::new();
    if let Some(currents) = currents {
        all.extend(of_readings(bench, currents));
    }
    all.extend(wanted.and_then(resistor));
    all
}

fn of_readings(bench: &OnBench, currents: &Currents) -> Vec<Working> {
    let Some(side) = currents.sides.first() else {
        return Vec::new();
    };
    let tubes = bench.wiring.tubes();
    let mut all = Vec::new();
    let cathode_volts = side.cathode_volts.value;
    if let (CathodePath::Common(_), Some(ohms)) = (bench.wiring.cathode, currents.cathode_ohms) {
        all.push(Working {
            quantity: "Cathode current of all tubes",
            symbol: "I_k",
            formula: "V_k / R_k",
            inputs: vec![
                input("V_k", cathode_volts, Unit::Volt, "cathode from ground"),
                input("R_k", ohms, Unit::Ohm, "cathode resistor"),
            ],
            result: cathode_volts / ohms,
            unit: Unit::Ampere,
            source: "Ohm’s law",
            note: "With more than one way to the current, the volts and the ohms are those that all readings together have.",
        });
        if tubes > 1.0 {
            let all_amps = cathode_volts / ohms;
            all.push(Working {
                quantity: "Cathode current of one tube, the mean",
                symbol: "I_1",
                formula: "I_k / n",
                inputs: vec![
                    input(
                        "I_k",
                        all_amps,
                        Unit::Ampere,
                        "cathode current of all tubes",
                    ),
                    input("n", tubes, Unit::One, "tubes"),
                ],
                result: all_amps / tubes,
                unit: Unit::Ampere,
                source: "definition",
                note: "A resistor common to a pair gives only the sum.",
            });
        }
    }
    if let (Some(drop), Some(ohms)) = (bench.readings.sides[0].primary_drop, currents.winding_ohms)
        && bench.wiring.winding.is_some()
    {
        all.push(Working {
            quantity: "Current through the primary",
            symbol: "I_p",
            formula: "V_p / R_p",
            inputs: vec![
                input(
                    "V_p",
                    drop.volts,
                    Unit::Volt,
                    "drop over the primary as read",
                ),
                input(
                    "R_p",
                    ohms,
                    Unit::Ohm,
                    "its resistance, as all readings together have it",
                ),
            ],
            result: drop.volts / ohms,
            unit: Unit::Ampere,
            source: "Ohm’s law",
            note: "In push-pull this is one half, with the current of one side.",
        });
    }
    let (cathode, screen) = (side.cathode_amps.value, side.screen_amps.value);
    if screen > 0.0 {
        all.push(Working {
            quantity: "Plate current of one tube",
            symbol: "I_a",
            formula: "I_1 − I_g2",
            inputs: vec![
                input("I_1", cathode, Unit::Ampere, "its cathode current"),
                input("I_g2", screen, Unit::Ampere, "its screen current"),
            ],
            result: cathode - screen,
            unit: Unit::Ampere,
            source: "Kirchhoff’s law",
            note: match currents.stands.contains(&Stands::ScreenShare) {
                true => "The screen’s share is the model’s, within 25 %: its drop was not read.",
                false => "The screen’s current is the drop over its resistor.",
            },
        });
    }
    let (plate, amps) = (side.plate_volts.value, side.plate_amps.value);
    all.push(Working {
        quantity: "Plate dissipation of one tube",
        symbol: "P_a",
        formula: "(V_a − V_k) × I_a",
        inputs: vec![
            input(
                "V_a",
                plate + cathode_volts,
                Unit::Volt,
                "plate from ground",
            ),
            input("V_k", cathode_volts, Unit::Volt, "cathode from ground"),
            input("I_a", amps, Unit::Ampere, "its plate current"),
        ],
        result: plate * amps,
        unit: Unit::Watt,
        source: "definition",
        note: "",
    });
    if screen > 0.0 {
        let volts = side.screen_volts.value;
        all.push(Working {
            quantity: "Screen dissipation of one tube",
            symbol: "P_g2",
            formula: "(V_g2 − V_k) × I_g2",
            inputs: vec![
                input(
                    "V_g2",
                    volts + cathode_volts,
                    Unit::Volt,
                    "screen from ground",
                ),
                input("V_k", cathode_volts, Unit::Volt, "cathode from ground"),
                input("I_g2", screen, Unit::Ampere, "its screen current"),
            ],
            result: volts * screen,
            unit: Unit::Watt,
            source: "definition",
            note: "",
        });
    }
    all
}

/// The resistor from the point that was solved for it.
fn resistor(wanted: &WantedReport) -> Option<Working> {
    let at = wanted.reached.as_ref()?.at;
    let Bias::Cathode(_) = at.bias else {
        return None;
    };
    let (volts, amps) = (at.idle.cathode_volts, at.all_amps());
    Some(Working {
        quantity: "Cathode resistor for the dissipation wanted",
        symbol: "R_new",
        formula: "V_k / I_k",
        inputs: vec![
            input("V_k", volts, Unit::Volt, "cathode from ground there"),
            input(
                "I_k",
                amps,
                Unit::Ampere,
                "cathode current of all tubes there",
            ),
        ],
        result: volts / amps,
        unit: Unit::Ohm,
        source: "Ohm’s law, at the point where the tube’s model, scaled to the readings, dissipates what is wanted",
        note: "That point is solved numerically, to a hundredth of a watt.",
    })
}
