//! No violation that axe-core finds, in any state of the page, in both themes.

use anyhow::{Context, ensure};
use tapwright_tests::axe;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::address;

const STATES: [(&str, &str); 14] = [
    ("first visit", ""),
    (
        "line transformer",
        "v=1&stage=single-ended&marking=line&power=1,%202.5,%205,%2010&taps=4,%208,%2016&tube=EL84&supply=250&hookup=Shop:8@15&hookup=8+8",
    ),
    (
        "a tube of one's own",
        "v=1&stage=single-ended&primary=5k&taps=8&hookup=8&tube=own&supply=250&own_plate_watts=12&point=250,250,-12.5,45,4.5,4.1,52k,9.8&frequency=80&drive=150",
    ),
    (
        "every loss of the iron",
        "v=1&stage=single-ended&primary=2k5,%205k&taps=4,%208&hookup=8&tube=EL84&supply=250&core=ungapped&winding=350&tap_winding=0.5&core_ohms=60k&inductance=6.3%20V,%202%20mA,%2050%20Hz&leakage=40%20mH&capacitance=500p&rated_watts=4&rated_hertz=80",
    ),
    (
        "measured, with a dangerous test and a slip",
        "v=1&marking=measured&leads=1,2,3,4,5&ohms=1-2,318&ohms=3-4,0.6&ohms=1-3,open&ohms=4-5,-1&volts=1-2,6.31,3-4,0.2442&volts=3-4,6.3,1-2,60&hookup=8",
    ),
    (
        "heaters raised for a split load, on a winding that is too small",
        "v=1&primary=8k&taps=8&hookup=8&tube=EL84&supply=300&driver=6SL7&splitter=split-load&driver_supply=400&heater_amps=1.5&heater_resistors=100%20and%20120&heater_raise=10",
    ),
    (
        "a heater tap that is refused",
        "v=1&tube=EL84&supply=300&heater_rectifier=joined&heater_tap=centre&heater_resistors=100",
    ),
    ("nothing typed", "v=1"),
    (
        "several hookups",
        "v=1&primary=brown%208k,%20blue%2010k&taps=3,8,15&target=8k&hookup=Hall:15@20&hookup=8//8&hookup=3",
    ),
    (
        "connection chosen",
        "v=1&primary=8k&taps=3,8,15&hookup=8//8&selected=1,3,1",
    ),
    (
        "ranked list",
        "v=1&primary=8k,10k&taps=3,8,15&hookup=8//8&hookup=16&view=list",
    ),
    (
        "speakers described",
        "v=1&primary=8k&taps=4,8&hookup=A//15@30&frequency=80&loads=curve&speaker.1.called=A&speaker.1.coil=6R4&speaker.2.called=15&speaker.2.curve=20,12,5;90,60,0;20000,80,60&speaker.3.called=B&speaker.3.curve=20",
    ),
    ("bad fields", "v=1&primary=8k&taps=0&hookup=8//&target=-1"),
    (
        "damaged link",
        "v=9&primary=8k&taps=4,%208&hookup=8&colour=red",
    ),
];

/// A state in which a field is then given what cannot be read, so that results are greyed.
const GREYED: (&str, &str) = (
    "results of the last good texts",
    "v=1&primary=8k&taps=3,8,15&hookup=8//8&hookup=16&tube=6V6GT&supply=300&frequency=80",
);

/// The themes, and sizes of the page in CSS pixels, that are checked.
pub const LOOKS: [(&str, (u32, u32)); 6] = [
    ("light", (1440, 900)),
    ("light", (820, 1180)),
    ("light", (360, 740)),
    ("dark", (1440, 900)),
    ("dark", (820, 1180)),
    ("dark", (360, 740)),
];

/// Every leaf of every state in one look as it opens, then with every fold open.
pub fn clean(engine: Engine, theme: &str, (width, height): (u32, u32)) -> Outcome {
    let browser = Browser::start(engine)?;
    browser.prefer(theme)?;
    browser.resize(width, height)?;
    let mut found = Vec::new();
    for (state, fragment) in STATES.into_iter().chain([GREYED]) {
        browser.session().open_url("about:blank")?;
        browser.open(&address(fragment)?)?;
        if state == GREYED.0 {
            if width < 820 {
                browser.turn("parts")?;
            }
            browser.type_after("taps", ", -1")?;
            browser.wait_until("results are greyed", "document.querySelector('.stale')")?;
        }
        let turns = browser.script(
            "return [...document.querySelectorAll('#leaves button')].map((leaf) => leaf.id.slice(5))",
        )?;
        for leaf in turns.as_array().context("no leaves")? {
            let leaf = leaf.as_str().context("no leaf")?;
            browser.turn(leaf)?;
            let mut note = |when: &str| -> Outcome {
                let violations = axe::violations(&browser)?;
                let told = violations.iter();
                found.extend(told.map(|v| format!("{state}, {leaf}{when}: {v}")));
                Ok(())
            };
            note("")?;
            browser.script(
                "document.querySelectorAll('[aria-expanded=false]').forEach((b) => b.click());
                 document.querySelectorAll('details').forEach((d) => { d.open = true; });",
            )?;
            note(" unfolded")?;
            // It lies over the leaves.
            browser.script("document.querySelector('.menu').open = false")?;
        }
    }
    // The list of what the device keeps, and what is said when one of it goes.
    browser.session().open_url("about:blank")?;
    browser.open(&address("v=1&primary=8k&taps=8&hookup=8&leaf=parts")?)?;
    browser.type_into("name", "Porch amp")?;
    browser.wait_until("it is in the address", "location.hash.includes('Porch')")?;
    browser.click("#recent-open")?;
    browser.wait_for_text("#recent li", "Porch amp")?;
    found.extend(
        axe::violations(&browser)?
            .into_iter()
            .map(|v| format!("recent set-ups: {v}")),
    );
    browser.click("#recent [data-do^=delete-recent]")?;
    browser.wait_for_text("#notices", "was deleted")?;
    found.extend(
        axe::violations(&browser)?
            .into_iter()
            .map(|v| format!("one deleted: {v}")),
    );
    ensure!(
        found.is_empty(),
        "{} violations:\n{}",
        found.len(),
        found.join("\n")
    );
    Ok(())
}

/// The checker finds what is wrong when something is.
pub fn detects(engine: Engine) -> Outcome {
    let browser = Browser::start(engine)?;
    browser.open(&address("")?)?;
    browser.script("document.querySelector('[data-open=\"part.iron\"]').open = true")?;
    browser.script("document.getElementById('field-primary').removeAttribute('id')")?;
    let found = axe::violations(&browser)?;
    ensure!(!found.is_empty(), "a field without its label passes");
    Ok(())
}
