//! The circuit of a stage, group by group.

use std::f64::consts::PI;
use std::fmt::{self, Formatter};

use super::part::{Value, behind, coil, farads, rail};
use super::{BYPASS, DECOUPLING, HERTZ, INDUCTANCE, Netlist};
use tapwright_stage::{Drive, ScreenFeed};
use tapwright_tube::{Bias, Model, Topology};

impl Netlist {
    pub(super) fn sides(&self) -> usize {
        match self.stage.topology {
            Topology::SingleEnded => 1,
            Topology::PushPull => 2,
        }
    }

    /// The fraction of the turns at which the screens are, where they are on the primary.
    pub(super) fn tap(&self) -> Option<f64> {
        match (self.stage.model, self.stage.screen) {
            (Model::Triode(_), _) => None,
            (_, ScreenFeed::Tap(fraction)) => Some(fraction),
            _ => None,
        }
    }

    pub(super) fn has_screen(&self) -> bool {
        matches!(self.stage.model, Model::Pentode(_))
    }

    /// The node on which the cathodes are.
    pub(super) fn cathode(&self) -> &'static str {
        match self.stage.bias {
            Bias::Cathode(ohms) if ohms > 0.0 => "k",
            _ => "0",
        }
    }

    /// Currents, drive and turns of a side over the average of the two.
    pub(super) fn unlike(&self, side: usize) -> [f64; 3] {
        let of = self.stage.imbalance;
        let sign = if side == 0 { 0.5 } else { -0.5 };
        match self.stage.topology {
            Topology::SingleEnded => [1.0, 1.0 + of.drive / 2.0, 1.0],
            Topology::PushPull => {
                [of.current, of.drive, of.turns].map(|difference| 1.0 + sign * difference)
            }
        }
    }

    pub(super) fn supplies(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let source = self.stage.plate_supply;
        writeln!(f, "\n* Plate supply: {}", behind(source.ohms))?;
        rail(f, "supply", "b", source.volts, source.ohms)?;
        if !self.has_screen() {
            return Ok(());
        }
        match self.stage.screen {
            ScreenFeed::Own(own) => {
                writeln!(f, "\n* Screen supply: {}", behind(own.ohms))?;
                rail(f, "screen", "s", own.volts, own.ohms)
            }
            ScreenFeed::Dropper(ohms) if ohms > 0.0 => {
                writeln!(
                    f,
                    "\n* Screens: a resistor from the plate supply, and a capacitor"
                )?;
                writeln!(f, "Rscreen b s {}", Value(ohms))?;
                writeln!(f, "Cscreen s 0 {}", Value(farads(DECOUPLING, ohms)))
            }
            ScreenFeed::Dropper(_) => {
                writeln!(f, "\n* Screens: on the plate supply")?;
                writeln!(f, "Vscreen b s 0")
            }
            ScreenFeed::Tap(_) => Ok(()),
        }
    }

    pub(super) fn bias(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self.stage.bias {
            Bias::Cathode(ohms) if ohms > 0.0 => {
                writeln!(f, "\n* Cathode bias: one resistor for all tubes, bypassed")?;
                writeln!(f, "Rcathode k 0 {}", Value(ohms))?;
                writeln!(f, "Ccathode k 0 {}", Value(farads(BYPASS, ohms)))
            }
            _ => writeln!(f, "\n* Fixed bias: the cathodes are on ground"),
        }
    }

    pub(super) fn grids(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let still = match self.stage.bias {
            Bias::Fixed(volts) => volts,
            Bias::Cathode(_) => 0.0,
        };
        let largest = 1.0 + self.stage.imbalance.drive.abs() / 2.0;
        writeln!(f, "\n* Drive, from the grids to ground")?;
        for side in 0..self.sides() {
            let n = side + 1;
            let sign = if side == 0 { 1.0 } else { -1.0 };
            let part = sign * self.unlike(side)[1];
            match (self.drive, self.stage.bias) {
                (Drive::OfGridCurrent(of), Bias::Cathode(ohms)) if ohms > 0.0 => writeln!(
                    f,
                    "* a peak of the voltage over the cathode resistor, times {of}\n\
                     Bgrid{n} g{n} 0 V = {} * V(k) * sin(2*pi*{HERTZ}*time)",
                    Value(part * of / largest)
                )?,
                (drive, _) => {
                    let peak = match drive {
                        Drive::Idle => 0.0,
                        Drive::OfGridCurrent(of) => -still.min(0.0) * of / largest,
                        Drive::Peak(volts) => volts,
                    };
                    writeln!(
                        f,
                        "Vgrid{n} g{n} 0 SIN({} {} {HERTZ})",
                        Value(still),
                        Value(part * peak)
                    )?;
                }
            }
        }
        Ok(())
    }

    /// The node `load` is the primary as a whole on the ideal core: its voltage is that of
    /// supply to plate or plate to plate, and the windings are parts of its turns.
    pub(super) fn transformer(&self, f: &mut Formatter<'_>) -> fmt::Result {
        // A triode's plate resistance lies across the primary and makes it settle late: less
        // inductance does there.
        let follows = if self.has_screen() {
            self.tap().unwrap_or(0.0)
        } else {
            1.0
        };
        let ohms = INDUCTANCE * self.load_ohms / (1.0 + 2.0 * follows);
        writeln!(
            f,
            "\n* Output transformer. The node \"load\" carries the voltage of the whole primary;\n\
             * each winding takes its part of that (E) and gives its part of the current (F)."
        )?;
        writeln!(f, "Rload load 0 {}", Value(self.load_ohms))?;
        writeln!(f, "Lprimary load 0 {}", Value(ohms / (2.0 * PI * HERTZ)))?;
        let (share, winding) = match self.stage.topology {
            Topology::SingleEnded => (1.0, self.stage.primary_ohms),
            Topology::PushPull => (0.5, self.stage.primary_ohms / 2.0),
        };
        for side in 0..self.sides() {
            let n = side + 1;
            let sign = if side == 0 { 1.0 } else { -1.0 };
            let turns = sign * share * self.unlike(side)[2];
            match self.tap() {
                Some(tap) if tap > 0.0 && tap < 1.0 => {
                    let inner = [format!("{n}a"), "b".into(), format!("tap{n}")];
                    let outer = [format!("{n}b"), format!("tap{n}"), format!("plate{n}")];
                    coil(f, &inner, tap * turns, tap * winding)?;
                    coil(f, &outer, (1.0 - tap) * turns, (1.0 - tap) * winding)?;
                }
                _ => {
                    let whole = [n.to_string(), "b".into(), format!("plate{n}")];
                    coil(f, &whole, turns, winding)?;
                }
            }
        }
        Ok(())
    }

    /// The resistor common to all screens that no capacitor follows.
    fn common_stopper(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self.stage.stoppers.common {
            ohms if ohms > 0.0 => {
                writeln!(
                    f,
                    "\n* A resistor common to all screens, without a capacitor"
                )?;
                writeln!(f, "Rcommon s c {}", Value(ohms))
            }
            _ => Ok(()),
        }
    }

    pub(super) fn tubes(&self, f: &mut Formatter<'_>) -> fmt::Result {
        self.common_stopper(f)?;
        writeln!(
            f,
            "\n* Tubes, with an ammeter in each plate lead and each screen lead. \"many\" is the\n\
             * number of tubes in parallel, times what this side draws over the average."
        )?;
        let k = self.cathode();
        for side in 0..self.sides() {
            let n = side + 1;
            let many = Value(f64::from(self.stage.tubes_per_side) * self.unlike(side)[0]);
            writeln!(f, "Vplate{n} plate{n} p{n} 0")?;
            if self.has_screen() {
                let from = match self.tap() {
                    None if self.stage.stoppers.common > 0.0 => "c".to_owned(),
                    None => "s".to_owned(),
                    Some(tap) if tap >= 1.0 => format!("plate{n}"),
                    Some(tap) if tap <= 0.0 => "b".to_owned(),
                    Some(_) => format!("tap{n}"),
                };
                let each = self.stage.stoppers.each / f64::from(self.stage.tubes_per_side);
                if each > 0.0 {
                    writeln!(f, "Rstopper{n} {from} t{n} {}", Value(each))?;
                    writeln!(f, "Vscreen{n} t{n} s{n} 0")?;
                } else {
                    writeln!(f, "Vscreen{n} {from} s{n} 0")?;
                }
                writeln!(f, "X{n} p{n} s{n} g{n} {k} tube many={many}")?;
            } else {
                writeln!(f, "X{n} p{n} g{n} {k} tube many={many}")?;
            }
        }
        Ok(())
    }
}
