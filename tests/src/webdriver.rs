//! A small client of WebDriver (W3C, WebDriver): JSON over HTTP on loopback.

use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};
use serde_json::{Value, json};

/// The key under which WebDriver hands out elements (W3C, WebDriver §12.2).
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// A reference to an element of the page.
#[derive(Debug, Clone)]
pub struct Element(String);

impl Element {
    /// The element as an argument of a script.
    pub fn argument(&self) -> Value {
        json!({ ELEMENT: self.0 })
    }
}

/// One browser window under control.
pub struct Session {
    agent: ureq::Agent,
    base: String,
}

impl Session {
    /// Opens a session with a driver that was just started on `port`.
    pub fn open(port: u16, capabilities: &Value) -> Result<Self> {
        let agent: ureq::Agent = ureq::Agent::config_builder()
            .http_status_as_error(false)
            .proxy(None)
            .timeout_global(Some(Duration::from_secs(120)))
            .build()
            .into();
        let server = format!("http://127.0.0.1:{port}");
        wait_until_ready(&agent, &server)?;
        let mut session = Self {
            agent,
            base: server,
        };
        let wanted = json!({ "capabilities": { "alwaysMatch": capabilities } });
        let opened = session.post("session", &wanted)?;
        let id = opened["sessionId"]
            .as_str()
            .context("the driver gave no session")?;
        session.base = format!("{}/session/{id}", session.base);
        session.post("timeouts", &json!({ "script": 60_000, "pageLoad": 60_000 }))?;
        Ok(session)
    }

    /// Sends a command with a body.
    pub fn post(&self, command: &str, body: &Value) -> Result<Value> {
        let sent = self
            .agent
            .post(format!("{}/{command}", self.base))
            .send_json(body);
        answer(command, sent)
    }

    /// Sends a command that asks for something.
    pub fn get(&self, command: &str) -> Result<Value> {
        answer(
            command,
            self.agent.get(format!("{}/{command}", self.base)).call(),
        )
    }

    /// Sends a command that ends something.
    pub fn delete(&self, command: &str) -> Result<Value> {
        answer(
            command,
            self.agent.delete(format!("{}/{command}", self.base)).call(),
        )
    }

    /// Opens an address and waits until it has loaded.
    pub fn open_url(&self, url: &str) -> Result<()> {
        self.post("url", &json!({ "url": url })).map(drop)
    }

    /// The address of the page.
    pub fn url(&self) -> Result<String> {
        text(&self.get("url")?)
    }

    /// The title of the page.
    pub fn title(&self) -> Result<String> {
        text(&self.get("title")?)
    }

    /// Runs the body of a function in the page and gives what it returns.
    pub fn run(&self, script: &str, arguments: &[Value]) -> Result<Value> {
        let body = json!({ "script": script, "args": arguments });
        self.post("execute/sync", &body)
    }

    /// Runs the body of a function whose last argument is called with the result.
    pub fn run_async(&self, script: &str, arguments: &[Value]) -> Result<Value> {
        let body = json!({ "script": script, "args": arguments });
        self.post("execute/async", &body)
    }

    /// The first element that a CSS selector finds.
    pub fn find(&self, selector: &str) -> Result<Element> {
        let body = json!({ "using": "css selector", "value": selector });
        let found = self
            .post("element", &body)
            .with_context(|| format!("nothing is `{selector}`"))?;
        Ok(Element(text(&found[ELEMENT])?))
    }

    /// The text of an element as a person sees it.
    pub fn text(&self, element: &Element) -> Result<String> {
        text(&self.get(&format!("element/{}/text", element.0))?)
    }

    /// Clicks on an element as a person would.
    pub fn click(&self, element: &Element) -> Result<()> {
        let command = format!("element/{}/click", element.0);
        self.post(&command, &json!({})).map(drop)
    }

    /// Types into an element, after what is there.
    pub fn keys(&self, element: &Element, keys: &str) -> Result<()> {
        let command = format!("element/{}/value", element.0);
        self.post(&command, &json!({ "text": keys })).map(drop)
    }

    /// Goes back in the history of the window.
    pub fn back(&self) -> Result<()> {
        self.post("back", &json!({})).map(drop)
    }

    /// Goes forward in the history of the window.
    pub fn forward(&self) -> Result<()> {
        self.post("forward", &json!({})).map(drop)
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        let _ = self.agent.delete(&self.base).call();
    }
}

fn wait_until_ready(agent: &ureq::Agent, server: &str) -> Result<()> {
    let give_up = Instant::now() + Duration::from_secs(30);
    loop {
        let answer = agent.get(format!("{server}/status")).call();
        if let Ok(mut answer) = answer
            && let Ok(body) = answer.body_mut().read_json::<Value>()
            && body["value"]["ready"] != Value::Bool(false)
        {
            return Ok(());
        }
        if Instant::now() > give_up {
            bail!("the driver does not answer");
        }
        thread::sleep(Duration::from_millis(20));
    }
}

fn answer(
    command: &str,
    sent: Result<ureq::http::Response<ureq::Body>, ureq::Error>,
) -> Result<Value> {
    let mut answer = sent.with_context(|| format!("the driver dropped `{command}`"))?;
    let body: Value = answer
        .body_mut()
        .with_config()
        .limit(100 * 1024 * 1024)
        .read_json()
        .with_context(|| format!("the driver answered `{command}` with no JSON"))?;
    let value = &body["value"];
    if let Some(error) = value["error"].as_str() {
        let message = value["message"].as_str().unwrap_or_default();
        bail!("`{command}`: {error}: {message}");
    }
    Ok(value.clone())
}

fn text(value: &Value) -> Result<String> {
    value
        .as_str()
        .map(str::to_owned)
        .with_context(|| format!("not a text: {value}"))
}
