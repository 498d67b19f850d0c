//! A transformer without marking, from six leads to an answer, as example 3 has it.

use anyhow::ensure;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::{report, visit};

/// Types a row of ohms; the first is there, the others are made by the key at its end.
fn ohms(browser: &Browser, row: usize, pair: &str, ohms: &str) -> Outcome {
    if row > 1 {
        browser.type_after(&format!("ohms.{}.ohms", row - 1), "\u{e007}")?;
        browser.wait_until(
            "the new row has the focus",
            &format!("document.activeElement.dataset.field === 'ohms.{row}.pair'"),
        )?;
    }
    browser.type_into(&format!("ohms.{row}.pair"), pair)?;
    browser.type_into(&format!("ohms.{row}.ohms"), ohms)
}

fn volts(browser: &Browser, row: usize, pair: &str, volts: &str) -> Outcome {
    if row > 1 {
        browser.click("#add-volts")?;
    }
    browser.type_into(&format!("volts.{row}.pair"), pair)?;
    browser.type_into(&format!("volts.{row}.volts"), volts)
}

/// Six leads, an ohmmeter, 6.3 V AC and a voltmeter: the readings of example 3, typed one by
/// one, with a dangerous feed and a slip on the way.
pub fn from_six_leads(engine: Engine) -> Outcome {
    let browser = visit(
        engine,
        "v=1&stage=single-ended&tube=6V6GT&supply=250&hookup=8",
    )?;
    browser.pick("marking", "measured")?;
    browser.wait_for_text("#answer", "name the leads")?;
    browser.type_into("leads", "red, blue, black, green, yellow, white")?;
    browser.wait_for_text("#echo-windings", "no partner so far")?;
    ohms(&browser, 1, "red-blue", "318")?;
    ohms(&browser, 2, "black-white", "0.8")?;
    ohms(&browser, 3, "black-yellow", "0.6")?;
    ohms(&browser, 4, "black-green", "0.4")?;
    ohms(&browser, 5, "red-black", "open")?;
    browser.wait_for_text("#echo-windings", "red – blue, 318 Ω: likely the primary")?;
    browser.wait_for_text("#answer", "feed red–blue")?;

    // Feeding the secondary would step up: said before any voltage is typed.
    browser.type_into("volts.1.fed", "black-white")?;
    browser.wait_for_text("#echo-volts-1-fed", "Do not feed this")?;
    browser.wait_for_text("#echo-volts-1-fed", "on red–blue")?;
    browser.type_into("volts.1.fed", "red-blue")?;
    browser.wait_until(
        "the warning is gone",
        "document.getElementById('echo-volts-1-fed').textContent === ''",
    )?;
    browser.type_into("volts.1.fed_volts", "6.31")?;
    volts(&browser, 1, "black-white", "0.3449")?;
    volts(&browser, 2, "black-yellow", "0.2442")?;
    volts(&browser, 3, "black-green", "0.1731")?;
    volts(&browser, 4, "green-white", "0.1724")?;
    volts(&browser, 5, "yellow-white", "0.1004")?;
    browser.wait_for_text("#echo-turns", "A guess: 5 kΩ to 4 Ω, 8 Ω and 16 Ω")?;
    browser.wait_for_text(
        "#answer .sentence",
        "Use the primary between red and blue and the speaker between black and yellow. The tube \
         sees 5.33 kΩ",
    )?;

    // A row that comes takes nothing away that stands beside it, nor does one that goes.
    let found = browser.text("#echo-windings")?;
    ensure!(found.contains("318"), "no windings: {found}");
    browser.click("#add-volts")?;
    ensure!(browser.text("#echo-windings")? == found, "windings went");
    browser.click("[data-open='volts.6'] > summary")?;
    browser.type_into("volts.6.fed", "red-blue")?;
    browser.type_into("volts.6.fed_volts", "230")?;
    browser.wait_for_text("#echo-volts-6-fed_volts", "can be, 30 V")?;
    ensure!(browser.text("#echo-windings")? == found, "windings went");
    browser.click("[data-do='remove-volts.6']")?;
    ensure!(browser.text("#echo-windings")? == found, "windings went");

    // A slip: a message at its field, and the answer stays as it was.
    let answer = browser.text("#answer .sentence")?;
    browser.type_into("ohms.3.ohms", "-6")?;
    browser.wait_for_text("#echo-ohms-3-ohms", "is negative")?;
    ensure!(
        browser.text("#answer .sentence")? == answer,
        "another answer"
    );
    browser.type_into("ohms.3.ohms", "0.6")?;
    browser.wait_until(
        "the complaint is gone",
        "!document.querySelector('#echo-ohms-3-ohms .bad')",
    )?;

    // The readings are those of the example: so is the report, from the address alone.
    browser.wait_until("the address follows", "location.hash.includes('0.1004')")?;
    let typed = report(&browser)?;
    let example = tapwright_core::examples::EXAMPLES[2].setup();
    let example = serde_json::to_value(tapwright_core::solve(&example))?;
    let reflected = |report: &serde_json::Value| {
        report["connections"][1]["reflected"]
            .as_f64()
            .unwrap_or(f64::NAN)
    };
    let off = reflected(&typed) / reflected(&example) - 1.0;
    ensure!(off.abs() < 1e-9, "off by {off}");
    Ok(())
}
