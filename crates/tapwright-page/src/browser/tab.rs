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
    #[wasm_bindgen(method, js_name = request)]
    fn request_with(
        this: &LockManager,
        name: &str,
        options: &JsValue,
        held: &js_sys::Function,
    ) -> JsValue;
    #[wasm_bindgen(catch, js_namespace = AbortSignal)]
    fn timeout(milliseconds: u32) -> Result<JsValue, JsValue>;
}

/// How long a tab may take to end, ms: a browser that is busy takes back the lock of a page that
/// was left only after the next one has started.
const ENDS_WITHIN: u32 = 5_000;

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

/// Runs `then` once the tab with this name is closed, if it is or does so in a few seconds.
pub fn when_closed(tab: String, then: impl FnOnce() + 'static) {
    let Some(locks) = locks() else {
        return then();
    };
    // Who waits for the lock of a tab gets it when that tab ends.
    let options = js_sys::Object::new();
    let (key, value) = match timeout(ENDS_WITHIN) {
        Ok(signal) => ("signal", signal),
        Err(_) => ("ifAvailable", JsValue::TRUE),
    };
    let _ = js_sys::Reflect::set(&options, &key.into(), &value);
    let granted = Closure::once_into_js(move |lock: JsValue| {
        if !lock.is_null() {
            then();
        }
    });
    when(
        locks.request_with(&tab, &options, granted.unchecked_ref()),
        Box::new(|_| ()),
    );
}
