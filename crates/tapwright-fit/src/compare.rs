//! What a model predicts for the published rows.

use tapwright_stage::{
    Cycle, Drive, Imbalance, ScreenFeed, Solver, Stage, StageError, Stoppers, Supply,
};
use tapwright_tube::{
    Bias, FullSignal, Kind, Model, OperatingExample, Provenance, ReferredTo, StaticPoint, Topology,
    Tube, TubeConnection,
};

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// Plate current at idle, mA.
    IdlePlate,
    /// Screen current at idle, mA.
    IdleScreen,
    /// Plate current at full signal, mA.
    FullPlate,
    /// Screen current at full signal, mA.
    FullScreen,
    /// Transconductance, mS.
    Transconductance,
    /// Plate resistance, kΩ.
    PlateResistance,
    /// Amplification factor.
    Mu,
    /// Power at full signal, W.
    Power,
    /// Distortion at full signal, %.
    Distortion,
}

/// One published value beside what the model makes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// The row, in words.
    pub row: String,
    /// What is compared.
    pub quantity: Quantity,
    /// As published.
    pub published: f64,
    /// As the model has it.
    pub predicted: f64,
    /// Whether the row took part in the fit.
    pub fitted: bool,
    /// Where the value was published.
    pub source: String,
    /// How it is known.
    pub provenance: Provenance,
}

impl Quantity {
    /// The name and the unit, for a table.
    pub fn name(self) -> &'static str {
        match self {
            Self::IdlePlate => "idle plate, mA",
            Self::IdleScreen => "idle screen, mA",
            Self::FullPlate => "full plate, mA",
            Self::FullScreen => "full screen, mA",
            Self::Transconductance => "g_m, mS",
            Self::PlateResistance => "r_p, kΩ",
            Self::Mu => "µ",
            Self::Power => "power, W",
            Self::Distortion => "THD, %",
        }
    }
}

impl Comparison {
    /// Prediction over publication, less one.
    pub fn error(&self) -> f64 {
        self.predicted / self.published - 1.0
    }
}

/// The stage that an example describes, with stiff supplies and no winding resistance, and
/// its load, Ω.
pub fn stage_of(model: Model, kind: Kind, example: &OperatingExample) -> Stage {
    let cathode_volts = match (example.bias, example.referred_to) {
        (Bias::Cathode(ohms), ReferredTo::Cathode) => ohms * 1e-3 * example.idle_cathode_ma(),
        _ => 0.0,
    };
    let screen = if kind == Kind::Triode || example.connection == TubeConnection::Triode {
        ScreenFeed::Tap(1.0)
    } else {
        ScreenFeed::Own(Supply {
            volts: example.screen_volts() + cathode_volts,
            ohms: 0.0,
        })
    };
    Stage {
        model,
        topology: example.topology,
        tubes_per_side: 1,
        plate_supply: Supply {
            volts: example.plate_volts + cathode_volts,
            ohms: 0.0,
        },
        screen,
        bias: example.bias,
        stoppers: Stoppers {
            each: 0.0,
            common: example.screen_ohms,
        },
        primary_ohms: 0.0,
        imbalance: Imbalance::default(),
    }
}

/// The cycle that the source calls full signal.
///
/// # Errors
/// As [`Solver::cycle`].
pub fn full_signal(solver: &mut Solver, example: &OperatingExample) -> Result<Cycle, StageError> {
    let load = example.load_ohms;
    match (example.full_signal, example.thd_percent) {
        (FullSignal::Drive(rms), _) => {
            solver.cycle(load, Drive::Peak(rms * std::f64::consts::SQRT_2))
        }
        (FullSignal::Distortion, Some(percent)) => {
            driven_until(solver, load, |cycle| 100.0 * cycle.thd > percent)
        }
        _ => solver.cycle(load, Drive::OfGridCurrent(1.0)),
    }
}

/// The largest drive up to the onset of grid current at which `beyond` does not hold yet.
fn driven_until(
    solver: &mut Solver,
    load: f64,
    beyond: impl Fn(&Cycle) -> bool,
) -> Result<Cycle, StageError> {
    let full = solver.cycle(load, Drive::OfGridCurrent(1.0))?;
    if !beyond(&full) {
        return Ok(full);
    }
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..25 {
        let middle = 0.5 * (low + high);
        if beyond(&solver.cycle(load, Drive::OfGridCurrent(middle))?) {
            high = middle;
        } else {
            low = middle;
        }
    }
    solver.cycle(load, Drive::OfGridCurrent(low))
}

/// The cycle at which the distortion is compared: full signal, but where that is defined by
/// the distortion, the one that gives the published power.
fn at_power(solver: &mut Solver, example: &OperatingExample, full: Cycle) -> Option<Cycle> {
    match (example.full_signal, example.watts) {
        (FullSignal::Distortion, Some(watts)) => {
            driven_until(solver, example.load_ohms, |cycle| cycle.watts > watts).ok()
        }
        _ => Some(full),
    }
}

/// Every published value of a tube beside what `model` makes of it; with `fitted_only`, of
/// the rows that take part in the fit. Rows that cannot be solved give NaN.
pub fn compare(tube: &Tube, model: Model, fitted_only: bool) -> Vec<Comparison> {
    let mut out = Vec::new();
    for point in tube.points.iter().filter(|p| p.fitted || !fitted_only) {
        compare_point(tube, model, point, &mut out);
    }
    for example in tube.examples.iter().filter(|e| e.fitted || !fitted_only) {
        compare_example(tube, model, example, &mut out);
    }
    out
}

/// Plate and screen volts as one writes them.
fn volts(strapped: bool, plate: f64, screen: f64) -> String {
    if strapped {
        format!("triode {plate} V")
    } else {
        format!("{plate}/{screen} V")
    }
}

/// Grid volts with a proper minus sign.
fn number(volts: f64) -> String {
    format!("{volts} V").replace('-', "−")
}

fn compare_point(tube: &Tube, model: Model, point: &StaticPoint, out: &mut Vec<Comparison>) {
    let flow = model.flow(point.plate_volts, point.screen_volts(), point.grid_volts);
    let strapped = point.connection == TubeConnection::Triode;
    let (gm, gp) = if strapped {
        (
            flow.plate.by_grid + flow.screen.by_grid,
            flow.plate.by_plate
                + flow.plate.by_screen
                + flow.screen.by_plate
                + flow.screen.by_screen,
        )
    } else {
        (flow.plate.by_grid, flow.plate.by_plate)
    };
    let volts = volts(strapped, point.plate_volts, point.screen_volts());
    let row = format!(
        "{}, {volts}, {}",
        tube.designation,
        number(point.grid_volts)
    );
    for (quantity, published, predicted) in [
        (Quantity::IdlePlate, point.plate_ma, 1e3 * flow.plate.amps),
        (
            Quantity::IdlePlate,
            point.cathode_ma,
            1e3 * (flow.plate.amps + flow.screen.amps),
        ),
        (
            Quantity::IdleScreen,
            point.screen_ma,
            1e3 * flow.screen.amps,
        ),
        (Quantity::Transconductance, point.gm_ms, 1e3 * gm),
        (Quantity::PlateResistance, point.rp_kohm, 1e-3 / gp),
        (Quantity::Mu, point.mu, gm / gp),
    ] {
        if let Some(published) = published {
            out.push(Comparison {
                row: row.clone(),
                quantity,
                published,
                predicted,
                fitted: point.fitted,
                source: point.source.clone(),
                provenance: point.provenance,
            });
        }
    }
}

fn compare_example(
    tube: &Tube,
    model: Model,
    example: &OperatingExample,
    out: &mut Vec<Comparison>,
) {
    let mut solver = Solver::new(stage_of(model, tube.kind, example));
    let idle = solver.idle();
    let full = full_signal(&mut solver, example);
    let strapped = tube.kind == Kind::Triode || example.connection == TubeConnection::Triode;
    let plate = |c: &Cycle| {
        1e3 * if strapped {
            c.plate_amps() + c.screen_amps()
        } else {
            c.plate_amps()
        }
    };
    let bias = match example.bias {
        Bias::Fixed(volts) => number(volts),
        Bias::Cathode(ohms) => format!("{ohms} Ω cathode"),
    };
    let topology = match example.topology {
        Topology::SingleEnded => "single-ended",
        Topology::PushPull => "push-pull",
    };
    let row = format!(
        "{} {topology}, {}, {bias}, {} Ω",
        tube.designation,
        volts(strapped, example.plate_volts, example.screen_volts()),
        example.load_ohms
    );
    let mut push = |quantity, published: Option<f64>, predicted: Option<f64>| {
        if let Some(published) = published {
            let predicted = predicted.unwrap_or(f64::NAN);
            out.push(Comparison {
                row: row.clone(),
                quantity,
                published,
                predicted,
                fitted: example.fitted,
                source: example.source.clone(),
                provenance: example.provenance,
            });
        }
    };
    let idle = idle.ok();
    let full = full.ok();
    let small = idle.map(|c| {
        let (v, g) = (c.supply_volts - c.cathode_volts, c.grid_volts);
        let s = if strapped {
            v
        } else {
            c.screen_volts - c.cathode_volts
        };
        let flow = model.flow(v, s, g);
        if strapped {
            let gp = flow.plate.by_plate
                + flow.plate.by_screen
                + flow.screen.by_plate
                + flow.screen.by_screen;
            (flow.plate.by_grid + flow.screen.by_grid, gp)
        } else {
            (flow.plate.by_grid, flow.plate.by_plate)
        }
    });
    push(
        Quantity::IdlePlate,
        Some(example.plate_ma.idle),
        idle.as_ref().map(plate),
    );
    push(
        Quantity::IdleScreen,
        example.screen_ma.map(|ma| ma.idle),
        idle.map(|c| 1e3 * c.screen_amps()),
    );
    push(
        Quantity::FullPlate,
        example.plate_ma.full,
        full.as_ref().map(plate),
    );
    push(
        Quantity::FullScreen,
        example.screen_ma.and_then(|ma| ma.full),
        full.map(|c| 1e3 * c.screen_amps()),
    );
    push(
        Quantity::Transconductance,
        example.gm_ms,
        small.map(|s| 1e3 * s.0),
    );
    push(
        Quantity::PlateResistance,
        example.rp_kohm,
        small.map(|s| 1e-3 / s.1),
    );
    push(Quantity::Power, example.watts, full.map(|c| c.watts));
    let distorted = full.and_then(|c| at_power(&mut solver, example, c));
    push(
        Quantity::Distortion,
        example.thd_percent,
        distorted.map(|c| 100.0 * c.thd),
    );
}
