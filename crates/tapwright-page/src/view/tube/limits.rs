//! What the tubes bear up to full overdrive, against their limits.

use maud::{Markup, html};
use tapwright_core::output::{ChosenOutput, SolvedStage};
use tapwright_stage::stress::Burden;
use tapwright_tube::Kind;
use tapwright_units::Unit;

use super::{solved, stale};
use crate::chart::{self, Bar, Bars, Measure};
use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

pub(super) fn limits(scene: &Scene) -> Markup {
    match solved(scene.report) {
        Some((stage, output)) => stale(scene, stress(scene, stage, output)),
        None => Markup::default(),
    }
}

fn stress(scene: &Scene, stage: &SolvedStage, output: &ChosenOutput) -> Markup {
    let bars = output.burdens.iter().filter_map(|borne| {
        let (name, unit) = match borne.burden {
            Burden::PlateWatts => ("Plate dissipation", Unit::Watt),
            Burden::ScreenWatts => ("Screen dissipation", Unit::Watt),
            Burden::CathodeAmps => ("Cathode current", Unit::Ampere),
            Burden::PlateVolts => ("Plate voltage", Unit::Volt),
            Burden::ScreenVolts => ("Screen voltage", Unit::Volt),
            Burden::PeakPlateVolts => ("Peak plate voltage", Unit::Volt),
        };
        let of_screen = matches!(borne.burden, Burden::ScreenWatts | Burden::ScreenVolts);
        let at = &output.stress;
        (!(of_screen && stage.tube.kind == Kind::Triode)).then(|| Bar {
            name: name.into(),
            value: borne.value,
            limit: borne.limit,
            measure: Measure::Si(unit),
            when: words::when(borne.drive),
            from: borne.over_from.map_or_else(String::new, words::from_drive),
            now: match borne.burden {
                Burden::PlateWatts => Some(at.plate_watts),
                Burden::ScreenWatts => Some(at.screen_watts),
                Burden::CathodeAmps => Some(at.cathode_amps),
                Burden::PeakPlateVolts => Some(at.peak_plate_volts),
                Burden::PlateVolts | Burden::ScreenVolts => None,
            },
        })
    });
    let title = match output.with_reactance() {
        Some(found) => format!(
            "The most that one tube bears at {}, from idle to full overdrive",
            number::given(found.hertz, Unit::Hertz)
        ),
        None => "The most that one tube bears, from idle to full overdrive".into(),
    };
    let bars = Bars {
        id: "stress",
        title,
        now: format!("at {} of full drive", number::percent(output.drive)),
        bars: bars.collect(),
    };
    html! {
        div {
            (chart::bars(&bars, scene.is_open("table.stress")))
            p .hint {
                (stoppers(stage, output))
                (limits_from(stage)) " "
                "A limit counts as passed from 2 % beyond it. Full overdrive is four times full drive. Without a speaker the plate peaks have no bound: the insulation breaks."
            }
        }
    }
}

/// What the resistors at the screens take, and those that would keep the screens within limits.
fn stoppers(stage: &SolvedStage, output: &ChosenOutput) -> Markup {
    let [each, shared] = output.stopper_watts();
    html! {
        @if each > 0.0 {
            (say!(
                "The resistor at each screen takes up to {watts}: rate it for twice that.",
                watts = number::computed(each, Unit::Watt),
            ))
            " "
        }
        @if shared > 0.0 {
            (say!(
                "The resistor of all screens takes up to {watts}: rate it for twice that.",
                watts = number::computed(shared, Unit::Watt),
            ))
            " "
        }
        @if let Some(wanted) = output.stopper_wanted(&stage.stage) {
            (say!(
                "{ohms} per screen keeps screens to {screen}, bias and supply as they are; full drive then gives {watts}.",
                ohms = number::given(wanted.ohms, Unit::Ohm),
                screen = number::computed(wanted.screen_watts, Unit::Watt),
                watts = number::computed(wanted.watts, Unit::Watt),
            ))
            " "
        }
    }
}

fn limits_from(stage: &SolvedStage) -> Markup {
    match (stage.tube.rating, stage.tube.limits_source) {
        (Some(rating), Some(source)) => say!(
            "Limits: {rating}, {source}.",
            rating = rating.name(),
            source = source,
        ),
        _ => html! { "Limits as typed." },
    }
}
