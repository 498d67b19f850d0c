//! No network, ever: the policy stops every way out, and the trap that finds
//! nothing is one that finds something when the policy is taken away.

use std::time::Duration;

use anyhow::{Context, ensure};
use serde_json::{Value, json};
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;
use tapwright_tests::host::Host;
use tapwright_tests::trap::{ATTEMPTS, FRAME, Trap, WAYS};
use tapwright_tests::{page, site};

use crate::Outcome;
use crate::setup::{address, type_the_three};

/// Every way out of the page is tried, and none gets as far as a connection.
pub fn stopped(engine: Engine) -> Outcome {
    let file = page::file().map_err(anyhow::Error::msg)?;
    nothing_gets_out(engine, &page::url(&file))
}

/// The same with the page from a static host, whose policy permits a little more.
pub fn stopped_from_a_host(engine: Engine) -> Outcome {
    let folder = site::folder().map_err(anyhow::Error::msg)?;
    let host = Host::start(&folder)?;
    nothing_gets_out(engine, &host.address())
}

fn nothing_gets_out(engine: Engine, address: &str) -> Outcome {
    let (everything, frame) = (Trap::set()?, Trap::set()?);
    let browser = Browser::start(engine)?;
    browser.open(address)?;
    refused(&browser, &everything, &WAYS)?;
    refused(&browser, &frame, &[FRAME])?;
    // Closing the browser flushes what it still meant to send.
    drop(browser);
    let caught = everything.caught();
    ensure!(caught.is_empty(), "these got out: {caught:?}");
    let asked: Vec<_> = frame
        .caught()
        .into_iter()
        .filter(|path| !path.is_empty())
        .collect();
    ensure!(asked.is_empty(), "a frame asked for {asked:?}");
    Ok(())
}

/// The page's policy spoke to every one of these attempts.
fn refused(browser: &Browser, trap: &Trap, ways: &[&str]) -> Outcome {
    let ends = attempt(browser, trap, ways)?;
    let violations: Vec<&str> = ends["violations"]
        .as_array()
        .context("no violations were counted")?
        .iter()
        .filter_map(Value::as_str)
        .collect();
    for way in ways {
        ensure!(
            violations
                .iter()
                .any(|url| url.ends_with(&format!("/{way}"))),
            "the policy said nothing to `{way}`, which ended as {}; it spoke to {violations:?}",
            ends["ends"][way]
        );
    }
    Ok(())
}

fn attempt(browser: &Browser, trap: &Trap, ways: &[&str]) -> anyhow::Result<Value> {
    browser
        .session()
        .run_async(ATTEMPTS, &[json!(trap.address()), json!(ways)])
}

/// The same attempts from a copy without the policy all arrive: the trap works.
pub fn caught(engine: Engine) -> Outcome {
    let trap = Trap::set()?;
    let browser = Browser::start(engine)?;
    let file = page::file().map_err(anyhow::Error::msg)?;
    let (_folder, copy) = page::without_policy(&file)?;
    browser.open(&page::url(&copy))?;
    let ways = [&WAYS[..], &[FRAME]].concat();
    let ends = attempt(&browser, &trap, &ways)?;
    let missing = trap.missing(&ways, Duration::from_secs(10));
    ensure!(
        missing.is_empty(),
        "these never arrived: {missing:?}; the attempts ended as {ends}"
    );
    Ok(())
}

/// The browser's own log of a session at the bench has files in it and nothing
/// else, and it does show an attempt to reach the network.
pub fn log(engine: Engine) -> Outcome {
    let browser = Browser::start(engine)?;
    // What the browser asked itself for while starting is not the page's doing.
    browser.session().open_url("about:blank")?;
    browser.requests()?;
    browser.open(&address("")?)?;
    type_the_three(&browser)?;
    browser.wait_for_text("[data-choose=\"1,2,1\"]", "4.00 kΩ")?;
    browser.click("[data-choose=\"1,2,1\"]")?;
    browser.click("[data-do=copy-link]")?;
    browser.wait_until(
        "the link went or not",
        "document.querySelector('#notices').textContent",
    )?;
    let requests = browser.requests()?;
    ensure!(
        requests.iter().any(|url| url.starts_with("file:")),
        "the log does not even have the page in it: {requests:?}"
    );
    let foreign: Vec<_> = requests
        .iter()
        .filter(|url| {
            !["file:", "data:", "blob:"]
                .iter()
                .any(|s| url.starts_with(s))
        })
        .collect();
    ensure!(foreign.is_empty(), "the page asked for {foreign:?}");

    let file = page::file().map_err(anyhow::Error::msg)?;
    let (_folder, copy) = page::without_policy(&file)?;
    let trap = Trap::set()?;
    browser.open(&page::url(&copy))?;
    attempt(&browser, &trap, &["fetch"])?;
    let requests = browser.requests()?;
    ensure!(
        requests.iter().any(|url| url.starts_with(trap.address())),
        "the log missed a request: {requests:?}"
    );
    Ok(())
}
