//! Measures the page in Chromium: how soon it answers, how long an edit takes,
//! how it grows, and what wasm costs against native code. A table, not a test:
//! numbers depend on the machine, ratios less so.

use std::fs;
use std::hint::black_box;
use std::time::Instant;

use anyhow::{Context, Result};
use serde_json::{Value, json};
use tapwright_core::link;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;
use tapwright_tests::page;

const OPENINGS: usize = 20;
const EDITS: usize = 400;
const SOLVES: usize = 200;

/// Notes when the page first shows a result and when the frame that shows it is
/// painted, in milliseconds since the navigation began. Runs before the page.
const FIRST_RESULT: &str = r##"
globalThis.firstResult = new Promise((settle) => {
  const painted = () => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => settle(performance.now());
    port2.postMessage(0);
  });
  const there = () => document.body && (document.body.dataset.empty !== undefined
    || document.querySelector("#answer .sentence"));
  const observer = new MutationObserver(() => {
    if (there()) { observer.disconnect(); painted(); }
  });
  observer.observe(document, { childList: true, subtree: true });
});
"##;

/// One edit in each frame, or none for comparison, by a real event on a field in turn. The time of each
/// is from the start of the frame's callback until the first task after it, so
/// that script, style, layout and paint count and the wait for the screen does
/// not.
const FRAMES: &str = r#"
const [count, edit, done] = arguments;
const edits = [
  ["primary", ["a 3k4, b 5k, c 6k6, d 8k, e 10k", "a 3k4, b 5k, c 6k6, d 8k, e 11k"]],
  ["taps", ["2, 4, 6, 8, 12, 16", "2, 4, 6, 8, 12, 15"]],
  ["target", ["8k", "6k6"]],
  ["hookup.1.speakers", ["8", "8//8"]],
  ["hookup.10.speakers", ["16", "15"]],
  ["name", ["one", "two"]],
].filter(([key]) => edit && document.querySelector(`[data-field="${key}"]`));
const times = [];
const { port1, port2 } = new MessageChannel();
let began = 0;
port1.onmessage = () => {
  times.push(performance.now() - began);
  if (times.length < count) requestAnimationFrame(frame); else done(times);
};
function frame() {
  began = performance.now();
  const turn = times.length;
  if (edits.length > 0) {
    const [key, texts] = edits[turn % edits.length];
    const field = document.querySelector(`[data-field="${key}"]`);
    field.value = texts[Math.floor(turn / edits.length) % 2];
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  port2.postMessage(0);
}
requestAnimationFrame(frame);
"#;

/// Times each of many solves of one link.
const SOLVE: &str = r#"
const [link, count] = arguments;
const times = [];
for (let turn = 0; turn < count; turn += 1) {
  const began = performance.now();
  tapwright.solve(link);
  times.push(performance.now() - began);
}
return times;
"#;

fn main() -> Result<()> {
    let file = page::file().map_err(anyhow::Error::msg)?;
    let browser = Browser::start(Engine::Chromium)?;
    println!("{:<44}{:>10}{:>10}{:>10}", "", "median", "99 %", "limit");
    opening(&browser, &file)?;
    edits(&browser, &file)?;
    growth(&browser, &file)?;
    wasm(&browser, &file)
}

fn row(what: &str, median: f64, high: Option<f64>, limit: &str) {
    let high = high.map_or(String::new(), |high| format!("{high:.2}"));
    println!("{what:<44}{median:>10.2}{high:>10}{limit:>10}");
}

/// From disk to the first result on the screen, against a file with nothing in it.
fn opening(browser: &Browser, file: &std::path::Path) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let empty = folder.path().join("empty.html");
    fs::write(
        &empty,
        "<!doctype html><html lang=\"en\"><title>Empty</title><body data-empty>",
    )?;
    let hook = browser.devtools(
        "Page.addScriptToEvaluateOnNewDocument",
        &json!({ "source": FIRST_RESULT }),
    )?;
    let mut measured: [Vec<f64>; 2] = Default::default();
    for _ in 0..OPENINGS {
        for (times, file) in measured.iter_mut().zip([empty.as_path(), file]) {
            browser.session().open_url("about:blank")?;
            browser.session().open_url(&page::url(file))?;
            let time = browser
                .session()
                .run_async("firstResult.then(arguments[0])", &[])?;
            times.push(time.as_f64().context("no time")?);
        }
    }
    browser.devtools(
        "Page.removeScriptToEvaluateOnNewDocument",
        &json!({ "identifier": hook["identifier"] }),
    )?;
    let [nothing, page] = measured.map(|times| Times::of(times).median);
    let limit = 1.5 * nothing + 150.0;
    row("open an empty file, ms", nothing, None, "");
    row(
        "open the page to its first result, ms",
        page,
        None,
        &format!("{limit:.0}"),
    );
    row("  difference, ms", page - nothing, None, "");
    row("  ratio", page / nothing, None, "");
    Ok(())
}

/// Many edits of the largest set-up, with every tap pair shown.
fn edits(browser: &Browser, file: &std::path::Path) -> Result<()> {
    show(browser, file, &large(10))?;
    let idle = frames(browser, false)?;
    row(
        "a frame without an edit, ms",
        idle.median,
        Some(idle.high),
        "",
    );
    for (what, view) in [("grids, pairs shown", ""), ("ranked list", "&view=list")] {
        show(browser, file, &format!("{}{view}", large(10)))?;
        let times = frames(browser, true)?;
        let what = format!("edit to painted, {what}, ms");
        row(&what, times.median, Some(times.high), "8 / 16");
    }
    Ok(())
}

/// The same with fewer hookups: connections grow, and time must not grow faster.
fn growth(browser: &Browser, file: &std::path::Path) -> Result<()> {
    for hookups in [1, 2, 5, 10] {
        show(browser, file, &large(hookups))?;
        let connections = 5 * 21 * hookups;
        let edits = frames(browser, true)?;
        row(
            &format!("edit to painted, {connections} connections, ms"),
            edits.median,
            Some(edits.high),
            "",
        );
    }
    Ok(())
}

fn show(browser: &Browser, file: &std::path::Path, fragment: &str) -> Result<()> {
    browser.session().open_url("about:blank")?;
    browser.open(&format!("{}#{fragment}", page::url(file)))?;
    browser
        .script(
            "document.querySelectorAll('.grid [aria-expanded=false]').forEach((b) => b.click())",
        )
        .map(drop)
}

fn frames(browser: &Browser, edit: bool) -> Result<Times> {
    let times = browser
        .session()
        .run_async(FRAMES, &[json!(EDITS), json!(edit)])?;
    Ok(Times::of(numbers(&times)?))
}

/// The same work in the page and in this program, which is compiled for speed.
fn wasm(browser: &Browser, file: &std::path::Path) -> Result<()> {
    let link = large(10);
    show(browser, file, &link)?;
    // The first solves are run while the browser still compiles.
    browser.session().run(SOLVE, &[json!(link), json!(50)])?;
    let times = browser
        .session()
        .run(SOLVE, &[json!(link), json!(SOLVES)])?;
    let page = Times::of(numbers(&times)?);
    let native = Times::of(
        (0..SOLVES)
            .map(|_| {
                let began = Instant::now();
                let report = tapwright_core::solve(&link::parse(black_box(&link)).setup);
                // The page makes plain objects of it, and so does this.
                black_box(serde_json::to_value(&report).ok());
                began.elapsed().as_secs_f64() * 1e3
            })
            .collect(),
    );
    row(
        "solve in the page, to objects, ms",
        page.median,
        Some(page.high),
        "",
    );
    row(
        "solve natively, to JSON values, ms",
        native.median,
        Some(native.high),
        "",
    );
    row("  ratio", page.median / native.median, None, "1.6");
    Ok(())
}

/// Five primary leads, six taps and their pairs, and this many hookups.
fn large(hookups: usize) -> String {
    let speakers = [
        "8",
        "4",
        "16",
        "8//8",
        "8+8",
        "(8+8)//(8+8)",
        "15//8",
        "3",
        "15",
        "16",
    ];
    let mut link = String::from(
        "v=1&primary=a%203k4,%20b%205k,%20c%206k6,%20d%208k,%20e%2010k&taps=2,%204,%206,%208,%2012,%2016&target=8k",
    );
    for speaker in speakers.iter().take(hookups) {
        link.push_str("&hookup=");
        link.push_str(speaker);
    }
    link
}

struct Times {
    median: f64,
    high: f64,
}

impl Times {
    /// Median and 99th percentile (nearest rank) of some times.
    fn of(mut times: Vec<f64>) -> Self {
        times.sort_by(f64::total_cmp);
        let at = |share: f64| {
            let rank = (share * times.len() as f64).ceil() as usize;
            times
                .get(rank.saturating_sub(1))
                .copied()
                .unwrap_or(f64::NAN)
        };
        Self {
            median: at(0.5),
            high: at(0.99),
        }
    }
}

fn numbers(times: &Value) -> Result<Vec<f64>> {
    let times = times.as_array().context("no times")?;
    Ok(times.iter().filter_map(Value::as_f64).collect())
}
