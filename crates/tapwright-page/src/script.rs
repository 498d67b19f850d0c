//! For scripts: the whole computation as a plain function on plain objects.

use serde::Serialize;
use serde_wasm_bindgen::Serializer;
use tapwright_core::link;
use tapwright_core::setup::Setup;
use wasm_bindgen::prelude::*;

use crate::plain;

#[wasm_bindgen(typescript_custom_section)]
const TYPES: &str = include_str!("script.d.ts");

/// Computes the report on a set-up, given as an object or as a link.
///
/// # Errors
/// What is wrong with the object, as a string.
#[wasm_bindgen(unchecked_return_type = "Report")]
pub fn solve(
    #[wasm_bindgen(unchecked_param_type = "Partial<Setup> | string")] setup: JsValue,
) -> Result<JsValue, JsValue> {
    let report = tapwright_core::solve(&read(setup)?);
    // Optional numbers as null and maps as objects: what JSON would say.
    report
        .serialize(&Serializer::json_compatible())
        .map_err(|error| error.to_string().into())
}

/// The link that brings a set-up back, without its `#`.
///
/// # Errors
/// What is wrong with the object, as a string.
#[wasm_bindgen]
pub fn encode(
    #[wasm_bindgen(unchecked_param_type = "Partial<Setup> | string")] setup: JsValue,
) -> Result<String, JsValue> {
    Ok(link::encode(&read(setup)?))
}

/// The set-up in a link.
///
/// # Errors
/// None in practice: a damaged link gives what could be read of it.
#[wasm_bindgen(unchecked_return_type = "Setup")]
pub fn parse(link: &str) -> Result<JsValue, JsValue> {
    plain::object(&link::parse(link).setup)
}

fn read(setup: JsValue) -> Result<Setup, JsValue> {
    if let Some(text) = setup.as_string() {
        return Ok(link::parse(&text).setup);
    }
    plain::read(&setup).map_err(JsValue::from)
}
