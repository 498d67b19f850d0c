//! What the iron loses, typed as a person with an ohmmeter and a heater winding would.

use anyhow::ensure;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::{report, visit};

/// Invented: n² is 625 on the 8 Ω tap.
const BARE: &str = "v=1&stage=single-ended&primary=5k&taps=4,%208&hookup=8&tube=EL84&supply=250";

/// Ohms first, then a reading, a slip, and the gap: each shows where it belongs.
pub fn losses(engine: Engine) -> Outcome {
    let browser = visit(engine, BARE)?;
    browser.click("#fold-iron")?;
    browser.wait_for_text("#iron", "Not counted, as nothing is typed")?;
    browser.click("details[data-open=losses] summary")?;
    browser.type_into("winding", "350")?;
    browser.type_into("tap_winding", "0.5")?;
    // 350 Ω, 0.5 Ω and 8 Ω at n² = 625: 88.30 %, −0.540 dB, 5662.5 Ω. Exact arithmetic.
    browser.wait_for_text("#iron .standing", "0.54 dB")?;
    browser.wait_for_text("#iron .standing", "88.3 %")?;
    browser.wait_for_text("#iron .standing", "5.66 kΩ")?;

    browser.type_into("inductance", "6.3 V, 2 mA, 50 Hz")?;
    browser.wait_for_text("#echo-inductance", "H, copper and core taken out")?;
    browser.wait_for_text("#iron .standing", "−3 dB at")?;
    browser.type_into("leakage", "40 Hz")?;
    browser.wait_for_text("#echo-leakage", "does not tell the leakage")?;
    browser.wait_for_text("#iron .standing", "−3 dB at")?;
    browser.type_into("leakage", "40 mH")?;
    browser.wait_for_text("#echo-leakage", "40 mH")?;
    browser.pick("core", "ungapped")?;
    browser.wait_for_text("#health", "core has no gap")?;

    // The bookmark follows after a pause.
    browser.wait_until(
        "the link holds it",
        "location.hash.includes('core=ungapped')",
    )?;
    let (link, first) = (browser.session().url()?, report(&browser)?);
    for part in [
        "winding=350",
        "tap_winding=0.5",
        "leakage=40%20mH",
        "core=ungapped",
    ] {
        ensure!(link.contains(part), "{part} is not in {link}");
    }
    browser.session().open_url("about:blank")?;
    browser.open(&link)?;
    ensure!(
        browser.typed("inductance")? == "6.3 V, 2 mA, 50 Hz",
        "another reading"
    );
    ensure!(report(&browser)? == first, "another report");
    Ok(())
}
