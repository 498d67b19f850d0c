//! One leaf at a time: turned by a tap, part of the link, and Back goes where it came from.

use anyhow::{Context, ensure};
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

/// What a screen of 360 by 740 pixels shows of the first example on opening it, and how long
/// every leaf is there with its folds shut.
pub fn fits_a_telephone(engine: Engine) -> Outcome {
    let browser = Browser::start(engine)?;
    let number = |script: &str| -> anyhow::Result<f64> {
        let number = browser.script(&format!("return {script}"))?;
        number
            .as_f64()
            .with_context(|| format!("{script} is {number}"))
    };
    browser.resize(360, 740)?;
    browser.open(&address("")?)?;
    let pinned = number("document.querySelector('.pinned').offsetHeight")?;
    ensure!(pinned <= 110.0, "what is pinned is {pinned} px high");
    let edge = "document.querySelector('#leaves').getBoundingClientRect().top";
    for (what, selector) in [
        ("the warning", "#warning p"),
        ("the answer", "#answer .brief"),
        ("the status", "#status button"),
        ("the first cell", "#grid-1 td"),
    ] {
        let bottom = number(&format!(
            "document.querySelector('{selector}').getBoundingClientRect().bottom - {edge}"
        ))?;
        ensure!(
            bottom <= 0.0,
            "{what} ends {bottom} px below what is in sight"
        );
    }
    let mut long = Vec::new();
    for width in [360, 320] {
        browser.resize(width, 740)?;
        for example in &EXAMPLES {
            for leaf in ["parts", "connections", "tube", "feedback", "heat"] {
                browser.session().open_url("about:blank")?;
                browser.open(&address(&format!("{}&leaf={leaf}", example.link))?)?;
                let height = number("document.documentElement.scrollHeight")?;
                let wide = number("document.documentElement.scrollWidth - innerWidth")?;
                ensure!(
                    wide <= 0.0,
                    "{} {leaf} is {wide} px wider than {width}",
                    example.name
                );
                println!("{} {leaf} at {width}: {height} px", example.name);
                if width == 360 && height > 4.0 * 740.0 {
                    long.push(format!("{} {leaf}: {height}", example.name));
                }
            }
        }
    }
    ensure!(
        long.is_empty(),
        "longer than four screens: {}",
        long.join(", ")
    );
    Ok(())
}

/// Everything that is pressed is large enough for a thumb, in every leaf.
pub fn targets_suit_a_thumb(engine: Engine) -> Outcome {
    let browser = Browser::start(engine)?;
    browser.resize(360, 740)?;
    for example in &EXAMPLES {
        for leaf in ["parts", "connections", "tube", "feedback", "heat"] {
            browser.session().open_url("about:blank")?;
            browser.open(&address(&format!("{}&leaf={leaf}", example.link))?)?;
            // A word in a sentence is as high as its line.
            let small = browser.script(
                "document.querySelectorAll('details').forEach((fold) => { fold.open = true; });
                 const pressed = document.querySelectorAll('button, summary, select, input:not([type=file])');
                 const inline = '.taken button, #warning .plain, #status button, .standing .plain';
                 return [...pressed]
                   .filter((it) => it.offsetHeight > 0 && !it.matches(inline))
                   .filter((it) => it.getBoundingClientRect().height < 43.5)
                   .map((it) => `${it.tagName} ${it.id || it.textContent} ${it.offsetHeight}`);",
            )?;
            ensure!(
                small == serde_json::json!([]),
                "{} {leaf}: {small}",
                example.name
            );
        }
    }
    Ok(())
}
