//! What was understood of the output stage, and what is taken where nothing was typed.

use maud::{Markup, html};
use tapwright_core::assumed::{Assumed, Why};
use tapwright_core::setup::{Field, StageText};
use tapwright_core::values::is_asked;
use tapwright_tube::Bias;
use tapwright_units::Unit;

use super::{hint, plain};
use crate::view::Scene;
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
    let them = match fields.iter().filter(bad).count() {
        0 => return None,
        1 => "one value here",
        _ => "values here",
    };
    Some(html! { span .bad { (them) " cannot be used: open" } })
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
    html! {
        (assumed.tubes.0) " × "
        (match assumed.bias.0 {
            Bias::Fixed(volts) => number::given(volts, Unit::Volt),
            Bias::Cathode(ohms) => number::given(ohms, Unit::Ohm),
        })
        ", " (number::computed(stage.idle.plate_amps, Unit::Ampere)) " and "
        (number::computed(stage.idle.plate_watts, Unit::Watt)) " each at idle"
        @if let Some((volts, Why::ScreenLimit | Why::Published)) = assumed.screen {
            ", screens at " (number::given(volts, Unit::Volt))
        }
    }
}

/// The limits of the tube, and where they are from; or why there is no stage.
pub(super) fn tube(scene: &Scene) -> Markup {
    match &scene.report.solved.stage {
        None => html! {},
        Some(Err(why)) => html! { span .bad { "The stage could not be computed: " (why) "." } },
        Some(Ok(stage)) => {
            let tube = &stage.tube;
            html! {
                (tube.kind.name())
                @if let Some(watts) = tube.bounds.plate_watts {
                    ", plate " (number::given(watts, Unit::Watt))
                }
                @if let Some(volts) = tube.bounds.plate_volts {
                    ", " (number::given(volts, Unit::Volt))
                }
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
        Field::Supply => html! {
            (number::given(assumed.supply.0, Unit::Volt)) (why(assumed, assumed.supply.1))
            @if assumed.supply.1 == Why::Typed { " at the primary, at idle" }
        },
        Field::Stage(text) => match text {
            StageText::Tubes => html! { (assumed.tubes.0) (why(assumed, assumed.tubes.1)) },
            StageText::Screen => html! {
                @if let Some((volts, reason)) = assumed.screen {
                    (number::given(volts, Unit::Volt)) (why(assumed, reason))
                } @else { "the tube has no screen" }
            },
            StageText::ScreenOhms => match assumed.screen_resistor {
                (_, Why::NotCounted) => plain(scene, field),
                (resistor, reason) => html! {
                    (number::given(resistor.ohms, Unit::Ohm))
                    @if resistor.capacitor {
                        " and a capacitor; if there is none, add “no cap”"
                    } @else { ", no capacitor" }
                    (why(assumed, reason))
                },
            },
            StageText::ScreenTap => html! {
                @if let Some((tap, reason)) = assumed.screen_tap {
                    (number::percent(tap)) (why(assumed, reason))
                }
            },
            StageText::Grid => match assumed.bias {
                (Bias::Fixed(volts), reason) => html! {
                    (number::given(volts, Unit::Volt)) (why(assumed, reason))
                    @if reason == Why::SafeDissipation {
                        ": " (number::computed(stage.idle.plate_watts, Unit::Watt)) " on " (words::which(scene.report)) " plate"
                    }
                },
                (Bias::Cathode(_), _) => html! {
                    (number::computed(stage.idle.grid_volts, Unit::Volt)) " across the resistor"
                },
            },
            StageText::Cathode => match assumed.bias {
                (Bias::Cathode(ohms), reason) => html! {
                    (number::given(ohms, Unit::Ohm)) (why(assumed, reason))
                },
                (Bias::Fixed(_), _) => hint(text.row().empty),
            },
            StageText::UnlikeCurrent | StageText::UnlikeDrive | StageText::UnlikeTurns
                if scene.values.number(field) == Some(0.0) =>
            {
                hint(text.row().empty)
            }
            StageText::Drive => html! {
                (number::percent(typed.drive.unwrap_or(1.0))) " of full drive, at which grid current starts"
            },
            _ => plain(scene, field),
        },
        _ => html! {},
    }
}

/// Why a value is what it is, to be said after it.
fn why(assumed: &Assumed, why: Why) -> Markup {
    html! {
        @match why {
            Why::Typed => {},
            Why::Published => {
                ", published"
                @if let Some(example) = assumed.example {
                    " at " (number::given(example.plate.0, Unit::Volt))
                    @if example.from_cathode { " from the cathode" }
                }
            }
            Why::Customary => ", as usual",
            Why::FromSupply => ", from B+",
            Why::ScreenLimit => ", the screen’s limit",
            Why::Described => ", from the supply as described",
            Why::MoreCareful => {
                ", wired to B+"
                @if let Some(volts) = assumed.other_screen {
                    "; type " (number::given(volts, Unit::Volt)) " if they have a supply of their own"
                }
            }
            Why::SafeDissipation => ", set for a safe idle",
            Why::NotCounted => ", not counted",
        }
    }
}

/// How the model of the person's own tube meets what was typed.
pub(super) fn own(scene: &Scene) -> Markup {
    let Some(fitted) = &scene.report.solved.own else {
        return html! {};
    };
    html! {
        @if let Some(contradiction) = &fitted.contradiction {
            p .echo { span .bad { "The numbers do not belong together: " (contradiction) "." } }
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
            p .hint {
                "Not settled by these numbers, and taken as usual: "
                (words::in_a_row(&fitted.assumed.iter().map(|what| (*what).to_owned()).collect::<Vec<_>>()))
                ". More points, and more of each point, settle more."
            }
        }
    }
}
