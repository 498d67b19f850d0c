//! The programs that the tests need beside Rust, and where they come from.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::Result;

use crate::places;

/// Mozilla's driver for Firefox, which Debian does not package.
const GECKODRIVER: &str = "0.37.1";
/// The accessibility checker, from npm.
const AXE: &str = "4.14.1";

/// A Debian package and a file or program that shows it is installed.
struct Package {
    name: &'static str,
    sign: &'static str,
}

const PACKAGES: [Package; 8] = [
    Package {
        name: "chromium",
        sign: "chromium",
    },
    Package {
        name: "chromium-driver",
        sign: "chromedriver",
    },
    Package {
        name: "firefox-esr",
        sign: "firefox-esr",
    },
    Package {
        name: "webkit2gtk-driver",
        sign: "WebKitWebDriver",
    },
    Package {
        name: "xvfb",
        sign: "Xvfb",
    },
    Package {
        name: "fonts-dejavu-core",
        sign: "/usr/share/fonts/truetype/dejavu",
    },
    Package {
        name: "ngspice",
        sign: "ngspice",
    },
    Package {
        name: "npm",
        sign: "npm",
    },
];

/// Installs what is missing where that is possible, else says what to install.
///
/// Never an error: the tests that need what is still missing skip themselves
/// and say so.
pub fn ensure() {
    let missing: Vec<&str> = PACKAGES
        .iter()
        .filter(|package| !present(package.sign))
        .map(|package| package.name)
        .collect();
    if !missing.is_empty() {
        if is_debian() && is_root() {
            println!("Installing {} …", missing.join(", "));
            if !apt(&["update"]) || !apt(&[&["install"], missing.as_slice()].concat()) {
                println!("apt-get could not install all of it.");
            }
        } else {
            println!(
                "Not installed here, named as Debian names them: {}. \
                 Install them with your system's package manager for the tests that need them.",
                missing.join(", ")
            );
        }
    }
    if let Err(error) = geckodriver() {
        println!("No geckodriver: {error:#}");
    }
    if let Err(error) = axe() {
        println!("No axe-core: {error:#}");
    }
}

/// The full path of a program on the search path.
pub fn find(program: &str) -> Option<PathBuf> {
    std::env::split_paths(&std::env::var_os("PATH")?)
        .map(|folder| folder.join(format!("{program}{}", std::env::consts::EXE_SUFFIX)))
        .find(|path| path.is_file())
}

fn present(sign: &str) -> bool {
    if sign.starts_with('/') {
        // A place only Debian has: elsewhere fonts are the system's own matter.
        !is_debian() || Path::new(sign).exists()
    } else {
        find(sign).is_some()
    }
}

fn is_debian() -> bool {
    Path::new("/etc/debian_version").exists()
}

fn is_root() -> bool {
    Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|output| output.stdout.trim_ascii() == b"0")
}

fn apt(arguments: &[&str]) -> bool {
    Command::new("apt-get")
        .args(["--yes", "--quiet=2", "--no-install-recommends"])
        .args(arguments)
        .env("DEBIAN_FRONTEND", "noninteractive")
        .stdin(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

fn geckodriver() -> Result<()> {
    let place = places::tools();
    let program = place
        .join("bin")
        .join(format!("geckodriver{}", std::env::consts::EXE_SUFFIX));
    if program.is_file() || find("geckodriver").is_some() {
        return Ok(());
    }
    println!("Building geckodriver {GECKODRIVER} …");
    let status = Command::new("cargo")
        .args(["install", "--quiet", "--locked", "geckodriver"])
        .args(["--version", GECKODRIVER, "--root"])
        .arg(&place)
        .stdin(Stdio::null())
        .status()?;
    anyhow::ensure!(status.success(), "cargo could not install it");
    Ok(())
}

fn axe() -> Result<()> {
    let place = places::tools().join("node");
    if place.join("node_modules/axe-core/axe.min.js").is_file() {
        return Ok(());
    }
    anyhow::ensure!(find("npm").is_some(), "npm is not installed");
    println!("Fetching axe-core {AXE} …");
    std::fs::create_dir_all(&place)?;
    let status = Command::new("npm")
        .args([
            "install",
            "--silent",
            "--no-audit",
            "--no-fund",
            "--ignore-scripts",
        ])
        .arg("--prefix")
        .arg(&place)
        .arg(format!("axe-core@{AXE}"))
        .stdin(Stdio::null())
        .status()?;
    anyhow::ensure!(status.success(), "npm could not install it");
    Ok(())
}
