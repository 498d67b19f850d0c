//! The heaters: what balances them, what loads their winding, what stands between them and
//! their cathodes. A leaf of its own, a pure function of [`Solved`].

use serde::Serialize;

mod balance;
mod cathodes;
mod divider;
mod present;
mod winding;
mod workings;

pub use balance::{Balance, Trimmer};
pub use cathodes::{Cathode, Role};
pub use divider::Divider;
pub use present::Heated;
pub use winding::{FOR_A_LONG_LIFE, USUAL_LOSS, WITHIN, Winding};

use crate::setup::{HeatedRectifier, HeaterTap};
use crate::solved::Solved;
use crate::values::{RectifierKind, Refused};
use crate::working::Working;

/// Volts of a heater where no tube says any. Common practice, no source.
const USUAL_VOLTS: f64 = 6.3;

/// Tolerance of a resistor where none is typed. Common practice, no source.
const USUAL_TOLERANCE: f64 = 0.05;

/// The two resistors that are proposed, Ω. Common practice, no source.
const USUAL_OHMS: f64 = 100.0;

/// Volts of a heater that count as the winding’s: off by less than this share.
const SAME_VOLTS: f64 = 0.15;

/// What ties the heaters to ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tie {
    /// Nothing does.
    Nothing,
    /// The winding’s own centre tap.
    CentreTap,
    /// One end of the winding; the middle of the heaters stands at half of the volts.
    OneEnd,
    /// Two resistors.
    Resistors(Tied),
    /// What was typed is refused.
    Refused(Refused),
}

/// Two resistors, and what they do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tied {
    /// The resistors.
    pub balance: Balance,
    /// The current through both, A.
    pub amps: f64,
    /// What each turns into heat, W.
    pub watts: [f64; 2],
    /// Volts rms of the middle of the heaters from ground, as the values say.
    pub residual: f64,
    /// The same in the worst case of the tolerance.
    pub worst: f64,
    /// What a trimmer would gain.
    pub trimmer: Option<Trimmer>,
}

impl Tied {
    fn new(balance: Balance) -> Self {
        Self {
            balance,
            amps: balance.amps(),
            watts: balance.watts(),
            residual: balance.residual(),
            worst: balance.worst(),
            trimmer: balance.trimmer(),
        }
    }
}

/// The heaters raised above ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Raised {
    /// Volts wanted.
    pub wanted: f64,
    /// The divider; `None` while B+ is not known, or is not above the volts wanted.
    pub divider: Option<Divider>,
    /// Volts that it gives.
    pub volts: Option<f64>,
    /// What its upper and its lower resistor turn into heat, W.
    pub watts: Option<[f64; 2]>,
}

/// The volts at the heaters.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Present {
    /// V rms.
    pub volts: f64,
    /// Whether they were read and not computed.
    pub is_read: bool,
    /// Mains present over the mains that the tap in use is for; `None` while not both are known.
    pub mains: Option<f64>,
    /// By how much they are off what the tubes want, as a share.
    pub off: f64,
    /// Ohms in each leg that bring them down to it, and watts of each; where they are too many.
    pub in_each_leg: Option<[f64; 2]>,
}

/// The heaters.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeaterReport {
    /// The tubes that are known, and whether this winding suits them.
    pub tubes: Vec<Heated>,
    /// Whether a tube typed from its datasheet is there: its heater is not known, nor counted.
    pub has_own_tube: bool,
    /// What the tubes on this winding want, V rms.
    pub wanted_volts: f64,
    /// The winding.
    pub winding: Winding,
    /// What the tubes on it draw, A.
    pub tube_amps: f64,
    /// What else was typed, A.
    pub extra_amps: f64,
    /// All that it feeds, the two resistors included, A.
    pub load_amps: f64,
    /// The volts at the heaters.
    pub present: Present,
    /// What ties them to ground.
    pub tie: Tie,
    /// What two resistors of common practice would do.
    pub usual: Tied,
    /// The heaters raised above ground.
    pub raised: Option<Raised>,
    /// Where the heaters stand, V DC from ground; `None` where nothing ties them.
    pub level: Option<f64>,
    /// B+ at the cathode of a rectifier on the same winding, V.
    pub rectifier_cathode: Option<f64>,
    /// Each cathode against its heater.
    pub cathodes: Vec<Cathode>,
    /// Between which levels the heaters may stand, V from ground; `None` where no level suits
    /// every tube.
    pub window: Option<[f64; 2]>,
    /// How the numbers came about.
    pub workings: Vec<Working>,
}

/// Everything about the heaters that the set-up tells.
///
/// ```
/// use tapwright_core::heaters::{Tie, ask};
/// use tapwright_core::{link, solve};
/// let report = solve(&link::parse("tube=EL84&supply=250&heater_resistors=100").setup);
/// let Tie::Resistors(tied) = ask(&report.solved).tie else { panic!() };
/// assert!((tied.worst - 0.1575).abs() < 1e-9);
/// ```
pub fn ask(solved: &Solved) -> HeaterReport {
    let values = &solved.heaters;
    let numbers = &values.numbers;
    let mut tubes = present::tubes(solved);
    let wanted_volts = wanted_volts(&tubes, numbers.heater_volts);
    for tube in &mut tubes {
        tube.is_on_winding = (tube.heater.volts / wanted_volts - 1.0).abs() < SAME_VOLTS;
    }
    let winding = Winding::new(
        numbers.heater_volts.unwrap_or(wanted_volts),
        numbers.heater_amps,
        numbers.heater_winding,
    );
    let tie = tie(solved, winding.volts);
    let tube_amps = (tubes.iter().filter(|tube| tube.is_on_winding))
        .map(Heated::amps)
        .sum();
    let extra_amps = numbers.heater_extra.unwrap_or(0.0);
    let tie_amps = match tie {
        Tie::Resistors(tied) => tied.amps,
        _ => 0.0,
    };
    let load_amps = tube_amps + extra_amps + tie_amps;
    let supply = supply_volts(solved);
    let raised = numbers
        .heater_raise
        .map(|wanted| raised(solved, wanted, supply));
    let at_supply = values.rectifier == HeatedRectifier::Joined;
    let level = match (tie, raised) {
        _ if at_supply => supply,
        (Tie::Nothing | Tie::Refused(_), _) => None,
        (_, Some(raised)) => raised.volts,
        _ => Some(0.0),
    };
    let swing = winding.volts * 2_f64.sqrt() * if tie == Tie::OneEnd { 1.0 } else { 0.5 };
    let cathodes: Vec<Cathode> = (present::cathodes(solved, &tubes).into_iter())
        .map(|cathode| cathode.against(level, swing))
        .collect();
    let mut report = HeaterReport {
        window: cathodes::window(&cathodes, swing),
        present: present(solved, winding, wanted_volts, load_amps),
        rectifier_cathode: supply.filter(|_| values.rectifier == HeatedRectifier::Insulated),
        has_own_tube: present::has_own_tube(solved),
        usual: Tied::new(Balance {
            volts: winding.volts,
            ohms: [USUAL_OHMS; 2],
            tolerance: USUAL_TOLERANCE,
        }),
        tubes,
        wanted_volts,
        winding,
        tube_amps,
        extra_amps,
        load_amps,
        tie,
        raised,
        level,
        cathodes,
        workings: Vec::new(),
    };
    report.workings = workings::every(&report);
    report
}

/// What the heaters of all tubes that are known turn into heat, W, on whichever winding they are;
/// with the rectifier's.
pub(crate) fn watts(solved: &Solved, rectifier: RectifierKind) -> f64 {
    let tubes = present::tubes(solved);
    let rectifier = match rectifier {
        RectifierKind::Tube(tube) if solved.heaters.rectifier_tube.is_none() => {
            tube.heater.volts * tube.heater.amps
        }
        // It has none, or is among the tubes on the winding.
        _ => 0.0,
    };
    let watts = tubes.iter().map(|tube| tube.heater.volts * tube.amps());
    watts.sum::<f64>() + rectifier
}

/// What the tubes want: the rated volts nearest to what is stamped on the winding, or those of
/// the most amperes. A filament wants a winding of its own and counts last.
fn wanted_volts(tubes: &[Heated], stamped: Option<f64>) -> f64 {
    let near = |tube: &&Heated| match stamped {
        Some(stamped) => (tube.heater.volts / stamped - 1.0).abs() < SAME_VOLTS,
        None => true,
    };
    let most = (tubes.iter().filter(near)).max_by(|one, other| {
        let rank = |tube: &Heated| (!tube.heater.is_filament, tube.amps());
        let ((one, one_amps), (other, other_amps)) = (rank(one), rank(other));
        one.cmp(&other).then(one_amps.total_cmp(&other_amps))
    });
    most.map_or(stamped.unwrap_or(USUAL_VOLTS), |tube| tube.heater.volts)
}

fn tie(solved: &Solved, volts: f64) -> Tie {
    let values = &solved.heaters;
    if let Some(refused) = values.refused {
        return Tie::Refused(refused);
    }
    match (values.tap, values.resistors) {
        (HeaterTap::Centre, _) => Tie::CentreTap,
        (HeaterTap::End, _) => Tie::OneEnd,
        (HeaterTap::None, None) => Tie::Nothing,
        (HeaterTap::None, Some(ohms)) => {
            let tolerance = values.numbers.heater_tolerance.unwrap_or(USUAL_TOLERANCE);
            Tie::Resistors(Tied::new(Balance {
                volts,
                ohms,
                tolerance,
            }))
        }
    }
}

/// B+ as the stage has it, or as it was typed.
fn supply_volts(solved: &Solved) -> Option<f64> {
    let stage = solved.stage().map(|stage| stage.assumed.supply.0);
    stage.or(solved.supply.map(|supply| supply.0))
}

fn raised(solved: &Solved, wanted: f64, supply: Option<f64>) -> Raised {
    let numbers = &solved.heaters.numbers;
    let divider = supply.filter(|supply| *supply > wanted).map(|supply| {
        Divider::for_volts(wanted, supply, numbers.heater_upper, numbers.heater_lower)
    });
    Raised {
        wanted,
        divider,
        volts: divider.map(Divider::volts),
        watts: divider.map(Divider::watts),
    }
}

fn present(solved: &Solved, winding: Winding, wanted: f64, load_amps: f64) -> Present {
    let read = solved.heaters.numbers.heater_reading;
    let mains = mains_over_rated(solved);
    let volts = read.unwrap_or_else(|| winding.volts_at(mains.unwrap_or(1.0), load_amps));
    let over = volts - wanted;
    let in_each_leg = (over > FOR_A_LONG_LIFE * wanted && load_amps > 0.0)
        .then(|| [0.5 * over / load_amps, 0.5 * over * load_amps]);
    Present {
        volts,
        is_read: read.is_some(),
        mains,
        off: volts / wanted - 1.0,
        in_each_leg,
    }
}

/// The mains present over what the tap in use is for: as the described supply has them, or as
/// both were typed.
fn mains_over_rated(solved: &Solved) -> Option<f64> {
    let found = solved
        .power_supply
        .as_ref()
        .and_then(|found| found.as_ref().ok());
    let described = found.map(|found| &found.described);
    let described = described.filter(|described| described.transformer.is_some());
    let ratio = described.map(|described| described.mains / described.tap);
    ratio.or(solved.heaters.mains)
}
