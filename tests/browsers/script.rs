//! What scripts get from the page: the whole computation as functions of plain objects.

use anyhow::{Context, bail, ensure};
use serde_json::{Value, json};
use tapwright_core::link;
use tapwright_tests::browser::Browser;
use tapwright_tests::engine::Engine;

use crate::Outcome;
use crate::setup::visit;

/// Set-ups that use every part of a set-up, and texts that JSON has to escape.
const LINKS: [&str; 6] = [
    "v=1",
    "v=1&name=%22quoted%22%20%5C%20%01%20%F0%9F%8E%B8&stage=single-ended&marking=line&power=5&taps=8&hookup=a:8@3&hookup=4&selected=2&colour=red",
    "v=1&primary=8k&taps=8&hookup=A//8&frequency=80&loads=curve&speaker.1.called=A&speaker.1.coil=6R4&speaker.2.called=8&speaker.2.curve=20,7,14;80,44,0&speaker.2.from=bench",
    "v=1&primary=8k&core=gapped&taps=8&tap_winding=0.5&inductance=6.3%20V,%201.7%20mA,%2050%20Hz&direct_ma=3&winding=300&hookup=8",
    "v=1&tube=own&own=triode&own_plate_watts=12&point=250,,-8,9&point=,,,,,,,20&screens=taps&grid=-8&drive=150&selected=1,1-3,2&view=list&sort=watts&only=2",
    "v=1&marking=measured&leads=1,2,3&common=2&voltmeter=1%25&ohms=1-2,318&ohms=,open&volts=1-2,6.3&volts=,,2-3,0.2,1-3",
];

/// A function of the page, and what it returns or else throws. Through JSON, which has no
/// `undefined`: a key that is undefined is missing here.
fn call(
    browser: &Browser,
    function: &str,
    argument: &Value,
) -> anyhow::Result<Result<Value, Value>> {
    let json = browser.session().run(
        "const [name, argument] = arguments;
         let ends;
         try { ends = { Ok: tapwright[name](argument) }; } catch (error) { ends = { Err: error }; }
         return JSON.stringify(ends);",
        &[json!(function), argument.clone()],
    )?;
    Ok(serde_json::from_str(json.as_str().context("no answer")?)?)
}

fn returned(browser: &Browser, function: &str, argument: &Value) -> anyhow::Result<Value> {
    match call(browser, function, argument)? {
        Ok(value) => Ok(value),
        Err(error) => bail!("{function} of {argument} throws {error}"),
    }
}

/// An object and its link are the same set-up, and give the same report.
pub fn objects_and_links(engine: Engine) -> Outcome {
    let browser = visit(engine, "v=1")?;
    // 8 kΩ : 4 Ω and two 8 Ω in parallel reflect 8 kΩ. Exact arithmetic.
    let object = json!({ "primary": "8k", "taps": "4", "hookups": [{ "speakers": "8//8" }] });
    let link = returned(&browser, "encode", &object)?;
    ensure!(link == "v=1&primary=8k&taps=4&hookup=8//8", "{link}");
    let report = returned(&browser, "solve", &object)?;
    let reflected = report["connections"][0]["reflected"].as_f64();
    ensure!(
        reflected.is_some_and(|ohms| (ohms - 8_000.0).abs() < 1e-6),
        "{reflected:?}"
    );
    // No driver is known, so nothing is said of feedback; with one there is a gain.
    ensure!(returned(&browser, "feedback", &link)?.is_null());
    let text = link.as_str().context("a link")?;
    let driven = format!("{text}&tube=6V6GT&supply=285&driver=12AX7");
    let gain = returned(&browser, "feedback", &json!(driven))?["without"]["gain"].as_f64();
    ensure!(gain.is_some_and(|gain| gain > 1.0), "{gain:?}");
    // Nor of a supply that is not described; behind one that is stands B+. Nothing draws from it
    // here: it stands above the 353.6 V peak of the winding's loaded 250 V, by the copper's share.
    ensure!(returned(&browser, "supply", &link)?.is_null());
    let described = format!("{text}&winding_volts=2%20x%20250&rectifier=EZ80&reservoir=47u");
    let volts = returned(&browser, "supply", &json!(described))?["volts"].as_f64();
    ensure!(
        volts.is_some_and(|volts| (353.6..390.0).contains(&volts)),
        "{volts:?}"
    );
    ensure!(
        returned(&browser, "solve", &link)? == report,
        "another report"
    );

    for link in LINKS {
        let setup = link::parse(link).setup;
        let object = returned(&browser, "parse", &json!(link))?;
        ensure!(object == serde_json::to_value(&setup)?, "{link}: {object}");
        let again = returned(&browser, "encode", &object)?;
        ensure!(again == link::encode(&setup), "{link}: {again}");
    }

    // What is left out, undefined or an empty list is as it is in a set-up of nothing.
    let same = browser.script(
        "return tapwright.encode({ taps: undefined, hookups: [] }) === tapwright.encode({});",
    )?;
    ensure!(same == true, "undefined is not left out");
    let report = returned(&browser, "solve", &json!({}))?;
    for absent in ["transformer", "chosen"] {
        ensure!(
            report.get(absent) == Some(&Value::Null),
            "{absent} is not null: {report}"
        );
    }
    let missing = report["missing"].as_array().map(Vec::len);
    ensure!(missing == Some(3), "{missing:?} things are missing");
    Ok(())
}

/// What is no set-up is refused, with a sentence that names the part.
pub fn strange_objects(engine: Engine) -> Outcome {
    let browser = visit(engine, "v=1")?;
    let pair = json!({ "lead": 0, "secondary": { "pair": [1, 1] }, "hookup": 0 });
    for (object, part) in [
        (json!({ "hookups": 3 }), "hookups: "),
        (
            json!({ "hookups": [{}, { "speakers": 8 }] }),
            "hookups[1].speakers: ",
        ),
        (json!({ "topology": "sideways" }), "topology: "),
        (json!({ "taps": 8 }), "taps: "),
        (json!({ "stage": { "grid": -8 } }), "stage.grid: "),
        (json!({ "selected": 7 }), "selected: "),
        (json!({ "selected": { "connection": pair } }), "selected"),
        (json!(7), "a set-up is "),
    ] {
        match call(&browser, "solve", &object)? {
            Ok(report) => bail!("{object} gives {report}"),
            Err(sentence) => ensure!(
                sentence.as_str().is_some_and(|words| words.contains(part)),
                "{object} is refused as {sentence}"
            ),
        }
    }
    Ok(())
}
