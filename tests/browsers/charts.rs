//! Charts read by mouse, finger and keyboard, and as a table.

use anyhow::{Context, ensure};
use serde_json::{Value, json};
use tapwright_core::examples::EXAMPLES;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::visit;

const READER: &str = "[data-plot=power]";
const SAID: &str = "#said-power";
const RIGHT: &str = "\u{e014}";
const PAGE_UP: &str = "\u{e00e}";
const END: &str = "\u{e010}";
const ESCAPE: &str = "\u{e00c}";

/// The link of the first example with the tube in sight.
fn tube() -> String {
    format!("{}&leaf=tube", EXAMPLES[0].link)
}

/// What the line under the chart says, once it says something else than `before`.
fn said_next(browser: &Browser, before: &str) -> anyhow::Result<String> {
    let differs = format!(
        "document.querySelector('{SAID}').textContent.replace(/\\s+/g, ' ').trim() !== {}",
        json!(before)
    );
    browser.wait_until("the readout changes", &differs)?;
    browser.text(SAID)
}

/// Scrolls a chart to the middle and gives its corner and size on the screen.
fn room(browser: &Browser) -> anyhow::Result<[f64; 4]> {
    let room = browser.script(&format!(
        "const reader = document.querySelector('{READER}');
         reader.scrollIntoView({{ block: 'center', behavior: 'instant' }});
         const room = reader.getBoundingClientRect();
         return [room.left, room.top, room.width, room.height];"
    ))?;
    let number = |at: usize| room[at].as_f64().context("no place");
    Ok([number(0)?, number(1)?, number(2)?, number(3)?])
}

/// Moves a pointer through places of the chart, in shares of its width and height.
fn point(browser: &Browser, kind: &str, press: bool, places: &[(f64, f64)]) -> Outcome {
    let [left, top, width, height] = room(browser)?;
    let mut actions: Vec<Value> = Vec::new();
    for (at, (across, down)) in places.iter().enumerate() {
        let (x, y) = (left + across * width, top + down * height);
        actions
            .push(json!({ "type": "pointerMove", "duration": 50, "x": x as i64, "y": y as i64 }));
        if press && at == 0 {
            actions.push(json!({ "type": "pointerDown", "button": 0 }));
        }
    }
    if press {
        actions.push(json!({ "type": "pointerUp", "button": 0 }));
    }
    let pointer = json!({ "type": "pointer", "id": kind, "parameters": { "pointerType": kind }, "actions": actions });
    browser
        .session()
        .post("actions", &json!({ "actions": [pointer] }))
        .map(drop)
}

/// The cross-hair follows every way of pointing, and the drawing stays as it is.
pub fn readout(engine: Engine) -> Outcome {
    let browser = visit(engine, &tube())?;
    room(&browser)?;
    let rest = browser.text(SAID)?;
    browser.script("document.querySelector('#read-power').parentElement.id = 'same-drawing'")?;

    let reader = browser.session().find(READER)?;
    browser.session().keys(&reader, RIGHT)?;
    let one = said_next(&browser, &rest)?;
    browser.session().keys(&reader, PAGE_UP)?;
    let mark = said_next(&browser, &one)?;
    ensure!(mark.contains('('), "no mark is named: {mark}");
    browser.session().keys(&reader, END)?;
    let end = said_next(&browser, &mark)?;
    let spoken = browser.script(&format!(
        "return document.querySelector('{READER}').getAttribute('aria-valuetext').replace(/\\s+/g, ' ')"
    ))?;
    ensure!(spoken == json!(end), "{spoken} is spoken, {end} is shown");
    browser.session().keys(&reader, ESCAPE)?;
    ensure!(said_next(&browser, &end)? == rest, "no way back to {rest}");

    point(&browser, "mouse", false, &[(0.3, 0.5), (0.4, 0.5)])?;
    let mouse = said_next(&browser, &rest)?;

    // One driver knows no fingers.
    if engine != Engine::WebKitGtk {
        point(&browser, "touch", true, &[(0.7, 0.5)])?;
        let tap = said_next(&browser, &mouse)?;
        point(
            &browser,
            "touch",
            true,
            &[(0.4, 0.5), (0.5, 0.5), (0.6, 0.5)],
        )?;
        said_next(&browser, &tap)?;
    }
    let moved = browser.text(SAID)?;
    let same = browser.script("return Boolean(document.querySelector('#same-drawing'))")?;
    ensure!(same == Value::Bool(true), "the chart was drawn again");

    browser.click("#fold-table-power")?;
    browser.wait_until(
        "the table is there",
        "document.querySelectorAll('.numbers tbody tr').length >= 12",
    )?;
    ensure!(browser.text(SAID)? == moved, "a repaint forgets {moved}");
    browser.resize(360, 740)?;
    let wide = browser.script("return document.documentElement.scrollWidth - innerWidth")?;
    ensure!(wide.as_f64() <= Some(0.0), "{wide} px too wide");
    Ok(())
}

/// A finger that scrolls the page over a chart moves the page and no cross-hair.
pub fn scrolls_past(engine: Engine) -> Outcome {
    let browser = visit(engine, &tube())?;
    browser.resize(360, 740)?;
    browser.devtools(
        "Emulation.setTouchEmulationEnabled",
        &json!({ "enabled": true }),
    )?;
    let [left, top, width, height] = room(&browser)?;
    let (rest, from) = (browser.text(SAID)?, browser.script("return scrollY")?);
    let touch = |kind: &str, points: Value| {
        browser.devtools(
            "Input.dispatchTouchEvent",
            &json!({ "type": kind, "touchPoints": points }),
        )
    };
    let (x, y) = (left + width / 3.0, top + height / 2.0);
    touch("touchStart", json!([{ "x": x, "y": y }]))?;
    for step in 1..=10 {
        touch(
            "touchMove",
            json!([{ "x": x, "y": y - 20.0 * f64::from(step) }]),
        )?;
    }
    touch("touchEnd", json!([]))?;
    browser.wait_until("the page scrolls", &format!("scrollY > {from} + 100"))?;
    let to = browser.script("return scrollY")?;
    ensure!(
        to.as_f64() > from.as_f64().map(|y| y + 100.0),
        "scrolled from {from} to {to}"
    );
    let after = browser.text(SAID)?;
    ensure!(after == rest, "{rest} became {after}");
    Ok(())
}

/// Where the load line of the plate curves begins and ends, in volts and amperes: the
/// drawing's own path, measured by its own ticks.
const LOAD_LINE: &str = r#"
const svg = document.querySelector('#read-plates').parentElement.querySelector('svg');
const texts = [...svg.querySelectorAll('text')];
const ticks = (of, at) => texts.filter((text) => text.classList.contains(of) && /^−?[0-9.]+$/.test(text.textContent))
  .map((text) => [Number(text.textContent.replace('−', '-')), Number(text.getAttribute(at))])
  .sort((a, b) => a[0] - b[0]);
const scale = (list) => {
  const [[a, from], [b, to]] = [list[0], list[list.length - 1]];
  return (at) => a + (at - from) / (to - from) * (b - a);
};
const [x, y] = [scale(ticks('mid', 'x')), scale(ticks('end', 'y'))];
// Texts on the left stand this far below their tick, in the drawing's own units.
const BELOW = 45;
const unit = texts.some((text) => text.textContent === 'plate current, mA') ? 1e-3 : 1;
const line = svg.querySelector('path.main');
const ends = [0, line.getTotalLength()].map((length) => {
  const point = line.getPointAtLength(length);
  return [x(point.x), unit * y(point.y + BELOW)];
});
return { ends, d: line.getAttribute('d') };
"#;

/// Measures the load line, which has to begin and end where the report of the page's own address says.
fn load_line(browser: &Browser) -> anyhow::Result<String> {
    browser.wait_until(
        "the plate curves are there",
        "document.querySelector('#read-plates')",
    )?;
    let drawn = browser.script(LOAD_LINE)?;
    let report = crate::setup::report(browser)?;
    let line = &report["followed"]["output"]["Ok"]["load_line"];
    let line = line.as_array().context("no load line in the report")?;
    for (end, computed) in [line.first(), line.last()].into_iter().enumerate() {
        let computed = computed.context("an empty load line")?;
        for (axis, (key, slack)) in [("plate_volts", 3.0), ("plate_amps", 1e-3)]
            .into_iter()
            .enumerate()
        {
            let (drawn, computed) = (drawn["ends"][end][axis].as_f64(), computed[key].as_f64());
            let (drawn, computed) = drawn.zip(computed).context("no number")?;
            ensure!(
                (drawn - computed).abs() < slack,
                "end {end}: {key} is drawn at {drawn} and computed as {computed}"
            );
        }
    }
    Ok(drawn["d"].as_str().unwrap_or_default().to_owned())
}

/// The load line is where the report has it, and moves to where another cell puts it.
pub fn load_line_follows(engine: Engine) -> Outcome {
    let browser = visit(engine, &tube())?;
    let before = load_line(&browser)?;
    browser.turn("connections")?;
    browser.click("[data-choose=\"1,2,1\"]")?;
    browser.turn("tube")?;
    browser.wait_until(
        "the load line moves",
        &format!(
            "document.querySelector('#read-plates').parentElement.querySelector('path.main').getAttribute('d') !== {}",
            json!(before)
        ),
    )?;
    ensure!(load_line(&browser)? != before, "it is where it was");
    Ok(())
}

/// The table of power and distortion says of every connection what the report says.
pub fn table_agrees(engine: Engine) -> Outcome {
    let browser = visit(engine, &tube())?;
    browser.click("#fold-table-power")?;
    browser.wait_until(
        "the table is there",
        "document.querySelector('#power .numbers tbody tr')",
    )?;
    let rows = browser.script(
        "return [...document.querySelectorAll('#power .numbers tbody tr')]
           .filter((row) => row.querySelector('.muted'))
           .map((row) => [row.querySelector('th').firstChild.textContent, ...[...row.querySelectorAll('td')].map((td) => td.textContent)])",
    )?;
    let report = crate::setup::report(&browser)?;
    let connections = report["connections"].as_array().context("no connections")?;
    let rows = rows.as_array().context("no rows")?;
    ensure!(
        rows.len() >= 15,
        "only {} connections in the table",
        rows.len()
    );
    for row in rows {
        let number = |at: usize| -> anyhow::Result<f64> {
            let text = row[at].as_str().unwrap_or_default().replace('\u{a0}', " ");
            let (digits, unit) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
            let scale = if unit == "k" { 1e3 } else { 1.0 };
            Ok(scale * digits.parse::<f64>().with_context(|| format!("{row}"))?)
        };
        let (load, watts, percent) = (number(0)?, number(1)?, number(2)?);
        let told = connections.iter().any(|connection| {
            let value = |path: &str| {
                connection
                    .pointer(path)
                    .and_then(Value::as_f64)
                    .unwrap_or(f64::NAN)
            };
            (value("/reflected") / load - 1.0).abs() < 0.006
                && (value("/output/watts") / watts - 1.0).abs() < 0.006
                && (100.0 * value("/output/thd") - percent).abs() < 0.51
        });
        ensure!(
            told,
            "{load} Ω, {watts} W, {percent} % is in no connection of the report"
        );
    }
    Ok(())
}
