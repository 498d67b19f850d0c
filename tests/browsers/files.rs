//! A measured curve chosen from the disk or dropped on the page.

use std::fs;

use anyhow::{Context, ensure};
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::{report, visit};

/// Invented: a coil of 6.5 Ω that resonates, as a table with decimal commas.
const TABLE: &str =
    "Hz;ohms;degrees\n20;7,2;14\n60;16,5;40\n80;44,5;0\n110;16,5;-40\n400;7,1;0\n20000;40,5;65\n";

/// Makes a file of this name with the text that a script gives, and drops it on an element.
const DROP: &str = "
    const brought = new DataTransfer();
    brought.items.add(new File([text], name));
    const event = new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: brought });
    document.querySelector(place).dispatchEvent(event);
    return event.defaultPrevented;";

pub fn drop_file(browser: &Browser, place: &str, name: &str, text: &str) -> Outcome {
    let script = format!("const place = '{place}', name = '{name}', text = {text};{DROP}");
    ensure!(
        browser.script(&script)? == true,
        "the browser would open the file in place of the page"
    );
    Ok(())
}

/// The ordinary button: the curve is in the form, in the link, and in what the page computes.
pub fn chosen(engine: Engine) -> Outcome {
    let browser = visit(
        engine,
        "v=1&primary=8k&taps=8&hookup=8&target=8k&frequency=80",
    )?;
    browser.click("[data-open=drivers] > summary")?;
    browser.click("#add-driver")?;
    browser.wait_for_text("#echo-speaker-1-called", "8 Ω")?;
    browser.click("[data-open='measured.1'] > summary")?;
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("bench one.txt");
    fs::write(&file, TABLE)?;
    let input = browser.session().find("[data-file='1']")?;
    let path = file.to_str().context("a path in UTF-8")?;
    browser.session().keys(&input, path)?;
    browser.wait_for_text("#echo-known-1", "Measured, 6 points")?;
    browser.wait_for_text(
        "#notices",
        "“bench one.txt” was read for speaker 1: all 6 points",
    )?;
    ensure!(browser.typed("speaker.1.from")? == "bench one.txt: all 6 points");
    // 44.5 Ω at 80 Hz, and 8 kΩ to 8 Ω: n² is 1000.
    browser.click("#fold-speakers")?;
    browser.wait_for_text("#speakers .standing", "At 80 Hz it is 44.5 Ω")?;
    let load = &report(&browser)?["followed"]["at_frequency"]["load_ohms"][0][1];
    ensure!(
        (load.as_f64().context("no load")? - 44_500.0).abs() < 1e-6,
        "{load}"
    );
    Ok(())
}

/// 100,000 lines dropped anywhere: progress is told, the page goes on, the link is short.
pub fn dropped(engine: Engine) -> Outcome {
    let browser = visit(engine, "v=1&primary=8k&taps=8&hookup=8")?;
    browser.script(
        "window.told = [];
         const place = document.getElementById('progress');
         const note = () => window.told.push(place.textContent);
         new MutationObserver(note).observe(place, { childList: true });
         return true;",
    )?;
    let text = "['Hz\\tohms\\tdegrees\\n', ...Array.from({ length: 100000 }, (_, n) => {
        const hertz = 20 * Math.pow(1000, n / 99999);
        const x = hertz / 90 - 90 / hertz;
        return `${hertz.toFixed(6)}\\t${(6.5 + 40 / (1 + x * x * 16) + hertz / 600).toFixed(4)}\\t0\\n`;
      })].join('')";
    drop_file(&browser, "body", "large.txt", text)?;
    browser.wait_for_text(
        "#notices",
        "“large.txt” was read for speaker 1: 100000 points thinned to",
    )?;
    browser.wait_for_text("#notices", "within")?;
    ensure!(browser.typed("speaker.1.called")? == "8");
    let told = browser.script("return window.told.join('|')")?;
    let told = told.as_str().context("no progress")?;
    ensure!(told.contains("Reading large.txt"), "{told}");
    ensure!(
        told.matches('%').count() > 3 && told.ends_with('|'),
        "{told}"
    );
    browser.wait_until(
        "the link has it",
        "location.hash.includes('speaker.1.curve=')",
    )?;
    let link = browser.session().url()?;
    ensure!(link.len() < 8_000, "the link has {} characters", link.len());
    Ok(())
}

/// A file that cannot be read: the line is named, and nothing else changes.
pub fn refused(engine: Engine) -> Outcome {
    let browser = visit(engine, "v=1&primary=8k&taps=8&hookup=8")?;
    let before = (browser.session().url()?, browser.text("#answer")?);
    for (text, told) in [
        ("'20 8 0\\n25 8 0\\n25 8 0\\n'", "line 3: it repeats 25 Hz"),
        ("''", "line 1: the file is empty"),
        (
            "new Uint8Array([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0])",
            "line 2: it holds the byte 1A",
        ),
        (
            "'7'.repeat(50e6)",
            "line 1: it has more than 4000 characters",
        ),
    ] {
        drop_file(&browser, "#answer", "odd.bin", text)?;
        browser.wait_for_text("#notices", told)?;
        browser.wait_for_text("#notices", "Nothing was changed")?;
    }
    browser.click("[data-do=dismiss]")?;
    let after = (browser.session().url()?, browser.text("#answer")?);
    ensure!(after == before, "{before:?} became {after:?}");
    Ok(())
}
