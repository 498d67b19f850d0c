//! Keys that stand once for each row of a table: points of a tube, readings of a transformer.

use super::{MOST_POINTS, MOST_READINGS, Reader, escape};
use crate::setup::{
    Field, OhmsEntry, OhmsText, PointEntry, PointText, Setup, VoltsEntry, VoltsText,
};

/// A table of which a link carries each row under the same key.
#[derive(Clone, Copy)]
pub(super) struct Rows {
    /// The key.
    pub key: &'static str,
    /// Most rows that are filled in.
    most: usize,
    /// How many rows there are.
    pub count: fn(&Setup) -> usize,
    add: fn(&mut Setup),
    /// The texts of a row, in the order of the link.
    fields: fn(usize) -> Vec<Field>,
}

pub(super) const POINTS: Rows = Rows {
    key: "point",
    most: MOST_POINTS,
    count: |setup| setup.own.points.len(),
    add: |setup| setup.own.points.push(PointEntry::default()),
    fields: |at| (PointText::ALL.iter().map(|part| Field::Point(at, *part))).collect(),
};

pub(super) const OHMS: Rows = Rows {
    key: "ohms",
    most: MOST_READINGS,
    count: |setup| setup.unmarked.ohms.len(),
    add: |setup| setup.unmarked.ohms.push(OhmsEntry::default()),
    fields: |at| (OhmsText::ALL.iter().map(|part| Field::Ohms(at, *part))).collect(),
};

pub(super) const VOLTS: Rows = Rows {
    key: "volts",
    most: MOST_READINGS,
    count: |setup| setup.unmarked.volts.len(),
    add: |setup| setup.unmarked.volts.push(VoltsEntry::default()),
    fields: |at| (VoltsText::ALL.iter().map(|part| Field::Volts(at, *part))).collect(),
};

impl Rows {
    /// The table that a key belongs to.
    pub fn of(key: &str) -> Option<Self> {
        [POINTS, OHMS, VOLTS]
            .into_iter()
            .find(|rows| rows.key == key)
    }

    /// Appends a row to a link: its texts behind commas, trailing empty ones left out.
    pub fn push(self, link: &mut String, setup: &Setup, at: usize) {
        let fields = (self.fields)(at);
        let text = |field: &Field| setup.text(*field).unwrap_or_default();
        let filled = fields.iter().rposition(|field| !text(field).is_empty());
        link.push('&');
        link.push_str(self.key);
        link.push('=');
        for (place, field) in fields
            .iter()
            .take(filled.map_or(0, |at| at + 1))
            .enumerate()
        {
            if place > 0 {
                link.push(',');
            }
            let mut escaped = String::new();
            escape(&mut escaped, text(field));
            // A comma that was typed is data; one of the link's own delimits.
            link.push_str(&escaped.replace(',', "%2C"));
        }
    }
}

impl Reader<'_> {
    /// Takes a row as [`Rows::push`] writes it.
    pub(super) fn row(&mut self, rows: Rows, piece: &str, raw: &str) {
        let at = (rows.count)(&self.setup);
        if at == rows.most {
            return self.too_many(piece, rows.key, rows.most);
        }
        let fields = (rows.fields)(at);
        if raw.split(',').count() > fields.len() {
            return self.keep(piece, rows.key, "has more values than a row of it has");
        }
        (rows.add)(&mut self.setup);
        for (field, raw) in fields.into_iter().zip(raw.split(',')) {
            let text = self.decode(rows.key, raw);
            if let Some(place) = self.setup.text_mut(field) {
                *place = text;
            }
        }
        self.understood += 1;
    }
}
