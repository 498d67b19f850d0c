//! Words for what was taken where nothing was typed.

use tapwright_core::assumed::{Assumed, Why};
use tapwright_core::output::SolvedStage;
use tapwright_core::setup::{Field, StageText};
use tapwright_tube::Bias;
use tapwright_units::Unit;

use crate::number;

/// What was taken for a field that is empty: the field, and what stands there instead, with
/// the reason.
pub struct Taken {
    /// The field that would settle it.
    pub field: Field,
    /// The value and why, in a few words.
    pub words: String,
}

/// Everything of the stage that was taken, what matters most first.
pub fn taken(stage: &SolvedStage) -> Vec<Taken> {
    let assumed = &stage.assumed;
    let volts = |value: f64| number::given(value, Unit::Volt);
    let mut all = Vec::new();
    let mut take = |field, words: Option<String>| {
        all.extend(words.map(|words| Taken { field, words }));
    };
    let (supply, why) = assumed.supply;
    take(
        Field::Supply,
        reason(assumed, why).map(|why| format!("B+ {}, {why}", volts(supply))),
    );
    let screen = assumed.screen.and_then(|(value, why)| {
        let why = match (why, assumed.other_screen) {
            (Why::MoreCareful, Some(other)) => format!("wired to B+ ({} if not)", volts(other)),
            _ => reason(assumed, why)?,
        };
        Some(format!("screens {}, {why}", volts(value)))
    });
    take(Field::Stage(StageText::Screen), screen);
    let (tap, ohms) = (assumed.screen_tap, assumed.screen_resistor);
    let tap = tap.and_then(|(tap, why)| {
        Some(format!(
            "screen taps at {}, {}",
            number::percent(tap),
            reason(assumed, why)?
        ))
    });
    take(Field::Stage(StageText::ScreenTap), tap);
    let resistor = reason(assumed, ohms.1).filter(|_| ohms.0.ohms > 0.0);
    let resistor = resistor.map(|why| {
        format!(
            "screen resistor {}, {why}",
            number::given(ohms.0.ohms, Unit::Ohm)
        )
    });
    take(Field::Stage(StageText::ScreenOhms), resistor);
    let (field, what) = match assumed.bias.0 {
        Bias::Fixed(grid) => (StageText::Grid, format!("grid {}", volts(grid))),
        Bias::Cathode(ohms) => (
            StageText::Cathode,
            format!("cathode resistor {}", number::given(ohms, Unit::Ohm)),
        ),
    };
    let bias = reason(assumed, assumed.bias.1).map(|why| format!("{what}, {why}"));
    take(Field::Stage(field), bias);
    let tubes = match assumed.tubes {
        (1, Why::Customary) => Some("1 tube".to_owned()),
        (tubes, Why::Customary) => Some(format!("{tubes} tubes")),
        _ => None,
    };
    take(Field::Stage(StageText::Tubes), tubes);
    all
}

/// Why a value was taken, in a few words; `None` for one that was typed or follows from one.
fn reason(assumed: &Assumed, why: Why) -> Option<String> {
    Some(match why {
        Why::Typed | Why::NotCounted => return None,
        Why::Published => match assumed.example {
            Some(example) => {
                let volts = number::given(example.plate.0, Unit::Volt);
                match example.from_cathode {
                    true => format!("published for {volts} from the cathode"),
                    false => format!("published for {volts}"),
                }
            }
            None => "published".into(),
        },
        Why::Customary => "as usual".into(),
        Why::FromSupply | Why::MoreCareful => "wired to B+".into(),
        Why::ScreenLimit => "the screen’s limit".into(),
        Why::Described => "from the supply as described".into(),
        Why::SafeDissipation => "set for a safe idle".into(),
    })
}
