//! Listens once on the document and turns events into edits.

use tapwright_core::setup::{Leaf, List, Selection};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Element, Event, EventTarget, HtmlDetailsElement, KeyboardEvent};

use crate::action::Action;
use crate::browser::Dropped;
use crate::file::Meant;
use crate::{app, browser, crosshair, file};

/// Starts listening.
pub fn listen() {
    let (Some(window), Some(document)) = (browser::window(), browser::document()) else {
        return;
    };
    on(&document, "input", false, input);
    // Some ways to choose an option send no `input` event.
    on(&document, "change", false, |event| {
        if let Some((field, place)) = concerned(&event, "data-file") {
            if let Some(file) = browser::chosen(&field) {
                read(file, Some(place));
            }
            return;
        }
        input(event);
        app::settle();
    });
    // Without this a dropped file would take the place of the page.
    on(&document, "dragover", false, |event| {
        event.prevent_default()
    });
    on(&document, "drop", false, |event| {
        event.prevent_default();
        let place = concerned(&event, "data-drop").map(|(_, place)| place);
        match browser::dropped(&event) {
            Some(Dropped::File(file)) => read(file, place),
            Some(Dropped::Files(count)) => app::refuse(&format!(
                "{count} files at once: which of them is meant? Bring one at a time. Nothing was changed."
            )),
            Some(Dropped::Text(text)) => app::drop_text(&text),
            None => {}
        }
    });
    on(&document, "click", false, click);
    on(&document, "pointerdown", false, |event| {
        close_menus_elsewhere(&event);
        crosshair::touch(&event)
    });
    on(&document, "focusin", false, |event| {
        close_menus_elsewhere(&event)
    });
    on(&document, "pointermove", false, point);
    // A tap. A finger that scrolls the page never comes to this.
    on(&document, "pointerup", false, point);
    on(&document, "keydown", false, keydown);
    // `toggle` does not bubble: it is caught on the way down.
    on(&document, "toggle", true, toggle);
    on(&document, "submit", false, submit);
    on(&window, "popstate", false, |_| app::follow());
    on(&window, "hashchange", false, |_| app::follow());
    on(&window, "pagehide", false, |_| {
        app::save_now();
        browser::tab::release();
    });
    on(&window, "beforeprint", false, |_| app::write_on_paper());
    on(&document, "visibilitychange", false, |_| {
        match browser::document().is_some_and(|document| document.hidden()) {
            // A telephone may end a page that is out of sight without another word.
            true => app::save_now(),
            false => browser::version::ask(),
        }
    });
    browser::tab::hold();
    // A page that comes back from memory holds it again.
    on(&window, "pageshow", false, |_| browser::tab::hold());
}

fn on(target: &EventTarget, kind: &str, capture: bool, then: fn(Event)) {
    let listener = Closure::<dyn FnMut(Event)>::new(then);
    let _ = target.add_event_listener_with_callback_and_bool(
        kind,
        listener.as_ref().unchecked_ref(),
        capture,
    );
    // It listens for as long as the page lives.
    listener.forget();
}

/// The element that the event is about: the nearest one around its target that has
/// `attribute`, with the attribute's value.
fn concerned(event: &Event, attribute: &str) -> Option<(Element, String)> {
    let target = event.target()?.dyn_into::<Element>().ok()?;
    let element = target.closest(&format!("[{attribute}]")).ok()??;
    let value = element.get_attribute(attribute)?;
    Some((element, value))
}

fn input(event: Event) {
    if let Some((field, key)) = concerned(&event, "data-field") {
        app::edit(&key, &browser::value(&field));
    }
}

/// Reads a file: for the speaker at a place, which is counted from 1, or as a set-up, or as
/// what it turns out to be.
fn read(file: web_sys::File, place: Option<String>) {
    let meant = match place.as_deref() {
        Some("set-up") => Meant::SetUp,
        Some(place) => Meant::Curve(place.parse::<usize>().ok().and_then(|at| at.checked_sub(1))),
        None => Meant::Any,
    };
    file::begin(file, meant);
}

fn click(event: Event) {
    if let Some((_, connection)) = concerned(&event, "data-choose") {
        if let Some(selection) = Selection::read(&connection) {
            app::act(Action::Select(selection));
        }
    } else if let Some((_, key)) = concerned(&event, "data-visit") {
        visit(&key);
    } else if let Some((_, action)) = concerned(&event, "data-do")
        && let Some(action) = Action::read(&action)
    {
        app::act(action.clone());
        focus_new(&action);
        browser::close_menus(None);
    }
}

/// Closes the menus in which an event is not.
fn close_menus_elsewhere(event: &Event) {
    let target = event
        .target()
        .and_then(|target| target.dyn_into::<Element>().ok());
    browser::close_menus(target.as_ref());
}

/// No form is sent anywhere. One of them opens a link.
fn submit(event: Event) {
    event.prevent_default();
    let field = browser::by_id("open-text");
    if let (Some(field), Some(_)) = (field, concerned(&event, "data-link"))
        && app::open_link(&browser::value(&field))
    {
        browser::close_menus(None);
    }
}

/// Goes to a field, wherever it stands.
fn visit(key: &str) {
    let field = || browser::by_id(&format!("field-{key}"));
    if field().is_none() {
        app::act(Action::Turn(Leaf::Parts));
    }
    if let Some(field) = field() {
        browser::open_around(&field);
        field.scroll_into_view();
        browser::focus(&field);
    }
}

fn point(event: Event) {
    if let Some((reader, chart)) = concerned(&event, "data-plot")
        && let Some((across, down)) = crosshair::place(&event, &reader)
    {
        app::point(&chart, across, down);
    }
}

/// Moves the keyboard to the row that was added, or to the button that adds one where a row
/// was removed.
fn focus_new(action: &Action) {
    let new = match action {
        Action::Add(List::Hookup) => ".hookup input[data-field$=speakers]",
        Action::Add(List::Ohms) => "input[data-field^=ohms][data-field$=pair]",
        Action::Add(List::Volts) => "input[data-field^=volts][data-field$=pair]",
        Action::Add(List::Driver) => "input[data-field^=speaker][data-field$=called]",
        Action::Remove(list, _) if *list != List::Point => {
            &format!("[data-do={}]", Action::Add(*list))
        }
        _ => return,
    };
    let last = browser::by_id("parts").and_then(|form| browser::all(&form, new).pop());
    if let Some(field) = last {
        browser::focus(&field);
    }
}

fn toggle(event: Event) {
    if let Some((details, key)) = concerned(&event, "data-open")
        && let Some(details) = details.dyn_ref::<HtmlDetailsElement>()
    {
        app::fold(&key, details.open());
    }
}

fn keydown(event: Event) {
    let Some(key) = event.dyn_ref::<KeyboardEvent>() else {
        return;
    };
    if undo(key) || (key.key() == "Escape" && browser::close_menus(None)) {
        return;
    }
    if key.key() == "Enter"
        && concerned(&event, "data-field").is_some()
        && let Some((row, list)) = concerned(&event, "data-row")
        && let Ok(list) = list.parse::<List>()
        && row
            .next_element_sibling()
            .is_some_and(|next| !next.has_attribute("data-row"))
    {
        // Enter in the last row starts a new one, without the mouse.
        event.prevent_default();
        app::act(Action::Add(list));
        return focus_new(&Action::Add(list));
    }
    if let Some((_, chart)) = concerned(&event, "data-plot")
        && let Some(step) = crosshair::step(key)
    {
        event.prevent_default();
        return app::step(&chart, step);
    }
    let (leads, taps) = match key.key().as_str() {
        "ArrowLeft" => (-1, 0),
        "ArrowRight" => (1, 0),
        "ArrowUp" => (0, -1),
        "ArrowDown" => (0, 1),
        _ => return,
    };
    let next = concerned(&event, "data-choose")
        .and_then(|(_, from)| app::neighbour(&from, leads, taps))
        .and_then(|to| browser::by_id(&format!("c-{to}")));
    if let Some(next) = next {
        event.prevent_default();
        browser::focus(&next);
    }
}

/// Undo and redo by keyboard, except in a text field, where the browser has its own.
fn undo(key: &KeyboardEvent) -> bool {
    let in_text = concerned(key, "data-field").is_some();
    if in_text || !(key.ctrl_key() || key.meta_key()) || !key.key().eq_ignore_ascii_case("z") {
        return false;
    }
    key.prevent_default();
    app::act(match key.shift_key() {
        true => Action::Redo,
        false => Action::Undo,
    });
    true
}
