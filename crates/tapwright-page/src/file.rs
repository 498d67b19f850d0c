//! Reads a file that was dropped or chosen: a curve piece by piece, so that the page stays
//! alive, a set-up as a whole.

use std::sync::atomic::{AtomicU32, Ordering};

use js_sys::{ArrayBuffer, Uint8Array};
use tapwright_core::link::saved;
use tapwright_speaker::CurveFile;
use wasm_bindgen::prelude::*;

use crate::{app, browser, view};

/// How many bytes are read between two frames: some thousand lines.
const PIECE: f64 = 262_144.0;

/// So many bytes of a file tell whether it holds set-ups.
const HEAD: usize = 65_536;

/// Counts the files: a newer one takes the place of one still being read.
static NEWEST: AtomicU32 = AtomicU32::new(0);

/// What a file is meant to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meant {
    /// What it turns out to be.
    Any,
    /// A set-up, or several.
    SetUp,
    /// The curve of the speaker at a place, from 0.
    Curve(Option<usize>),
}

struct Reading {
    file: web_sys::File,
    curve: CurveFile,
    meant: Meant,
    /// Which speaker it is for, from 0, if that was said.
    place: Option<usize>,
    at: f64,
    number: u32,
}

/// Begins to read a file.
pub fn begin(file: web_sys::File, meant: Meant) {
    let number = NEWEST.fetch_add(1, Ordering::Relaxed) + 1;
    if meant == Meant::SetUp {
        return read_saved(file, number);
    }
    let place = match meant {
        Meant::Curve(place) => place,
        _ => None,
    };
    Reading {
        meant,
        curve: CurveFile::new(&file.name()),
        file,
        place,
        at: 0.0,
        number,
    }
    .go_on();
}

impl Reading {
    /// Asks for the next piece. At the end of the file, passes the curve to the app.
    fn go_on(mut self) {
        if NEWEST.load(Ordering::Relaxed) != self.number {
            return;
        }
        let (name, size) = (self.file.name(), self.file.size());
        if self.at >= size && self.at > 0.0 || size == 0.0 {
            progress(None);
            return app::take_curve(self.place, &name, self.curve.finish());
        }
        progress(Some((&name, self.at / size)));
        let end = (self.at + PIECE).min(size);
        let piece = self.file.slice_with_f64_and_f64(self.at, end);
        let Ok(piece) = piece else {
            return self.unreadable();
        };
        self.at = end;
        let then = move |buffer: JsValue| match buffer.dyn_into::<ArrayBuffer>() {
            Ok(buffer) => self.take(&Uint8Array::new(&buffer).to_vec()),
            Err(_) => self.unreadable(),
        };
        browser::when(piece.array_buffer().into(), Box::new(then));
    }

    fn take(mut self, bytes: &[u8]) {
        if self.meant == Meant::Any {
            let head = &bytes[..bytes.len().min(HEAD)];
            if saved::begins_one(&String::from_utf8_lossy(head)) {
                return read_saved(self.file, self.number);
            }
            self.meant = Meant::Curve(None);
        }
        match self.curve.feed(bytes) {
            Ok(()) => self.go_on(),
            Err(problem) => {
                progress(None);
                app::take_curve(self.place, &self.file.name(), Err(problem));
            }
        }
    }

    /// It is a folder, or the file is gone.
    fn unreadable(self) {
        progress(None);
        app::no_file(&self.file.name());
    }
}

/// Reads a file of set-ups.
fn read_saved(file: web_sys::File, number: u32) {
    progress(None);
    let name = file.name();
    let size = file.size();
    if size > saved::LARGEST as f64 {
        return app::too_large(&name, size);
    }
    let then = move |buffer: JsValue| {
        if NEWEST.load(Ordering::Relaxed) != number {
            return;
        }
        match buffer.dyn_into::<ArrayBuffer>() {
            Ok(buffer) => app::take_saved(&name, saved::read(&Uint8Array::new(&buffer).to_vec())),
            Err(_) => app::no_file(&name),
        }
    };
    browser::when(file.array_buffer().into(), Box::new(then));
}

/// Shows how much of a file is read, 0 to 1; nothing when it is done.
fn progress(of: Option<(&str, f64)>) {
    let Some(place) = browser::by_id("progress") else {
        return;
    };
    let markup = of.map(|(name, part)| view::progress(name, part).into_string());
    place.set_inner_html(&markup.unwrap_or_default());
}
