//! The periodic state of a supply: a cycle that ends as it began.

use nalgebra::{DMatrix, DVector, RowDVector};
use serde::Serialize;

use crate::line::{Line, Step};
use crate::{Circuit, Flow, Supply, Unsolved};

/// Steps in a cycle of the mains. A multiple of four, so that a half cycle ends on a step and
/// the peak of the mains is on one. Twice as many move no result by more than 0.1 %.
const STEPS: usize = 400;

/// Every how many steps a sample is kept for a chart.
const KEPT: usize = 4;

/// Cycles of Newton's method before it counts as not settling. With a load it takes some five; a
/// supply that hardly anything loads creeps towards the peak and takes more.
const MOST_TURNS: usize = 60;

/// Volts at a capacitor through a cycle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Node {
    /// The average, V: what a meter shows on DC.
    pub volts: f64,
    /// From the lowest to the highest, V.
    pub ripple: f64,
    /// The highest, V.
    pub most: f64,
}

/// A current through a cycle, A.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct PartCurrent {
    /// The average.
    pub mean: f64,
    /// The root of the mean square: what heats.
    pub rms: f64,
    /// The highest.
    pub peak: f64,
}

/// Two cycles of the mains, for a chart.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Wave {
    /// From a passage of the mains through zero, s.
    pub seconds: Vec<f64>,
    /// At each capacitor, V.
    pub volts: Vec<Vec<f64>>,
    /// From the rectifiers, A.
    pub amps: Vec<f64>,
}

/// What a supply does once it has settled.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Steady {
    /// Every capacitor, the first one first; a doubler's two first ones as one.
    pub nodes: Vec<Node>,
    /// One rectifier: one plate of a tube.
    pub rectifier: PartCurrent,
    /// The winding, or each half of one with a centre tap.
    pub winding: PartCurrent,
    /// What the primary carries for it, over turns: both halves together, A rms.
    pub both_halves_rms: f64,
    /// In each resistor or choke of the line.
    pub sections: Vec<PartCurrent>,
    /// In all rectifiers together, W.
    pub rectifier_watts: f64,
    /// In the resistance of the winding and the primary, W.
    pub winding_watts: f64,
    /// In each resistor or choke of the line, W.
    pub section_watts: Vec<f64>,
    /// In the bleeder of each capacitor, W; 0 where there is none.
    pub bleeder_watts: Vec<f64>,
    /// What the tubes at each capacitor take, W.
    pub load_watts: Vec<f64>,
    /// What the winding gives, its own loss included, W.
    pub source_watts: f64,
    /// Two cycles.
    pub wave: Wave,
}

/// Where a march through time stands.
#[derive(Debug, Clone)]
struct Place {
    state: DVector<f64>,
    branch: usize,
    flow: Flow,
}

/// A supply on its way through time, a step at a time.
pub(crate) struct March<'a> {
    supply: &'a Supply,
    pub line: Line,
    step: Step,
}

impl<'a> March<'a> {
    pub fn new(supply: &'a Supply) -> Result<Self, Unsolved> {
        supply.check()?;
        let line = Line::new(supply);
        let seconds = 1.0 / (supply.feed.hertz * STEPS as f64);
        let step = line.step(seconds).ok_or(Unsolved::NotSettled)?;
        Ok(Self { supply, line, step })
    }

    /// The branch of rectifiers that can conduct at a step, and the volts that drive it.
    fn drive(&self, step: usize) -> (usize, f64) {
        let turn = (step % STEPS) as f64 / STEPS as f64;
        let volts = self.supply.feed.peak() * (std::f64::consts::TAU * turn).sin();
        match self.supply.circuit {
            Circuit::FullWave | Circuit::Bridge => (0, volts.abs()),
            Circuit::HalfWave => (0, volts),
            Circuit::Doubler if volts >= 0.0 => (0, volts),
            Circuit::Doubler => (1, -volts),
        }
    }

    fn flow(&self, more_ohms: f64, volts: f64) -> Flow {
        let supply = self.supply;
        let ohms = supply.feed.ohms + more_ohms;
        supply.law.behind(ohms, supply.circuit.in_series(), volts)
    }

    fn start(&self, state: DVector<f64>) -> Place {
        let (branch, volts) = self.drive(0);
        let flow = self.flow(0.0, volts - state[branch]);
        Place {
            state,
            branch,
            flow,
        }
    }

    /// One step on, to the step with this number. What the step adds to the branch's volts per
    /// ampere acts like a resistance more, so that one solution of the rectifier's law is enough.
    fn advance(&self, place: &mut Place, to: usize) {
        let mut state = &self.step.onward * &place.state + &self.step.steady;
        state.axpy(place.flow.amps, &self.step.by_amps[place.branch], 1.0);
        let (branch, volts) = self.drive(to);
        let by_amps = &self.step.by_amps[branch];
        let flow = self.flow(by_amps[branch], volts - state[branch]);
        state.axpy(flow.amps, by_amps, 1.0);
        *place = Place {
            state,
            branch,
            flow,
        };
    }

    /// Steps after which a settled supply is where it was.
    fn period(&self) -> usize {
        match self.supply.circuit {
            Circuit::FullWave | Circuit::Bridge => STEPS / 2,
            Circuit::HalfWave | Circuit::Doubler => STEPS,
        }
    }

    /// The state after a period, and how it follows the state before.
    fn period_on(&self, state: DVector<f64>) -> (DVector<f64>, DMatrix<f64>) {
        let size = state.len();
        let mut place = self.start(state);
        let mut follows = DMatrix::<f64>::identity(size, size);
        let mut amps_follow: RowDVector<f64> = follows.row(place.branch) * -place.flow.slope;
        for to in 1..=self.period() {
            let mut next = &self.step.onward * &follows;
            if place.flow.amps > 0.0 {
                next += &self.step.by_amps[place.branch] * &amps_follow;
            }
            self.advance(&mut place, to);
            amps_follow = next.row(place.branch) * -place.flow.slope;
            if place.flow.amps > 0.0 {
                next += &self.step.by_amps[place.branch] * &amps_follow;
            }
            follows = next;
        }
        (place.state, follows)
    }

    /// The state at which a period begins and ends: Newton's method on what a period changes.
    fn settled(&self) -> Result<DVector<f64>, Unsolved> {
        let supply = self.supply;
        let size = 1 + supply.sections.len();
        let peak = supply.feed.peak() * supply.circuit.peaks();
        let mut behind = supply.amps();
        let mut volts = vec![0.85 * peak; size];
        for (at, section) in supply.sections.iter().enumerate() {
            behind -= supply.capacitors().nth(at).map_or(0.0, |c| c.amps);
            volts[at + 1] = volts[at] - behind * section.series.ohms();
        }
        let mut state = self.line.state(supply, &volts);
        for _ in 0..MOST_TURNS {
            let (end, follows) = self.period_on(state.clone());
            let change = &end - &state;
            let system = DMatrix::identity(state.len(), state.len()) - follows;
            let step = system.lu().solve(&change).ok_or(Unsolved::NotSettled)?;
            let size = step.amax();
            if !size.is_finite() {
                return Err(Unsolved::NotSettled);
            }
            state += step;
            if size < 1e-7 * peak {
                return Ok(state);
            }
        }
        Err(Unsolved::NotSettled)
    }

    /// The highest volts that each capacitor reaches when the mains comes on, at a passage
    /// through zero, with all capacitors empty, within so many cycles.
    pub fn highest_from_empty(&self, cycles: usize) -> Vec<f64> {
        let mut place = self.start(DVector::zeros(self.step.steady.len()));
        let mut highest = self.line.volts(&place.state);
        for to in 1..=cycles * STEPS {
            self.advance(&mut place, to);
            for (highest, volts) in highest.iter_mut().zip(self.line.volts(&place.state)) {
                *highest = highest.max(volts);
            }
        }
        highest
    }
}

/// Adds up a quantity over the steps of a period.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    sum: f64,
    squares: f64,
    most: f64,
}

impl Sum {
    fn add(&mut self, value: f64) {
        self.sum += value;
        self.squares += value * value;
        self.most = self.most.max(value);
    }

    fn current(self, steps: usize) -> PartCurrent {
        let steps = steps as f64;
        PartCurrent {
            mean: self.sum / steps,
            rms: (self.squares / steps).sqrt(),
            peak: self.most,
        }
    }
}

impl Steady {
    /// Solves a supply through time until a cycle ends as it began: the trapezoidal rule with
    /// the rectifier's law solved at each step, and Newton's method on the state that a period
    /// starts from.
    ///
    /// # Errors
    /// See [`Unsolved`].
    pub fn of(supply: &Supply) -> Result<Self, Unsolved> {
        let march = March::new(supply)?;
        if supply
            .capacitors()
            .all(|c| c.amps == 0.0 && c.bleeder_ohms.is_none())
        {
            return Ok(Self::at_rest(supply));
        }
        let state = march.settled()?;
        Self::through(&march, state)
    }

    /// Nothing draws: every capacitor stands at the peak, where only the rectifiers' law would
    /// take for ever to bring it.
    fn at_rest(supply: &Supply) -> Self {
        let nodes = 1 + supply.sections.len();
        let volts = supply.feed.peak() * supply.circuit.peaks();
        let node = Node {
            volts,
            ripple: 0.0,
            most: volts,
        };
        let seconds = 2.0 / supply.feed.hertz;
        Self {
            nodes: vec![node; nodes],
            rectifier: PartCurrent::default(),
            winding: PartCurrent::default(),
            both_halves_rms: 0.0,
            sections: vec![PartCurrent::default(); nodes - 1],
            rectifier_watts: 0.0,
            winding_watts: 0.0,
            section_watts: vec![0.0; nodes - 1],
            bleeder_watts: vec![0.0; nodes],
            load_watts: vec![0.0; nodes],
            source_watts: 0.0,
            wave: Wave {
                seconds: vec![0.0, seconds],
                volts: vec![vec![volts; 2]; nodes],
                amps: vec![0.0; 2],
            },
        }
    }

    /// Goes through the settled period once more, and adds up.
    fn through(march: &March, state: DVector<f64>) -> Result<Self, Unsolved> {
        let supply = march.supply;
        let count = 1 + supply.sections.len();
        let period = march.period();
        let mut place = march.start(state);
        let mut lows = vec![f64::INFINITY; count];
        let mut volts_sums = vec![Sum::default(); count];
        let mut section_sums = vec![Sum::default(); count - 1];
        // A doubler's branches conduct in turn and are alike.
        let mut amps_sum = Sum::default();
        let (mut rectifier_joules, mut source_joules) = (0.0, 0.0);
        let mut wave = Wave {
            volts: vec![Vec::new(); count],
            ..Wave::default()
        };
        for to in 0..2 * STEPS + 1 {
            if to > 0 {
                march.advance(&mut place, to);
            }
            let volts = march.line.volts(&place.state);
            if to % KEPT == 0 {
                wave.seconds
                    .push(to as f64 / (STEPS as f64 * supply.feed.hertz));
                wave.amps.push(place.flow.amps);
                for (kept, volts) in wave.volts.iter_mut().zip(&volts) {
                    kept.push(*volts);
                }
            }
            if to >= period {
                continue;
            }
            for ((sum, low), volts) in volts_sums.iter_mut().zip(&mut lows).zip(&volts) {
                sum.add(*volts);
                *low = low.min(*volts);
            }
            let sections = march.line.section_amps(supply, &place.state, &volts);
            for (sum, amps) in section_sums.iter_mut().zip(sections) {
                sum.add(amps);
            }
            amps_sum.add(place.flow.amps);
            let series = f64::from(supply.circuit.in_series());
            rectifier_joules += series * place.flow.drop * place.flow.amps;
            source_joules += march.drive(to).1 * place.flow.amps;
        }
        if let Some(at) = volts_sums.iter().position(|sum| sum.sum <= 0.0) {
            return Err(Unsolved::Overloaded(at));
        }
        let steps = period as f64;
        let all = amps_sum.current(period);
        // Of what all give, each of two that take turns has half the average and half the heat.
        let half = PartCurrent {
            mean: all.mean / 2.0,
            rms: all.rms / std::f64::consts::SQRT_2,
            peak: all.peak,
        };
        let (rectifier, winding) = match supply.circuit {
            Circuit::FullWave => (half, half),
            Circuit::HalfWave => (all, all),
            // The winding's current changes its sign: its average is zero.
            Circuit::Bridge | Circuit::Doubler => (half, PartCurrent { mean: 0.0, ..all }),
        };
        let nodes: Vec<Node> = (volts_sums.iter().zip(lows))
            .map(|(sum, low)| Node {
                volts: sum.sum / steps,
                ripple: sum.most - low,
                most: sum.most,
            })
            .collect();
        let sections: Vec<_> = (section_sums.iter())
            .map(|sum| sum.current(period))
            .collect();
        let section_watts = (supply.sections.iter().zip(&sections))
            .map(|(section, current)| section.series.ohms() * current.rms * current.rms)
            .collect();
        let bleeder_watts = (supply.capacitors().zip(&volts_sums))
            .map(|(capacitor, sum)| {
                (capacitor.bleeder_ohms).map_or(0.0, |ohms| sum.squares / steps / ohms)
            })
            .collect();
        let load_watts = (supply.capacitors().zip(&nodes))
            .map(|(capacitor, node)| capacitor.amps * node.volts)
            .collect();
        Ok(Self {
            nodes,
            rectifier,
            winding,
            both_halves_rms: all.rms,
            sections,
            rectifier_watts: rectifier_joules / steps,
            winding_watts: supply.feed.ohms * all.rms * all.rms,
            section_watts,
            bleeder_watts,
            load_watts,
            source_watts: source_joules / steps,
            wave,
        })
    }
}
