//! The few things of the browser that the page uses, each behind one plain function.

use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Document, Element, HtmlDetailsElement, HtmlElement, HtmlInputElement, Window};

pub mod recent;
pub mod tab;
pub mod version;

/// Where the last set-up is kept, in the browser's local storage.
const KEPT: &str = "tapwright.last";
/// Where it stands there which tab kept it.
const KEPT_BY: &str = "tapwright.last.tab";
/// Where it stands there which words the page uses.
const WORDS: &str = "tapwright.words";
/// Where it stands there that the warning was understood.
const WARNED: &str = "tapwright.warned";

pub fn window() -> Option<Window> {
    web_sys::window()
}

pub fn document() -> Option<Document> {
    window()?.document()
}

pub fn by_id(id: &str) -> Option<Element> {
    document()?.get_element_by_id(id)
}

/// The fragment of the address, without its `#`; empty without one.
pub fn fragment() -> String {
    let hash = window().and_then(|window| window.location().hash().ok());
    let hash = hash.unwrap_or_default();
    hash.strip_prefix('#').unwrap_or(&hash).to_owned()
}

/// Names the page.
pub fn set_title(title: &str) {
    if let Some(document) = document() {
        document.set_title(title);
    }
}

/// The whole address, for copying.
pub fn address() -> String {
    window()
        .and_then(|window| window.location().href().ok())
        .unwrap_or_default()
}

/// Puts a fragment into the address: as a new entry of the history, or in place of
/// the present one. A browser that refuses leaves the address as it is.
pub fn navigate(fragment: &str, title: &str, push: bool) {
    set_title(title);
    let Some(history) = window().and_then(|window| window.history().ok()) else {
        return;
    };
    let address = format!("#{fragment}");
    // Refusals (too many calls, opaque origins) cost the bookmark, not the work.
    let _ = if push {
        history.push_state_with_url(&JsValue::NULL, title, Some(&address))
    } else {
        history.replace_state_with_url(&JsValue::NULL, title, Some(&address))
    };
}

/// Whether the page was opened from a disk.
pub fn is_from_disk() -> bool {
    let protocol = window().and_then(|window| window.location().protocol().ok());
    protocol.is_some_and(|protocol| protocol == "file:")
}

/// What was kept from last time.
pub struct Kept {
    /// The link.
    pub link: String,
    /// The tab that kept it.
    pub tab: String,
}

/// What was kept from last time, where the browser allows it for files.
pub fn kept() -> Option<Kept> {
    let storage = storage()?;
    Some(Kept {
        link: storage.get_item(KEPT).ok()??,
        tab: storage.get_item(KEPT_BY).ok()?.unwrap_or_default(),
    })
}

/// What the browser keeps for this page, where it allows that.
fn storage() -> Option<web_sys::Storage> {
    window()?.local_storage().ok()?
}

/// Keeps a link for next time, where the browser allows it.
pub fn keep(link: &str) -> recent::Kept {
    let Some(storage) = storage() else {
        return recent::Kept::Denied;
    };
    let kept = storage.set_item(KEPT, link);
    match kept.and_then(|()| storage.set_item(KEPT_BY, &tab::name())) {
        Ok(()) => recent::Kept::Yes,
        Err(_) => recent::Kept::Full,
    }
}

/// Which words the page is to use.
pub fn kept_words() -> Option<String> {
    storage()?.get_item(WORDS).ok()?
}

/// Remembers which words the page is to use.
pub fn keep_words(words: &str) {
    if let Some(storage) = storage() {
        let _ = storage.set_item(WORDS, words);
    }
}

/// Whether the warning was understood on an earlier visit.
pub fn was_warned() -> bool {
    storage().is_some_and(|storage| matches!(storage.get_item(WARNED), Ok(Some(_))))
}

/// Remembers that the warning was understood, where the browser allows it.
pub fn keep_warned() {
    if let Some(storage) = storage() {
        let _ = storage.set_item(WARNED, "understood");
    }
}

/// Runs `then` once, after some milliseconds. The number it gives cancels the timer.
pub fn after(milliseconds: i32, then: impl FnOnce() + 'static) -> Option<i32> {
    let then = Closure::once_into_js(then);
    window()?
        .set_timeout_with_callback_and_timeout_and_arguments_0(then.unchecked_ref(), milliseconds)
        .ok()
}

/// Cancels a timer.
pub fn cancel(timer: i32) {
    if let Some(window) = window() {
        window.clear_timeout_with_handle(timer);
    }
}

/// Whether the browser lets a page write to the clipboard at all.
fn clipboard() -> Option<web_sys::Clipboard> {
    let navigator = window()?.navigator();
    let there = js_sys::Reflect::get(&navigator, &"clipboard".into()).ok()?;
    there.is_object().then(|| navigator.clipboard())
}

/// Copies a text, then reports whether that worked.
pub fn copy(text: &str, then: fn(bool)) {
    let Some(clipboard) = clipboard() else {
        return then(false);
    };
    // The promise brings nothing on success, and a reason on failure.
    let told = move |reason: JsValue| then(reason.is_undefined());
    when(clipboard.write_text(text).into(), Box::new(told));
}

/// Whether the browser hands a link to other programs of the device.
pub fn can_share() -> bool {
    let navigator = window().map(|window| window.navigator());
    let there =
        navigator.and_then(|navigator| js_sys::Reflect::get(&navigator, &"share".into()).ok());
    there.is_some_and(|share| share.is_function())
}

/// Opens the system's share sheet with an address or a text. Runs `otherwise` where that fails;
/// not where the person closed the sheet.
pub fn share(title: &str, text: &str, is_address: bool, otherwise: impl Fn() + 'static) {
    let Some(navigator) = window().map(|window| window.navigator()) else {
        return;
    };
    let data = web_sys::ShareData::new();
    data.set_title(title);
    match is_address {
        true => data.set_url(text),
        false => data.set_text(text),
    }
    let told = move |reason: JsValue| {
        let name = js_sys::Reflect::get(&reason, &"name".into()).ok();
        let name = name.and_then(|name| name.as_string());
        if name.is_some_and(|name| name != "AbortError") {
            otherwise();
        }
    };
    when(navigator.share_with_data(&data).into(), Box::new(told));
}

/// Hands a text to the browser as a file to be saved.
pub fn save_file(name: &str, text: &str) {
    let parts = js_sys::Array::of1(&text.into());
    let kind = web_sys::BlobPropertyBag::new();
    kind.set_type("text/plain;charset=utf-8");
    let address = web_sys::Blob::new_with_str_sequence_and_options(&parts, &kind)
        .and_then(|blob| web_sys::Url::create_object_url_with_blob(&blob));
    let link = document().and_then(|document| document.create_element("a").ok());
    let (Ok(address), Some(link)) = (address, link) else {
        return;
    };
    let _ = link.set_attribute("href", &address);
    let _ = link.set_attribute("download", name);
    if let Some(link) = link.dyn_ref::<HtmlElement>() {
        link.click();
    }
    // Some engines read it a moment later.
    after(60_000, move || {
        let _ = web_sys::Url::revoke_object_url(&address);
    });
}

/// Runs `then` once a promise is settled, with its value or with the reason that it failed.
pub fn when(promise: JsValue, then: Box<dyn FnOnce(JsValue)>) {
    let then = Closure::once_into_js(then);
    // One closure serves both outcomes, so `then` is called by its name: the typed binding
    // would want two.
    let call = js_sys::Reflect::get(&promise, &"then".into())
        .ok()
        .and_then(|method| method.dyn_into::<js_sys::Function>().ok());
    if let Some(call) = call {
        let _ = call.call2(&promise, &then, &then);
    }
}

/// What was dropped.
pub enum Dropped {
    /// One file.
    File(web_sys::File),
    /// More than one.
    Files(u32),
    /// A text, such as a link.
    Text(String),
}

/// What was dropped.
pub fn dropped(event: &web_sys::Event) -> Option<Dropped> {
    let brought = event.dyn_ref::<web_sys::DragEvent>()?.data_transfer()?;
    let files = brought.files();
    match files.as_ref().map_or(0, web_sys::FileList::length) {
        0 => {
            let text = brought.get_data("text/plain").ok()?;
            (!text.trim().is_empty()).then_some(Dropped::Text(text))
        }
        1 => files?.get(0).map(Dropped::File),
        many => Some(Dropped::Files(many)),
    }
}

/// The file chosen in an input. The input is emptied, so that the same file can be chosen
/// again.
pub fn chosen(field: &Element) -> Option<web_sys::File> {
    let input = field.dyn_ref::<HtmlInputElement>()?;
    let file = input.files()?.get(0);
    input.set_value("");
    file
}

/// Every element inside `root` that a selector finds.
pub fn all(root: &Element, selector: &str) -> Vec<Element> {
    let Ok(found) = root.query_selector_all(selector) else {
        return Vec::new();
    };
    (0..found.length())
        .filter_map(|at| found.get(at)?.dyn_into().ok())
        .collect()
}

/// Sets the value of a field, unless it has it already: that would move the caret.
pub fn set_value(field: &Element, value: &str) {
    if let Some(input) = field.dyn_ref::<HtmlInputElement>() {
        if input.value() != value {
            input.set_value(value);
        }
    } else if let Some(select) = field.dyn_ref::<web_sys::HtmlSelectElement>()
        && select.value() != value
    {
        select.set_value(value);
    }
}

/// The value of an input or a select.
pub fn value(field: &Element) -> String {
    field
        .dyn_ref::<HtmlInputElement>()
        .map(HtmlInputElement::value)
        .or_else(|| {
            field
                .dyn_ref::<web_sys::HtmlSelectElement>()
                .map(|select| select.value())
        })
        .unwrap_or_default()
}

/// Marks the field with a key as invalid, or as valid again, for those who cannot see the
/// complaint beside it.
pub fn set_invalid(key: &str, invalid: bool) {
    const MARK: &str = "aria-invalid";
    if let Some(field) = by_id(&format!("field-{key}")) {
        let _ = match invalid {
            true => field.set_attribute(MARK, "true"),
            false => field.remove_attribute(MARK),
        };
    }
}

/// Opens or closes a `details`, unless it is so already.
pub fn set_open(details: &Element, open: bool) {
    if let Some(details) = details.dyn_ref::<HtmlDetailsElement>()
        && details.open() != open
    {
        details.set_open(open);
    }
}

/// Closes every menu but the one around an element, and tells whether one was open.
pub fn close_menus(around: Option<&Element>) -> bool {
    let Some(page) = by_id("page") else {
        return false;
    };
    let mut menus = all(&page, ".menu[open]");
    menus.retain(|menu| !around.is_some_and(|element| menu.contains(Some(element))));
    for menu in &menus {
        let inside = document().and_then(|document| document.active_element());
        if inside.is_some_and(|element| menu.contains(Some(&element)))
            && let Ok(Some(summary)) = menu.query_selector("summary")
        {
            focus(&summary);
        }
        set_open(menu, false);
    }
    !menus.is_empty()
}

/// Opens every `details` that an element stands in.
pub fn open_around(element: &Element) {
    let mut around = element.closest("details").ok().flatten();
    while let Some(details) = around {
        set_open(&details, true);
        around = (details.parent_element()).and_then(|outer| outer.closest("details").ok()?);
    }
}

/// Where the keyboard is: the id of the focused element and the caret in it.
pub struct Focus {
    id: String,
    caret: Option<(u32, u32)>,
}

impl Focus {
    /// Where the keyboard is now; `None` when it is on nothing with an id.
    pub fn now() -> Option<Self> {
        let focused = document()?.active_element()?;
        let id = focused.id();
        let caret = focused
            .dyn_ref::<HtmlInputElement>()
            .and_then(|input| Some((input.selection_start().ok()??, input.selection_end().ok()??)));
        (!id.is_empty()).then_some(Self { id, caret })
    }

    /// How far down the screen the element is.
    pub fn top(&self) -> Option<f64> {
        Some(by_id(&self.id)?.get_bounding_client_rect().top())
    }

    /// Scrolls, where the element is among the parts, so that it is as far down the screen as it was: what comes or goes
    /// above it moves nothing under the fingers.
    pub fn stay(&self, top: Option<f64>) {
        let Some((element, (now, before))) = by_id(&self.id).zip(self.top().zip(top)) else {
            return;
        };
        let moved = now - before;
        let Ok(Some(parts)) = element.closest("#parts") else {
            return;
        };
        if moved.abs() < 0.5 {
            return;
        }
        if parts.scroll_height() > parts.client_height() {
            parts.scroll_by_with_x_and_y(0.0, moved);
        } else {
            scroll_down_to(scrolled() + moved);
        }
    }

    /// Puts the keyboard back if a repaint took it away.
    pub fn restore(&self) {
        let lost = document()
            .and_then(|document| document.active_element())
            .is_none_or(|element| element.id() != self.id);
        if lost && let Some(element) = by_id(&self.id) {
            focus(&element);
            if let (Some((from, to)), Some(input)) =
                (self.caret, element.dyn_ref::<HtmlInputElement>())
            {
                let _ = input.set_selection_range(from, to);
            }
        }
    }
}

/// Marks a region as behind what is typed, or as true again.
pub fn set_busy(id: &str, busy: bool) {
    if let Some(element) = by_id(id) {
        let _ = element.set_attribute("aria-busy", if busy { "true" } else { "false" });
    }
}

/// Whether the page is so wide that the parts stand beside another leaf. The style sheet has
/// the same width.
fn width() -> Option<web_sys::MediaQueryList> {
    window()?.match_media("(min-width: 51.25em)").ok()?
}

/// Whether the page is wide now.
pub fn is_wide() -> bool {
    width().is_none_or(|width| width.matches())
}

/// Runs `then` whenever the page becomes wide or narrow.
pub fn on_width(then: fn(bool)) {
    let Some(width) = width() else { return };
    let changed = Closure::<dyn FnMut()>::new(move || then(is_wide()));
    width.set_onchange(Some(changed.as_ref().unchecked_ref()));
    // Both live as long as the page: without its list the listener would be collected.
    std::mem::forget(width);
    changed.forget();
}

/// How far down the page is.
pub fn scrolled() -> f64 {
    window()
        .and_then(|window| window.scroll_y().ok())
        .unwrap_or(0.0)
}

/// Scrolls to this far down the page.
pub fn scroll_down_to(down: f64) {
    if let Some(window) = window() {
        window.scroll_to_with_x_and_y(0.0, down);
    }
}

/// Scrolls to an element. No link does it: the fragment of the address is the set-up.
pub fn scroll_to(id: &str) {
    if let Some(element) = by_id(id) {
        element.scroll_into_view();
    }
}

/// Gives an element the keyboard without scrolling to it.
pub fn focus(element: &Element) {
    if let Some(element) = element.dyn_ref::<HtmlElement>() {
        let options = web_sys::FocusOptions::new();
        options.set_prevent_scroll(true);
        let _ = element.focus_with_options(&options);
    }
}
