//! What to beware of with the heaters.

use serde::Serialize;

use crate::heaters::{self, Cathode, FOR_A_LONG_LIFE, HeaterReport, Tie, WITHIN};
use crate::solved::Solved;
use crate::values::Refused;

/// Watts from which a resistor of a virtual centre tap is no small part any more.
const WARM: f64 = 0.5;

/// What rectifiers with a cathode of their own take between heater and cathode, V: EZ81 and EZ80
/// 500, 6X4 450. From memory.
const RECTIFIER_TAKES: f64 = 450.0;

/// What to beware of with the heaters.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// A way to ground is refused.
    Refused(Refused),
    /// Other tubes are heated by a winding that stands at B+, V.
    TubesAtSupply(f64),
    /// The load on the winding (first) is more than its stamped amperes.
    Overloaded(f64, f64),
    /// A tube’s limit between heater and cathode is passed.
    HeaterCathode(Cathode),
    /// A rectifier’s cathode is so many volts above the heaters, and takes no more than the
    /// second.
    RectifierCathode(f64, f64),
    /// No level suits the cathodes of every tube.
    NoLevel,
    /// The volts at the heaters are off by such a share; more than 10 %.
    VoltsFarOff(f64),
    /// The same, more than 5 %.
    VoltsOff(f64),
    /// A type wants other volts, V, than this winding has.
    OtherVolts(&'static str, f64),
    /// A tube typed from its datasheet is not counted.
    OwnTubeNotCounted,
    /// The heaters float.
    Floating,
    /// A resistor of the virtual centre tap turns so many watts into heat.
    Warm(f64),
    /// B+ is not known, or not above the volts wanted.
    NothingToRaiseFrom,
}

/// The heaters, and what to beware of with them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// The heaters.
    pub report: HeaterReport,
    /// What to beware of, most pressing first.
    pub cautions: Vec<Caution>,
}

/// Everything about the heaters that the set-up tells.
pub fn told(solved: &Solved) -> Told {
    let report = heaters::ask(solved);
    Told {
        cautions: every(&report),
        report,
    }
}

/// What to beware of, most pressing first.
pub fn every(report: &HeaterReport) -> Vec<Caution> {
    let mut all = Vec::new();
    if let Tie::Refused(refused) = report.tie {
        all.push(Caution::Refused(refused));
    }
    let at_supply = (report.level).filter(|_| matches!(report.tie, Tie::Nothing));
    let others = !report.cathodes.is_empty();
    all.extend(at_supply.filter(|_| others).map(Caution::TubesAtSupply));
    if let Some(rated) = (report.winding.rated_amps).filter(|rated| report.load_amps > *rated) {
        all.push(Caution::Overloaded(report.load_amps, rated));
    }
    if at_supply.is_none() {
        let over = report.cathodes.iter().filter(|cathode| cathode.is_over());
        all.extend(over.map(|cathode| Caution::HeaterCathode(*cathode)));
        all.extend(report.window.is_none().then_some(Caution::NoLevel));
    }
    let below = report.rectifier_cathode.zip(report.level);
    let below = below.map(|(cathode, level)| cathode - level);
    let too_far = below.filter(|volts| *volts > RECTIFIER_TAKES);
    all.extend(too_far.map(|volts| Caution::RectifierCathode(volts, RECTIFIER_TAKES)));
    let off = report.present.off;
    let is_known = !report.tubes.is_empty();
    all.extend(match off.abs() {
        _ if !is_known => None,
        far if far > WITHIN => Some(Caution::VoltsFarOff(off)),
        some if some > FOR_A_LONG_LIFE => Some(Caution::VoltsOff(off)),
        _ => None,
    });
    let elsewhere = report.tubes.iter().filter(|tube| !tube.is_on_winding);
    all.extend(elsewhere.map(|tube| Caution::OtherVolts(tube.tube, tube.heater.volts)));
    all.extend(report.has_own_tube.then_some(Caution::OwnTubeNotCounted));
    if report.tie == Tie::Nothing && at_supply.is_none() && others {
        all.push(Caution::Floating);
    }
    if let Tie::Resistors(tied) = report.tie {
        let most = tied.watts[0].max(tied.watts[1]);
        all.extend((most > WARM).then_some(Caution::Warm(most)));
    }
    if (report.raised).is_some_and(|raised| raised.divider.is_none()) {
        all.push(Caution::NothingToRaiseFrom);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{link, solve};

    /// A push-pull pair of EL84 behind a split load, all on one winding.
    const PAIR: &str = "v=1&primary=8k&taps=8&hookup=8&tube=EL84&supply=300";

    fn cautions(link: &str) -> Vec<Caution> {
        every(&heaters::ask(&solve(&link::parse(link).setup).solved))
    }

    #[test]
    fn a_sound_winding_gives_no_cause() {
        let found = cautions(&format!("{PAIR}&driver=12AX7&heater_resistors=100"));
        assert_eq!(found, []);
        assert_eq!(cautions(PAIR), [Caution::Floating]);
    }

    /// Two EL84 draw 1.52 A.
    #[test]
    fn an_overloaded_winding_is_said() {
        let found = cautions(&format!("{PAIR}&heater_amps=1.5&heater_tap=centre"));
        assert!(
            matches!(found[..], [Caution::Overloaded(amps, 1.5)] if (amps - 1.52).abs() < 1e-9),
            "{found:?}"
        );
    }

    /// A 6SL7 as a split load stands where its heater must be raised; raised, it may stay.
    #[test]
    fn a_split_load_asks_for_a_raised_heater() {
        let link =
            format!("{PAIR}&driver=6SL7&splitter=split-load&driver_supply=400&heater_tap=centre");
        let report = heaters::ask(&solve(&link::parse(&link).setup).solved);
        let split = report.cathodes.last().expect("a split load");
        assert_eq!(split.role, heaters::Role::SplitLoad);
        let volts = split.volts.expect("solved");
        assert!(volts > 90.0 && split.is_over(), "{split:?}");
        assert!(matches!(every(&report)[..], [Caution::HeaterCathode(_)]));
        let [low, high] = report.window.expect("a level");
        assert!((low - (volts - 90.0 + 6.3 * 0.5_f64.sqrt())).abs() < 1e-9 && high > low);
        assert_eq!(cautions(&format!("{link}&heater_raise=40")), []);
    }

    #[test]
    fn a_winding_at_b_plus_heats_nothing_else() {
        let found = cautions(&format!("{PAIR}&heater_rectifier=joined"));
        assert!(
            matches!(found[..], [Caution::TubesAtSupply(volts)] if volts == 300.0),
            "{found:?}"
        );
        let found = cautions(&format!("{PAIR}&heater_rectifier=joined&heater_tap=centre"));
        assert_eq!(found[0], Caution::Refused(Refused::AtSupply));
    }

    /// 7 V and 5.9 V read where 6.3 V are wanted: 11 % above, 6 % below.
    #[test]
    fn heater_volts_are_held_against_what_tubes_want() {
        let read =
            |volts: &str| cautions(&format!("{PAIR}&heater_tap=centre&heater_reading={volts}"));
        assert!(matches!(read("7")[..], [Caution::VoltsFarOff(off)] if (off - 0.111).abs() < 1e-3));
        assert!(matches!(read("5.9")[..], [Caution::VoltsOff(off)] if (off + 0.063).abs() < 1e-3));
        assert_eq!(read("6.4"), []);
    }
}
