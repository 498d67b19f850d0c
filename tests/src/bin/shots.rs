//! Takes pictures of every leaf: three widths, two themes, for people to look at.

use std::fs;
use std::thread::sleep;
use std::time::Duration;

use anyhow::{Context, Result, bail};
use strum::VariantArray;
use tapwright_core::examples::EXAMPLES;
use tapwright_core::setup::Leaf;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;
use tapwright_tests::{page, tools};

const WIDTHS: [u32; 3] = [360, 820, 1440];
const THEMES: [&str; 2] = ["light", "dark"];

fn main() -> Result<()> {
    let mut fragment = String::new();
    let mut readme = false;
    for argument in std::env::args().skip(1) {
        match argument.as_str() {
            "--readme" => readme = true,
            option if option.starts_with("--") => bail!("`shots` knows no `{option}`"),
            link => {
                let (_, after) = link.split_once('#').unwrap_or(("", link));
                fragment = format!("#{after}");
            }
        }
    }
    let file = page::file().map_err(anyhow::Error::msg)?;
    let address = format!("{}{fragment}", page::url(&file));
    let browser = Browser::start(Engine::Chromium)?;

    if readme {
        browser.resize(1440, 900)?;
        browser.prefer("light")?;
        browser.open(&address)?;
        let picture = tools::root().join("web").join("screenshot.png");
        browser.picture(&picture, false)?;
        println!("{}", picture.display());
        return Ok(());
    }

    let folder = file.parent().context("the page is nowhere")?.join("shots");
    fs::create_dir_all(&folder)?;
    // Without a link it is the first example.
    let address = match fragment.as_str() {
        "" => format!("{address}#{}", EXAMPLES[0].link),
        _ => address,
    };
    for width in WIDTHS {
        for theme in THEMES {
            browser.prefer(theme)?;
            for leaf in Leaf::VARIANTS {
                let leaf: &str = leaf.into();
                // On a wide page the parts stand beside every leaf.
                if width >= 820 && leaf == "parts" {
                    continue;
                }
                browser.resize(width, 740)?;
                browser.session().open_url("about:blank")?;
                browser.open(&format!("{address}&leaf={leaf}"))?;
                // As high as the leaf, so that what is pinned stands where it would.
                let height = browser.script("return document.documentElement.scrollHeight")?;
                let height = height
                    .as_u64()
                    .and_then(|height| u32::try_from(height).ok());
                browser.resize(width, height.unwrap_or(740).max(740))?;
                let picture = folder.join(format!("{width}-{theme}-{leaf}.png"));
                sleep(Duration::from_millis(400));
                browser.picture(&picture, true)?;
                println!("{}", picture.display());
            }
        }
    }
    Ok(())
}
