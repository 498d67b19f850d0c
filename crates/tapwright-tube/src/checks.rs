//! What a row of the tables has to keep to.

/// Refuses a value outside of `low` to `high`, and what is not a number.
pub fn between(name: &str, value: f64, low: f64, high: f64) -> Result<(), String> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(format!(
        "{name} = {value}: between {low} and {high} expected"
    ))
}

/// Refuses a value that is given and is zero, negative, infinite or not a number.
pub fn above_zero(name: &str, value: Option<f64>) -> Result<(), String> {
    match value {
        Some(value) if !(value > 0.0 && value.is_finite()) => {
            Err(format!("{name} = {value}: a number above zero expected"))
        }
        _ => Ok(()),
    }
}

/// Refuses a note that says nothing.
pub fn note(note: Option<&String>) -> Result<(), String> {
    match note {
        Some(text) if text.trim().is_empty() => Err("note is empty".into()),
        _ => Ok(()),
    }
}
