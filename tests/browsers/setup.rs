//! A set-up typed, answered, kept and brought back, as a person at the bench
//! would: from an empty page to a link that opens anywhere.

use std::time::Duration;

use anyhow::{Context, ensure};
use serde_json::Value;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;
use tapwright_tests::page;

use crate::Outcome;

/// Opens the page with this fragment; an empty one is a first visit.
pub fn visit(engine: Engine, fragment: &str) -> anyhow::Result<Browser> {
    let browser = Browser::start(engine)?;
    browser.open(&address(fragment)?)?;
    Ok(browser)
}

/// The address of the page with this fragment.
pub fn address(fragment: &str) -> anyhow::Result<String> {
    let file = page::file().map_err(anyhow::Error::msg)?;
    let hash = if fragment.is_empty() { "" } else { "#" };
    Ok(format!("{}{hash}{fragment}", page::url(&file)))
}

/// Starts blank and types the three things that give a first answer.
pub fn type_the_three(browser: &Browser) -> Outcome {
    browser.click("[data-do=blank]")?;
    browser.wait_for_text("#answer .sentence", "Still unknown")?;
    browser.type_into("primary", "8k")?;
    browser.type_into("taps", "3, 8, 15")?;
    browser.type_into("hookup.1.speakers", "8//8")
}

/// The report that the page computes from its own address.
pub fn report(browser: &Browser) -> anyhow::Result<Value> {
    let json = browser.script("return JSON.stringify(tapwright.solve(location.hash))")?;
    Ok(serde_json::from_str(json.as_str().context("no report")?)?)
}

/// The first visit opens an example, complete and marked as one.
pub fn first_visit(engine: Engine) -> Outcome {
    let browser = visit(engine, "")?;
    browser.wait_for_text("#standing", "example")?;
    browser.wait_for_text("#answer .sentence", "Use the")?;
    let title = browser.session().title()?;
    ensure!(title.contains("village-hall"), "the title is {title:?}");
    Ok(())
}

/// Changed region by region, the page ends as the one that its link opens: element by element.
pub fn edits_end_where_a_link_begins(engine: Engine) -> Outcome {
    let link = |taps: &str, hall: &str, supply: &str| {
        format!(
            "v=1&primary=brown%208k,%20blue%2010k&taps=white%203,%20green%208,%20yellow%20{taps}\
             &tube=6AQ5&supply={supply}&hookup=Hall:{hall}&hookup=8//8@10&hookup=3@6"
        )
    };
    const REGIONS: &str = "['answer', 'beware', 'hookups', 'connections', 'chosen', 'numbers']";
    let browser = visit(engine, &link("16", "8@20", "260"))?;
    let fresh = browser.script(&format!(
        "return {REGIONS}.map((id) => document.getElementById(id).innerHTML)"
    ))?;
    browser.session().open_url("about:blank")?;
    browser.open(&address(&link("15", "15@20", "250"))?)?;
    browser.wait_for_text("#answer .sentence", "Use the")?;
    browser.type_into("taps", "white 3, green 8, yellow 16")?;
    browser.type_into("hookup.1.speakers", "8")?;
    browser.type_into("supply", "260")?;
    browser.wait_until(
        "every element is as the link's",
        &format!(
            "{REGIONS}.every((id, at) => {{
               const here = document.getElementById(id);
               const there = here.cloneNode(false);
               there.innerHTML = {fresh}[at];
               return here.children.length > 0 && here.isEqualNode(there);
             }})"
        ),
    )
}

/// Typed, answered, chosen, worked out, and the same again from its link.
pub fn comes_back_by_its_link(engine: Engine) -> Outcome {
    let browser = visit(engine, "")?;
    type_the_three(&browser)?;
    browser.wait_for_text("#echo-hookup-1-speakers", "4 Ω")?;
    browser.wait_for_text("#answer .sentence", "8 kΩ")?;

    // 8 kΩ on the 8 Ω tap, and 4 Ω connected to it: 4 kΩ. Exact arithmetic.
    browser.wait_for_text("[data-choose=\"1,2,1\"]", "kΩ")?;
    browser.click("[data-choose=\"1,2,1\"]")?;
    browser.wait_for_text("[data-choose=\"1,2,1\"][aria-pressed=true]", "4.00 kΩ")?;
    browser.wait_for_text("#answer .other", "You chose")?;
    browser.wait_for_text("#numbers", "Reflected load4.00 kΩ")?;
    let working = "#numbers details.working";
    browser.click(&format!("{working} summary"))?;
    browser.wait_until(
        "the working is open",
        "document.querySelector('#numbers details.working').open",
    )?;
    browser.wait_for_text(&format!("{working} .source"), "Source: ")?;

    let link = browser.session().url()?;
    for part in ["primary=8k", "hookup=8//8", "selected=1,2,1"] {
        ensure!(link.contains(part), "{part} is not in {link}");
    }
    let (answer, title) = (browser.text("#answer")?, browser.session().title()?);
    let first = report(&browser)?;
    drop(browser);

    let elsewhere = Browser::start(engine)?;
    elsewhere.open(&link)?;
    ensure!(elsewhere.text("#answer")? == answer, "another answer");
    ensure!(elsewhere.session().title()? == title, "another title");
    ensure!(elsewhere.typed("taps")? == "3, 8, 15", "other taps");
    ensure!(report(&elsewhere)? == first, "another report");
    ensure!(elsewhere.session().url()? == link, "another link");
    same_as_native(&link, &first)
}

/// The page computes what the program computes: one code, two compilers, and
/// elementary functions that may differ in their last digits.
fn same_as_native(link: &str, report: &Value) -> Outcome {
    let setup = tapwright_core::link::parse(link).setup;
    let native = serde_json::to_value(tapwright_core::solve(&setup))?;
    let difference = difference("report", &native, report);
    ensure!(
        difference.is_none(),
        "native and page differ: {difference:?}"
    );
    Ok(())
}

/// The first place where two reports differ by more than rounding.
fn difference(place: &str, a: &Value, b: &Value) -> Option<String> {
    let differs = || Some(format!("{place}: {a} and {b}"));
    match (a, b) {
        (Value::Object(a), Value::Object(b)) if a.len() == b.len() => {
            a.iter().find_map(|(key, a)| {
                let b = b.get(key).unwrap_or(&Value::Null);
                difference(&format!("{place}.{key}"), a, b)
            })
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => a
            .iter()
            .zip(b)
            .enumerate()
            .find_map(|(at, (a, b))| difference(&format!("{place}[{at}]"), a, b)),
        (Value::Number(x), Value::Number(y)) => {
            let (x, y) = (x.as_f64()?, y.as_f64()?);
            let close = (x - y).abs() <= 1e-12 * x.abs().max(y.abs());
            if close { None } else { differs() }
        }
        _ if a == b => None,
        _ => differs(),
    }
}

/// Back and Forward move between the connections that were chosen.
pub fn back_and_forward(engine: Engine) -> Outcome {
    let browser = visit(engine, "v=1&primary=8k&taps=3,%208,%2015&hookup=8//8")?;
    let chosen = |cell: &str| {
        browser.wait_until(
            &format!("{cell} is chosen"),
            &format!("document.querySelector('[data-choose=\"{cell}\"]').ariaPressed === 'true'"),
        )
    };
    browser.click("[data-choose=\"1,1,1\"]")?;
    chosen("1,1,1")?;
    browser.click("[data-choose=\"1,3,1\"]")?;
    chosen("1,3,1")?;
    browser.session().back()?;
    chosen("1,1,1")?;
    browser.session().forward()?;
    chosen("1,3,1")?;
    browser.session().back()?;
    browser.session().back()?;
    browser.wait_until(
        "nothing is chosen by hand",
        "!location.hash.includes('selected')",
    )?;
    browser.wait_until("nothing was", "!document.querySelector('#answer .other')")?;
    ensure!(browser.typed("taps")? == "3, 8, 15", "other taps");

    // What replaces everything is a place to come back to as well.
    browser.click("[data-do=blank]")?;
    browser.wait_for_text("#answer .sentence", "Still unknown")?;
    browser.session().back()?;
    browser.wait_for_text("#answer .sentence", "8 kΩ")?;
    ensure!(browser.typed("primary")? == "8k", "another primary");
    Ok(())
}

/// Nothing is lost by starting blank: undo brings it back, redo takes it again.
pub fn undo_and_redo(engine: Engine) -> Outcome {
    let browser = visit(engine, "")?;
    let before = browser.text("#answer .sentence")?;
    type_the_three(&browser)?;
    browser.wait_for_text("#answer .sentence", "8 kΩ")?;
    let typed = browser.text("#answer .sentence")?;
    for _ in 0..4 {
        browser.click("[data-do=undo]")?;
    }
    ensure!(
        browser.text("#answer .sentence")? == before,
        "undo did not bring it back"
    );
    for _ in 0..4 {
        browser.click("[data-do=redo]")?;
    }
    ensure!(
        browser.text("#answer .sentence")? == typed,
        "redo did not bring it again"
    );
    ensure!(
        browser.typed("hookup.1.speakers")? == "8//8",
        "other speakers"
    );
    Ok(())
}

/// A set-up that was not saved anywhere is offered back after the page closed.
pub fn offered_back(engine: Engine) -> Outcome {
    let browser = visit(engine, "")?;
    type_the_three(&browser)?;
    // Gone before the pause after which the address follows, but no faster than a hand: what a
    // page stores while it is going, Firefox mostly loses.
    std::thread::sleep(Duration::from_millis(60));
    browser.session().open_url("about:blank")?;
    browser.open(&address("")?)?;
    browser.wait_for_text("#notices", "8k")?;
    browser.wait_for_text("#standing", "example")?;
    browser.click("[data-do=bring-back]")?;
    browser.wait_until(
        "the primary is back",
        "document.querySelector('[data-field=primary]').value === '8k'",
    )?;
    let speakers = browser.typed("hookup.1.speakers")?;
    let kept = browser.script("return JSON.stringify(localStorage)")?;
    ensure!(
        speakers == "8//8",
        "the speakers are {speakers:?}; kept is {kept}"
    );
    Ok(())
}
