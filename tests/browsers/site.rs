//! The page from a static host: kept on the device, opened with the host stopped, and replaced
//! by a newer version as a whole.

use std::fs;

use anyhow::{Context, ensure};
use serde_json::{Value, json};
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;
use tapwright_tests::host::Host;
use tapwright_tests::site;

use crate::Outcome;
use crate::setup::{report, type_the_three};

/// The version of the page that is open: empty for the one that was built.
const EDITION: &str = "(document.documentElement.dataset.edition || '')";

/// Opens the site, and waits until it is on the device.
fn installed(engine: Engine) -> anyhow::Result<(Host, Browser)> {
    let folder = site::folder().map_err(anyhow::Error::msg)?;
    let host = Host::start(&folder)?;
    let browser = Browser::start(engine)?;
    browser.open(&host.address())?;
    browser.wait_for_text("#notices", "opens without a network")?;
    Ok((host, browser))
}

/// Which version is open.
fn is_open(browser: &Browser, edition: &str) -> Outcome {
    browser.wait_until(
        &format!("version {edition:?} is open"),
        &format!("globalThis.tapwright && {EDITION} === '{edition}'"),
    )
}

/// Opens an address in this window, as a new visit.
fn visit(browser: &Browser, address: &str) -> Outcome {
    browser.session().open_url("about:blank")?;
    browser.open(address)
}

/// Waits until another version has taken the place of the one that was open.
fn has_become(browser: &Browser, edition: &str) -> Outcome {
    for _ in 0..400 {
        let is_there = browser.script(&format!("return {EDITION} === '{edition}'"));
        if is_there.is_ok_and(|is_there| is_there == true) {
            return is_open(browser, edition);
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    anyhow::bail!("version {edition:?} never opened")
}

/// Loads the page again, as a person does.
fn reload(browser: &Browser) -> Outcome {
    browser.script("window.before = true; setTimeout(() => location.reload(), 0)")?;
    for _ in 0..400 {
        // While one page goes and the other comes, there is none to ask.
        let is_new = browser.script("return !window.before && document.readyState === 'complete'");
        if is_new.is_ok_and(|is_new| is_new == true) {
            return Ok(());
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    anyhow::bail!("it never came back")
}

/// The names of the caches.
fn caches(browser: &Browser) -> anyhow::Result<Vec<String>> {
    let names = (browser.session()).run_async("caches.keys().then(arguments[0])", &[])?;
    Ok(serde_json::from_value(names)?)
}

/// With the host stopped the page opens, computes, and offers back what was typed; by the
/// address of the folder, of the file in it, and with a link behind either.
pub fn without_host(engine: Engine) -> Outcome {
    let (mut host, browser) = installed(engine)?;
    type_the_three(&browser)?;
    browser.wait_for_text("#answer .sentence", "8 kΩ")?;
    host.stop()?;
    visit(&browser, &host.address())?;
    browser.wait_for_text("#notices", "8k")?;
    browser.click("[data-do=bring-back]")?;
    browser.wait_for_text("#answer .sentence", "8 kΩ")?;
    visit(
        &browser,
        &format!(
            "{}index.html#v=1&primary=5k&taps=8&hookup=8",
            host.address()
        ),
    )?;
    browser.wait_for_text("#answer .sentence", "5 kΩ")?;
    ensure!(report(&browser)?["connections"][0]["reflected"].is_number());
    // What belongs to it is there as well, and what does not is not.
    let found = browser.session().run_async(
        "const done = arguments[0];
         const image = new Image();
         image.onload = () => done(image.naturalWidth);
         image.onerror = () => done('no image');
         image.src = 'icon-192.png';",
        &[],
    )?;
    ensure!(found == 192, "the icon is {found}");
    ensure!(
        browser
            .session()
            .open_url(&format!("{}other.html", host.address()))
            .is_err()
            || browser.script("return !document.getElementById('page')")? == true,
        "the page took the place of what the host does not have"
    );
    Ok(())
}

/// A newer version is seen within one reload, says so, and is taken when the person wants it:
/// what is typed comes along. Another tab stays as it is until it is told to.
pub fn newer_version(engine: Engine) -> Outcome {
    let (host, browser) = installed(engine)?;
    let first = site::folder().map_err(anyhow::Error::msg)?;
    let newer = site::another(&first, "second")?;
    let session = browser.session();
    let here = session.get("window")?;
    let there = session.post("window/new", &json!({ "type": "tab" }))?["handle"].clone();
    let go_to = |tab: &Value| session.post("window", &json!({ "handle": tab })).map(drop);
    go_to(&there)?;
    browser.open(&format!(
        "{}#v=1&primary=5k&taps=8&hookup=8",
        host.address()
    ))?;
    browser.wait_for_text("#answer .sentence", "5 kΩ")?;

    // What this tab has just asked for is answered: an engine joins questions that are under way.
    browser.session().run_async(
        "const done = arguments[0];
         navigator.serviceWorker.getRegistration().then((one) => one.update()).then(() => done(), done);",
        &[],
    )?;
    go_to(&here)?;
    host.give(newer.path());
    reload(&browser)?;
    is_open(&browser, "").context("after one reload")?;
    browser
        .wait_for_text("#notices", "A newer version of this page is there")
        .context("after one reload")?;
    browser.click("[data-do=blank]")?;
    browser.type_into("primary", "6k6")?;
    browser.type_into("name", "Porch amp")?;
    browser.click("[data-do=update]")?;
    has_become(&browser, "second")?;
    browser.wait_for_text("#notices", "another version of the page than last time")?;
    ensure!(browser.typed("primary")? == "6k6", "the primary is gone");
    ensure!(browser.typed("name")? == "Porch amp", "the name is gone");
    let kept = caches(&browser)?;
    ensure!(
        kept.len() == 1 && kept[0].ends_with(" second"),
        "what is kept: {kept:?}"
    );

    go_to(&there)?;
    is_open(&browser, "").context("the other tab")?;
    ensure!(browser.typed("primary")? == "5k", "another tab was changed");
    browser
        .wait_for_text("#notices", "A newer version of this page is there")
        .context("the other tab")?;
    browser.script("document.querySelector('[data-do=update]').click()")?;
    has_become(&browser, "second")?;
    ensure!(browser.typed("primary")? == "5k", "its primary is gone");
    Ok(())
}

/// Nobody has to press anything: once every tab is closed, the next visit is the newer version,
/// with the host stopped as well.
pub fn newer_when_closed(engine: Engine) -> Outcome {
    let (mut host, browser) = installed(engine)?;
    let first = site::folder().map_err(anyhow::Error::msg)?;
    let newer = site::another(&first, "second")?;
    host.give(newer.path());
    visit(&browser, &host.address())?;
    is_open(&browser, "")?;
    browser.wait_for_text("#notices", "A newer version of this page is there")?;
    host.stop()?;
    browser.session().open_url("about:blank")?;
    // The browser lets the old version go a moment after its last tab.
    for _ in 0..20 {
        visit(&browser, &host.address())?;
        if browser.script(&format!("return {EDITION}"))? == "second" {
            return browser.wait_for_text("#notices", "another version of the page than last time");
        }
        std::thread::sleep(std::time::Duration::from_millis(300));
    }
    anyhow::bail!("the newer version never opened")
}

/// A host that has some files of each version gives neither: what is on the device stays whole,
/// until the newer one is.
pub fn half_uploaded(engine: Engine) -> Outcome {
    let (mut host, browser) = installed(engine)?;
    let first = site::folder().map_err(anyhow::Error::msg)?;
    let newer = site::another(&first, "second")?;
    // The newer worker beside the older page.
    let half = site::copy(&first)?;
    fs::copy(
        newer.path().join("worker.js"),
        half.path().join("worker.js"),
    )?;
    host.give(half.path());
    visit(&browser, &host.address())?;
    let refused = browser.session().run_async(
        "const done = arguments[0];
         navigator.serviceWorker.getRegistration().then(async (registration) => {
           let reason = '';
           try { await registration.update(); } catch (thrown) { reason = String(thrown); }
           const worker = registration.installing;
           while (worker && worker.state === 'installing') {
             await new Promise((settle) => setTimeout(settle, 20));
           }
           done({ waiting: Boolean(registration.waiting), state: worker && worker.state, reason });
         });",
        &[],
    )?;
    ensure!(
        refused["waiting"] == false,
        "half a version waits: {refused}"
    );
    ensure!(
        !browser.text("#notices")?.contains("newer version"),
        "half a version is offered"
    );
    host.stop()?;
    visit(&browser, &host.address())?;
    is_open(&browser, "")?;
    browser.wait_for_text("#answer .sentence", "Use the")?;

    host.give(newer.path());
    host.start_again()?;
    visit(&browser, &host.address())?;
    browser.wait_for_text("#notices", "A newer version of this page is there")?;
    let kept = caches(&browser)?;
    ensure!(kept.len() == 2, "what is kept: {kept:?}");
    Ok(())
}

/// What the browser asks of a page before it offers to install it. Only Chromium's driver
/// tells.
pub fn can_be_installed(engine: Engine) -> Outcome {
    let (_host, browser) = installed(engine)?;
    let manifest = browser.devtools("Page.getAppManifest", &json!({}))?;
    ensure!(manifest["errors"] == json!([]), "{}", manifest["errors"]);
    let text = manifest["data"].as_str().context("no manifest came")?;
    ensure!(text.contains("\"standalone\""), "{text}");
    let errors = browser.devtools("Page.getInstallabilityErrors", &json!({}))?;
    ensure!(
        errors["installabilityErrors"] == json!([]),
        "it cannot be installed: {errors}"
    );
    Ok(())
}
