//! The cross-hair of a chart in the browser: pointer and keys in, four attributes out.
//! The chart itself is not drawn again.

use std::cell::Cell;

use wasm_bindgen::JsCast;
use web_sys::{Element, Event, KeyboardEvent, PointerEvent};

use crate::browser;
use crate::chart::{Readout, Step};

thread_local! {
    /// Where a pointer last came down.
    static DOWN: Cell<(i32, i32)> = const { Cell::new((0, 0)) };
}

/// A pointer came down.
pub fn touch(event: &Event) {
    if let Some(pointer) = event.dyn_ref::<PointerEvent>() {
        DOWN.set((pointer.client_x(), pointer.client_y()));
    }
}

/// Whether a finger moves up or down: the page is about to scroll.
fn scrolls(pointer: &PointerEvent) -> bool {
    let (x, y) = DOWN.get();
    let (across, down) = (pointer.client_x() - x, pointer.client_y() - y);
    pointer.pointer_type() == "touch" && down.abs() > across.abs()
}

/// Where a pointer is in an element, as fractions of its width and height. `None` for an
/// event without a pointer, and for a finger that scrolls the page.
pub fn place(event: &Event, element: &Element) -> Option<(f64, f64)> {
    let pointer = event.dyn_ref::<PointerEvent>()?;
    if scrolls(pointer) {
        return None;
    }
    let room = element.get_bounding_client_rect();
    Some((
        (f64::from(pointer.client_x()) - room.left()) / room.width(),
        (f64::from(pointer.client_y()) - room.top()) / room.height(),
    ))
}

/// The step that a key means, by the pattern for sliders.
pub fn step(key: &KeyboardEvent) -> Option<Step> {
    // With these, the keys belong to the browser.
    if key.ctrl_key() || key.alt_key() || key.meta_key() {
        return None;
    }
    Some(match (key.key().as_str(), key.shift_key()) {
        ("ArrowLeft" | "ArrowDown", false) => Step::Back,
        ("ArrowRight" | "ArrowUp", false) => Step::On,
        ("ArrowLeft" | "ArrowDown", true) | ("PageDown", _) => Step::FarBack,
        ("ArrowRight" | "ArrowUp", true) | ("PageUp", _) => Step::FarOn,
        ("Home", _) => Step::First,
        ("End", _) => Step::Last,
        ("Escape", _) => Step::Rest,
        _ => return None,
    })
}

/// Shows a readout on the chart `id`. When the slider itself is read aloud (`spoken`), the
/// line below is not.
pub fn show(id: &str, readout: &Readout, spoken: bool) {
    set(&format!("hair-{id}"), &[("d", &readout.hair)]);
    set(&format!("dots-{id}"), &[("d", &readout.dots)]);
    let line = format!("said-{id}");
    set(
        &line,
        &[("aria-live", if spoken { "off" } else { "polite" })],
    );
    if let Some(line) = browser::by_id(&line) {
        line.set_text_content(Some(&readout.text));
    }
    set(
        &format!("read-{id}"),
        &[
            ("aria-valuenow", &readout.percent.to_string()),
            ("aria-valuetext", &readout.text),
        ],
    );
}

fn set(id: &str, attributes: &[(&str, &str)]) {
    let Some(element) = browser::by_id(id) else {
        return;
    };
    for (name, value) in attributes {
        // Only a malformed name is refused.
        let _ = element.set_attribute(name, value);
    }
}
