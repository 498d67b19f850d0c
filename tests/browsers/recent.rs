//! Set-ups saved as files and opened again, the recent ones of the device, and storage that is
//! refused, full or cleared.

use std::fs;

use anyhow::{Context, ensure};
use serde_json::{Value, json};
use tapwright_core::link;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::files::drop_file;
use crate::setup::{address, type_the_three, visit};

const PORCH: &str = "v=1&name=Porch%20amp&primary=8k&taps=4,%208&hookup=8";

/// Notes the text of every file that the page hands to the browser, in place of saving it.
const NOTE_SAVED: &str = "
    window.saved = [];
    const make = URL.createObjectURL;
    URL.createObjectURL = (blob) => { blob.text().then((text) => window.saved.push(text)); return make.call(URL, blob); };
    HTMLAnchorElement.prototype.click = function () { window.savedName = this.download; };
    return true;";

fn saved(browser: &Browser) -> anyhow::Result<(String, String)> {
    browser.wait_until("a file is saved", "window.saved.length > 0")?;
    let saved = browser.script("return [window.savedName, window.saved.pop()]")?;
    let text =
        |at: usize| Ok::<_, anyhow::Error>(saved[at].as_str().context("no text")?.to_owned());
    Ok((text(0)?, text(1)?))
}

fn open_list(browser: &Browser) -> Outcome {
    browser.click("#recent-open")?;
    browser.wait_for_text("#recent", "Recent set-ups")
}

fn names(browser: &Browser) -> anyhow::Result<Vec<String>> {
    let names = browser.script(
        "return [...document.querySelectorAll('#recent .what b')].map((b) => b.textContent)",
    )?;
    Ok(serde_json::from_value(names)?)
}

/// What is saved as a file opens again, by the button and from an empty page, and is what it
/// was: every field, every choice.
pub fn by_file(engine: Engine) -> Outcome {
    let browser = visit(engine, PORCH)?;
    browser.script(NOTE_SAVED)?;
    browser.click("#save-file")?;
    let (name, text) = saved(&browser)?;
    ensure!(name == "Porch-amp.tapwright.txt", "{name}");
    ensure!(
        text.contains("\nname=Porch amp\nprimary=8k\ntaps=4, 8\n"),
        "{text}"
    );
    let folder = tempfile::tempdir()?;
    let file = folder.path().join(&name);
    fs::write(&file, &text)?;

    browser.session().open_url("about:blank")?;
    browser.open(&address("v=1")?)?;
    browser.wait_for_text("#standing", "Open a file")?;
    let input = browser.session().find("#standing [data-file=set-up]")?;
    (browser.session()).keys(&input, file.to_str().context("a path in UTF-8")?)?;
    browser.wait_for_text("#answer", "kΩ")?;
    browser.wait_for_text("#notices", "is open, as it was saved on")?;
    let fragment = browser.session().url()?;
    ensure!(
        link::parse(&fragment).setup == link::parse(PORCH).setup,
        "another set-up: {fragment}"
    );
    browser.click("[data-do=undo]")?;
    browser.wait_until(
        "it can be undone",
        "document.getElementById('field-primary').value === ''",
    )
}

/// What is dropped and is no file of set-ups changes nothing and says why; what is, opens.
pub fn dropped(engine: Engine) -> Outcome {
    let browser = visit(engine, "v=1&primary=8k&taps=8&hookup=8")?;
    let before = browser.text("#answer")?;
    let pick = |name: &str, text: &str, told: &str| -> Outcome {
        browser.script(&format!(
            "const brought = new DataTransfer();
             brought.items.add(new File([{text}], '{name}'));
             const input = document.querySelector('[data-file=set-up]');
             input.files = brought.files;
             input.dispatchEvent(new Event('change', {{ bubbles: true }}));"
        ))?;
        browser.wait_for_text("#notices", told)?;
        browser.wait_for_text("#notices", "Nothing was changed")
    };
    pick(
        "photo.jpg",
        "new Uint8Array([0xff, 0xd8, 0xff, 0xe0, 0, 16])",
        "“photo.jpg” is no text",
    )?;
    pick(
        "letter.txt",
        "'Dear Ann,\\nthe amp hums.'",
        "“letter.txt” is no set-up",
    )?;
    pick("nothing.txt", "''", "“nothing.txt” is empty")?;
    pick(
        "large.txt",
        "new Uint8Array(100e6)",
        "“large.txt” has 100 MB",
    )?;
    browser.script(
        "const brought = new DataTransfer();
         for (const name of ['a.txt', 'b.txt']) brought.items.add(new File(['v=1'], name));
         document.body.dispatchEvent(new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: brought }));",
    )?;
    browser.wait_for_text("#notices", "2 files at once")?;
    ensure!(browser.text("#answer")? == before, "the answer changed");

    drop_file(
        &browser,
        "body",
        "later.txt",
        "'v=7\\nprimary=6k\\ntaps=8\\nhookup=8\\nmood=blue\\n'",
    )?;
    browser.wait_for_text("#notices", "“v” is a version that this page does not know")?;
    browser.wait_for_text("#notices", "mood")?;
    ensure!(
        browser.typed("primary")? == "6k",
        "what could be read is not there"
    );
    drop_file(
        &browser,
        "body",
        "link.txt",
        "'https://example.org/#v=1&primary=7k&taps=8&hookup=8'",
    )?;
    browser.wait_until(
        "the link is open",
        "document.getElementById('field-primary').value === '7k'",
    )?;
    browser.script(
        "const brought = new DataTransfer();
         brought.setData('text/plain', 'https://example.org/#v=1&primary=9k&taps=8&hookup=8');
         document.body.dispatchEvent(new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: brought }));",
    )?;
    browser.wait_until(
        "a link that was dragged is open",
        "document.getElementById('field-primary').value === '9k'",
    )
}

/// What was typed is among the recent set-ups, with its answer; opened, deleted, brought back,
/// all saved as one file, and there again from it on a device that has none.
pub fn listed(engine: Engine) -> Outcome {
    let browser = visit(engine, "")?;
    type_the_three(&browser)?;
    browser.type_into("name", "Porch amp")?;
    browser.wait_for_text("#answer .sentence", "8 kΩ")?;
    browser.click("[data-do=blank]")?;
    type_the_three(&browser)?;
    browser.type_into("name", "Hall")?;
    browser.wait_for_text("#answer .sentence", "8 kΩ")?;
    open_list(&browser)?;
    let mut there = names(&browser)?;
    there.sort();
    ensure!(there == ["Hall", "Porch amp"], "{there:?}");
    browser.wait_for_text("#recent li", "primary sees 6.98 kΩ")?;

    let porch = "[...document.querySelectorAll('#recent li')].find((li) => li.textContent.includes('Porch'))";
    browser.script(&format!("{porch}.querySelector('.what').click()"))?;
    browser.wait_until(
        "it is open, and the list is not",
        "document.getElementById('field-name').value === 'Porch amp' && !document.querySelector('#recent li')",
    )?;
    // Going on with it makes no second one.
    browser.type_into("target", "9k")?;
    browser.wait_until(
        "it is in the address",
        "location.hash.includes('target=9k')",
    )?;
    open_list(&browser)?;
    ensure!(
        names(&browser)? == ["Porch amp", "Hall"],
        "{:?}",
        names(&browser)?
    );

    browser.script(&format!(
        "{porch}.querySelector('[data-do^=delete-recent]').click()"
    ))?;
    browser.wait_for_text("#notices", "“Porch amp” was deleted")?;
    ensure!(names(&browser)? == ["Hall"], "it is still there");
    browser.click("[data-do=restore-recent]")?;
    browser.wait_until(
        "it is back",
        "document.querySelectorAll('#recent li').length === 2",
    )?;

    browser.script(NOTE_SAVED)?;
    browser.click("#save-all")?;
    let (_, text) = saved(&browser)?;
    ensure!(
        text.matches("\nv=1\n").count() == 2 && text.contains("target=9k"),
        "{text}"
    );
    browser.script("localStorage.clear()")?;
    browser.session().open_url("about:blank")?;
    browser.open(&address("v=1")?)?;
    drop_file(&browser, "body", "set-ups.txt", &json!(text).to_string())?;
    browser.wait_for_text("#notices", "holds 2 set-ups")?;
    ensure!(
        names(&browser)? == ["Porch amp", "Hall"],
        "{:?}",
        names(&browser)?
    );
    drop_file(&browser, "body", "set-ups.txt", &json!(text).to_string())?;
    browser.wait_for_text("#notices", "Two there already")
}

/// Two tabs that work on the same set-up do not overwrite each other.
pub fn two_tabs(engine: Engine) -> Outcome {
    let browser = visit(engine, PORCH)?;
    browser.type_into("target", "9k")?;
    browser.wait_until(
        "it is in the address",
        "location.hash.includes('target=9k')",
    )?;
    let session = browser.session();
    let first = session.get("window")?;
    let second = session.post("window/new", &json!({ "type": "tab" }))?["handle"].clone();
    let go_to = |tab: &Value| session.post("window", &json!({ "handle": tab })).map(drop);
    go_to(&second)?;
    browser.open(&address(&format!("{PORCH}&target=9k"))?)?;
    // Longer than it takes to find out whose it is.
    std::thread::sleep(std::time::Duration::from_millis(1_000));
    let type_target = |text: &str| {
        // One engine draws no tab in the background, and so types into nothing there.
        browser.script(&format!(
            "const field = document.getElementById('field-target');
             field.value = '{text}';
             field.dispatchEvent(new Event('input', {{ bubbles: true }}));"
        ))
    };
    type_target("10k")?;
    browser.wait_until(
        "it is in the address",
        "location.hash.includes('target=10k')",
    )?;
    go_to(&first)?;
    type_target("11k")?;
    browser.wait_until(
        "it is in the address",
        "location.hash.includes('target=11k')",
    )?;
    let kept = browser.script(
        "return Object.keys(localStorage).filter((key) => key.startsWith('tapwright.recent.')).map((key) => localStorage[key])",
    )?;
    let kept: Vec<String> = serde_json::from_value(kept)?;
    ensure!(kept.len() == 2, "{kept:?}");
    for target in ["10k", "11k"] {
        let line = format!("\ntarget={target}\n");
        ensure!(
            kept.iter().any(|one| one.contains(&line)),
            "no {target}: {kept:?}"
        );
    }
    Ok(())
}

/// Storage that is refused, full, or cleared while the page is open: it is said once, and the
/// page goes on.
pub fn no_storage(engine: Engine) -> Outcome {
    let cases = [
        (
            "Object.defineProperty(window, 'localStorage', { configurable: true, get() { throw new DOMException('no', 'SecurityError'); } })",
            "This browser keeps nothing for this page",
        ),
        (
            "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }",
            "has no room left",
        ),
    ];
    for (deny, told) in cases {
        let browser = visit(engine, "v=1")?;
        browser.script(deny)?;
        type_the_three_at(&browser)?;
        browser.wait_for_text("#notices", told)?;
        browser.click("[data-do=dismiss]")?;
        browser.type_into("taps", "3, 8, 16")?;
        browser.wait_until("it goes on", "location.hash.includes('taps=3,%208,%2016')")?;
        std::thread::sleep(std::time::Duration::from_millis(300));
        ensure!(browser.text("#notices")?.is_empty(), "it is said twice");
        ensure!(browser.text("#answer")?.contains("kΩ"), "no answer");
        open_list(&browser)?;
        browser.wait_for_text("#recent", "Nothing is kept here yet")?;
    }
    let browser = visit(engine, "v=1")?;
    type_the_three_at(&browser)?;
    browser.wait_until(
        "it is kept",
        "Object.keys(localStorage).some((key) => key.startsWith('tapwright.recent.'))",
    )?;
    browser.script("localStorage.clear()")?;
    browser.type_into("name", "Porch amp")?;
    browser.wait_for_text("#notices", "was cleared")?;
    browser.wait_until("it is in the address", "location.hash.includes('Porch')")?;
    open_list(&browser)?;
    ensure!(names(&browser)? == ["Porch amp"], "{:?}", names(&browser)?);
    Ok(())
}

fn type_the_three_at(browser: &Browser) -> Outcome {
    browser.type_into("primary", "8k")?;
    browser.type_into("taps", "3, 8, 15")?;
    browser.type_into("hookup.1.speakers", "8//8")?;
    browser.wait_until(
        "it is in the address",
        "location.hash.includes('hookup=8//8')",
    )
}
