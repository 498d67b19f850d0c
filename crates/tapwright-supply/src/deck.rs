//! A supply for ngspice: the same parts and the same law, solved by another program.

use std::fmt::Write as _;

use crate::{Circuit, Law, Series, Supply};

/// The supply's parts, between nodes `n0` (the first capacitor), `n1`, … and ground; the winding's
/// current is that of `Vwinding`, or of `Vwinding` and `Vwinding2` for two halves. Every capacitor
/// starts at the volts given. A bridge's winding hangs on 100 MΩ, for a simulator needs to know where
/// it stands while no rectifier conducts.
pub fn deck(supply: &Supply, volts: &[f64]) -> String {
    let mut text = String::new();
    let feed = supply.feed;
    let sine = format!("SIN(0 {:e} {:e})", feed.peak(), feed.hertz);
    let inverse = format!("SIN(0 {:e} {:e})", -feed.peak(), feed.hertz);
    let _ = match supply.circuit {
        Circuit::FullWave => write!(
            text,
            "Vwinding w1 0 {sine}\nVwinding2 w2 0 {inverse}\nR1 w1 a1 {:e}\nR2 w2 a2 {0:e}\n{}{}",
            feed.ohms,
            rectifier(supply.law, 1, "a1", "n0"),
            rectifier(supply.law, 2, "a2", "n0"),
        ),
        Circuit::HalfWave => write!(
            text,
            "Vwinding w1 0 {sine}\nR1 w1 a1 {:e}\n{}",
            feed.ohms,
            rectifier(supply.law, 1, "a1", "n0"),
        ),
        Circuit::Bridge => write!(
            text,
            "Vwinding w1 a2 {sine}\nR1 w1 a1 {:e}\nRleak a2 0 1e8\n{}{}{}{}",
            feed.ohms,
            rectifier(supply.law, 1, "a1", "n0"),
            rectifier(supply.law, 2, "a2", "n0"),
            rectifier(supply.law, 3, "0", "a1"),
            rectifier(supply.law, 4, "0", "a2"),
        ),
        Circuit::Doubler => write!(
            text,
            "Vwinding w1 m {sine}\nR1 w1 a1 {:e}\n{}{}",
            feed.ohms,
            rectifier(supply.law, 1, "a1", "n0"),
            rectifier(supply.law, 2, "0", "a1"),
        ),
    };
    let start = |at: usize| volts.get(at).copied().unwrap_or(0.0);
    for (at, capacitor) in supply.capacitors().enumerate() {
        let farads = capacitor.farads;
        let _ = if at == 0 && supply.circuit == Circuit::Doubler {
            let half = start(0) / 2.0;
            writeln!(
                text,
                "C0 n0 m {farads:e} IC={half:e}\nC00 m 0 {farads:e} IC={half:e}"
            )
        } else {
            writeln!(text, "C{at} n{at} 0 {farads:e} IC={:e}", start(at))
        };
        let _ = writeln!(text, "I{at} n{at} 0 {:e}", capacitor.amps);
        if let Some(ohms) = capacitor.bleeder_ohms {
            let _ = writeln!(text, "Rbleeder{at} n{at} 0 {ohms:e}");
        }
    }
    for (at, section) in supply.sections.iter().enumerate() {
        let (from, to) = (at, at + 1);
        let _ = match section.series {
            Series::Resistor(ohms) => writeln!(text, "Rline{at} n{from} n{to} {ohms:e}"),
            Series::Choke(henries, ohms) => {
                let amps = (start(from) - start(to)) / ohms;
                writeln!(
                    text,
                    "Lline{at} n{from} l{at} {henries:e} IC={amps:e}\nRline{at} l{at} n{to} {ohms:e}"
                )
            }
        };
    }
    text
}

/// One rectifier. Silicon is the simulator's own diode, without any part beyond the exponential.
fn rectifier(law: Law, number: u32, plate: &str, cathode: &str) -> String {
    match law {
        Law::Vacuum(k) => {
            format!("B{number} {plate} {cathode} I={k:e}*pow(max(v({plate},{cathode}),0),1.5)\n")
        }
        Law::Silicon => format!(
            "D{number} {plate} {cathode} silicon{number}\n.model silicon{number} D(IS={:e} N={:e})\n",
            Law::SILICON_AMPS,
            // ngspice's thermal volts at its 27 °C.
            Law::SILICON_VOLTS / 0.025_864_186,
        ),
    }
}
