//! The line behind the rectifier as a linear system, and one step of it through time.

use nalgebra::{DMatrix, DVector};

use crate::{Circuit, Series, Supply};

/// `dx/dt = A x + B i + s`: the volts of the capacitors (a doubler's two first ones apart), then
/// the currents of the chokes; `i` is what the rectifier gives, `s` what tubes draw.
#[derive(Debug, Clone)]
pub(crate) struct Line {
    slope: DMatrix<f64>,
    steady: DVector<f64>,
    /// Farads behind each branch of rectifiers.
    first_farads: f64,
    branches: usize,
    capacitors: usize,
    /// Choke currents by section.
    chokes: Vec<Option<usize>>,
}

impl Line {
    pub fn new(supply: &Supply) -> Self {
        let branches = if supply.circuit == Circuit::Doubler {
            2
        } else {
            1
        };
        let capacitors = 1 + supply.sections.len();
        let mut size = branches + supply.sections.len();
        let chokes: Vec<_> = (supply.sections.iter())
            .map(|section| match section.series {
                Series::Choke(..) => {
                    size += 1;
                    Some(size - 1)
                }
                Series::Resistor(_) => None,
            })
            .collect();
        let mut line = Self {
            slope: DMatrix::zeros(size, size),
            steady: DVector::zeros(size),
            first_farads: supply.first.farads,
            branches,
            capacitors,
            chokes,
        };
        for (at, capacitor) in supply.capacitors().enumerate() {
            for (row, farads) in line.rows(at, capacitor.farads) {
                line.steady[row] -= capacitor.amps / farads;
                if let Some(ohms) = capacitor.bleeder_ohms {
                    for column in line.states(at) {
                        line.slope[(row, column)] -= 1.0 / (ohms * farads);
                    }
                }
            }
        }
        for (at, section) in supply.sections.iter().enumerate() {
            let before = supply.capacitors().nth(at).map_or(1.0, |c| c.farads);
            let [from, to] = [at, at + 1];
            match (section.series, line.chokes[at]) {
                (Series::Choke(henries, ohms), Some(current)) => {
                    line.slope[(current, current)] = -ohms / henries;
                    for column in line.states(from) {
                        line.slope[(current, column)] += 1.0 / henries;
                    }
                    for column in line.states(to) {
                        line.slope[(current, column)] -= 1.0 / henries;
                    }
                    for (row, farads) in line.rows(from, before) {
                        line.slope[(row, current)] -= 1.0 / farads;
                    }
                    for (row, farads) in line.rows(to, section.capacitor.farads) {
                        line.slope[(row, current)] += 1.0 / farads;
                    }
                }
                (series, _) => {
                    let conductance = 1.0 / series.ohms();
                    let ends = [(from, before, -1.0), (to, section.capacitor.farads, 1.0)];
                    for (end, farads, sign) in ends {
                        for (row, farads) in line.rows(end, farads) {
                            for column in line.states(from) {
                                line.slope[(row, column)] += sign * conductance / farads;
                            }
                            for column in line.states(to) {
                                line.slope[(row, column)] -= sign * conductance / farads;
                            }
                        }
                    }
                }
            }
        }
        line
    }

    /// The states whose sum is the volts at a capacitor.
    pub fn states(&self, capacitor: usize) -> std::ops::Range<usize> {
        match capacitor {
            0 => 0..self.branches,
            _ => {
                let at = capacitor + self.branches - 1;
                at..at + 1
            }
        }
    }

    /// The rows that a current at a capacitor moves, with their farads.
    fn rows(&self, capacitor: usize, farads: f64) -> Vec<(usize, f64)> {
        self.states(capacitor).map(|row| (row, farads)).collect()
    }

    /// Volts at every capacitor.
    pub fn volts(&self, state: &DVector<f64>) -> Vec<f64> {
        (0..self.capacitors)
            .map(|at| self.states(at).map(|row| state[row]).sum())
            .collect()
    }

    /// The current of every section, A.
    pub fn section_amps(&self, supply: &Supply, state: &DVector<f64>, volts: &[f64]) -> Vec<f64> {
        (supply.sections.iter().enumerate())
            .map(|(at, section)| match self.chokes[at] {
                Some(current) => state[current],
                None => (volts[at] - volts[at + 1]) / section.series.ohms(),
            })
            .collect()
    }

    /// Volts and currents with these volts at every capacitor and in the chokes what flows behind
    /// them.
    pub fn state(&self, supply: &Supply, volts: &[f64]) -> DVector<f64> {
        let mut state = DVector::zeros(self.steady.len());
        for (at, volts) in volts.iter().enumerate() {
            let states = self.states(at);
            let count = states.len() as f64;
            for row in states {
                state[row] = volts / count;
            }
        }
        let mut behind = 0.0;
        for (at, section) in supply.sections.iter().enumerate().rev() {
            let capacitor = section.capacitor;
            behind += capacitor.amps;
            behind += (capacitor.bleeder_ohms).map_or(0.0, |ohms| volts[at + 1] / ohms);
            if let Some(current) = self.chokes[at] {
                state[current] = behind;
            }
        }
        state
    }

    /// The trapezoidal rule with a step in seconds.
    pub fn step(&self, seconds: f64) -> Option<Step> {
        let size = self.steady.len();
        let half = &self.slope * (0.5 * seconds);
        let implicit = (DMatrix::identity(size, size) - &half).try_inverse()?;
        let onward = &implicit * (DMatrix::identity(size, size) + half);
        let by_amps = (0..self.branches)
            .map(|branch| implicit.column(branch) * (0.5 * seconds / self.first_farads))
            .collect();
        let steady = &implicit * &self.steady * seconds;
        Some(Step {
            onward,
            by_amps,
            steady,
        })
    }
}

/// One step: `x' = onward x + by_amps (i + i') + steady`.
#[derive(Debug, Clone)]
pub(crate) struct Step {
    pub onward: DMatrix<f64>,
    /// By the current of each branch of rectifiers.
    pub by_amps: Vec<DVector<f64>>,
    pub steady: DVector<f64>,
}
