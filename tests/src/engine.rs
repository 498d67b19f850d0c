//! The three browser engines, and how each is started: headless or on a screen
//! of its own, with a fresh profile, and gone when the test is.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::process::{Process, free_port};
use crate::tools::find;
use crate::webdriver::Session;

/// A browser engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Engine {
    /// Chromium, driven by chromedriver.
    Chromium,
    /// Firefox, driven by geckodriver.
    Firefox,
    /// WebKitGTK's MiniBrowser, driven by WebKitWebDriver on a virtual screen.
    WebKitGtk,
}

impl Engine {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Chromium, Self::Firefox, Self::WebKitGtk];

    /// Its name in the names of tests.
    pub fn name(self) -> &'static str {
        match self {
            Self::Chromium => "chromium",
            Self::Firefox => "firefox",
            Self::WebKitGtk => "webkitgtk",
        }
    }

    /// Whether it can run here, or which program is missing.
    pub fn available(self) -> Result<(), String> {
        self.programs().map(drop)
    }

    /// The driver and the browser.
    fn programs(self) -> Result<(PathBuf, PathBuf), String> {
        match self {
            Self::Chromium => Ok((
                find(&["chromedriver"])?,
                find(&["chromium", "chromium-browser", "google-chrome"])?,
            )),
            Self::Firefox => Ok((find(&["geckodriver"])?, find(&["firefox-esr", "firefox"])?)),
            Self::WebKitGtk => {
                find(&["Xvfb"])?;
                Ok((find(&["WebKitWebDriver"])?, minibrowser()?))
            }
        }
    }
}

/// WebKitGTK's test browser, which no search path leads to.
fn minibrowser() -> Result<PathBuf, String> {
    let libraries = std::fs::read_dir("/usr/lib")
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path());
    libraries
        .chain([PathBuf::from("/usr/lib"), PathBuf::from("/usr/libexec")])
        .flat_map(|folder| {
            ["webkit2gtk-4.1", "webkitgtk-6.0", "webkit2gtk-4.0"]
                .map(|version| folder.join(version).join("MiniBrowser"))
        })
        .find(|file| file.is_file())
        .ok_or_else(|| "WebKitGTK's MiniBrowser is not installed".into())
}

/// A running browser. The parts are ended in this order.
pub struct Running {
    /// The window.
    pub session: Session,
    _driver: Process,
    _screen: Option<Process>,
    _home: TempDir,
}

/// Starts a browser with a fresh profile.
pub fn start(engine: Engine) -> Result<Running> {
    let (driver, browser) = engine.programs().map_err(anyhow::Error::msg)?;
    let home = tempfile::Builder::new().prefix("tapwright-").tempdir()?;
    let mut command = Command::new(&driver);
    command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .env("HOME", home.path())
        // What a killed browser leaves behind goes with its home.
        .env("TMPDIR", home.path())
        .env("XDG_CONFIG_HOME", home.path().join("config"))
        .env("XDG_DATA_HOME", home.path().join("data"))
        .env("XDG_CACHE_HOME", home.path().join("cache"));
    let mut screen = None;
    if engine == Engine::WebKitGtk {
        let (process, display) = virtual_screen()?;
        command
            .env("DISPLAY", display)
            .env_remove("WAYLAND_DISPLAY")
            .env("GDK_BACKEND", "x11")
            // There is no session bus in a container to ask for accessibility.
            .env("NO_AT_BRIDGE", "1");
        screen = Some(process);
    }
    let port = free_port()?;
    match engine {
        Engine::Chromium => command.arg(format!("--port={port}")),
        Engine::Firefox => command
            .args(["--port", &port.to_string()])
            .arg("--profile-root")
            .arg(home.path()),
        Engine::WebKitGtk => command.arg(format!("--port={port}")),
    };
    let process = Process::start(&mut command)?;
    let session = Session::open(port, &capabilities(engine, &browser, home.path()))
        .with_context(|| format!("cannot start {}", engine.name()))?;
    Ok(Running {
        session,
        _driver: process,
        _screen: screen,
        _home: home,
    })
}

fn capabilities(engine: Engine, browser: &Path, home: &Path) -> Value {
    match engine {
        Engine::Chromium => json!({
            "browserName": "chrome",
            "goog:loggingPrefs": { "performance": "ALL", "browser": "ALL" },
            "goog:chromeOptions": {
                "binary": browser,
                "args": [
                    "--headless=new",
                    // Chromium refuses its sandbox to root, which containers run as.
                    "--no-sandbox",
                    "--disable-dev-shm-usage",
                    "--disable-gpu",
                    "--hide-scrollbars",
                    "--force-color-profile=srgb",
                    "--window-size=1440,900",
                    format!("--user-data-dir={}", home.join("profile").display()),
                ],
            },
        }),
        Engine::Firefox => json!({
            "browserName": "firefox",
            "moz:firefoxOptions": { "binary": browser, "args": ["-headless"] },
        }),
        Engine::WebKitGtk => json!({
            "webkitgtk:browserOptions": { "binary": browser, "args": ["--automation"] },
        }),
    }
}

/// A screen that nobody sees, and its name.
fn virtual_screen() -> Result<(Process, String)> {
    let mut process = Process::start(
        Command::new("Xvfb")
            .args([
                "-displayfd",
                "1",
                "-screen",
                "0",
                "1600x1200x24",
                "-nolisten",
                "tcp",
            ])
            .stdout(Stdio::piped())
            .stderr(Stdio::null()),
    )?;
    // The server prints its number once it is ready.
    let output = process.child().stdout.take().context("Xvfb says nothing")?;
    let mut number = String::new();
    BufReader::new(output).read_line(&mut number)?;
    let number = number.trim();
    anyhow::ensure!(!number.is_empty(), "Xvfb did not start");
    Ok((process, format!(":{number}")))
}
