//! The charts on the page and where their cross-hairs stand. No browser in here.

use std::collections::BTreeMap;

use crate::view::chart::{self, Chart, Reading, Step};

/// The charts as last computed, and the cross-hairs that the person has moved.
#[derive(Debug, Default)]
pub struct Charts {
    shown: Vec<Chart>,
    /// Places of moved cross-hairs by chart: 0 at the beginning, 1 at the end.
    moved: BTreeMap<&'static str, f64>,
}

impl Charts {
    /// Takes new charts. Cross-hairs that were moved stay where they are.
    pub fn show(&mut self, charts: Vec<Chart>) {
        self.shown = charts;
    }

    /// Every chart.
    pub fn all(&self) -> &[Chart] {
        &self.shown
    }

    /// Moves the cross-hair of a chart to where a pointer is, in shares of the drawing's
    /// width and height, and reads the chart there. `None` for no such chart.
    pub fn point(&mut self, id: &str, across: f64, down: f64) -> Option<Reading> {
        self.put(id, |chart, _| chart::pointed(chart, across, down))
    }

    /// Moves the cross-hair of a chart one step and reads the chart there. `None` for no
    /// such chart.
    pub fn step(&mut self, id: &str, step: Step) -> Option<Reading> {
        let reading = self.put(id, |chart, place| chart::step(chart, place, step));
        if step == Step::Rest {
            self.moved.remove(id);
        }
        reading
    }

    /// What a cross-hair reads that has been moved; `None` where it stands by itself, as
    /// the chart is drawn.
    pub fn moved(&self, id: &str) -> Option<Reading> {
        let place = self.moved.get(id)?;
        Some(chart::read(self.find(id)?, *place))
    }

    fn find(&self, id: &str) -> Option<&Chart> {
        self.shown.iter().find(|chart| chart.id == id)
    }

    fn put(&mut self, id: &str, to: impl FnOnce(&Chart, f64) -> f64) -> Option<Reading> {
        let chart = self.find(id)?;
        let from = self.moved.get(id).copied();
        let place = to(chart, from.unwrap_or_else(|| chart::rest(chart)));
        let (id, reading) = (chart.id, chart::read(chart, place));
        self.moved.insert(id, place);
        Some(reading)
    }
}
