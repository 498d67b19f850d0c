//! Measures the page in Chromium: how soon it answers, how long an edit takes,
//! how it grows, and what wasm costs against native code; and the output-stage
//! solver against a circuit simulator. A table, not a test: numbers depend on
//! the machine, ratios less so.

use std::fs;
use std::time::Instant;

use anyhow::{Context, Result, ensure};
use base64::Engine as _;
use serde_json::{Value, json};
use tapwright_circuit::DirectPoint;
use tapwright_core::examples::EXAMPLES;
use tapwright_solve_wasm::{LARGEST, fit_tube, solve_largest};
use tapwright_tests::amplifiers;
use tapwright_tests::browser::Browser;
use tapwright_tests::circuit;
use tapwright_tests::engine::Engine;
use tapwright_tests::page;

const OPENINGS: usize = 20;
const EDITS: usize = 400;
const LEAVES: usize = 50;
const SOLVES: u32 = 200;
const AMPLIFIERS: u64 = 1_000;

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
  ["supply", ["300", "310"]],
  ["cathode", ["270", "300"]],
  ["hookup.1.speakers", ["8", "8//8"]],
  ["hookup.10.speakers", ["16", "15"]],
  ["name", ["one", "two"]],
].filter(([key]) => edit && document.querySelector(`[data-field="${key}"]`));
const times = [];
const { port1, port2 } = new MessageChannel();
let began = 0;
let script = 0;
const scripts = [];
port1.onmessage = () => {
  times.push(performance.now() - began);
  scripts.push(script);
  if (times.length < count) requestAnimationFrame(frame); else done({ times, scripts });
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
  script = performance.now() - began;
  port2.postMessage(0);
}
requestAnimationFrame(frame);
"#;

/// One edit after the other, each once the leaf beside the parts is true again: the time from
/// the edit to the frame that shows the whole leaf.
const LEAF: &str = r#"
const [count, done] = arguments;
const field = document.querySelector('[data-field="supply"]');
const leaf = document.getElementById("leaf");
const times = [];
let began = 0;
function edit() {
  field.value = times.length % 2 ? "300" : "310";
  began = performance.now();
  field.dispatchEvent(new Event("input", { bubbles: true }));
  look();
}
function look() {
  if (leaf.getAttribute("aria-busy") === "true") { setTimeout(look, 1); return; }
  requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      times.push(performance.now() - began);
      if (times.length < count) edit(); else done(times);
    };
    port2.postMessage(0);
  });
}
edit();
"#;

/// Times each of many turns of one job by the bare module, which needs nothing of the page.
const SOLVE: &str = r#"
const [base64, job, count, done] = arguments;
const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
WebAssembly.instantiate(bytes, {}).then(({ instance }) => {
  const work = instance.exports[job];
  const found = work(count);
  const times = [];
  for (let turn = 0; turn < count; turn += 1) {
    const began = performance.now();
    work(5);
    times.push((performance.now() - began) / 5);
  }
  done({ found, times });
}, (error) => done({ error: String(error) }));
"#;

/// Times each of many solves by the page, which makes plain objects of the report.
const OBJECTS: &str = r#"
const [link, count] = arguments;
const times = [];
for (let turn = 0; turn < 2 * count; turn += 1) {
  const began = performance.now();
  tapwright.solve(link);
  times.push(performance.now() - began);
}
return times.slice(count);
"#;

/// Times the supply with every mains tap as a script gets it, less the solve of the set-up that
/// it begins with.
const SUPPLY: &str = r#"
const [link, count] = arguments;
const taken = (work) => {
  const began = performance.now();
  work(link);
  return performance.now() - began;
};
const times = [];
for (let turn = 0; turn < 2 * count; turn += 1) {
  times.push(taken(tapwright.supply) - taken(tapwright.solve));
}
return times.slice(count);
"#;

/// Drops a file of 100,000 lines and waits until the page has taken it: how long that took,
/// and the longest while in which nothing else of the page could run.
const DROPPED: &str = r##"
const [done] = arguments;
const lines = Array.from({ length: 100000 }, (_, n) => {
  const hertz = 20 * Math.pow(1000, n / 99999);
  const x = hertz / 90 - 90 / hertz;
  return `${hertz.toFixed(4)}\t${(6.5 + 40 / (1 + 16 * x * x) + hertz / 600).toFixed(4)}\t${(-20 * x / (1 + x * x)).toFixed(3)}\n`;
});
const brought = new DataTransfer();
brought.items.add(new File(lines, "bench.txt"));
const drop = new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: brought });
const notices = document.querySelector("#notices");
notices.textContent = "";
const { port1, port2 } = new MessageChannel();
let began = performance.now();
let last = began;
let longest = 0;
let taken = false;
port1.onmessage = () => {
  const now = performance.now();
  longest = Math.max(longest, now - last);
  last = now;
  if (taken) done({ took: now - began, longest, told: notices.textContent }); else port2.postMessage(0);
};
new MutationObserver(() => { taken = true; }).observe(notices, { childList: true });
document.body.dispatchEvent(drop);
port2.postMessage(0);
"##;

fn main() -> Result<()> {
    println!("{:<44}{:>10}{:>10}{:>10}", "", "median", "99 %", "limit");
    simulator()?;
    rest()?;
    let file = page::file().map_err(anyhow::Error::msg)?;
    let browser = Browser::start(Engine::Chromium)?;
    opening(&browser, &file)?;
    edits(&browser, &file)?;
    growth(&browser, &file)?;
    // A browser that was never used: it has nothing to offer back beside the file's own notice.
    reading(&Browser::start(Engine::Chromium)?, &file)?;
    wasm(&browser, &file)
}

fn row(what: &str, median: f64, high: Option<f64>, limit: &str) {
    let high = high.map_or(String::new(), |high| format!("{high:.2}"));
    println!("{what:<44}{median:>10.2}{high:>10}{limit:>10}");
}

/// The output-stage solver against a circuit simulator doing the same.
fn simulator() -> Result<()> {
    if let Err(reason) = circuit::available() {
        println!("{reason}: the stage solver is not compared with it");
        return Ok(());
    }
    let race = circuit::race()?;
    let what = format!("{} stages by ngspice, mean, ms each", race.solves);
    row(&what, race.spice_ms, None, "");
    row("  by this program, mean, ms each", race.own_ms, None, "");
    row(
        "  ratio, at least the limit",
        race.spice_ms / race.own_ms,
        None,
        "3000",
    );
    if let Some(furthest) = race.furthest {
        row(
            "  furthest apart, of the limit",
            furthest.excess(),
            None,
            "1",
        );
    }
    Ok(())
}

/// The point at rest of amplifiers drawn at random, natively.
fn rest() -> Result<()> {
    let mut times = Vec::new();
    for seed in 0..AMPLIFIERS {
        let circuit = amplifiers::drawn(seed)?.amplifier.circuit()?.circuit;
        let began = Instant::now();
        let point = DirectPoint::of(&circuit);
        times.push(began.elapsed().as_secs_f64() * 1e3);
        if let Err(why) = point {
            println!("  amplifier {seed} has no point at rest: {why}");
        }
    }
    let times = Times::of(times);
    row(
        "an amplifier at rest, ms",
        times.median,
        Some(times.high),
        "10",
    );
    Ok(())
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
    row("open an empty file, ms", nothing, None, "");
    row("open the page to its first result, ms", page, None, "500");
    row("  difference, ms", page - nothing, None, "");
    row("  ratio", page / nothing, None, "");
    Ok(())
}

/// Many edits of the largest set-up, with every tap pair shown.
fn edits(browser: &Browser, file: &std::path::Path) -> Result<()> {
    show(browser, file, &large(10))?;
    let (idle, _) = frames(browser, false)?;
    row(
        "a frame without an edit, ms",
        idle.median,
        Some(idle.high),
        "",
    );
    for (what, view) in [("grids, pairs shown", ""), ("ranked list", "&view=list")] {
        show(browser, file, &format!("{}{view}", large(10)))?;
        let (times, script) = frames(browser, true)?;
        let what = format!("edit to painted, {what}, ms");
        row(&what, times.median, Some(times.high), "16 / 50");
        row("  of which script", script.median, Some(script.high), "");
        let leaf = browser.session().run_async(LEAF, &[json!(LEAVES)])?;
        let leaf = Times::of(numbers(&leaf)?);
        row(
            "  edit to the whole leaf, ms",
            leaf.median,
            Some(leaf.high),
            "150",
        );
    }
    Ok(())
}

/// The same with fewer hookups: connections grow, and time must not grow faster.
fn growth(browser: &Browser, file: &std::path::Path) -> Result<()> {
    for hookups in [1, 2, 5, 10] {
        show(browser, file, &large(hookups))?;
        let connections = 5 * 21 * hookups;
        let (edits, _) = frames(browser, true)?;
        row(
            &format!("edit to painted, {connections} connections, ms"),
            edits.median,
            Some(edits.high),
            "",
        );
    }
    Ok(())
}

/// A measured curve of 100,000 lines, read, thinned and shown.
fn reading(browser: &Browser, file: &std::path::Path) -> Result<()> {
    let (mut took, mut longest) = (Vec::new(), Vec::new());
    for _ in 0..OPENINGS {
        show(
            browser,
            file,
            "v=1&primary=8k&taps=8&hookup=8&tube=6AQ5&supply=250",
        )?;
        let found = browser.session().run_async(DROPPED, &[])?;
        let told = found["told"].as_str().unwrap_or_default();
        ensure!(
            told.contains("100000 points thinned"),
            "the page says {told:?}"
        );
        took.push(found["took"].as_f64().context("no time")?);
        longest.push(found["longest"].as_f64().context("no time")?);
    }
    let (took, longest) = (Times::of(took), Times::of(longest));
    row(
        "read 100,000 lines, ms",
        took.median,
        Some(took.high),
        "200",
    );
    row("  at a stretch, ms", longest.median, Some(longest.high), "");
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

/// The times of the frames, and of the scripts in them.
fn frames(browser: &Browser, edit: bool) -> Result<(Times, Times)> {
    let times = browser
        .session()
        .run_async(FRAMES, &[json!(EDITS), json!(edit)])?;
    Ok((
        Times::of(numbers(&times["times"])?),
        Times::of(numbers(&times["scripts"])?),
    ))
}

/// The same work by the module's code and by this program's, both at the same level.
fn wasm(browser: &Browser, file: &std::path::Path) -> Result<()> {
    let module = std::env::var_os("TAPWRIGHT_SOLVE_WASM")
        .context("no module to time: run this by `cargo xtask bench`")?;
    let module = base64::engine::general_purpose::STANDARD.encode(fs::read(module)?);
    browser.session().open_url("about:blank")?;
    let job = |name: &str, what: &str, work: extern "C" fn(u32) -> u32| -> Result<()> {
        let measured = browser
            .session()
            .run_async(SOLVE, &[json!(module), json!(name), json!(SOLVES)])?;
        let expected = work(SOLVES);
        ensure!(
            measured["found"] == expected,
            "{name}: the module finds {measured} where this program finds {expected}"
        );
        let wasm = Times::of(numbers(&measured["times"])?);
        let native = Times::of(
            (0..SOLVES)
                .map(|_| {
                    let began = Instant::now();
                    work(5);
                    began.elapsed().as_secs_f64() * 1e3 / 5.0
                })
                .collect(),
        );
        row(
            &format!("{what} in wasm, ms"),
            wasm.median,
            Some(wasm.high),
            "",
        );
        row(
            &format!("{what} natively, ms"),
            native.median,
            Some(native.high),
            "",
        );
        row("  ratio", wasm.median / native.median, None, "2");
        Ok(())
    };
    job("solve_largest", "solve", solve_largest)?;
    job("fit_tube", "fit a typed tube", fit_tube)?;

    show(browser, file, LARGEST)?;
    let times = browser
        .session()
        .run(OBJECTS, &[json!(LARGEST), json!(SOLVES)])?;
    let objects = Times::of(numbers(&times)?);
    row(
        "solve from a script, as objects, ms",
        objects.median,
        Some(objects.high),
        "",
    );
    let player = EXAMPLES[3].link;
    let times = (browser.session()).run(SUPPLY, &[json!(player), json!(SOLVES)])?;
    let supply = Times::of(numbers(&times)?);
    row(
        "the supply with every mains tap, ms",
        supply.median,
        Some(supply.high),
        "50",
    );
    Ok(())
}

/// The largest set-up with this many of its hookups.
fn large(hookups: usize) -> String {
    let mut parts = LARGEST.split("&hookup=");
    let iron = parts.next().unwrap_or_default();
    let kept: Vec<&str> = std::iter::once(iron).chain(parts.take(hookups)).collect();
    kept.join("&hookup=")
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
