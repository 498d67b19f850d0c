//! What the page does with input that cannot be read, typed or in a link.

use anyhow::{bail, ensure};
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;
use tapwright_tests::page;

use crate::Outcome;
use crate::setup::visit;

const LINK: &str = "v=1&primary=8k&taps=3,%208,%2015&hookup=8//8";

/// The complaint stands at the field, the last good answer stays and is marked.
pub fn bad_field(engine: Engine) -> Outcome {
    let browser = visit(engine, LINK)?;
    let answer = browser.text("#answer .sentence")?;
    browser.type_after("taps", ", -1")?;
    browser.wait_for_text("#echo-taps .bad", "is negative")?;
    browser.wait_until(
        "the answer is stale",
        "document.querySelector('#answer .stale')",
    )?;
    ensure!(
        browser.typed("taps")? == "3, 8, 15, -1",
        "the typed text changed"
    );
    ensure!(
        browser.text("#answer .sentence")? == answer,
        "the answer went"
    );
    browser.wait_until(
        "the field is said to be at fault",
        "document.querySelectorAll('[aria-invalid=true]').length === 1
            && document.getElementById('field-taps').ariaInvalid === 'true'",
    )?;
    let others = browser.script("return document.querySelectorAll('#parts .echo .bad').length")?;
    ensure!(others == 1, "{others} complaints instead of one");
    browser.type_into("taps", "3, 8, 15")?;
    browser.wait_until(
        "nothing is complained of",
        "!document.querySelector('.bad, .stale, [aria-invalid]')",
    )?;
    ensure!(
        browser.text("#answer .sentence")? == answer,
        "another answer"
    );
    Ok(())
}

/// What is half typed is not complained of at once, but after a pause.
pub fn complaint_waits(engine: Engine) -> Outcome {
    let browser = visit(engine, LINK)?;
    let told = browser.script(
        "const field = document.getElementById('field-hookup.1.speakers');
         field.focus();
         field.value = '8//';
         field.dispatchEvent(new Event('input', { bubbles: true }));
         window.typed = performance.now();
         new MutationObserver(() => { window.told ??= performance.now(); })
           .observe(document.getElementById('echo-hookup-1-speakers'), { childList: true });
         return document.querySelectorAll('.bad, .stale, [aria-invalid]').length",
    )?;
    ensure!(told == 0, "{told} complaints of what is half typed");
    browser.wait_for_text("#echo-hookup-1-speakers .bad", "missing at the end")?;
    let waited = browser.script("return window.told - window.typed")?;
    let waited = waited.as_f64().unwrap_or_default();
    ensure!(waited > 700.0, "it waited {waited} ms");
    Ok(())
}

/// A damaged link opens with all that could be read, and lists what could not.
pub fn damaged_link(engine: Engine) -> Outcome {
    let browser = visit(
        engine,
        "v=1&primary=8k&taps=4,%208&colour=%ZZred&stage=maybe&hookup=8",
    )?;
    browser.wait_for_text("#answer .sentence", "8 Ω tap")?;
    for told in ["colour", "stage"] {
        browser.wait_for_text("#notices", told)?;
    }
    Ok(())
}

/// A link of a megabyte of nonsense, just under what Firefox takes as an address, opens, and what can be read of it is read.
pub fn huge_link(engine: Engine) -> Outcome {
    let nonsense = "x".repeat(1_000_000);
    let browser = visit(
        engine,
        &format!("v=1&primary=8k&taps=4,%208&hookup=8&{nonsense}"),
    )?;
    browser.wait_for_text("#answer .sentence", "8 Ω tap")?;
    browser.type_into("taps", "4, 16")?;
    browser.wait_for_text("#echo-taps", "16 Ω")
}

/// A browser that lacks what the page needs is told what it lacks.
pub fn says_why_it_cannot_start(engine: Engine) -> Outcome {
    let file = page::file().map_err(anyhow::Error::msg)?;
    let browser = Browser::start(engine)?;
    for feature in ["WebAssembly", "DecompressionStream"] {
        let (_folder, copy) = page::without_feature(&file, feature)?;
        let Err(refusal) = browser.open(&page::url(&copy)) else {
            bail!("it starts without {feature}");
        };
        let refusal = format!("{refusal:#}");
        ensure!(
            refusal.contains("refuses to start: Tapwright cannot start: this browser")
                && refusal.contains(feature),
            "without {feature} it says: {refusal}"
        );
    }
    Ok(())
}

/// What a person types is text wherever it is shown, never markup.
pub fn markup_is_text(engine: Engine) -> Outcome {
    let browser = visit(engine, LINK)?;
    let name = "<b id=\"got\">&amp;</b>";
    browser.type_into("hookup.1.name", name)?;
    browser.wait_for_text("#answer .kicker", name)?;
    browser.type_into("name", name)?;
    browser.wait_until("the title follows", "document.title.includes('<b id=')")?;
    let inserted = browser.script("return document.getElementById('got') !== null")?;
    ensure!(inserted == false, "it became an element");
    Ok(())
}

/// A field never shows `NaN` or `inf`, whatever is typed, and nothing throws.
pub fn strange_values(engine: Engine) -> Outcome {
    let browser = visit(engine, LINK)?;
    browser.script(
        "addEventListener('error', (e) => { document.documentElement.dataset.thrown = e.message; })",
    )?;
    let strange = [
        "",
        "text",
        "-8",
        "1e400",
        "NaN",
        "((8",
        "8//",
        "0.000000001",
        "9999999999M",
    ];
    for field in ["primary", "taps", "hookup.1.speakers", "target"] {
        for text in strange {
            browser.type_into(field, text)?;
            let shown = browser.script(
                "return (document.body.innerText.match(/(NaN|-?\\binf\\b|undefined|Infinity)(?!” )/g) || []).join()",
            )?;
            let typed_itself =
                text == "NaN" && shown.as_str().is_some_and(|s| s.starts_with("NaN"));
            ensure!(
                shown == "" || typed_itself,
                "{field} as {text:?} shows {shown}"
            );
        }
        browser.type_into(field, if field == "target" { "8k" } else { "8" })?;
    }
    let thrown = browser.script("return document.documentElement.dataset.thrown || ''")?;
    ensure!(thrown == "", "it threw {thrown}");
    Ok(())
}
