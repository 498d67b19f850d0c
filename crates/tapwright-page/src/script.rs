//! For scripts: the whole computation as a plain function on plain objects.

use js_sys::JSON;
use serde::Serialize;
use serde_wasm_bindgen::{Deserializer, Serializer};
use tapwright_core::link;
use tapwright_core::setup::{HookupEntry, Setup};
use wasm_bindgen::prelude::*;

#[wasm_bindgen(typescript_custom_section)]
const SETUP: &str = include_str!("setup.d.ts");

#[wasm_bindgen(typescript_custom_section)]
const REPORT: &str = include_str!("script.d.ts");

/// Computes the report on a set-up, given as an object or as a link.
///
/// # Errors
/// What is wrong with the object, as a string.
#[wasm_bindgen(unchecked_return_type = "Report")]
pub fn solve(
    #[wasm_bindgen(unchecked_param_type = "Partial<Setup> | string")] setup: JsValue,
) -> Result<JsValue, JsValue> {
    plain(&tapwright_core::solve(&read(setup)?))
}

/// What the feedback does in a set-up, given as an object or as a link; null until tube, driver,
/// transformer and speaker are known.
///
/// # Errors
/// What is wrong with the object, or why the circuit has no answer, as a string.
#[wasm_bindgen(unchecked_return_type = "LoopReport | null")]
pub fn feedback(
    #[wasm_bindgen(unchecked_param_type = "Partial<Setup> | string")] setup: JsValue,
) -> Result<JsValue, JsValue> {
    let report = tapwright_core::solve(&read(setup)?);
    answered(tapwright_core::feedback::ask(&report.solved))
}

/// The idle point of a set-up, given as an object or as a link, as its readings tell it and as it
/// is wanted; null without a tube.
///
/// # Errors
/// What is wrong with the object, or why the stage has no idle point, as a string.
#[wasm_bindgen(unchecked_return_type = "IdleReport | null")]
pub fn idle(
    #[wasm_bindgen(unchecked_param_type = "Partial<Setup> | string")] setup: JsValue,
) -> Result<JsValue, JsValue> {
    let report = tapwright_core::solve(&read(setup)?);
    answered(tapwright_core::idle::ask(&report.solved))
}

/// The heaters of a set-up, given as an object or as a link, and what to beware of with them.
///
/// # Errors
/// What is wrong with the object, as a string.
#[wasm_bindgen(unchecked_return_type = "HeatersToldOf")]
pub fn heaters(
    #[wasm_bindgen(unchecked_param_type = "Partial<Setup> | string")] setup: JsValue,
) -> Result<JsValue, JsValue> {
    let report = tapwright_core::solve(&read(setup)?);
    plain(&tapwright_core::caution::heaters::told(&report.solved))
}

/// What the power supply does in a set-up, given as an object or as a link; null until enough of
/// it is described.
///
/// # Errors
/// What is wrong with the object, or why the supply has no steady state, as a string.
#[wasm_bindgen(unchecked_return_type = "SupplyReport | null")]
pub fn supply(
    #[wasm_bindgen(unchecked_param_type = "Partial<Setup> | string")] setup: JsValue,
) -> Result<JsValue, JsValue> {
    let report = tapwright_core::solve(&read(setup)?);
    answered(tapwright_core::supply::ask(&report.solved))
}

/// What a costly leaf answers: null until enough is known, and an error where there is none.
fn answered<T: Serialize>(answer: Option<Result<T, String>>) -> Result<JsValue, JsValue> {
    match answer {
        None => Ok(JsValue::NULL),
        Some(Err(why)) => Err(why.into()),
        Some(Ok(report)) => plain(&report),
    }
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
    plain(&link::parse(link).setup)
}

/// A value as a plain object, as JSON would have it: what is absent is null.
fn plain(value: &impl Serialize) -> Result<JsValue, JsValue> {
    value
        .serialize(&Serializer::json_compatible())
        .map_err(|error| error.to_string().into())
}

fn read(setup: JsValue) -> Result<Setup, JsValue> {
    if let Some(text) = setup.as_string() {
        return Ok(link::parse(&text).setup);
    }
    if !setup.is_object() {
        return Err("a set-up is an object or a link".into());
    }
    // JSON leaves out what is undefined, and so takes it for absent.
    let plain = JSON::parse(&String::from(JSON::stringify(&setup)?))?;
    let mut setup: Setup = serde_path_to_error::deserialize(Deserializer::from(plain))
        .map_err(|error| error.to_string())?;
    if setup.hookups.is_empty() {
        setup.hookups.push(HookupEntry::default());
    }
    Ok(setup)
}
