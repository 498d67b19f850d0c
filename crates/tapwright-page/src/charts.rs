//! The charts on the page and where their cross-hairs stand. No browser in here.

use std::cell::OnceCell;

use crate::chart::{self, Chart, Readout, Step};

/// The charts as last computed, and the cross-hairs that the person has moved.
#[derive(Debug, Default)]
pub struct Charts {
    /// Made when they are first looked at: while they are off the screen, they are not made.
    shown: OnceCell<Vec<Chart>>,
    /// Places of moved cross-hairs by chart: 0 at the beginning, 1 at the end.
    moved: Vec<(&'static str, f64)>,
}

impl Charts {
    /// What the charts show has changed. Cross-hairs that were moved stay where they are.
    pub fn forget(&mut self) {
        self.shown.take();
    }

    /// Every chart, made by `make` when they are not there.
    pub fn all(&self, make: impl FnOnce() -> Vec<Chart>) -> &[Chart] {
        self.shown.get_or_init(make)
    }

    /// Moves the cross-hair of a chart to where a pointer is, in shares of the drawing's
    /// width and height, and reads the chart there. `None` for no such chart.
    pub fn point(&mut self, id: &str, across: f64, down: f64) -> Option<Readout> {
        self.put(id, |chart, _| chart::pointed(chart, across, down))
    }

    /// Moves the cross-hair of a chart one step and reads the chart there. `None` for no
    /// such chart.
    pub fn step(&mut self, id: &str, step: Step) -> Option<Readout> {
        let readout = self.put(id, |chart, place| chart::step(chart, place, step));
        if step == Step::Rest {
            self.moved.retain(|(moved, _)| *moved != id);
        }
        readout
    }

    /// The readout of a cross-hair that has been moved; `None` while it rests where the chart
    /// is drawn with it.
    pub fn moved(&self, id: &str) -> Option<Readout> {
        Some(chart::read(self.find(id)?, self.place(id)?))
    }

    fn place(&self, id: &str) -> Option<f64> {
        let moved = self.moved.iter().find(|(moved, _)| *moved == id)?;
        Some(moved.1)
    }

    fn find(&self, id: &str) -> Option<&Chart> {
        self.shown.get()?.iter().find(|chart| chart.id == id)
    }

    fn put(&mut self, id: &str, to: impl FnOnce(&Chart, f64) -> f64) -> Option<Readout> {
        let chart = self.find(id)?;
        let from = self.place(id);
        let place = to(chart, from.unwrap_or_else(|| chart::rest(chart)));
        let (id, readout) = (chart.id, chart::read(chart, place));
        self.moved.retain(|(moved, _)| *moved != id);
        self.moved.push((id, place));
        Some(readout)
    }
}
