//! Turns the tube tables in `data/` into Rust, and refuses a table that contradicts itself.

#[path = "build/schema.rs"]
mod schema;

use schema::{Example, FittedFile, FullSignal, Limits, Point, Tube, TubeFile};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;

type Sources = BTreeMap<String, String>;

fn main() {
    for file in [
        "data/tubes.toml",
        "data/fitted.toml",
        "build.rs",
        "build/schema.rs",
    ] {
        println!("cargo::rerun-if-changed={file}");
    }
    match generate() {
        Ok(code) => {
            let out = std::env::var("OUT_DIR").unwrap_or_default();
            if let Err(error) = std::fs::write(Path::new(&out).join("tubes.rs"), code) {
                println!("cargo::error=cannot write the tube table: {error}");
            }
        }
        Err(message) => println!("cargo::error={message}"),
    }
}

fn generate() -> Result<String, String> {
    let published: TubeFile = read("data/tubes.toml")?;
    let fitted: FittedFile = read("data/fitted.toml")?;
    let mut names = BTreeSet::new();
    let mut code = String::from(
        "/// Every tube in `data/tubes.toml`, in its order.\npub static TUBES: &[Tube] = &[\n",
    );
    for tube in &published.tube {
        for name in std::iter::once(&tube.designation).chain(&tube.equivalents) {
            if !names.insert(name.to_uppercase()) {
                return Err(format!(
                    "data/tubes.toml: the name {name} stands for two tubes"
                ));
            }
        }
        code += &tube_literal(tube, &published.sources, &fitted)
            .map_err(|why| format!("data/tubes.toml, {}: {why}", tube.designation))?;
    }
    for designation in fitted.model.iter().map(|m| &m.designation) {
        if !published.tube.iter().any(|t| t.designation == *designation) {
            return Err(format!(
                "data/fitted.toml: {designation} is not in data/tubes.toml"
            ));
        }
    }
    code += "];\n";
    Ok(code)
}

fn read<T: serde::de::DeserializeOwned>(path: &str) -> Result<T, String> {
    let text = std::fs::read_to_string(path).map_err(|error| format!("{path}: {error}"))?;
    toml::from_str(&text).map_err(|error| {
        let line = error.span().map_or(0, |s| text[..s.start].lines().count());
        format!(
            "{path}, line {line}: {}",
            error.message().replace('\n', " ")
        )
    })
}

fn tube_literal(tube: &Tube, sources: &Sources, fitted: &FittedFile) -> Result<String, String> {
    let kind = match tube.kind.as_str() {
        "triode" => "Triode",
        "pentode" => "Pentode",
        "beam tetrode" => "BeamTetrode",
        other => {
            return Err(format!(
                "kind {other:?}: triode, pentode or beam tetrode expected"
            ));
        }
    };
    let has_screen = kind != "Triode";
    if has_screen != tube.mu_screen.is_some() {
        return Err("mu_screen belongs to tubes with a screen, and to all of them".into());
    }
    if tube.limits.is_empty() {
        return Err("no limits".into());
    }
    let mut code = format!(
        "Tube {{ designation: {:?}, equivalents: &{:?}, kind: Kind::{kind}, heater: Heater {{ volts: {:?}, amps: {:?} }}, mu_screen: {:?}, {},\n",
        tube.designation,
        tube.equivalents,
        tube.heater.volts,
        tube.heater.amps,
        tube.mu_screen,
        origin(&tube.source, &tube.provenance, sources)?
    );
    let limits = joined(&tube.limits, |l| limits_literal(l, has_screen, sources))?;
    let points = joined(&tube.point, |p| point_literal(p, has_screen, sources))?;
    let examples = joined(&tube.example, |e| example_literal(e, has_screen, sources))?;
    let model = model_literal(tube, has_screen, fitted)?;
    let _ = writeln!(
        code,
        "limits: &[{limits}], points: &[{points}], examples: &[{examples}], model: {model} }},"
    );
    Ok(code)
}

fn joined<T>(rows: &[T], literal: impl Fn(&T) -> Result<String, String>) -> Result<String, String> {
    Ok(rows
        .iter()
        .map(literal)
        .collect::<Result<Vec<_>, _>>()?
        .join(", "))
}

fn within(name: &str, value: f64, low: f64, high: f64) -> Result<(), String> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(format!(
        "{name} = {value}: between {low} and {high} expected"
    ))
}

fn origin(source: &str, provenance: &str, sources: &Sources) -> Result<String, String> {
    let title = sources
        .get(source)
        .ok_or_else(|| format!("source {source:?} is not in [sources]"))?;
    let provenance = match provenance {
        "read" => "Read",
        "from memory" => "FromMemory",
        other => {
            return Err(format!(
                "provenance {other:?}: read or from memory expected"
            ));
        }
    };
    Ok(format!(
        "source: {title:?}, provenance: Provenance::{provenance}"
    ))
}

fn limits_literal(row: &Limits, has_screen: bool, sources: &Sources) -> Result<String, String> {
    let system = match row.system.as_str() {
        "design-centre" => "DesignCentre",
        "design-maximum" => "DesignMaximum",
        "absolute" => "Absolute",
        other => return Err(format!("rating system {other:?}")),
    };
    within("plate_watts", row.plate_watts, 0.1, 1000.0)?;
    within("plate_volts", row.plate_volts, 10.0, 5000.0)?;
    if has_screen != row.screen_watts.is_some() {
        return Err("screen_watts belongs to the limits of tubes with a screen".into());
    }
    Ok(format!(
        "Limits {{ system: RatingSystem::{system}, plate_watts: {:?}, screen_watts: {:?}, plate_volts: {:?}, screen_volts: {:?}, cathode_ma: {:?}, {} }}",
        row.plate_watts,
        row.screen_watts,
        row.plate_volts,
        row.screen_volts,
        row.cathode_ma,
        origin(&row.source, &row.provenance, sources)?
    ))
}

/// A note is for whoever reads the table; the program does without it.
fn note(note: Option<&String>) -> Result<(), String> {
    match note {
        Some(text) if text.trim().is_empty() => Err("note is empty".into()),
        _ => Ok(()),
    }
}

/// The connection's name in Rust, and the screen voltage that goes with it.
fn screen(
    connection: &str,
    has_screen: bool,
    plate: f64,
    screen: Option<f64>,
) -> Result<(&'static str, f64), String> {
    match (connection, screen) {
        ("pentode", Some(volts)) if has_screen => {
            within("screen_volts", volts, 1.0, 2000.0)?;
            Ok(("Pentode", volts))
        }
        ("triode", None) => Ok(("Triode", plate)),
        ("pentode" | "triode", _) => {
            Err("screen_volts belongs to the pentode connection, and only there".into())
        }
        (other, _) => Err(format!("connection {other:?}: pentode or triode expected")),
    }
}

fn point_literal(row: &Point, has_screen: bool, sources: &Sources) -> Result<String, String> {
    note(row.note.as_ref())?;
    within("plate_volts", row.plate_volts, 1.0, 5000.0)?;
    within("grid_volts", row.grid_volts, -500.0, 0.0)?;
    let (connection, screen_volts) = screen(
        &row.connection,
        has_screen,
        row.plate_volts,
        row.screen_volts,
    )?;
    if (connection == "Triode") != row.cathode_ma.is_some() {
        return Err("a triode point gives cathode_ma, a pentode point plate_ma".into());
    }
    Ok(format!(
        "StaticPoint {{ connection: Connection::{connection}, plate_volts: {:?}, screen_volts: {screen_volts:?}, grid_volts: {:?}, plate_ma: {:?}, screen_ma: {:?}, cathode_ma: {:?}, rp_kohm: {:?}, gm_ms: {:?}, mu: {:?}, fitted: {}, {} }}",
        row.plate_volts,
        row.grid_volts,
        row.plate_ma,
        row.screen_ma,
        row.cathode_ma,
        row.rp_kohm,
        row.gm_ms,
        row.mu,
        row.fitted,
        origin(&row.source, &row.provenance, sources)?
    ))
}

fn example_literal(row: &Example, has_screen: bool, sources: &Sources) -> Result<String, String> {
    note(row.note.as_ref())?;
    within("plate_volts", row.plate_volts, 1.0, 5000.0)?;
    within("load_ohms", row.load_ohms, 100.0, 100_000.0)?;
    let topology = match row.topology.as_str() {
        "single-ended" => "SingleEnded",
        "push-pull" => "PushPull",
        other => {
            return Err(format!(
                "topology {other:?}: single-ended or push-pull expected"
            ));
        }
    };
    let referred = match row.referred_to.as_deref() {
        None | Some("cathode") => "Cathode",
        Some("ground") => "Ground",
        Some(other) => return Err(format!("referred_to {other:?}: cathode or ground expected")),
    };
    let (connection, screen_volts) = screen(
        &row.connection,
        has_screen,
        row.plate_volts,
        row.screen_volts,
    )?;
    let bias = match (row.grid_volts, row.cathode_ohms) {
        (Some(volts), None) => {
            within("grid_volts", volts, -500.0, 0.0)?;
            format!("Bias::Fixed({volts:?})")
        }
        (None, Some(ohms)) => {
            within("cathode_ohms", ohms, 1.0, 10_000.0)?;
            format!("Bias::Cathode({ohms:?})")
        }
        _ => return Err("an example has either grid_volts or cathode_ohms".into()),
    };
    let full_signal = match &row.full_signal {
        None => "FullSignal::GridCurrent".to_string(),
        Some(FullSignal::Drive(volts)) => format!("FullSignal::Drive({volts:?})"),
        Some(FullSignal::Word(word)) if word == "distortion" && row.thd_percent.is_some() => {
            "FullSignal::Distortion".into()
        }
        Some(FullSignal::Word(word)) => {
            return Err(format!(
                "full_signal {word:?}: volts, or \"distortion\" where thd_percent is given"
            ));
        }
    };
    let (idle_plate, full_plate) = idle_and_full("plate_ma", Some(&row.plate_ma))?;
    let (idle_screen, full_screen) = idle_and_full("screen_ma", row.screen_ma.as_ref())?;
    let idle_plate = idle_plate.ok_or("plate_ma is empty")?;
    Ok(format!(
        "Example {{ topology: Topology::{topology}, connection: Connection::{connection}, referred_to: ReferredTo::{referred}, plate_volts: {:?}, screen_volts: {screen_volts:?}, screen_ohms: {:?}, bias: {bias}, idle_plate_ma: {idle_plate:?}, full_plate_ma: {full_plate:?}, idle_screen_ma: {idle_screen:?}, full_screen_ma: {full_screen:?}, rp_kohm: {:?}, gm_ms: {:?}, full_signal: {full_signal}, load_ohms: {:?}, thd_percent: {:?}, watts: {:?}, fitted: {}, {} }}",
        row.plate_volts,
        row.screen_ohms.unwrap_or(0.0),
        row.rp_kohm,
        row.gm_ms,
        row.load_ohms,
        row.thd_percent,
        row.watts,
        row.fitted,
        origin(&row.source, &row.provenance, sources)?
    ))
}

fn idle_and_full(name: &str, row: Option<&Vec<f64>>) -> Result<(Option<f64>, Option<f64>), String> {
    match row.map(Vec::as_slice) {
        None => Ok((None, None)),
        Some([idle]) => Ok((Some(*idle), None)),
        Some([idle, full]) if full >= idle => Ok((Some(*idle), Some(*full))),
        Some(_) => Err(format!(
            "{name}: [idle] or [idle, full] expected, full not below idle"
        )),
    }
}

/// The fitted model, or one to start the fit from, which a test in the crate refuses.
fn model_literal(tube: &Tube, has_screen: bool, fitted: &FittedFile) -> Result<String, String> {
    let Some(model) = fitted
        .model
        .iter()
        .find(|m| m.designation == tube.designation)
    else {
        println!(
            "cargo::warning={} has no fitted model: run `cargo run --release -p tapwright-fit`",
            tube.designation
        );
        let kind = if has_screen { "Pentode" } else { "Triode" };
        return Ok(format!("Model::{kind}({kind}::UNFITTED)"));
    };
    let (kind, names): (&str, &[&str]) = if has_screen {
        ("Pentode", schema::PENTODE_PARAMETERS)
    } else {
        ("Triode", schema::TRIODE_PARAMETERS)
    };
    let mut fields = String::new();
    for name in names {
        let value = model
            .parameters
            .get(*name)
            .ok_or_else(|| format!("data/fitted.toml lacks {name}"))?;
        let _ = write!(fields, "{name}: {value:?}, ");
    }
    Ok(format!("Model::{kind}({kind} {{ {fields} }})"))
}
