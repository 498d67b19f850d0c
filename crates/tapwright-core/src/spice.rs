//! An output stage as a netlist that ngspice runs.
//!
//! The same equations and parameters as in [`tapwright_tube`], the same circuit as in
//! [`tapwright_stage`], but as parts: resistors, capacitors, a primary inductance and an ideal
//! transformer made of controlled sources. ngspice starts from the idle point and runs the
//! drive until the slow voltages have come to rest. Nothing of the solver of
//! [`tapwright_stage`] goes into it, so that the two can be held against each other.
//!
//! Where [`tapwright_stage`] takes capacitors and inductance as infinite, here they are large:
//! a reactance of a fiftieth of its resistance or less at the frequency of the drive. What
//! that leaves as ripple is a quarter cycle behind, and changes amplitudes and averages by
//! its square only, less than a thousandth.

use std::fmt::{self, Display, Formatter};

use tapwright_stage::{Drive, Stage, StageError};
use tapwright_tube::Topology;
use tapwright_tube::deck::subcircuit;

mod circuit;
mod part;

use part::Value;

/// Frequency of the drive, Hz. The parts are sized for it, and no result depends on it.
pub const HERTZ: f64 = 1_000.0;

/// Cycles between the two readings of each slow quantity, which tell whether it still moves.
pub const APART: u32 = 10;

/// Points in a cycle.
const POINTS: u32 = 80;

/// Primary inductance: its reactance over the load.
const INDUCTANCE: f64 = 50.0;

/// Capacitors of the supplies and the screens: resistance over reactance.
const DECOUPLING: f64 = 60.0;

/// Cathode capacitor: resistance over reactance. The tube's own 1/g_m lies across it, so it
/// settles several times sooner than the resistor alone tells.
const BYPASS: f64 = 120.0;

/// A stage, its load and its drive, as a netlist.
///
/// Shown by [`Display`]: the text is a complete file for `ngspice -b`, with comments. It
/// prints the idle point and, with a drive, the Fourier analysis of the last cycle.
///
/// ```
/// use tapwright_core::spice::Netlist;
/// use tapwright_stage::{Drive, Imbalance, ScreenFeed, Stage, Stoppers, Supply};
/// use tapwright_tube::{Bias, Topology};
///
/// let stage = Stage {
///     model: tapwright_tube::find("6V6GT").unwrap().model,
///     topology: Topology::SingleEnded,
///     tubes_per_side: 1,
///     plate_supply: Supply { volts: 250.0, ohms: 0.0 },
///     screen: ScreenFeed::Dropper(470.0),
///     bias: Bias::Cathode(250.0),
///     stoppers: Stoppers { each: 1_000.0, common: 0.0 },
///     primary_ohms: 200.0,
///     imbalance: Imbalance::default(),
/// };
/// let text = Netlist::new(stage, 5_000.0, Drive::Peak(10.0))?.to_string();
/// assert!(text.contains("\nRload load 0 5000"));
/// assert!(text.contains("\nRcathode k 0 250"));
/// assert!(text.contains("\nRstopper1 s t1 1000"));
/// assert!(text.contains("\nfourier 1000 v(load)"));
/// # Ok::<(), tapwright_stage::StageError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Netlist {
    stage: Stage,
    load_ohms: f64,
    drive: Drive,
    cycles: u32,
}

impl Netlist {
    /// Cycles that let most stages come to rest.
    pub const CYCLES: u32 = 90;

    /// A stage with a load (reflected; plate to plate in push-pull), Ω, run for
    /// [`Self::CYCLES`].
    ///
    /// # Errors
    /// [`StageError::OutOfRange`] for what [`Stage::check`] refuses and for a drive that is
    /// no drive.
    pub fn new(stage: Stage, load_ohms: f64, drive: Drive) -> Result<Self, StageError> {
        stage.check(load_ohms)?;
        match drive {
            Drive::OfGridCurrent(part) if !(0.0..=1.0).contains(&part) => {
                Err(StageError::OutOfRange("the part of the drive", part))
            }
            Drive::Peak(volts) if !(0.0..=1e5).contains(&volts) => {
                Err(StageError::OutOfRange("the drive", volts))
            }
            _ => Ok(Self {
                stage,
                load_ohms,
                drive,
                cycles: Self::CYCLES,
            }),
        }
    }

    /// The same for another number of cycles, at least [`APART`] and two.
    ///
    /// ```
    /// # use tapwright_core::spice::Netlist;
    /// # use tapwright_stage::*;
    /// # use tapwright_tube::{self, Bias, Topology};
    /// # let supply = Supply { volts: 250.0, ohms: 0.0 };
    /// # let stage = Stage {
    /// #     model: tapwright_tube::find("2A3").unwrap().model, topology: Topology::SingleEnded,
    /// #     tubes_per_side: 1, plate_supply: supply, screen: ScreenFeed::Tap(1.0),
    /// #     bias: Bias::Fixed(-45.0), stoppers: Stoppers::default(), primary_ohms: 0.0,
    /// #     imbalance: Imbalance::default(),
    /// # };
    /// let netlist = Netlist::new(stage, 2_500.0, Drive::OfGridCurrent(1.0))?;
    /// assert!(netlist.for_cycles(300).to_string().contains("tran 1.25e-5 0.3 "));
    /// # Ok::<(), StageError>(())
    /// ```
    pub fn for_cycles(self, cycles: u32) -> Self {
        Self {
            cycles: cycles.max(APART + 2),
            ..self
        }
    }

    /// What stands still but for ripple, by the names under which ngspice knows it and
    /// a plain one.
    fn slow(&self) -> Vec<[&'static str; 2]> {
        let mut slow = vec![["v(b)", "b"], ["i(Lprimary)", "lprimary"]];
        if self.has_screen() && self.tap().is_none() {
            slow.push(["v(s)", "s"]);
        }
        if self.cathode() != "0" {
            slow.push(["v(k)", "k"]);
        }
        slow
    }

    fn analysis(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let leads: Vec<String> = (1..=self.sides())
            .flat_map(|n| {
                let screen = self.has_screen().then(|| format!("i(Vscreen{n})"));
                std::iter::once(format!("i(Vplate{n})")).chain(screen)
            })
            .collect();
        let slow = self.slow();
        let still = slow.iter().map(|[quantity, _]| (*quantity).to_owned());
        let shown: Vec<String> = still.chain(leads).collect();
        writeln!(f, "\n.options reltol=1e-4\n.control\nset numdgt=7")?;
        writeln!(f, "* The idle point.\nop")?;
        writeln!(f, "print {}", shown.join(" "))?;
        if self.drive != Drive::Idle {
            let cycle = 1.0 / HERTZ;
            let stop = f64::from(self.cycles) * cycle;
            let step = Value(cycle / f64::from(POINTS));
            let start = Value(stop - f64::from(APART + 1) * cycle);
            writeln!(
                f,
                "\n* {} cycles of the drive, the last ones kept.",
                self.cycles
            )?;
            writeln!(f, "tran {step} {} {start} {step}", Value(stop))?;
            writeln!(
                f,
                "\n* Slow quantities {APART} cycles before the end and at the end: they must agree."
            )?;
            let late = stop - cycle / 4.0;
            for [quantity, name] in &slow {
                let early = late - f64::from(APART) * cycle;
                let (early, late) = (Value(early), Value(late));
                writeln!(f, "meas tran early_{name} FIND {quantity} AT={early}")?;
                writeln!(f, "meas tran late_{name} FIND {quantity} AT={late}")?;
            }
            writeln!(
                f,
                "\n* Harmonics of the last cycle; line 0 of each table is the average."
            )?;
            writeln!(f, "set nfreqs=40\nset fourgridsize=1024\nset polydegree=2")?;
            writeln!(f, "fourier {HERTZ} v(load) {}", shown.join(" "))?;
        }
        writeln!(f, "quit 0\n.endc\n.end")
    }
}

impl Display for Netlist {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{} output stage into {} ohms",
            match self.stage.topology {
                Topology::SingleEnded => "Single-ended",
                Topology::PushPull => "Push-pull",
            },
            Value(self.load_ohms)
        )?;
        writeln!(
            f,
            "* Run it with: ngspice -b FILE\n\
             * The capacitors and the primary inductance are large and settle soon: they are\n\
             * chosen for the calculation, not for an amplifier.\n"
        )?;
        f.write_str(&subcircuit(&self.stage.model))?;
        self.supplies(f)?;
        self.bias(f)?;
        self.grids(f)?;
        self.transformer(f)?;
        self.tubes(f)?;
        self.analysis(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tapwright_stage::{Imbalance, ScreenFeed, Stoppers, Supply};
    use tapwright_tube::{Bias, tubes};

    /// What the solver refuses is refused here, in the same words.
    #[test]
    fn refuses_what_the_solver_refuses() {
        let good = Stage {
            model: tubes()[0].model,
            topology: Topology::PushPull,
            tubes_per_side: 1,
            plate_supply: Supply {
                volts: 300.0,
                ohms: 0.0,
            },
            screen: ScreenFeed::Dropper(0.0),
            bias: Bias::Fixed(-15.0),
            stoppers: Stoppers::default(),
            primary_ohms: 0.0,
            imbalance: Imbalance::default(),
        };
        let bad = Stage {
            primary_ohms: f64::NAN,
            ..good
        };
        for (stage, load, drive) in [
            (bad, 8_000.0, Drive::Idle),
            (good, 0.0, Drive::Idle),
            (good, 8_000.0, Drive::OfGridCurrent(1.5)),
            (good, 8_000.0, Drive::Peak(-1.0)),
        ] {
            let solver = tapwright_stage::Solver::new(stage).cycle(load, drive);
            let netlist = Netlist::new(stage, load, drive);
            assert_eq!(
                netlist.map_err(|e| e.to_string()).err(),
                solver.map_err(|e| e.to_string()).err()
            );
            assert!(Netlist::new(stage, load, drive).is_err());
        }
    }
}
