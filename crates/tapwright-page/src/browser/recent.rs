//! The recent set-ups in the browser's local storage: each under a key of its own, so that two
//! tabs never write to the same place.

use super::{storage, tab};
use crate::recent::{MOST, Recent};

const KEY: &str = "tapwright.recent.";

/// What became of keeping something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// It is kept.
    Yes,
    /// The browser keeps nothing for this page.
    Denied,
    /// There is no room left.
    Full,
}

/// All of them, the newest first.
pub fn list() -> Vec<Recent> {
    let Some(storage) = storage() else {
        return Vec::new();
    };
    let count = storage.length().unwrap_or(0);
    let keys = (0..count).filter_map(|at| storage.key(at).ok()?);
    let mut all: Vec<Recent> = keys
        .filter_map(|key| {
            let kept = storage.get_item(&key).ok()??;
            Recent::read(key.strip_prefix(KEY)?, &kept)
        })
        .collect();
    all.sort_by(|a, b| b.when.cmp(&a.when));
    all
}

/// The one with an id.
pub fn get(id: &str) -> Option<Recent> {
    let kept = storage()?.get_item(&format!("{KEY}{id}")).ok()??;
    Recent::read(id, &kept)
}

/// Keeps one. Where there are too many, the oldest goes.
pub fn put(one: &Recent) -> Kept {
    let Some(storage) = storage() else {
        return Kept::Denied;
    };
    let key = format!("{KEY}{}", one.id);
    let is_new = !matches!(storage.get_item(&key), Ok(Some(_)));
    if is_new {
        for old in list().iter().skip(MOST - 1) {
            remove(&old.id);
        }
    }
    match storage.set_item(&key, &one.write()) {
        Ok(()) => Kept::Yes,
        Err(_) => Kept::Full,
    }
}

/// Forgets one.
pub fn remove(id: &str) {
    if let Some(storage) = storage() {
        let _ = storage.remove_item(&format!("{KEY}{id}"));
    }
}

/// An id that no other has.
pub fn new_id() -> String {
    format!("{}.{}", js_sys::Date::now(), js_sys::Math::random())
}

/// The time on the wall, as people write it, and so finely that it puts things in order.
pub fn now() -> String {
    let now = js_sys::Date::new_0();
    format!(
        "{}-{:02}-{:02} {:02}:{:02}:{:02}.{:03}",
        now.get_full_year(),
        now.get_month() + 1,
        now.get_date(),
        now.get_hours(),
        now.get_minutes(),
        now.get_seconds(),
        now.get_milliseconds()
    )
}

/// Whether this tab is the one that works on it.
pub fn is_ours(one: &Recent) -> bool {
    one.tab == tab::name()
}
