//! The border between module and browser, run as wasm in a headless browser.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]
#![cfg(target_arch = "wasm32")]

use js_sys::{JSON, Reflect};
use tapwright_page::script::{encode, parse, solve};
use wasm_bindgen::JsValue;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

fn get(value: &JsValue, path: &str) -> JsValue {
    path.split('.').fold(value.clone(), |value, key| {
        Reflect::get(&value, &key.into()).unwrap_or(JsValue::UNDEFINED)
    })
}

fn object(json: &str) -> JsValue {
    JSON::parse(json).expect("JSON")
}

/// 8 kΩ : 4 Ω and two 8 Ω in parallel reflect 8 kΩ. Exact arithmetic.
#[wasm_bindgen_test]
fn an_object_and_its_link_give_the_same_plain_report() {
    let setup = r#"{"primary":"8k","taps":"4","hookups":[{"speakers":"8//8"}]}"#;
    let from_object = solve(object(setup)).expect("a report");
    let reflected = get(&from_object, "connections.0.reflected")
        .as_f64()
        .expect("a number");
    assert!((reflected - 8_000.0).abs() < 1e-6);
    let link = encode(object(setup)).expect("a link");
    assert_eq!(link, "v=1&primary=8k&taps=4&hookup=8//8");
    let from_link = solve(link.into()).expect("a report");
    let text = |value: &JsValue| String::from(JSON::stringify(value).expect("plain"));
    assert_eq!(text(&from_object), text(&from_link));
}

/// The objects that scripts get are what `serde` would make of the same set-up, and come
/// back whole.
#[wasm_bindgen_test]
fn a_set_up_is_the_object_that_serde_makes_of_it() {
    for link in [
        "v=1",
        "v=1&name=%22quoted%22%20%5C%20%01%20%F0%9F%8E%B8&stage=single-ended&marking=line&power=5&taps=8&hookup=a:8@3&hookup=4&selected=2&colour=red",
        "v=1&primary=8k&taps=8&hookup=A//8&frequency=80&loads=curve&speaker.1.called=A&speaker.1.coil=6R4&speaker.2.called=8&speaker.2.curve=20,7,14;80,44,0&speaker.2.from=bench",
        "v=1&primary=8k&core=gapped&taps=8&tap_winding=0.5&inductance=6.3%20V,%201.7%20mA,%2050%20Hz&direct_ma=3&winding=300&hookup=8",
        "v=1&tube=own&own=triode&own_plate_watts=12&point=250,,-8,9&point=,,,,,,,20&screens=taps&grid=-8&drive=150&selected=1,1-3,2&view=list&sort=watts&only=2",
        "v=1&marking=measured&leads=1,2,3&common=2&voltmeter=1%25&ohms=1-2,318&ohms=,open&volts=1-2,6.3&volts=,,2-3,0.2,1-3",
    ] {
        let setup = tapwright_core::link::parse(link).setup;
        let object = parse(link).expect("an object");
        let text = String::from(JSON::stringify(&object).expect("plain"));
        let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(value, serde_json::to_value(&setup).expect("JSON"), "{link}");
        assert_eq!(
            encode(object).expect("a link"),
            tapwright_core::link::encode(&setup)
        );
    }
}

#[wasm_bindgen_test]
fn what_is_absent_is_null_and_not_undefined() {
    let report = solve(object("{}")).expect("a report");
    assert!(get(&report, "transformer").is_null());
    assert!(get(&report, "chosen").is_null());
    assert_eq!(get(&report, "missing.length").as_f64(), Some(3.0));
}

#[wasm_bindgen_test]
fn a_strange_object_is_refused_in_words() {
    for json in [
        r#"{"hookups":3}"#,
        r#"{"hookups":[3]}"#,
        r#"{"topology":"sideways"}"#,
        r#"{"taps":8}"#,
        r#"{"selected":7}"#,
        "7",
    ] {
        let error = solve(object(json)).expect_err(json);
        assert!(
            error.as_string().is_some_and(|words| !words.is_empty()),
            "{json}"
        );
    }
}

#[wasm_bindgen_test]
fn a_link_becomes_an_object_and_a_link_again() {
    let link = "v=1&name=A%20%2B%20B&primary=8k&taps=4,8,16&hookup=x:8+8@30&colour=red";
    let setup = parse(link).expect("a set-up");
    assert_eq!(get(&setup, "name").as_string().as_deref(), Some("A + B"));
    // What `encode` writes of itself: `+` in a name needs no escape.
    assert_eq!(encode(setup).expect("a link"), link.replace("%2B", "+"));
}
