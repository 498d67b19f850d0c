//! Set-ups as plain objects and back, for scripts. By hand: what `serde` generates for one
//! type in two directions is a twelfth of the page.

use js_sys::{Array, JSON, Reflect};
use tapwright_core::setup::{
    Core, DriverEntry, DriverText, Field, HookupEntry, Loads, LossText, LumpText, Marking,
    OhmsEntry, OhmsText, OwnKind, OwnText, PointEntry, PointText, Screens, Selection, Setup,
    SortBy, StageText, Topology, VoltsEntry, VoltsText,
};
use tapwright_iron::transformer::{Choice, Secondary, TapPair};
use wasm_bindgen::JsValue;

/// A field's name inside its object, and the field.
type Named = (&'static str, Field);

fn stage() -> Vec<Named> {
    let named = |text: &StageText| (text.key(), Field::Stage(*text));
    StageText::ALL.iter().map(named).collect()
}

fn losses() -> Vec<Named> {
    let named = |text: &LossText| (text.key(), Field::Loss(*text));
    LossText::ALL.iter().map(named).collect()
}

fn limits() -> Vec<Named> {
    let named = |text: &OwnText| (text.key(), Field::Own(*text));
    OwnText::ALL.iter().map(named).collect()
}

fn point(at: usize) -> Vec<Named> {
    let named = |text: &PointText| (text.key(), Field::Point(at, *text));
    PointText::ALL.iter().map(named).collect()
}

fn driver(at: usize) -> Vec<Named> {
    let named = |text: &DriverText| (text.key(), Field::Driver(at, *text));
    DriverText::ALL.iter().map(named).collect()
}

fn lump() -> Vec<Named> {
    let named = |text: &LumpText| (text.key(), Field::Lump(*text));
    LumpText::ALL.iter().map(named).collect()
}

fn ohms(at: usize) -> Vec<Named> {
    let named = |text: &OhmsText| (text.key(), Field::Ohms(at, *text));
    OhmsText::ALL.iter().map(named).collect()
}

fn volts(at: usize) -> Vec<Named> {
    let named = |text: &VoltsText| (text.key(), Field::Volts(at, *text));
    VoltsText::ALL.iter().map(named).collect()
}

fn hookup(at: usize) -> Vec<Named> {
    vec![
        ("name", Field::HookupName(at)),
        ("speakers", Field::HookupSpeakers(at)),
        ("rating", Field::HookupRating(at)),
    ]
}

/// A set-up as a plain object.
pub fn object(setup: &Setup) -> Result<JsValue, JsValue> {
    JSON::parse(&json(setup))
}

fn json(setup: &Setup) -> String {
    let mut out = String::from("{");
    texts(&mut out, setup, &Field::FIXED);
    for (key, word) in [
        ("topology", setup.topology.word()),
        ("marking", setup.marking.word()),
        ("core", setup.core.word()),
        ("screens", setup.screens.word()),
        ("loads", setup.loads.word()),
    ] {
        out.push(',');
        text(&mut out, key);
        out.push(':');
        text(&mut out, word);
    }
    out.push_str(",\"losses\":{");
    texts(&mut out, setup, &losses());
    out.push_str("},\"unmarked\":{\"lump\":{");
    texts(&mut out, setup, &lump());
    out.push_str("},\"ohms\":");
    rows(&mut out, setup, setup.unmarked.ohms.len(), ohms);
    out.push_str(",\"volts\":");
    rows(&mut out, setup, setup.unmarked.volts.len(), volts);
    out.push_str("},\"stage\":{");
    texts(&mut out, setup, &stage());
    out.push_str("},\"own\":{\"kind\":");
    text(&mut out, setup.own.kind.word());
    out.push_str(",\"limits\":{");
    texts(&mut out, setup, &limits());
    out.push_str("},\"points\":");
    rows(&mut out, setup, setup.own.points.len(), point);
    out.push_str("},\"hookups\":");
    rows(&mut out, setup, setup.hookups.len(), hookup);
    out.push_str(",\"drivers\":");
    rows(&mut out, setup, setup.drivers.len(), driver);
    out.push_str(",\"selected\":");
    match setup.selected {
        None => out.push_str("null"),
        Some(Selection::Hookup(at)) => out.push_str(&format!("{{\"hookup\":{at}}}")),
        Some(Selection::Connection(choice)) => {
            let secondary = match choice.secondary {
                Secondary::Tap(tap) => format!("{{\"tap\":{tap}}}"),
                Secondary::Pair(pair) => {
                    format!("{{\"pair\":[{},{}]}}", pair.taps().0, pair.taps().1)
                }
            };
            out.push_str(&format!(
                "{{\"connection\":{{\"lead\":{},\"secondary\":{secondary},\"hookup\":{}}}}}",
                choice.lead, choice.hookup
            ));
        }
    }
    let shown = setup.shown;
    let only = shown.only.map_or("null".into(), |at| at.to_string());
    out.push_str(&format!(
        ",\"shown\":{{\"list\":{},\"sort\":\"{}\",\"only\":{only}}},\"unknown\":",
        shown.list,
        shown.sort.word()
    ));
    list(&mut out, setup.unknown.len(), |out, at| {
        text(out, setup.unknown.get(at).map_or("", String::as_str));
    });
    out.push('}');
    out
}

fn texts(out: &mut String, setup: &Setup, fields: &[Named]) {
    for (place, (key, field)) in fields.iter().enumerate() {
        if place > 0 {
            out.push(',');
        }
        text(out, key);
        out.push(':');
        text(out, setup.text(*field).unwrap_or_default());
    }
}

fn list(out: &mut String, count: usize, item: impl Fn(&mut String, usize)) {
    out.push('[');
    for at in 0..count {
        if at > 0 {
            out.push(',');
        }
        item(out, at);
    }
    out.push(']');
}

/// A list of objects of texts.
fn rows(out: &mut String, setup: &Setup, count: usize, fields: fn(usize) -> Vec<Named>) {
    list(out, count, |out, at| {
        out.push('{');
        texts(out, setup, &fields(at));
        out.push('}');
    });
}

/// A text in quotes (RFC 8259, 7).
fn text(out: &mut String, typed: &str) {
    out.push('"');
    for c in typed.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c < ' ' => out.push_str(&format!("\\u{:04x}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
}

/// Reads a plain object; what is not there is at its default.
///
/// # Errors
/// What is wrong with it, in words.
pub fn read(value: &JsValue) -> Result<Setup, String> {
    if !value.is_object() {
        return Err("a set-up is an object or a link".into());
    }
    let mut setup = Setup::default();
    read_texts(&mut setup, value, &Field::FIXED)?;
    word(value, "topology", Topology::read, &mut setup.topology)?;
    word(value, "marking", Marking::read, &mut setup.marking)?;
    word(value, "core", Core::read, &mut setup.core)?;
    word(value, "screens", Screens::read, &mut setup.screens)?;
    word(value, "loads", Loads::read, &mut setup.loads)?;
    if let Some(object) = get(value, "losses") {
        read_texts(&mut setup, &object, &losses())?;
    }
    if let Some(unmarked) = get(value, "unmarked") {
        if let Some(object) = get(&unmarked, "lump") {
            read_texts(&mut setup, &object, &lump())?;
        }
        for (at, object) in items(&unmarked, "ohms")?.into_iter().flatten().enumerate() {
            setup.unmarked.ohms.push(OhmsEntry::default());
            read_texts(&mut setup, &object, &ohms(at))?;
        }
        for (at, object) in items(&unmarked, "volts")?.into_iter().flatten().enumerate() {
            setup.unmarked.volts.push(VoltsEntry::default());
            read_texts(&mut setup, &object, &volts(at))?;
        }
    }
    if let Some(object) = get(value, "stage") {
        read_texts(&mut setup, &object, &stage())?;
    }
    if let Some(own) = get(value, "own") {
        word(&own, "kind", OwnKind::read, &mut setup.own.kind)?;
        if let Some(object) = get(&own, "limits") {
            read_texts(&mut setup, &object, &limits())?;
        }
        for (at, object) in items(&own, "points")?.into_iter().flatten().enumerate() {
            setup.own.points.push(PointEntry::default());
            read_texts(&mut setup, &object, &point(at))?;
        }
    }
    if let Some(hookups) = items(value, "hookups")?.filter(|hookups| !hookups.is_empty()) {
        setup.hookups.clear();
        for (at, object) in hookups.iter().enumerate() {
            setup.hookups.push(HookupEntry::default());
            read_texts(&mut setup, object, &hookup(at))?;
        }
    }
    for (at, object) in items(value, "drivers")?.into_iter().flatten().enumerate() {
        setup.drivers.push(DriverEntry::default());
        read_texts(&mut setup, &object, &driver(at))?;
    }
    if let Some(selected) = get(value, "selected") {
        setup.selected =
            Some(selection(&selected).ok_or(
                "selected is neither null, a hookup such as { hookup: 0 } nor a connection",
            )?);
    }
    if let Some(shown) = get(value, "shown") {
        setup.shown.list = get(&shown, "list").is_some_and(|list| list.is_truthy());
        let sort = |word: &str| SortBy::ALL.into_iter().find(|sort| sort.word() == word);
        word(&shown, "sort", sort, &mut setup.shown.sort)?;
        setup.shown.only = place(&shown, "only");
    }
    for piece in items(value, "unknown")?.into_iter().flatten() {
        let piece = piece
            .as_string()
            .ok_or("unknown holds something that is no text")?;
        setup.unknown.push(piece);
    }
    Ok(setup)
}

/// A value that is there: neither undefined nor null.
fn get(object: &JsValue, key: &str) -> Option<JsValue> {
    let value = Reflect::get(object, &key.into()).ok()?;
    (!value.is_undefined() && !value.is_null()).then_some(value)
}

fn read_texts(setup: &mut Setup, object: &JsValue, fields: &[Named]) -> Result<(), String> {
    if !object.is_object() {
        return Err(format!("an object with {} was expected", fields[0].0));
    }
    for (key, field) in fields {
        let Some(value) = get(object, key) else {
            continue;
        };
        let typed = value
            .as_string()
            .ok_or_else(|| format!("{key} is no text"))?;
        if let Some(place) = setup.text_mut(*field) {
            *place = typed;
        }
    }
    Ok(())
}

fn word<T>(
    object: &JsValue,
    key: &str,
    read: impl Fn(&str) -> Option<T>,
    place: &mut T,
) -> Result<(), String> {
    if let Some(value) = get(object, key) {
        let known = value.as_string().and_then(|word| read(&word));
        *place = known.ok_or_else(|| format!("{key} is none of the words for it"))?;
    }
    Ok(())
}

fn items(object: &JsValue, key: &str) -> Result<Option<Vec<JsValue>>, String> {
    match get(object, key) {
        None => Ok(None),
        Some(list) if Array::is_array(&list) => Ok(Some(Array::from(&list).to_vec())),
        Some(_) => Err(format!("{key} is no list")),
    }
}

/// A whole number from 0 that is a place in a list.
fn place(object: &JsValue, key: &str) -> Option<usize> {
    let number = get(object, key)?.as_f64()?;
    (number >= 0.0 && number.fract() == 0.0 && number < 1e6).then_some(number as usize)
}

fn selection(value: &JsValue) -> Option<Selection> {
    if let Some(at) = place(value, "hookup") {
        return Some(Selection::Hookup(at));
    }
    let choice = get(value, "connection")?;
    let secondary = get(&choice, "secondary")?;
    let secondary = match place(&secondary, "tap") {
        Some(tap) => Secondary::Tap(tap),
        None => {
            let pair = get(&secondary, "pair")?;
            Secondary::Pair(TapPair::new(place(&pair, "0")?, place(&pair, "1")?)?)
        }
    };
    Some(Selection::Connection(Choice {
        lead: place(&choice, "lead")?,
        secondary,
        hookup: place(&choice, "hookup")?,
    }))
}
