//! What the power supply does: a costly part of a leaf, a pure function of [`Solved`].

use serde::Serialize;
use tapwright_supply::{
    PartCurrent, Passed, Steady, Supply, Unsolved, Wave, bleeder, cold_start, plate_ohms_wanted,
    seconds_until_safe,
};

mod beware;
mod by_tap;
mod mains;
mod workings;

pub use by_tap::AtTap;
pub use mains::MainsCurrent;

use crate::caution::supply::Caution;
use crate::described::{Loads, Places, SolvedSupply, is_fast};
use crate::solved::Solved;
use crate::taken::Taken;
use crate::values::RectifierKind;
use crate::working::{Solution, Working};

/// How far above its nominal value the mains is taken at a cold start. Common practice, no source.
pub const MAINS_ABOVE: f64 = 0.1;
/// Within this time a bleeder should have emptied the capacitors, s. Common practice, no source.
pub const SAFE_WITHIN: f64 = 30.0;
/// B+ against load: parts of what is drawn at idle.
const PARTS: [f64; 5] = [0.0, 0.5, 1.0, 1.5, 2.0];

/// One capacitor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Node {
    /// F.
    pub farads: f64,
    /// At idle, V.
    pub volts: f64,
    /// Peak to peak at idle, V.
    pub ripple: f64,
    /// At full drive, V, where that is known.
    pub full: Option<f64>,
    /// With the tubes pulled out, V.
    pub open: f64,
    /// The most at a cold start, with the mains high, V.
    pub cold: f64,
    /// What the capacitor is rated for, V.
    pub rated: Option<f64>,
    /// Until it is below 60 V with the tubes in and hot, s; `None` for more than an hour.
    pub safe_with_tubes: Option<f64>,
    /// With the tubes pulled out.
    pub safe_without: Option<f64>,
}

/// A resistor or choke of the line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Part {
    /// The resistor, or the wire of the choke, Ω.
    pub ohms: f64,
    /// The choke, H.
    pub henries: Option<f64>,
    /// At idle.
    pub current: PartCurrent,
    /// At idle, W.
    pub watts: f64,
}

/// The bleeder that empties the capacitors in time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bleeder {
    /// Ω, of the E12 series, not above what is wanted.
    pub ohms: f64,
    /// While the supply is on without its tubes, W.
    pub watts: f64,
}

/// What the power supply does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SupplyReport {
    /// What was taken where nothing is typed.
    pub taken: Vec<Taken>,
    /// What is drawn at idle, A.
    pub loads: Loads,
    /// What is drawn at full drive, A, where that is known.
    pub full: Option<Loads>,
    /// What hangs at which capacitor.
    pub places: Places,
    /// B+ at the plates: as computed at idle, V.
    pub volts: f64,
    /// As typed, V.
    pub typed: Option<f64>,
    /// By how much it falls for an ampere more, Ω.
    pub ohms: f64,
    /// Every capacitor, the first one first.
    pub nodes: Vec<Node>,
    /// What joins them.
    pub parts: Vec<Part>,
    /// One rectifier, or one plate of a tube.
    pub rectifier: PartCurrent,
    /// In all rectifiers, W.
    pub rectifier_watts: f64,
    /// The winding, or half of one with a centre tap.
    pub winding: PartCurrent,
    /// Whether volts are there before the tubes draw any current.
    pub is_fast: bool,
    /// The bleeder to fit, where the capacitors stay charged for long.
    pub bleeder: Option<Bleeder>,
    /// Limits of the rectifier that are passed.
    pub passed: Vec<Passed>,
    /// The resistor at each plate that keeps the rectifier within its limits, Ω.
    pub plate_ohms: Option<f64>,
    /// Every tap of the mains.
    pub taps: Vec<AtTap>,
    /// Direct amperes in all, and B+ at the plates.
    pub against_load: Vec<(f64, f64)>,
    /// Two cycles of the mains at idle.
    pub wave: Wave,
    /// In the mains.
    pub mains: MainsCurrent,
    /// What to beware of, most pressing first.
    pub cautions: Vec<Caution>,
    /// How its numbers came about.
    pub workings: Vec<Working>,
    /// What was solved numerically.
    pub solutions: Vec<Solution>,
}

/// What the power supply does; `None` until enough of it is described.
///
/// # Errors
/// Why it has no steady state, in words.
pub fn ask(solved: &Solved) -> Option<Result<SupplyReport, String>> {
    Some(match solved.power_supply.as_ref()? {
        Ok(supply) => report(solved, supply).map_err(|why| why.to_string()),
        Err(why) => Err(why.clone()),
    })
}

/// What plates and screens draw at full drive in the connection that is followed.
fn full_loads(solved: &Solved, idle: Loads) -> Option<Loads> {
    let onset = &solved.followed.as_ref()?.exact()?.onset;
    Some(Loads {
        plates: onset.plate_amps(),
        screens: onset.screen_amps(),
        ..idle
    })
}

fn report(solved: &Solved, found: &SolvedSupply) -> Result<SupplyReport, Unsolved> {
    let described = &found.described;
    let idle = described.loaded(found.loads);
    let steady = Steady::of(&idle)?;
    let full = full_loads(solved, found.loads);
    let at_full = full.and_then(|loads| Steady::of(&described.loaded(loads)).ok());
    let nodes = nodes(found, &idle, &steady, at_full.as_ref())?;
    let tube = match described.rectifier {
        RectifierKind::Silicon => None,
        RectifierKind::Tube(tube) => Some(tube),
    };
    let passed = tube.map_or_else(Vec::new, |tube| Passed::of(tube, &idle, &steady));
    let wants_ohms =
        (passed.iter()).any(|passed| matches!(passed, Passed::Peak(..) | Passed::Ohms(..)));
    let plate_ohms = tube
        .filter(|_| wants_ohms)
        .and_then(|tube| plate_ohms_wanted(tube, &idle));
    let parts = (described.supply.sections.iter())
        .zip(steady.sections.iter().zip(&steady.section_watts))
        .map(|(section, (current, watts))| Part {
            ohms: section.series.ohms(),
            henries: match section.series {
                tapwright_supply::Series::Choke(henries, _) => Some(henries),
                tapwright_supply::Series::Resistor(_) => None,
            },
            current: *current,
            watts: *watts,
        })
        .collect();
    let against_load = (PARTS.iter())
        .filter_map(|part| {
            let mut loads = found.loads.times(*part);
            loads.drivers *= part;
            Some((loads.amps(), described.volts(loads)?))
        })
        .collect();
    let mut report = SupplyReport {
        taken: described.taken.clone(),
        loads: found.loads,
        full,
        places: described.places,
        volts: found.volts,
        typed: found.typed,
        ohms: found.ohms,
        bleeder: wanted_bleeder(&idle, &nodes),
        nodes,
        parts,
        rectifier: steady.rectifier,
        rectifier_watts: steady.rectifier_watts,
        winding: steady.winding,
        is_fast: is_fast(described.rectifier),
        passed,
        plate_ohms,
        taps: by_tap::every(found)?,
        against_load,
        mains: mains::current(solved, found, &steady),
        cautions: Vec::new(),
        workings: workings::every(found, &idle, &steady),
        solutions: vec![workings::solution(found, &idle, &steady)],
        wave: steady.wave,
    };
    report.cautions = beware::every(solved, found, &report);
    Ok(report)
}

fn nodes(
    found: &SolvedSupply,
    idle: &Supply,
    steady: &Steady,
    full: Option<&Steady>,
) -> Result<Vec<Node>, Unsolved> {
    let open_supply = idle.unloaded();
    let open = Steady::of(&open_supply)?;
    let cold = cold_start(idle, MAINS_ABOVE)?;
    let volts =
        |steady: &Steady| -> Vec<f64> { steady.nodes.iter().map(|node| node.volts).collect() };
    let with_tubes = seconds_until_safe(idle, &volts(steady));
    let without = seconds_until_safe(&open_supply, &volts(&open));
    Ok((idle.capacitors().enumerate())
        .map(|(at, capacitor)| Node {
            farads: capacitor.farads,
            volts: steady.nodes[at].volts,
            ripple: steady.nodes[at].ripple,
            full: full.map(|full| full.nodes[at].volts),
            open: open.nodes[at].volts,
            cold: cold[at],
            rated: found.described.rated[at],
            safe_with_tubes: with_tubes[at],
            safe_without: without[at],
        })
        .collect())
}

/// The bleeder to fit, where a capacitor stays charged for longer than one should wait.
fn wanted_bleeder(idle: &Supply, nodes: &[Node]) -> Option<Bleeder> {
    let slow = |node: &Node| {
        node.safe_without
            .is_none_or(|seconds| seconds > SAFE_WITHIN)
    };
    if !nodes.iter().any(slow) {
        return None;
    }
    let open = nodes.first()?.open;
    let (most, _) = bleeder(idle.capacitors(), open, SAFE_WITHIN);
    let ohms = tapwright_units::e_series::E12
        .between(most / 2.0, most)
        .last()?;
    Some(Bleeder {
        ohms,
        watts: open * open / ohms,
    })
}
