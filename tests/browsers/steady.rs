//! What one types in stays where it is: neither the field, nor its message, nor the answer
//! moves by a pixel, whatever a letter changes.

use anyhow::{Context, ensure};
use serde_json::json;
use tapwright_core::examples::EXAMPLES;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::address;

/// Opens every part, and names the fields.
const FIELDS: &str = r#"
for (const fold of document.querySelectorAll('#parts details')) fold.open = true;
return [...document.querySelectorAll('#parts input[data-field]')].map((field) => field.dataset.field);
"#;

/// Types texts into a field letter by letter, and tells what moved.
const TYPE: &str = r#"
const [key, done] = arguments;
const find = () => document.querySelector(`#parts input[data-field="${key}"]`);
const top = (element) => element.getBoundingClientRect().top;
const pinned = document.querySelector('.pinned');
const places = () => {
  const field = find();
  const message = document.getElementById(field.getAttribute('aria-describedby'));
  // A message that is not there yet has no place.
  const told = message && message.offsetHeight > 0 ? top(message) : undefined;
  return [top(field), told, top(pinned), pinned.offsetHeight];
};
const differs = (a, b) => a !== undefined && b !== undefined && Math.abs(a - b) >= 1;
find().focus({ preventScroll: true });
find().scrollIntoView({ block: 'center', behavior: 'instant' });
requestAnimationFrame(() => requestAnimationFrame(() => {
  const old = find().value;
  const before = places();
  const moved = [];
  for (const text of [`${old}0`, `${old}0x`, `${old}0x,`, '', '5', '50', old]) {
    find().value = text;
    find().dispatchEvent(new Event('input', { bubbles: true }));
    const now = places();
    if (now.some((place, at) => differs(place, before[at]))) moved.push(`${key} as "${text}": ${before} became ${now}`);
    if (document.activeElement !== find()) moved.push(`${key} as "${text}" lost the keyboard`);
  }
  find().dispatchEvent(new Event('change', { bubbles: true }));
  done(moved);
}));
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
            let keys = browser.script(FIELDS)?;
            let keys = keys.as_array().context("no fields")?;
            ensure!(keys.len() > 20, "only {} fields", keys.len());
            for key in keys {
                let moved = browser
                    .session()
                    .run_async(TYPE, std::slice::from_ref(key))?;
                ensure!(moved == json!([]), "{} at {width}: {moved:#}", example.name);
            }
        }
    }
    Ok(())
}
