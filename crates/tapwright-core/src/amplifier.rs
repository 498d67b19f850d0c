//! The amplifier as one circuit, from what was typed and what is taken where nothing was.

use std::sync::Arc;

use tapwright_amplifier::{
    Amplifier, Bypass, Capacitance, Driver, Feedback, Load, LongTailed, Output, SecondaryTap,
    SplitLoad, Splitter, Transformer, Triode, Volume,
};
use tapwright_iron::transformer::Secondary;
use tapwright_speaker::MixedHookup;
use tapwright_stage::Stage;
use tapwright_tube::{Capacitances, Topology};

use crate::judged::Judged;
use crate::setup::{DriveText, Field, Polarity, SplitterKind};
use crate::solved::Solved;
use crate::taken::Taken;
use crate::values::DriverTriode;

/// What is taken for a field that is empty. All of them: common practice, no source.
const PLATE_OHMS: f64 = 100e3;
const CATHODE_OHMS: f64 = 1.5e3;
const COUPLING: f64 = 22e-9;
pub(crate) const LEAK_OHMS: f64 = 470e3;
const DRIVER_LEAK_OHMS: f64 = 1e6;
const SOURCE_OHMS: f64 = 10e3;
const TAIL_OHMS: f64 = 10e3;
const FOOT_OHMS: f64 = 4.7e3;
const PAIR_BIAS_OHMS: f64 = 470.0;
/// Of a long-tailed pair the first plate load is this share of the second.
const FIRST_LOAD: f64 = 0.82;
/// The driver's supply as a share of B+: a dropping resistor takes the rest.
const SUPPLY_SHARE: f64 = 0.9;
const GRID_STOPPER: f64 = 1e3;
/// Across the output stage's cathode resistor; large, as the stage solver takes it.
const CATHODE_FARADS: f64 = 100e-6;
const SUPPLY_FARADS: f64 = 47e-6;
/// The grid of a split load that a capacitor feeds: a quarter of its supply.
const SPLIT_GRID_SHARE: f64 = 0.25;

/// The parts of the amplifier, and which of them were taken.
#[derive(Debug, Clone)]
pub struct Parts {
    /// The amplifier with the connection that is followed.
    pub amplifier: Amplifier,
    /// What was taken.
    pub taken: Vec<Taken>,
    /// Whether leakage and capacitance of the transformer are both known: without them no
    /// margin is one.
    pub high_end_known: bool,
}

/// The amplifier with the connection that is followed; `None` until tube, transformer, speaker
/// and driver are known.
pub fn parts(solved: &Solved) -> Option<Parts> {
    let values = &solved.amplifier;
    let tube = triode(values.driver?);
    let stage = solved.stage()?;
    let judged = solved.followed()?;
    let mut taken = Vec::new();
    let mut or = |typed: Option<f64>, text: DriveText, value: f64| {
        typed.unwrap_or_else(|| {
            let field = Field::Drive(text);
            taken.push(Taken { field, value });
            value
        })
    };
    let drive = &values.drive;
    let is_pair = solved.topology == Topology::PushPull;
    let long_tailed = is_pair && values.splitter == SplitterKind::LongTailed;
    let supply_volts = or(
        drive.driver_supply,
        DriveText::Supply,
        (SUPPLY_SHARE * stage.assumed.supply.0).round(),
    );
    let plate_ohms = or(drive.driver_plate, DriveText::Plate, PLATE_OHMS);
    let stages = or(
        drive.driver_stages,
        DriveText::Stages,
        usual_stages(long_tailed),
    ) as usize;
    let cathode_ohms = or(drive.driver_cathode, DriveText::Cathode, CATHODE_OHMS);
    let bypass = match (drive.driver_bypass, drive.driver_lower) {
        (None, _) => Bypass::None,
        (Some(farads), Some(lower)) if lower < cathode_ohms => Bypass::Partly(farads, lower),
        (Some(farads), _) => Bypass::Whole(farads),
    };
    let volume = drive.volume.map(|ohms| Volume {
        ohms,
        share: drive.volume_at.unwrap_or(1.0),
    });
    let drivers: Vec<Driver> = (0..stages)
        .map(|place| Driver {
            tube,
            supply_volts,
            plate_ohms,
            cathode_ohms,
            bypass,
            leak_ohms: DRIVER_LEAK_OHMS,
            // A volume control stands between two stages, or else at the input.
            volume: volume.filter(|_| place + 1 == stages),
            coupling_farads: (place > 0).then_some(COUPLING),
        })
        .collect();
    let splitter = match (is_pair, values.splitter) {
        (false, _) => None,
        (true, SplitterKind::SplitLoad) => Some(Splitter::SplitLoad(SplitLoad {
            tube,
            supply_volts,
            ohms: plate_ohms,
            grid_volts: Some(SPLIT_GRID_SHARE * supply_volts),
        })),
        (true, SplitterKind::LongTailed) => Some(Splitter::LongTailed(LongTailed {
            tube,
            supply_volts,
            plate_ohms: [FIRST_LOAD * plate_ohms, plate_ohms],
            bias_ohms: PAIR_BIAS_OHMS,
            tail_ohms: or(drive.tail, DriveText::Tail, TAIL_OHMS),
            foot_ohms: or(drive.foot, DriveText::Foot, FOOT_OHMS),
            leak_ohms: DRIVER_LEAK_OHMS,
            coupling_farads: COUPLING,
        })),
    };
    let output = output(
        solved,
        &stage.stage,
        or(drive.coupling, DriveText::Coupling, COUPLING),
        or(drive.grid_leak, DriveText::Leak, LEAK_OHMS),
    );
    let source_ohms = or(drive.input_ohms, DriveText::Input, SOURCE_OHMS);
    let iron = &solved.iron.known;
    Some(Parts {
        high_end_known: iron.leakage.is_some() && iron.capacitance.is_some(),
        amplifier: Amplifier {
            source_ohms,
            drivers,
            splitter,
            output,
            transformer: transformer(solved, judged)?,
            load: load(solved, judged),
            feedback: feedback(solved),
        },
        taken,
    })
}

/// The feedback as it is set; `None` while no ohms are typed.
fn feedback(solved: &Solved) -> Option<Feedback> {
    with_resistor(solved, resistor_at(solved, position(solved))?)
}

/// The feedback as it is wired, with a resistor of so many ohms; `None` where it is taken from
/// nowhere.
pub(crate) fn with_resistor(solved: &Solved, ohms: f64) -> Option<Feedback> {
    let values = &solved.amplifier;
    Some(Feedback {
        from: values.from?,
        into: 0,
        ohms,
        across: values.feedback.feedback_cap,
        presence: (values.feedback.presence)
            .map(|farads| (farads, values.feedback.presence_ohms.unwrap_or(0.0))),
    })
}

/// Whether the feedback can be turned.
pub(crate) fn has_control(solved: &Solved) -> bool {
    let control = solved.amplifier.feedback.feedback_control;
    control.is_some_and(|ohms| ohms > 0.0)
}

/// The position of the control as typed, 0 to 1.
pub(crate) fn position(solved: &Solved) -> f64 {
    solved.amplifier.feedback.feedback_at.unwrap_or(0.5)
}

/// The feedback resistor with the control at a position; `None` while no ohms are typed.
pub(crate) fn resistor_at(solved: &Solved, position: f64) -> Option<f64> {
    let typed = &solved.amplifier.feedback;
    let (fixed, control) = (typed.feedback_fixed, typed.feedback_control);
    if fixed.is_none() && control.is_none() {
        return None;
    }
    let share = solved.amplifier.taper.share(position);
    Some(fixed.unwrap_or(0.0) + share * control.unwrap_or(0.0))
}

/// Driver stages before the output stage or its splitter, where none are typed: a long-tailed
/// pair is a stage itself.
pub(crate) fn usual_stages(long_tailed: bool) -> f64 {
    if long_tailed { 0.0 } else { 1.0 }
}

fn triode(driver: DriverTriode) -> Triode {
    Triode {
        model: driver.model,
        capacitance: farads(driver.capacitance),
    }
}

fn farads(of: Capacitances) -> Capacitance {
    Capacitance {
        grid_plate: 1e-12 * of.grid_plate_pf,
        input: 1e-12 * of.input_pf,
        output: 1e-12 * of.output_pf,
    }
}

fn output(solved: &Solved, stage: &Stage, coupling_farads: f64, leak_ohms: f64) -> Output {
    let designation = solved.stage().and_then(|stage| stage.tube.designation);
    let tube = designation.and_then(tapwright_tube::find);
    let known = tube.and_then(|tube| tube.capacitance);
    Output {
        stage: *stage,
        capacitance: farads(known.unwrap_or(Capacitances::OF_A_POWER_TUBE)),
        coupling_farads,
        leak_ohms,
        grid_ohms: GRID_STOPPER,
        cathode_farads: CATHODE_FARADS,
        supply_farads: SUPPLY_FARADS,
        screen_farads: SUPPLY_FARADS,
    }
}

/// The transformer with every tap. Turns go with the roots of the ratings.
fn transformer(solved: &Solved, judged: &Judged) -> Option<Transformer> {
    let stamped = solved.transformer.as_ref()?;
    let choice = judged.connection.choice;
    let lead = stamped.leads.get(choice.lead)?;
    let known = &solved.iron.known;
    let network = known.network(stamped, choice.lead, choice.secondary);
    let wire = |at: usize| known.secondary.as_ref().and_then(|winding| winding.at(at));
    let taps = stamped
        .taps
        .iter()
        .enumerate()
        .map(|(at, tap)| SecondaryTap {
            turns: tap.rated.0.sqrt(),
            ohms: wire(at).map_or(0.0, |wire| wire.ohms),
        });
    let (selected, grounded) = match choice.secondary {
        Secondary::Tap(at) => (at, None),
        Secondary::Pair(pair) => {
            let (a, b) = pair.taps();
            let turns = |at: usize| stamped.taps.get(at).map_or(0.0, |tap| tap.rated.0);
            if turns(a) <= turns(b) {
                (b, Some(a))
            } else {
                (a, Some(b))
            }
        }
    };
    Some(Transformer {
        primary_turns: lead.rated.0.sqrt(),
        primary_ohms: network.map_or(0.0, |network| network.primary_ohms),
        inductance: network.and_then(|network| network.inductance),
        leakage: network.map_or(0.0, |network| network.leakage),
        capacitance: network.map_or(0.0, |network| network.capacitance),
        core_ohms: network
            .and_then(|network| network.core_ohms)
            .unwrap_or(f64::INFINITY),
        unlike_turns: solved
            .stage()
            .map_or(0.0, |stage| stage.stage.imbalance.turns),
        taps: taps.collect(),
        selected,
        grounded,
        reversed: solved.amplifier.polarity == Polarity::Wrong,
    })
}

/// The hookup that is followed, as it is over frequency.
fn load(solved: &Solved, judged: &Judged) -> Option<Load> {
    let hookup = solved.hookup(judged.connection.choice.hookup)?;
    let (speakers, drivers) = (hookup.speakers.clone(), hookup.drivers.clone());
    let is_whole = MixedHookup::new(&speakers, &drivers).is_some();
    let rated = hookup.impedance.0;
    let curve = move |hertz: f64| {
        let mixed = MixedHookup::new(&speakers, &drivers);
        mixed.map_or(rated.into(), |mixed| mixed.impedance_at(hertz))
    };
    Some(Load {
        rated,
        curve: is_whole.then(|| Arc::new(curve) as _),
    })
}
