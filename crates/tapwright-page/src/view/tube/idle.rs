//! One tube at idle, and the magnetising current.

use maud::Markup;
use tapwright_core::output::SolvedStage;
use tapwright_tube::Kind;
use tapwright_units::Unit;

use super::{numbers, solved, stale};
use crate::number;
use crate::view::Scene;

pub(super) fn idle(scene: &Scene) -> Markup {
    match solved(scene.report) {
        Some((stage, _)) => stale(scene, at_idle(stage)),
        None => Markup::default(),
    }
}

fn at_idle(stage: &SolvedStage) -> Markup {
    let idle = &stage.idle;
    let per_side = f64::from(stage.stage.tubes_per_side);
    let cooler = idle.all_plate_amps / per_side - idle.plate_amps;
    let volts = |what, value| Some((what, value, Unit::Volt));
    let amps = |what, value| Some((what, value, Unit::Ampere));
    let screened = stage.tube.kind != Kind::Triode;
    let unlike = stage.stage.imbalance.current != 0.0;
    let rows = [
        volts("plate, from the cathode", idle.plate_volts),
        volts("screen, from the cathode", idle.screen_volts).filter(|_| screened),
        volts("grid, from the cathode", idle.grid_volts),
        volts("cathode, from ground", idle.cathode_volts),
        amps("plate current", idle.plate_amps),
        amps("plate current, the cooler side", cooler).filter(|_| unlike),
        amps("screen current", idle.screen_amps).filter(|_| screened),
        Some(("plate dissipation", idle.plate_watts, Unit::Watt)),
        Some((
            "transconductance",
            idle.transconductance * 1e3,
            Unit::Millisiemens,
        )),
        Some(("plate resistance", idle.plate_resistance, Unit::Ohm)),
        amps(
            "magnetises the core, as if in the whole primary",
            idle.magnetising_amps,
        ),
    ];
    let rows = (rows.into_iter().flatten())
        .map(|(what, value, unit)| (what.to_owned(), number::computed(value, unit)));
    let title = match unlike {
        true => "One tube of the hotter side at idle",
        false => "One tube at idle",
    };
    numbers(title, rows)
}
