//! Whether a tab is still open: each holds a lock while it is, which the browser takes back
//! however the tab ends.
//!
//! Web Locks (W3C): tried from a disk in the three engines. Where there are none, every other
//! tab counts as closed.

use std::cell::{OnceCell, RefCell};

use wasm_bindgen::prelude::*;

use super::{when, window};

#[wasm_bindgen]
extern "C" {
    type LockManager;
    #[wasm_bindgen(method)]
    fn request(this: &LockManager, name: &str, held: &js_sys::Function) -> JsValue;
    #[wasm_bindgen(method)]
    fn query(this: &LockManager) -> JsValue;
}

thread_local! {
    static NAME: OnceCell<String> = const { OnceCell::new() };
    /// Gives the lock back.
    static RELEASE: RefCell<Option<js_sys::Function>> = const { RefCell::new(None) };
}

/// The name of this tab, another one each time that the page opens.
pub fn name() -> String {
    let new = || format!("tapwright.tab.{}", js_sys::Math::random());
    NAME.with(|name| name.get_or_init(new).clone())
}

fn locks() -> Option<LockManager> {
    let navigator = window()?.navigator();
    let locks = js_sys::Reflect::get(&navigator, &"locks".into()).ok()?;
    locks.is_object().then(|| locks.unchecked_into())
}

/// Holds the lock of this tab from now on, unless it does so already.
pub fn hold() {
    let is_held = RELEASE.with(|release| release.borrow().is_some());
    let Some(locks) = locks().filter(|_| !is_held) else {
        return;
    };
    // The lock is held until this promise is settled.
    let until = js_sys::Promise::new(&mut |settle, _| {
        RELEASE.with(|release| *release.borrow_mut() = Some(settle));
    });
    let held = Closure::once_into_js(move |_: JsValue| until);
    when(
        locks.request(&name(), held.unchecked_ref()),
        Box::new(|_| ()),
    );
}

/// Gives the lock of this tab back: the page may stay in memory after it was left.
pub fn release() {
    if let Some(release) = RELEASE.with(|release| release.borrow_mut().take()) {
        let _ = release.call0(&JsValue::NULL);
    }
}

/// Runs `then`, unless the tab with this name is still open.
pub fn when_closed(tab: String, then: impl FnOnce() + 'static) {
    let Some(locks) = locks() else {
        return then();
    };
    let get = |object: &JsValue, key: &str| js_sys::Reflect::get(object, &key.into()).ok();
    let answered = move |snapshot: JsValue| {
        let held = get(&snapshot, "held").unwrap_or_default();
        let is_this = |lock: &JsValue| {
            get(lock, "name").and_then(|name| name.as_string()) == Some(tab.clone())
        };
        if !js_sys::Array::from(&held).iter().any(|lock| is_this(&lock)) {
            then();
        }
    };
    when(locks.query(), Box::new(answered));
}
