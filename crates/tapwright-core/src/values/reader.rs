//! Reads one field after the other, and keeps what is wrong with them.

use std::collections::HashMap;

use serde::Serialize;
use tapwright_units::Unit;
use tapwright_units::entry::{Complaint, Expected};

use super::asked::is_asked;
use crate::setup::{Field, Reads, Setup};

/// A field that could not be read, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Problem {
    /// Where the text stands.
    pub field: Field,
    /// Why it could not be read.
    #[serde(flatten)]
    pub complaint: Complaint,
}

pub(super) struct Reader<'a> {
    pub(super) setup: &'a Setup,
    pub(super) problems: Vec<Problem>,
    pub(super) numbers: HashMap<Field, f64>,
}

impl<'a> Reader<'a> {
    pub(super) fn new(setup: &'a Setup) -> Self {
        Self {
            setup,
            problems: Vec::new(),
            numbers: HashMap::new(),
        }
    }

    /// What is typed in a field, unless that is nothing or the field is not asked for.
    pub(super) fn typed(&self, field: Field) -> Option<&'a str> {
        let text = self.setup.text(field)?;
        (!text.trim().is_empty() && is_asked(self.setup, field)).then_some(text)
    }

    /// Reads a field with something in it. An empty field is not at fault.
    pub(super) fn field<T>(
        &mut self,
        field: Field,
        read: impl FnOnce(&str) -> Result<T, Complaint>,
    ) -> Option<T> {
        match read(self.typed(field)?) {
            Ok(value) => Some(value),
            Err(complaint) => {
                self.problems.push(Problem { field, complaint });
                None
            }
        }
    }

    /// Reads a field whose row has a range by a function of its own.
    pub(super) fn in_range<T>(
        &mut self,
        field: Field,
        read: impl FnOnce(&str, &Expected) -> Result<T, Complaint>,
    ) -> Option<T> {
        let range = field.row().range()?;
        self.field(field, |text| read(text, &range))
    }

    /// Reads the number of a field by a function of its own.
    pub(super) fn number_by(
        &mut self,
        field: Field,
        read: impl FnOnce(&str, &Expected) -> Result<f64, Complaint>,
    ) -> Option<f64> {
        let number = self.in_range(field, read)?;
        self.numbers.insert(field, number);
        Some(number)
    }

    /// Reads the number of a field whose row says that it is one; `None` for any other field.
    /// A percentage is read as a fraction of one.
    pub(super) fn number(&mut self, field: Field) -> Option<f64> {
        let Reads::Number(unit, ..) = field.row().reads else {
            return None;
        };
        let scale = if unit == Unit::Percent { 100.0 } else { 1.0 };
        self.number_by(field, |text, range| Ok(range.read(text)? / scale))
    }

    pub(super) fn complain(&mut self, field: Field, why: impl Into<String>, example: &str) {
        let complaint = Complaint::new(why, example);
        self.problems.push(Problem { field, complaint });
    }
}
