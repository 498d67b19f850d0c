//! The leaf of the heat, typed into as at the bench.

use anyhow::ensure;
use tapwright_core::examples::EXAMPLES;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::visit;

/// The sentence about the heaters follows what is typed; the keyboard stays in the field; a
/// second way to ground is refused where it stands, and its text is not lost.
pub fn heaters(engine: Engine) -> Outcome {
    let browser = visit(engine, EXAMPLES[3].link)?;
    browser.turn("heat")?;
    browser.wait_for_text("#heaters-say", "Two resistors of 100 Ω make a centre tap")?;
    browser.type_into("heater_resistors", "220")?;
    browser.wait_for_text("#heaters-say", "Two resistors of 220 Ω")?;
    browser.wait_for_text("#echo-heater_resistors", "2 × 220 Ω")?;
    let holds = browser.script("return document.activeElement.dataset.field")?;
    ensure!(holds == "heater_resistors", "the keyboard went to {holds}");
    browser.pick("heater_tap", "centre")?;
    browser.wait_for_text("#heaters-say", "the centre tap is grounded already")?;
    browser.wait_for_text("#echo-heater_resistors", "one of the two goes")?;
    ensure!(
        browser.typed("heater_resistors")? == "220",
        "the text is gone"
    );
    browser.type_into("heater_resistors", "")?;
    browser.wait_for_text("#heaters-say", "own centre tap balances")?;
    browser.wait_until(
        "the link has the tap",
        "location.hash.includes('heater_tap=centre')",
    )
}

/// A script gets the same heaters from the link.
pub fn scripts(engine: Engine) -> Outcome {
    let browser = visit(engine, EXAMPLES[3].link)?;
    let worst = browser
        .script("return tapwright.heaters(location.hash).report.tie.resistors.worst.toFixed(4)")?;
    ensure!(worst == "0.1575", "{worst}");
    Ok(())
}
