//! What was understood of the output stage, and what is taken where nothing was typed.

use maud::{Markup, Render, html};
use tapwright_core::assumed::{Assumed, Why};
use tapwright_core::output::SolvedStage;
use tapwright_core::setup::{Field, StageText};
use tapwright_core::values::{ScreenResistor, is_asked};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use super::{hint, plain};
use crate::view::Scene;
use crate::words::say::say;
use crate::{number, words};

/// The fields of the stage that are on the form.
pub(in crate::view) fn fields(scene: &Scene) -> Vec<Field> {
    let mut fields = scene.typed.fields();
    fields.retain(|field| match field {
        // It stands with the iron.
        Field::Stage(StageText::Winding) => false,
        Field::Stage(_) | Field::Own(_) | Field::Point(..) => is_asked(scene.typed, *field),
        _ => false,
    });
    fields
}

/// Says that something in a fold is at fault. It is shown only while the fold is closed: in an
/// open one the complaints stand under their fields.
pub(in crate::view::parts) fn folded_away(scene: &Scene, fields: &[Field]) -> Option<Markup> {
    let bad = |field: &&Field| scene.problem(**field).is_some();
    let complaint = match fields.iter().filter(bad).count() {
        0 => return None,
        1 => "one value here cannot be used: open",
        _ => "values here cannot be used: open",
    };
    Some(html! { span .bad { (complaint) } })
}

/// The stage in one line, beside the fold.
pub(super) fn in_brief(scene: &Scene) -> Markup {
    let mut stage = fields(scene);
    stage.retain(|field| matches!(field, Field::Stage(_)));
    if let Some(complaint) = folded_away(scene, &stage) {
        return complaint;
    }
    let Some(stage) = scene.report.solved.stage() else {
        return html! { "choose a tube: watts and distortion into every connection" };
    };
    let assumed = &stage.assumed;
    let tubes = assumed.tubes.0;
    let bias = match assumed.bias.0 {
        Bias::Fixed(volts) => number::given(volts, Unit::Volt),
        Bias::Cathode(ohms) => number::given(ohms, Unit::Ohm),
    };
    let amps = number::computed(stage.idle.plate_amps, Unit::Ampere);
    let heat = number::computed(stage.idle.plate_watts, Unit::Watt);
    match assumed.screen {
        Some((volts, Why::ScreenLimit | Why::Published)) => say!(
            "{tubes} × {bias}, {amps} and {heat} each at idle, screens at {volts}",
            tubes = tubes,
            bias = bias,
            amps = amps,
            heat = heat,
            volts = number::given(volts, Unit::Volt),
        ),
        _ => say!(
            "{tubes} × {bias}, {amps} and {heat} each at idle",
            tubes = tubes,
            bias = bias,
            amps = amps,
            heat = heat,
        ),
    }
}

/// The limits of the tube, and where they are from; or why there is no stage.
pub(super) fn tube(scene: &Scene) -> Markup {
    match &scene.report.solved.stage {
        None => html! {},
        Some(Err(why)) => html! {
            span .bad { (say!("The stage could not be computed: {why}.", why = why.to_string())) }
        },
        Some(Ok(stage)) => {
            let tube = &stage.tube;
            let watts = tube
                .bounds
                .plate_watts
                .map(|watts| number::given(watts, Unit::Watt));
            let volts = tube
                .bounds
                .plate_volts
                .map(|volts| number::given(volts, Unit::Volt));
            html! {
                (tube.kind.name())
                @if let Some(watts) = watts { ", " (say!("plate {watts}", watts = watts)) }
                @if let Some(volts) = volts { ", " (volts) }
                @if let Some(rating) = tube.rating { " (" (rating.name()) ")" }
            }
        }
    }
}

pub(super) fn understood(scene: &Scene, field: Field) -> Markup {
    let Some(stage) = scene.report.solved.stage() else {
        return html! {
            @if let (Field::Supply, Some(supply)) = (field, scene.report.solved.supply) {
                (number::given(supply.0, Unit::Volt))
            }
        };
    };
    let assumed = &stage.assumed;
    let typed = &scene.values.stage;
    match field {
        Field::Supply => {
            let volts = number::given(assumed.supply.0, Unit::Volt);
            match assumed.supply.1 {
                Why::Typed => say!("{volts} at the primary, at idle", volts = volts),
                why => explained(assumed, volts, why),
            }
        }
        Field::Stage(text) => match text {
            StageText::Tubes => explained(assumed, assumed.tubes.0, assumed.tubes.1),
            StageText::Screen => match assumed.screen {
                Some((volts, why)) => explained(assumed, number::given(volts, Unit::Volt), why),
                None => html! { "the tube has no screen" },
            },
            StageText::ScreenOhms => match assumed.screen_resistor {
                (_, Why::NotCounted) => plain(scene, field),
                (resistor, why) => screen_resistor(assumed, resistor, why),
            },
            StageText::ScreenTap => match assumed.screen_tap {
                Some((tap, why)) => explained(assumed, number::percent(tap), why),
                None => html! {},
            },
            StageText::Grid => match assumed.bias {
                (Bias::Fixed(volts), Why::SafeDissipation) => safe_idle(scene, stage, volts),
                (Bias::Fixed(volts), why) => {
                    explained(assumed, number::given(volts, Unit::Volt), why)
                }
                (Bias::Cathode(_), _) => say!(
                    "{volts} across the resistor",
                    volts = number::computed(stage.idle.grid_volts, Unit::Volt),
                ),
            },
            StageText::Cathode => match assumed.bias {
                (Bias::Cathode(ohms), why) => {
                    explained(assumed, number::given(ohms, Unit::Ohm), why)
                }
                (Bias::Fixed(_), _) => hint(text.row().empty),
            },
            StageText::UnlikeCurrent | StageText::UnlikeDrive | StageText::UnlikeTurns
                if scene.values.number(field) == Some(0.0) =>
            {
                hint(text.row().empty)
            }
            StageText::Drive => say!(
                "{share} of full drive, at which grid current starts",
                share = number::percent(typed.drive.unwrap_or(1.0)),
            ),
            _ => plain(scene, field),
        },
        _ => html! {},
    }
}

/// A value, and why it is what it is.
fn explained(assumed: &Assumed, value: impl Render, why: Why) -> Markup {
    match why {
        Why::Typed => say!("{value}", value = value),
        Why::Published => match assumed.example {
            None => say!("{value}, published", value = value),
            Some(example) if example.from_cathode => say!(
                "{value}, published at {volts} from the cathode",
                value = value,
                volts = number::given(example.plate.0, Unit::Volt),
            ),
            Some(example) => say!(
                "{value}, published at {volts}",
                value = value,
                volts = number::given(example.plate.0, Unit::Volt),
            ),
        },
        Why::Customary => say!("{value}, as usual", value = value),
        Why::FromSupply => say!("{value}, from B+", value = value),
        Why::ScreenLimit => say!("{value}, the screen’s limit", value = value),
        Why::Described => say!("{value}, from the supply as described", value = value),
        Why::MoreCareful => match assumed.other_screen {
            None => say!("{value}, wired to B+", value = value),
            Some(volts) => say!(
                "{value}, wired to B+; type {volts} if they have a supply of their own",
                value = value,
                volts = number::given(volts, Unit::Volt),
            ),
        },
        Why::SafeDissipation => say!("{value}, set for a safe idle", value = value),
        Why::NotCounted => say!("{value}, not counted", value = value),
    }
}

/// The screens' common resistor, and whether a capacitor follows it.
fn screen_resistor(assumed: &Assumed, resistor: ScreenResistor, why: Why) -> Markup {
    let ohms = number::given(resistor.ohms, Unit::Ohm);
    match resistor.capacitor {
        true => say!(
            "{resistor}. If there is no capacitor, add “no cap”",
            resistor = explained(assumed, say!("{ohms} and a capacitor", ohms = ohms), why),
        ),
        false => explained(assumed, say!("{ohms}, no capacitor", ohms = ohms), why),
    }
}

/// The grid's volts that keep the plates cool enough at idle.
fn safe_idle(scene: &Scene, stage: &SolvedStage, volts: f64) -> Markup {
    say!(
        "{volts}, set for a safe idle: {heat} on {plate}",
        volts = number::given(volts, Unit::Volt),
        heat = number::computed(stage.idle.plate_watts, Unit::Watt),
        plate = words::plate(scene.report),
    )
}

/// How the model of the person's own tube meets what was typed.
pub(super) fn own(scene: &Scene) -> Markup {
    let Some(fitted) = &scene.report.solved.own else {
        return html! {};
    };
    html! {
        @if let Some(contradiction) = &fitted.contradiction {
            p .echo { span .bad {
                (say!("The numbers do not belong together: {contradiction}.", contradiction = contradiction))
            } }
        }
        table .shares {
            thead { tr {
                th scope="col" { "point" }
                th scope="col" { "typed" }
                th scope="col" { "model" }
                th scope="col" { "off" }
            } }
            tbody {
                @for value in &fitted.residuals {
                    tr {
                        th scope="row" { (value.point + 1) ", " (value.quantity) }
                        td .number { (number::about(value.given, Unit::One).trim_end()) (value.unit) }
                        td .number { (number::about(value.fitted, Unit::One).trim_end()) (value.unit) }
                        td .number { (number::percent_off(value.fitted / value.given - 1.0)) }
                    }
                }
            }
        }
        @if !fitted.assumed.is_empty() {
            @let things: Vec<String> = fitted.assumed.iter().map(|what| (*what).to_owned()).collect();
            p .hint {
                (say!(
                    "Not settled by these numbers, and taken as usual: {things}. \
                     More points, and more of each point, settle more.",
                    things = words::in_a_row(&things),
                ))
            }
        }
    }
}
