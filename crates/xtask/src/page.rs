//! `cargo xtask page`: from sources to the one HTML file.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail, ensure};
use wasm_bindgen_cli_support::Bindgen;

use crate::bundle::Parts;
use crate::places;

/// The most that the file may weigh, in bytes.
const BUDGET: usize = 1_500_000;
const TARGET: &str = "wasm32-unknown-unknown";

/// Builds the page and opens it, unless told not to.
pub fn run(arguments: &[String]) -> Result<()> {
    let mut open = true;
    for argument in arguments {
        match argument.as_str() {
            "--no-open" => open = false,
            other => bail!("`cargo xtask page` knows no `{other}`; only --no-open"),
        }
    }
    let page = build()?;
    if open {
        show(&page)?;
    }
    Ok(())
}

/// Builds the page, says where it is and what it weighs, and gives its path.
pub fn build() -> Result<PathBuf> {
    write(&parts()?)
}

/// Compiles what goes into the page.
pub fn parts() -> Result<Parts> {
    ensure_target()?;
    let module = compile("tapwright-page")?;
    let bound = bind(&module)?;
    let declaration = places::output().join("tapwright.d.ts");
    fs::copy(bound.join("tapwright.d.ts"), &declaration)?;

    let web = places::root().join("web");
    Ok(Parts {
        shell: read(&web.join("index.html"))?,
        style: read(&web.join("style.css"))?,
        bindings: read(&bound.join("tapwright.js"))?,
        boot: read(&web.join("boot.js"))?,
        wasm: fs::read(bound.join("tapwright_bg.wasm"))?,
    })
}

/// Writes the page, says where it is and what it weighs, and gives its path.
pub fn write(parts: &Parts) -> Result<PathBuf> {
    let page = parts.bundle()?;
    let file = places::output().join("tapwright.html");
    fs::write(&file, &page).with_context(|| format!("cannot write {}", file.display()))?;

    let size = page.len();
    println!("{}", file.display());
    println!("{} KB of at most {} KB", size.div_ceil(1000), BUDGET / 1000);
    ensure!(
        size <= BUDGET,
        "The page is over its budget by {} bytes.",
        size - BUDGET
    );
    Ok(file)
}

/// The text of a file.
pub fn read(path: &Path) -> Result<String> {
    fs::read_to_string(path).with_context(|| format!("cannot read {}", path.display()))
}

/// Adds the wasm target where rustup can, else says what to do.
fn ensure_target() -> Result<()> {
    let libraries = Command::new("rustc")
        .args(["--print", "target-libdir", "--target", TARGET])
        .current_dir(places::root())
        .output()
        .context("cannot run rustc")?;
    let libraries = String::from_utf8_lossy(&libraries.stdout).trim().to_owned();
    if !libraries.is_empty() && Path::new(&libraries).is_dir() {
        return Ok(());
    }
    println!("Adding the target {TARGET} …");
    let added = Command::new("rustup")
        .args(["target", "add", TARGET])
        .current_dir(places::root())
        .status();
    match added {
        Ok(status) if status.success() => Ok(()),
        Ok(_) => bail!(
            "`rustup target add {TARGET}` failed. It needs the network once; run it yourself and try again."
        ),
        Err(_) => bail!(
            "Rust's standard library for {TARGET} is missing and rustup is not here to add it. \
             Install Rust with rustup, or your system's package with that library \
             (on Debian, libstd-rust-dev-wasm32), and try again."
        ),
    }
}

/// Compiles a crate as the page is compiled, and gives the path of the module.
pub fn compile(package: &str) -> Result<PathBuf> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let status = Command::new(cargo)
        .args(["build", "--package", package, "--lib"])
        .args(["--target", TARGET, "--profile", "page", "--target-dir"])
        .arg(places::target())
        .current_dir(places::root())
        .status()
        .context("cannot run cargo")?;
    ensure!(status.success(), "The page does not compile.");
    Ok(places::target()
        .join(TARGET)
        .join("page")
        .join(format!("{}.wasm", package.replace('-', "_"))))
}

/// Makes the script between module and browser, and gives its folder.
fn bind(module: &Path) -> Result<PathBuf> {
    let folder = places::output().join("bindings");
    fs::create_dir_all(&folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))?;
    Bindgen::new()
        .input_path(module)
        .out_name("tapwright")
        .web(true)?
        .typescript(true)
        .omit_default_module_path(true)
        .remove_name_section(true)
        .remove_producers_section(true)
        .generate(&folder)
        .context("wasm-bindgen cannot bind the module")?;
    Ok(folder)
}

/// Opens the file as a person would by clicking on it, where there is a screen.
fn show(page: &Path) -> Result<()> {
    let mut opener = if cfg!(target_os = "macos") {
        Command::new("open")
    } else if cfg!(windows) {
        let mut command = Command::new("cmd");
        command.args(["/C", "start", ""]);
        command
    } else {
        let screen = ["DISPLAY", "WAYLAND_DISPLAY"]
            .iter()
            .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()));
        if !screen {
            println!("No screen here: open the file in a browser.");
            return Ok(());
        }
        Command::new("xdg-open")
    };
    let opened = opener
        .arg(page)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    if opened.is_err() {
        println!("No program here opens files: open it in a browser.");
    }
    Ok(())
}
