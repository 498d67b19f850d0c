//! One leaf at a time: turned by a tap, part of the link, and Back goes where it came from.

use anyhow::ensure;
use serde_json::Value;
use tapwright_core::examples::EXAMPLES;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::{address, visit};

/// The leaf that is marked, and whether the page holds anything of the others.
fn in_sight(browser: &Browser) -> anyhow::Result<(String, Value)> {
    let marked = browser.text("#leaves [aria-current=page]")?;
    let there = browser.script(
        "return ['#connections', '#stage'].map((id) => document.querySelector(id) !== null)",
    )?;
    Ok((marked, there))
}

/// Turned, the other leaf is gone; the link has it; Back and Forward turn it.
pub fn turned(engine: Engine) -> Outcome {
    let browser = visit(engine, EXAMPLES[0].link)?;
    ensure!(in_sight(&browser)? == ("Connections".into(), serde_json::json!([true, false])));
    browser.turn("tube")?;
    ensure!(in_sight(&browser)? == ("Tube".into(), serde_json::json!([false, true])));
    let link = browser.session().url()?;
    ensure!(link.ends_with("&leaf=tube"), "no leaf in {link}");
    browser.session().back()?;
    browser.wait_until("the table is back", "document.querySelector('#grid-1 td')")?;
    ensure!(in_sight(&browser)?.0 == "Connections");
    browser.session().forward()?;
    browser.wait_until("the tube is back", "document.querySelector('#read-plates')")?;
    // To turn a leaf is nothing to undo.
    let undone = browser.script("return document.getElementById('undo').disabled")?;
    ensure!(undone == true, "there is something to undo");
    browser.session().open_url("about:blank")?;
    browser.open(&link)?;
    ensure!(
        in_sight(&browser)?.0 == "Tube",
        "its link opens another leaf"
    );
    Ok(())
}

/// On a telephone the parts are a leaf of their own, and a page with nothing on it begins there.
pub fn narrow(engine: Engine) -> Outcome {
    let browser = Browser::start(engine)?;
    browser.resize(500, 800)?;
    browser.open(&address(EXAMPLES[0].link)?)?;
    let parts = "document.querySelector('#parts [data-field=taps]')";
    browser.wait_until("the table is there", "document.querySelector('#grid-1 td')")?;
    ensure!(
        browser.script(&format!("return {parts} === null"))? == true,
        "parts out of sight"
    );
    browser.turn("parts")?;
    browser.wait_until("the parts are there", parts)?;
    let table = browser.script("return document.querySelector('#connections') === null")?;
    ensure!(table == true, "the table is out of sight and there");
    browser.session().open_url("about:blank")?;
    browser.open(&address("v=1")?)?;
    browser.wait_until("nothing begins with the parts", parts)?;
    Ok(())
}
