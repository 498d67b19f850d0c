//! The words that the page uses.

use anyhow::ensure;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::{address, visit};

const LINK: &str = "v=1&primary=8k&taps=8&tube=6V6GT&supply=250&hookup=8";

/// Other words are used at once, on the next visit too, and are no part of the link.
pub fn kept(engine: Engine) -> Outcome {
    let browser = visit(engine, LINK)?;
    browser.wait_for_text("#status", "plate")?;
    let address_before = browser.session().url()?;
    browser.click("#use-words")?;
    browser.wait_for_text("#status", "anode")?;
    browser.wait_for_text("#leaves", "Valve")?;
    ensure!(
        browser.session().url()? == address_before,
        "it is in the link"
    );
    browser.session().open_url("about:blank")?;
    browser.open(&address(LINK)?)?;
    browser.wait_for_text("#status", "anode")?;
    browser.click("#use-words")?;
    browser.wait_for_text("#status", "plate")
}
