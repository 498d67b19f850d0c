//! The version of a page that a static host gave, and the worker that keeps it on the device
//! and fetches a newer one (W3C, Service Workers).
//!
//! From a disk there is none of this, nor in a browser without such workers.

use std::cell::RefCell;

use wasm_bindgen::prelude::*;
use web_sys::{
    EventTarget, RegistrationOptions, ServiceWorker, ServiceWorkerRegistration, ServiceWorkerState,
    ServiceWorkerUpdateViaCache,
};

use super::{document, storage, when, window};

/// Where it stands in the browser's local storage which version was opened last.
const LAST: &str = "tapwright.version";

/// The worker's script, beside the page.
const WORKER: &str = "worker.js";

/// What happened to the page's own files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum News {
    /// They are on the device now.
    Kept,
    /// A newer version is on the device, and waits.
    Newer,
    /// This is another version than the one that was opened last.
    Changed,
}

thread_local! {
    static REGISTRATION: RefCell<Option<ServiceWorkerRegistration>> = const { RefCell::new(None) };
}

/// The version of this page; `None` from a disk.
fn own() -> Option<String> {
    let mark = document()?.query_selector("meta[name=version]").ok()??;
    mark.get_attribute("content")
}

/// Has the page kept on the device, and tells what becomes of that.
pub fn watch(tell: fn(News)) {
    let Some(own) = own() else { return };
    if let Some(storage) = storage() {
        let last = storage.get_item(LAST).ok().flatten();
        let _ = storage.set_item(LAST, &own);
        if last.is_some_and(|last| last != own) {
            tell(News::Changed);
        }
    }
    let Some(navigator) = window().map(|window| window.navigator()) else {
        return;
    };
    // Missing in some private windows, and from hosts without HTTPS.
    let there = js_sys::Reflect::get(&navigator, &"serviceWorker".into());
    if !there.is_ok_and(|there| there.is_object()) {
        return;
    }
    let workers = navigator.service_worker();
    if workers.controller().is_some() {
        // Another tab has taken a newer one: this one goes on as it is, until it is told to.
        listen(&workers, "controllerchange", move || tell(News::Newer));
    }
    let options = RegistrationOptions::new();
    options.set_update_via_cache(ServiceWorkerUpdateViaCache::None);
    let registered = workers.register_with_options(WORKER, &options);
    let then = move |answer: JsValue| {
        if let Ok(registration) = answer.dyn_into::<ServiceWorkerRegistration>() {
            follow(registration, tell);
        }
    };
    when(registered.into(), Box::new(then));
}

/// Follows the workers of a registration, those there are and those to come.
fn follow(registration: ServiceWorkerRegistration, tell: fn(News)) {
    if registration.waiting().is_some() {
        tell(News::Newer);
    }
    if let Some(worker) = registration.installing() {
        await_worker(&registration, worker, tell);
    }
    let found = registration.clone();
    listen(&registration, "updatefound", move || {
        match found.installing() {
            Some(worker) => await_worker(&found, worker, tell),
            None if found.waiting().is_some() => tell(News::Newer),
            None => {}
        }
    });
    REGISTRATION.with(|place| *place.borrow_mut() = Some(registration));
    // The browser asks too, but may take its time.
    ask();
}

/// Tells when a worker that is being installed has its files.
fn await_worker(registration: &ServiceWorkerRegistration, worker: ServiceWorker, tell: fn(News)) {
    let is_first = registration.active().is_none();
    on_state(&worker, move |state| match state {
        ServiceWorkerState::Installed if !is_first => tell(News::Newer),
        ServiceWorkerState::Activated if is_first => tell(News::Kept),
        _ => {}
    });
}

fn on_state(worker: &ServiceWorker, mut then: impl FnMut(ServiceWorkerState) + 'static) {
    let watched = worker.clone();
    listen(worker, "statechange", move || then(watched.state()));
}

fn listen(target: &EventTarget, kind: &str, then: impl FnMut() + 'static) {
    let listener = Closure::<dyn FnMut()>::new(then);
    let listened = listener.as_ref().unchecked_ref();
    let _ = target.add_event_listener_with_callback(kind, listened);
    // It listens for as long as the page lives.
    listener.forget();
}

/// Asks the host whether there is a newer version, when the page opens and when it comes in
/// sight again: on a telephone it may stay open for weeks.
pub fn ask() {
    REGISTRATION.with(|place| {
        if let Some(registration) = place.borrow().as_ref()
            && registration.active().is_some()
            && let Ok(asked) = registration.update()
        {
            // Without a network there is no answer.
            when(asked.into(), Box::new(|_| ()));
        }
    });
}

/// Opens the newer version in place of this one.
pub fn take() {
    let waiting = REGISTRATION.with(|place| place.borrow().as_ref()?.waiting());
    let Some(worker) = waiting else {
        // Another tab has taken it already.
        return reload();
    };
    on_state(&worker, |state| {
        if state == ServiceWorkerState::Activated {
            reload();
        }
    });
    let _ = worker.post_message(&"take over".into());
}

fn reload() {
    if let Some(window) = window() {
        let _ = window.location().reload();
    }
}
