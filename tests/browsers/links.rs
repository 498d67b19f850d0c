//! Links that travel as text, menus that go away, and work that is offered back.

use anyhow::{Context, ensure};
use serde_json::json;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;
use tapwright_tests::page;

use crate::Outcome;
use crate::setup::{address, type_the_three, visit};

const LINK: &str = "v=1&primary=8k&taps=3,%208,%2015&hookup=8//8";

/// The key Escape (W3C, WebDriver, section 17.4.2).
const ESCAPE: &str = "\u{e00c}";

fn open_menu(browser: &Browser) -> Outcome {
    browser.click(".menu summary")?;
    is_open(browser, true)
}

fn is_open(browser: &Browser, open: bool) -> Outcome {
    browser.wait_until(
        if open {
            "the menu is open"
        } else {
            "the menu is closed"
        },
        &format!("document.querySelector('.menu').open === {open}"),
    )
}

/// From a disk the set-up is copied as text, and a text, an address or a fragment is opened.
pub fn as_text(engine: Engine) -> Outcome {
    let browser = visit(engine, LINK)?;
    browser.wait_for_text("#acts", "Copy as text")?;
    browser.click("[data-do=copy-link]")?;
    browser.wait_until(
        "it says what was copied, or where it stands",
        "/Copied as text|behind # in the address bar/.test(document.getElementById('notices').textContent)",
    )?;
    let open = |text: &str| -> Outcome {
        open_menu(&browser)?;
        let field = browser.session().find("#open-text")?;
        browser.script("document.getElementById('open-text').value = ''")?;
        browser.session().keys(&field, text)?;
        browser.click("#open-link button")
    };
    open("a letter")?;
    browser.wait_for_text("#echo-open", "neither an address of this page")?;
    is_open(&browser, true)?;
    browser.click("h1")?;
    for text in [
        "v=1&primary=5k&taps=8&hookup=8",
        "#v=1&primary=6k&taps=8&hookup=8",
        "https://example.org/a.html#v=1&primary=7k&taps=8&hookup=8",
    ] {
        open(text)?;
        let primary = text.split(['=', '&']).nth(3).context("a primary")?;
        browser.wait_until(
            &format!("{primary} is typed"),
            &format!("document.getElementById('field-primary').value === '{primary}'"),
        )?;
        is_open(&browser, false)?;
    }
    browser.session().back()?;
    browser.session().back()?;
    browser.wait_until(
        "Back goes back",
        "document.getElementById('field-primary').value === '5k'",
    )
}

/// Where the browser hands links to other programs, the set-up goes there, from a disk as text;
/// where that fails it is copied, and where the person closes the sheet nothing is.
pub fn shared(engine: Engine) -> Outcome {
    let file = page::file().map_err(anyhow::Error::msg)?;
    let script = "Object.defineProperty(navigator, 'share', { configurable: true, value: (data) => {
        window.handed = data;
        return window.fails ? Promise.reject(new DOMException('no', window.fails)) : Promise.resolve();
    } });";
    let (_folder, copy) = page::after_script(&file, script)?;
    let browser = Browser::start(engine)?;
    browser.open(&format!("{}#{LINK}&name=Porch%20amp", page::url(&copy)))?;
    browser.click("#share")?;
    browser.wait_until("it was handed over", "window.handed")?;
    let handed = browser.script("return window.handed")?;
    ensure!(handed["title"] == "Porch amp · Tapwright", "{handed}");
    let text = handed["text"].as_str().context("no text")?;
    ensure!(
        text.starts_with("v=1&name=Porch%20amp&primary=8k"),
        "{text}"
    );
    ensure!(
        handed["url"].is_null(),
        "an address that works nowhere else"
    );
    const COPIED: &str = "/Copied as text|behind # in the address bar/.test(document.getElementById('notices').textContent)";
    for (fails, copies) in [("AbortError", false), ("NotAllowedError", true)] {
        browser.script(&format!(
            "window.handed = undefined; window.fails = '{fails}'"
        ))?;
        browser.click("#share")?;
        browser.wait_until("it was tried", "window.handed")?;
        if copies {
            browser.wait_until("it is copied instead", COPIED)?;
        } else {
            std::thread::sleep(std::time::Duration::from_millis(300));
            let copied = browser.script(&format!("return {COPIED}"))?;
            ensure!(
                copied == false,
                "the sheet was closed, and it is copied all the same"
            );
        }
    }
    // A browser without one has no button for it.
    let without = page::after_script(
        &file,
        "Object.defineProperty(navigator, 'share', { value: undefined });",
    )?;
    browser.open(&page::url(&without.1))?;
    ensure!(browser.script("return document.getElementById('share') === null")? == true);
    Ok(())
}

/// A menu closes on Escape, on a press elsewhere, and when the keyboard goes elsewhere.
pub fn menus_close(engine: Engine) -> Outcome {
    let browser = visit(engine, LINK)?;
    open_menu(&browser)?;
    let field = browser.session().find("#open-text")?;
    browser.session().keys(&field, ESCAPE)?;
    is_open(&browser, false)?;
    browser.wait_until(
        "the keyboard is where the menu opens",
        "document.activeElement === document.querySelector('.menu summary')",
    )?;
    open_menu(&browser)?;
    browser.click("h1")?;
    is_open(&browser, false)?;
    open_menu(&browser)?;
    browser.script("document.getElementById('field-name').focus()")?;
    is_open(&browser, false)?;
    open_menu(&browser)?;
    browser.click("[data-do=copy-link]")?;
    is_open(&browser, false)
}

/// What a tab works on is offered to nobody else while that tab is open, and a link that was
/// only looked at never.
pub fn offered_when_closed(engine: Engine) -> Outcome {
    let browser = visit(engine, "")?;
    type_the_three(&browser)?;
    browser.wait_until(
        "it is kept",
        "(localStorage['tapwright.last'] || '').includes('8k')",
    )?;
    let session = browser.session();
    let first = session.get("window")?;
    let second = session.post("window/new", &json!({ "type": "tab" }))?["handle"].clone();
    let go_to = |tab: &serde_json::Value| session.post("window", &json!({ "handle": tab }));
    go_to(&second)?;
    browser.open(&address("v=1&primary=5k&taps=8&hookup=8")?)?;
    // Longer than an offer takes.
    std::thread::sleep(std::time::Duration::from_millis(1_500));
    ensure!(
        browser.text("#notices")?.is_empty(),
        "offered while it is open"
    );
    // One engine draws no tab in the background, and so clicks on nothing there.
    browser.script("document.getElementById('leaf-tube').click()")?;
    go_to(&first)?;
    session.delete("window")?;
    go_to(&second)?;
    browser.session().open_url("about:blank")?;
    browser.open(&address("")?)?;
    browser.wait_for_text("#notices", "8k")?;
    ensure!(
        !browser.text("#notices")?.contains("5k"),
        "a link that was looked at"
    );
    Ok(())
}
