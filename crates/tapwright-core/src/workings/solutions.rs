//! What was solved numerically: the equations, the solution, and what is left of them.

use super::{amps, input, volts};
use crate::output::{AtDrive, ChosenOutput, SolvedStage};
use crate::working::Solution;
use tapwright_stage::stress::Stress;
use tapwright_stage::{ScreenFeed, Stoppers};
use tapwright_tube::{Bias, Topology};
use tapwright_units::Unit;

/// The idle point, and the cycle in the chosen connection.
pub(super) fn every(stage: &SolvedStage, output: &ChosenOutput) -> Vec<Solution> {
    let mut solved = vec![idle(stage), cycle(stage, output)];
    solved.extend(output.clean.as_ref().map(clean));
    if let Some(found) = output.with_reactance() {
        solved.push(Solution {
            quantity: "The cycle with the speakers' reactance",
            equations: vec![
                "u_n = Σ c_(n−m) × T_m at 64 instants n, m",
                "c: the load's impedance at 1, 2, … 32 times the frequency, as an impulse response",
                "T: ampere-turns of the tubes at that instant, from their curves",
            ],
            solution: vec![
                input("f", found.hertz, Unit::Hertz, "frequency"),
                input(
                    "Z′",
                    found.load_ohms,
                    Unit::Ohm,
                    "load at that frequency, modulus",
                ),
                input("P", found.watts, Unit::Watt, "real power in the load"),
                input("d", found.thd, Unit::One, "distortion of the load's volts"),
            ],
            residual: found.residual_volts,
            residual_unit: Unit::Volt,
            source: "harmonic balance, Newton's method",
        });
    }
    solved
}

fn clean(clean: &AtDrive) -> Solution {
    let delivered = clean.delivered;
    Solution {
        quantity: "Power at little distortion",
        equations: vec![
            "d = d_t, with d that of the cycle at the drive V_p, solved as at full drive",
        ],
        solution: vec![
            input("d_t", clean.wanted_thd, Unit::One, "distortion wanted"),
            input("d", delivered.thd, Unit::One, "distortion found"),
            volts("V_p", clean.drive_peak, "drive on each grid, peak"),
            input("P", delivered.watts, Unit::Watt, "power in the speakers"),
        ],
        residual: 100.0 * (delivered.thd - clean.wanted_thd).abs(),
        residual_unit: Unit::Percent,
        source: "false position",
    }
}

/// What flows in the plate's part of the winding; the screens' share flows there too.
fn winding_current(stage: &SolvedStage) -> &'static str {
    match stage.stage.screen {
        _ if stage.stage.is_strapped() => "i = I_a + I_s of the tubes on that side",
        ScreenFeed::Tap(_) => "i = I_a + f × I_s of the tubes on that side, f: the screen tap",
        _ => "i = I_a of the tubes on that side",
    }
}

fn idle(stage: &SolvedStage) -> Solution {
    let idle = &stage.idle;
    let mut equations = vec![
        match stage.stage.screen {
            ScreenFeed::Own(_) => "V_b = V_0 − R_0 × I_a of all tubes",
            _ => "V_b = V_0 − R_0 × (I_a + I_s) of all tubes",
        },
        match stage.stage.topology {
            Topology::SingleEnded => "V_a = V_b − R_w × i − V_k",
            Topology::PushPull => "V_a = V_b − R_w/2 × i − V_k",
        },
        winding_current(stage),
    ];
    equations.push(if stage.stage.is_strapped() {
        "V_s = V_a: the screen is the plate"
    } else {
        "V_s = screen supply − R_s × I_s of all tubes − V_k, or its share of V_b and V_a at a tap"
    });
    if stage.stage.stoppers.each > 0.0 {
        equations.push("V_s is before R_e, the resistor at each screen: less R_e × I_s behind it");
    }
    equations.push(match stage.stage.bias {
        Bias::Fixed(_) => "V_g = fixed, V_k = 0",
        Bias::Cathode(_) => "V_g = −V_k, V_k = R_k × (I_a + I_s) of all tubes",
    });
    equations.push("I_a, I_s = the tube's curves at V_a, V_s, V_g");
    Solution {
        quantity: "Operating point at idle",
        equations,
        solution: vec![
            volts("V_b", idle.supply_volts, "B+ at the primary"),
            volts("V_a", idle.plate_volts, "plate from cathode"),
            volts("V_s", idle.screen_volts, "screen from cathode"),
            volts("V_g", idle.grid_volts, "grid from cathode"),
            volts("V_k", idle.cathode_volts, "cathode from ground"),
            amps("I_a", idle.plate_amps, "plate current, one tube"),
            amps("I_s", idle.screen_amps, "screen current, one tube"),
        ],
        residual: idle.residual_volts,
        residual_unit: Unit::Volt,
        source: "Kirchhoff's laws, Newton's method",
    }
}

fn cycle(stage: &SolvedStage, output: &ChosenOutput) -> Solution {
    let cycle = &output.onset;
    let stress = Stress::of(&stage.stage, cycle, 1.0);
    let unlike = stage.stage.imbalance;
    let mut equations = match stage.stage.topology {
        Topology::SingleEnded => vec![
            "v + V_k = V_b − R_w × i − u at each of 64 instants",
            "u = Z′ × (i − mean of i)",
            "i = the tubes' curves at v, V_s and V_g + V_p × cos θ, with the screens' share as at idle",
        ],
        Topology::PushPull if unlike.turns == 0.0 => vec![
            "v_1 + V_k = V_b − R_w/2 × i_1 − u, v_2 + V_k = V_b − R_w/2 × i_2 + u at each of 64 instants",
            "u = Z′/4 × (i_1 − i_2 − mean of it); 2 × u across the load",
            "i_1, i_2 = the tubes' curves at v_1, v_2, V_s and V_g ± V_p × cos θ, with the screens' share as at idle",
        ],
        Topology::PushPull => vec![
            "v_1 + V_k = V_b − R_w/2 × i_1 − a_1 × u, v_2 + V_k = V_b − R_w/2 × i_2 + a_2 × u at each of 64 instants",
            "u = Z′/4 × (a_1 × i_1 − a_2 × i_2 − mean of it); 2 × u across the load",
            "a_1, a_2 = turns of each half over their mean",
            "i_1, i_2 = the tubes' curves at v_1, v_2, V_s and V_g ± V_p × cos θ, with the screens' share as at idle",
        ],
    };
    if unlike.current != 0.0 {
        equations.push("i_1, i_2: times each side's share of the mean current");
    }
    if unlike.drive != 0.0 {
        equations.push("V_p: times each side's share of the mean drive");
    }
    equations.push("V_b, V_s, V_k from the means of the currents, as at idle");
    if stage.stage.stoppers != Stoppers::default() {
        equations.push("V_s less the drop over resistors without a capacitor, at each instant");
    }
    Solution {
        quantity: "The cycle at full drive, where grid current starts",
        equations,
        solution: vec![
            volts("V_p", cycle.drive_peak, "drive on each grid, peak"),
            volts("V_b", cycle.supply_volts, "B+ at the primary"),
            volts("V_k", cycle.cathode_volts, "cathode from ground"),
            amps(
                "I_a",
                cycle.plate_amps(),
                "plate current of all tubes, mean",
            ),
            amps(
                "I_s",
                cycle.screen_amps(),
                "screen current of all tubes, mean",
            ),
            input(
                "P_a",
                stress.plate_watts,
                Unit::Watt,
                "dissipation of one plate",
            ),
            volts("v_max", stress.peak_plate_volts, "highest plate volts"),
        ],
        residual: cycle.residual_volts,
        residual_unit: Unit::Volt,
        source: "the tube's curves against the load at every instant; the power supplied comes out again",
    }
}
