//! What a person does with the page, in terms of what stands on it.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail};
use base64::Engine as _;
use serde_json::{Value, json};

use crate::engine::{self, Engine, Running};
use crate::webdriver::Session;

/// Select all, as WebDriver's key codes write Ctrl+A and then the release.
const SELECT_ALL: &str = "\u{e009}a\u{e000}";
const BACKSPACE: &str = "\u{e003}";
const END: &str = "\u{e010}";

/// A browser with a fresh profile, ended when dropped.
pub struct Browser {
    engine: Engine,
    running: Running,
}

impl Browser {
    /// Starts one.
    pub fn start(engine: Engine) -> Result<Self> {
        // A driver now and then loses its browser while starting on a busy
        // machine. What is under test has not run yet, so one more try is fair.
        let running = engine::start(engine).or_else(|_| engine::start(engine))?;
        Ok(Self { engine, running })
    }

    /// Which engine it is.
    pub fn engine(&self) -> Engine {
        self.engine
    }

    /// The session, for what has no helper here.
    pub fn session(&self) -> &Session {
        &self.running.session
    }

    /// Opens an address and waits until the page works, or says why it does not.
    pub fn open(&self, url: &str) -> Result<()> {
        self.session().open_url(url)?;
        self.wait_until(
            "the page has started",
            "document.querySelector('#boot[role=alert]') || (globalThis.tapwright && !document.getElementById('boot'))",
        )?;
        let refusal =
            self.script("const p = document.getElementById('boot'); return p && p.textContent")?;
        match refusal.as_str() {
            Some(sentence) => bail!("the page refuses to start: {sentence}"),
            None => Ok(()),
        }
    }

    /// Runs the body of a function in the page.
    pub fn script(&self, body: &str) -> Result<Value> {
        self.session().run(body, &[])
    }

    /// Waits until an expression is true in the page, 20 seconds at most.
    pub fn wait_until(&self, what: &str, expression: &str) -> Result<()> {
        let script = format!(
            "const done = arguments[arguments.length - 1];
             const end = performance.now() + 20000;
             (function look() {{
               let met = false;
               try {{ met = Boolean({expression}); }} catch (error) {{ met = false; }}
               if (met || performance.now() > end) done(met); else setTimeout(look, 10);
             }})();"
        );
        let met = self.session().run_async(&script, &[])?;
        anyhow::ensure!(met == Value::Bool(true), "waited in vain until {what}");
        Ok(())
    }

    /// Waits until the text of the first element of `selector` contains `wanted`,
    /// hard spaces counting as spaces.
    pub fn wait_for_text(&self, selector: &str, wanted: &str) -> Result<()> {
        let expression = format!(
            "document.querySelector({}).textContent.replace(/\\s+/g, ' ').includes({})",
            json!(selector),
            json!(wanted)
        );
        self.wait_until(&format!("`{selector}` says `{wanted}`"), &expression)
            .with_context(|| format!("it says {:?}", self.text(selector).unwrap_or_default()))
    }

    /// Replaces what stands in a field, key by key.
    pub fn type_into(&self, field: &str, text: &str) -> Result<()> {
        let selector = format!("[data-field=\"{field}\"]");
        self.click(&selector)?;
        let element = self.session().find(&selector)?;
        self.session()
            .keys(&element, &format!("{SELECT_ALL}{BACKSPACE}"))?;
        if text.is_empty() {
            return Ok(());
        }
        self.session().keys(&element, text)
    }

    /// Types into a field after what stands there.
    pub fn type_after(&self, field: &str, text: &str) -> Result<()> {
        self.unfold(&format!("[data-field=\"{field}\"]"))?;
        let element = self.session().find(&format!("[data-field=\"{field}\"]"))?;
        self.session().keys(&element, &format!("{END}{text}"))
    }

    /// Picks an option of a select field by its value; by its events where the driver does
    /// not click on options (WebKit's).
    pub fn pick(&self, field: &str, value: &str) -> Result<()> {
        let selector = format!("[data-field=\"{field}\"] option[value=\"{value}\"]");
        if self.click(&selector).is_ok() {
            return Ok(());
        }
        self.session().run(
            "const field = document.querySelector(`[data-field=\"${arguments[0]}\"]`);
             field.value = arguments[1];
             for (const type of ['input', 'change'])
                 field.dispatchEvent(new Event(type, { bubbles: true }));",
            &[json!(field), json!(value)],
        )?;
        Ok(())
    }

    /// What stands in a field.
    pub fn typed(&self, field: &str) -> Result<String> {
        let value = self.session().run(
            "return document.querySelector(`[data-field=\"${arguments[0]}\"]`).value",
            &[json!(field)],
        )?;
        Ok(value.as_str().unwrap_or_default().to_owned())
    }

    /// The text of the first element of a selector, with its spaces evened out.
    pub fn text(&self, selector: &str) -> Result<String> {
        let element = self.session().find(selector)?;
        let text = self.session().text(&element)?;
        Ok(text.split_whitespace().collect::<Vec<_>>().join(" "))
    }

    /// Clicks on the first element of a selector, once it is in sight: what it is folded into
    /// is opened.
    pub fn click(&self, selector: &str) -> Result<()> {
        self.unfold(selector)?;
        let element = self.session().find(selector)?;
        self.session().run_async(
            "const [element, done] = arguments;
             element.scrollIntoView({ block: 'center', behavior: 'instant' });
             requestAnimationFrame(() => requestAnimationFrame(() => done()));",
            &[element.argument()],
        )?;
        self.session()
            .click(&element)
            .with_context(|| format!("cannot click on `{selector}`"))
    }

    /// Opens every fold that the first element of a selector is in.
    fn unfold(&self, selector: &str) -> Result<()> {
        let element = self.session().find(selector)?;
        self.session().run(
            "let folded;
             while (folded = arguments[0].closest('details:not([open]) > :not(summary:first-child)'))
               folded.parentElement.open = true;",
            &[element.argument()],
        )?;
        Ok(())
    }

    /// Turns to a leaf of the page.
    pub fn turn(&self, leaf: &str) -> Result<()> {
        self.click(&format!("#leaf-{leaf}"))?;
        self.wait_until(
            "the leaf is in sight",
            &format!("document.querySelector('#leaf-{leaf}[aria-current=page]')"),
        )
    }

    /// Makes the page this wide and high, in CSS pixels.
    pub fn resize(&self, width: u32, height: u32) -> Result<()> {
        match self.engine {
            // A window is never narrower than 500 pixels here; what the page
            // is told can be.
            Engine::Chromium => self
                .devtools(
                    "Emulation.setDeviceMetricsOverride",
                    &json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false }),
                )
                .map(drop),
            _ => self
                .session()
                .post("window/rect", &json!({ "width": width, "height": height }))
                .map(drop),
        }
    }

    /// Makes the page believe that the person prefers this theme. Chromium only.
    pub fn prefer(&self, theme: &str) -> Result<()> {
        let feature = json!({ "name": "prefers-color-scheme", "value": theme });
        self.devtools(
            "Emulation.setEmulatedMedia",
            &json!({ "features": [feature] }),
        )
        .map(drop)
    }

    /// Sends a command of the Chrome DevTools Protocol. Chromium only.
    pub fn devtools(&self, command: &str, parameters: &Value) -> Result<Value> {
        self.session().post(
            "goog/cdp/execute",
            &json!({ "cmd": command, "params": parameters }),
        )
    }

    /// Writes a picture of the whole page, or of what `height` shows of it, as PNG.
    /// Chromium only.
    pub fn picture(&self, file: &Path, whole: bool) -> Result<()> {
        let shot = self.devtools(
            "Page.captureScreenshot",
            &json!({ "format": "png", "captureBeyondViewport": whole }),
        )?;
        let data = shot["data"].as_str().context("no picture came")?;
        let bytes = base64::engine::general_purpose::STANDARD.decode(data)?;
        fs::write(file, bytes).with_context(|| format!("cannot write {}", file.display()))
    }

    /// The addresses that the browser asked for since the last time, from its
    /// own network log. Chromium only.
    pub fn requests(&self) -> Result<Vec<String>> {
        let log = self
            .session()
            .post("se/log", &json!({ "type": "performance" }))?;
        let mut urls = Vec::new();
        for entry in log.as_array().context("no log came")? {
            let message: Value = serde_json::from_str(entry["message"].as_str().unwrap_or("{}"))?;
            let message = &message["message"];
            let url = match message["method"].as_str() {
                Some("Network.requestWillBeSent") => &message["params"]["request"]["url"],
                Some("Network.webSocketCreated") => &message["params"]["url"],
                _ => continue,
            };
            urls.extend(url.as_str().map(str::to_owned));
        }
        Ok(urls)
    }
}
