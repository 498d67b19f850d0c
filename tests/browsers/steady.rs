//! What one types in stays where it is: neither the field, nor its message, nor the answer
//! moves by a pixel, whatever a letter changes.

use anyhow::{Context, ensure};
use serde_json::json;
use tapwright_core::examples::EXAMPLES;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::address;

/// Types texts letter by letter into every field, and tells what moved.
const TYPE_EVERYWHERE: &str = r#"
const [done] = arguments;
const frame = () => new Promise((go) => requestAnimationFrame(() => requestAnimationFrame(go)));
const find = (key) => document.querySelector(`#parts input[data-field="${key}"]`);
const top = (element) => element.getBoundingClientRect().top;
const pinned = document.querySelector('.pinned');
(async () => {
  for (const fold of document.querySelectorAll('#parts details')) fold.open = true;
  await frame();
  const keys = [...document.querySelectorAll('#parts input[data-field]')].map((field) => field.dataset.field);
  const moved = [];
  let letters = 0;
  for (const key of keys) {
    find(key).focus({ preventScroll: true });
    find(key).scrollIntoView({ block: 'center', behavior: 'instant' });
    await frame();
    const old = find(key).value;
    const places = () => {
      const field = find(key);
      const message = document.getElementById(field.getAttribute('aria-describedby'));
      // A message that is not there yet has no place.
      const told = message && message.offsetHeight > 0 ? top(message) : undefined;
      return [top(field), told, top(pinned), pinned.offsetHeight];
    };
    const differs = (a, b) => a !== undefined && b !== undefined && Math.abs(a - b) >= 1;
    const before = places();
    for (const text of [`${old}0`, `${old}0x`, `${old}0x,`, '', '5', '50', old]) {
      find(key).value = text;
      find(key).dispatchEvent(new Event('input', { bubbles: true }));
      letters += 1;
      const now = places();
      if (now.some((place, at) => differs(place, before[at]))) moved.push(`${key} as "${text}": ${before} became ${now}`);
      if (document.activeElement !== find(key)) moved.push(`${key} as "${text}" lost the keyboard`);
    }
    find(key).dispatchEvent(new Event('change', { bubbles: true }));
  }
  done({ moved, letters });
})();
"#;

/// Every field of every example, on a wide page and on a narrow one.
pub fn nothing_moves(engine: Engine) -> Outcome {
    let browser = Browser::start(engine)?;
    for (width, height) in [(1440, 900), (500, 740)] {
        browser.resize(width, height)?;
        for example in &EXAMPLES {
            browser.session().open_url("about:blank")?;
            let leaf = if width < 820 { "&leaf=parts" } else { "" };
            browser.open(&address(&format!("{}{leaf}", example.link))?)?;
            let found = browser.session().run_async(TYPE_EVERYWHERE, &[])?;
            let letters = found["letters"].as_u64().context("no letters")?;
            ensure!(letters > 100, "only {letters} letters typed");
            ensure!(
                found["moved"] == json!([]),
                "{} at {width}: {:#}",
                example.name,
                found["moved"]
            );
        }
    }
    Ok(())
}
