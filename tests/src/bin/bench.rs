//! Measures the page: opening, editing, and the module against native code. Every
//! ratio is taken within one run, since machines are noisy.

use std::fs;
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use serde_json::{Value, json};
use tapwright_core::{link, solve};
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;
use tapwright_tests::page;

const OPENINGS: usize = 20;
const EDITS: u32 = 400;
const SOLVES: u32 = 300;

/// Five leads, six taps with their fifteen pairs, ten hookups: 1,050 connections.
fn largest(hookups: usize) -> String {
    const SPEAKERS: [&str; 10] = [
        "8",
        "4",
        "16",
        "8//8",
        "8+8",
        "15",
        "3",
        "(8+8)//(8+8)",
        "16//16",
        "15//8",
    ];
    let typed: String = SPEAKERS
        .iter()
        .cycle()
        .take(hookups)
        .enumerate()
        .map(|(at, speakers)| format!("&hookup=H{at}:{speakers}@20"))
        .collect();
    format!("v=1&primary=4k,5k,6k6,8k,10k&taps=2,4,6,8,12,16&target=7k{typed}")
}

fn main() -> Result<()> {
    let file = page::file().map_err(anyhow::Error::msg)?;
    let address = page::url(&file);
    let browser = Browser::start(Engine::Chromium)?;
    opening(&browser, &address)?;
    editing(&browser, &address)?;
    against_native(&browser, &address)?;
    growth();
    Ok(())
}

/// Opening from disk to the first result, beside opening an empty file.
fn opening(browser: &Browser, address: &str) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let empty = folder.path().join("empty.html");
    fs::write(
        &empty,
        "<!doctype html><title>empty</title><p class=sentence>nothing",
    )?;
    let empty = page::url(&empty);
    let mut times = [Vec::new(), Vec::new()];
    for _ in 0..OPENINGS {
        for (url, times) in [&empty, address].iter().zip(&mut times) {
            browser.session().open_url("about:blank")?;
            let start = Instant::now();
            browser.session().open_url(url)?;
            browser.wait_until("there is a result", "document.querySelector('.sentence')")?;
            times.push(start.elapsed());
        }
    }
    let [empty, page] = times.map(|mut times| {
        times.sort();
        times[times.len() / 2]
    });
    let limit = empty.mul_f64(1.5) + Duration::from_millis(150);
    println!("opening from disk to the first result, median of {OPENINGS}");
    println!("  empty file {empty:.1?}, page {page:.1?}; limit 1.5 × + 150 ms = {limit:.1?}");
    Ok(())
}

/// From an edit to the painted frame: script, style, layout and paint, without the
/// wait for the next frame to begin.
fn editing(browser: &Browser, address: &str) -> Result<()> {
    println!("one edit to the repainted page, 1,050 connections, {EDITS} edits, 1440 × 900");
    for open in [false, true] {
        browser.session().open_url("about:blank")?;
        browser.open(&format!("{address}#{}", largest(10)))?;
        let times = browser
            .session()
            .run_async(EDITING, &[json!(open), json!(EDITS)])?;
        let mut times: Vec<f64> = times
            .as_array()
            .context("no times came")?
            .iter()
            .filter_map(Value::as_f64)
            .collect();
        times.sort_by(f64::total_cmp);
        let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize];
        let what = if open {
            "tap pairs unfolded"
        } else {
            "tap pairs folded"
        };
        println!(
            "  {what}: median {:.1} ms, 99th percentile {:.1} ms",
            at(0.5),
            at(0.99)
        );
    }
    Ok(())
}

const EDITING: &str = r#"
const [open, edits, done] = arguments;
const wait = (ms) => new Promise((then) => setTimeout(then, ms));
const values = {
  "primary": ["4k, 5k, 6k6, 8k, 10k", "4k, 5k, 6k7, 8k, 10k", "4k, 5k, 6k8, 8k, 11k"],
  "taps": ["2, 4, 6, 8, 12, 16", "2, 4, 6, 8, 12, 17", "2, 4, 6, 8, 13, 16"],
  "target": ["7k", "8k", "9k"],
  "hookup.1.speakers": ["8", "8.5", "9"],
};
(async () => {
  if (open) {
    const ids = [...document.querySelectorAll("[id^=fold-pairs]")].map((fold) => fold.id);
    for (const id of ids) { document.getElementById(id).click(); await wait(100); }
    await wait(1000);
  }
  const times = [];
  for (let at = 0; at < edits; at++) {
    const [key, texts] = Object.entries(values)[at % 4];
    const field = document.querySelector(`[data-field="${key}"]`);
    await new Promise((next) => requestAnimationFrame(() => {
      const start = performance.now();
      field.value = texts[(at >> 2) % 3];
      field.dispatchEvent(new Event("input", { bubbles: true }));
      const painted = new MessageChannel();
      painted.port1.onmessage = () => { times.push(performance.now() - start); next(); };
      painted.port2.postMessage(0);
    }));
  }
  done(times);
})();
"#;

/// The same solving in the page and here.
fn against_native(browser: &Browser, address: &str) -> Result<()> {
    let link = largest(10);
    browser.open(address)?;
    let wasm = browser.session().run(
        "const [link, times] = arguments;
         tapwright.measure(link, 20);
         const start = performance.now();
         tapwright.measure(link, times);
         return (performance.now() - start) / times;",
        &[json!(link), json!(SOLVES)],
    )?;
    let wasm = wasm.as_f64().context("no time came")?;
    let native = milliseconds(&link, SOLVES);
    println!("one solve of 1,050 connections");
    println!(
        "  wasm {wasm:.3} ms, native {native:.3} ms, ratio {:.2} (limit 1.6)",
        wasm / native
    );
    Ok(())
}

fn milliseconds(link: &str, times: u32) -> f64 {
    let setup = link::parse(link).setup;
    let start = Instant::now();
    for _ in 0..times {
        std::hint::black_box(solve(std::hint::black_box(&setup)));
    }
    start.elapsed().as_secs_f64() * 1e3 / f64::from(times)
}

/// How the time of a solve grows with the number of connections, natively.
fn growth() {
    println!("growth of one solve, native");
    for hookups in [1, 2, 5, 10, 20, 40] {
        let link = largest(hookups);
        let time = milliseconds(&link, SOLVES / 3);
        let connections = hookups * 105;
        println!(
            "  {connections:5} connections {time:7.3} ms, {:.3} µs each",
            time * 1e3 / connections as f64
        );
    }
}
