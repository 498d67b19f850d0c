//! The tables of tubes, `data/tubes.toml` and `data/fitted.toml`: read, and refused where
//! they contradict themselves.
//!
//! `data/tubes.toml` is what is published; a person can read and correct it. The fit writes
//! `data/fitted.toml`.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use serde::Deserialize;
use serde::de::value::MapDeserializer;

use crate::checks::above_zero;
use crate::{Kind, Model, Pentode, Triode, Tube};

#[cfg(test)]
mod tests;

/// Both tables as `build.rs` writes them: JSON is read in a fraction of the time, each time that
/// the page opens.
const PUBLISHED: &str = include_str!(concat!(env!("OUT_DIR"), "/tubes.json"));
const FITTED: &str = include_str!(concat!(env!("OUT_DIR"), "/fitted.json"));

static TUBES: LazyLock<Vec<Tube>> = LazyLock::new(|| {
    #[expect(clippy::panic, reason = "a test reads the same two tables")]
    from_json().unwrap_or_else(|why| panic!("{why}; the tests of this crate name the line"))
});

/// Every tube in `data/tubes.toml`, in the order of the file.
///
/// ```
/// assert!(tapwright_tube::tubes().iter().any(|tube| tube.designation == "6V6GT"));
/// ```
pub fn tubes() -> &'static [Tube] {
    &TUBES
}

/// The tube with this designation or equivalent, upper or lower case, with or without spaces
/// and hyphens.
///
/// ```
/// let designation = |name| tapwright_tube::find(name).map(|tube| tube.designation.as_str());
/// assert_eq!(designation("6bq5"), Some("EL84"));
/// assert_eq!(designation("el-84"), Some("EL84"));
/// assert_eq!(designation("6Z9"), None);
/// ```
pub fn find(designation: &str) -> Option<&'static Tube> {
    // `EL 84` and `el-84` are how people write it.
    let wanted = designation.replace([' ', '-'], "");
    (tubes().iter()).find(|tube| tube.names().any(|name| name.eq_ignore_ascii_case(&wanted)))
}

/// `data/tubes.toml`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedFile<Row> {
    /// Titles by the keys that rows name as their source.
    sources: BTreeMap<String, String>,
    tube: Vec<Row>,
}

/// `data/fitted.toml`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FittedFile<Row> {
    #[serde(default = "Vec::new")]
    model: Vec<Row>,
}

#[derive(Deserialize)]
struct FittedModel {
    #[serde(rename = "type")]
    designation: String,
    #[serde(flatten)]
    parameters: BTreeMap<String, f64>,
}

/// Something in a file, and where: `data/tubes.toml, line 43`.
struct Placed<T> {
    place: String,
    row: T,
}

fn from_json() -> Result<Vec<Tube>, String> {
    let [tubes_file, fitted_file] = ["data/tubes.toml", "data/fitted.toml"];
    let published: PublishedFile<Tube> =
        serde_json::from_str(PUBLISHED).map_err(|error| format!("{tubes_file}: {error}"))?;
    let fitted: FittedFile<FittedModel> =
        serde_json::from_str(FITTED).map_err(|error| format!("{fitted_file}: {error}"))?;
    let tubes = published.tube.into_iter().map(|row| Placed {
        place: tubes_file.to_owned(),
        row,
    });
    let models = fitted.model.into_iter().map(|row| Placed {
        place: fitted_file.to_owned(),
        row,
    });
    put_together(&published.sources, tubes, models)
}

/// The tubes with their models.
///
/// # Errors
/// What is wrong, with its place. Where a tube contradicts itself, the place is the tube's and
/// the row is named: `data/tubes.toml, line 43, 6V6GT, limits 2: …`.
fn put_together(
    sources: &BTreeMap<String, String>,
    tubes: impl Iterator<Item = Placed<Tube>>,
    fitted: impl Iterator<Item = Placed<FittedModel>>,
) -> Result<Vec<Tube>, String> {
    let mut models = BTreeMap::new();
    for Placed { place, row } in fitted {
        let designation = row.designation;
        let again = format!("{place}, {designation}: a second model of this type");
        if models
            .insert(designation, (place, row.parameters))
            .is_some()
        {
            return Err(again);
        }
    }
    let mut names = BTreeSet::new();
    let mut checked = Vec::new();
    for Placed {
        place,
        row: mut tube,
    } in tubes
    {
        let designation = tube.designation.clone();
        check(&tube)
            .and_then(|()| name_sources_in_full(&mut tube, sources))
            .map_err(|why| format!("{place}, {designation}{why}"))?;
        let mut all_names = tube.names();
        if let Some(name) = all_names.find(|name| !names.insert(name.to_uppercase())) {
            return Err(format!("{place}: the name {name} stands for two tubes"));
        }
        drop(all_names);
        tube.model = match models.remove(&designation) {
            Some((place, parameters)) => model(tube.kind, parameters)
                .map_err(|why| format!("{place}, {designation}: {why}"))?,
            // A tube that was just added has none before the fit; a test refuses it later.
            None => tube.kind.unfitted(),
        };
        checked.push(tube);
    }
    if let Some((designation, (place, _))) = models.first_key_value() {
        return Err(format!("{place}: {designation} is not in data/tubes.toml"));
    }
    Ok(checked)
}

/// What is wrong with a tube or with one of its rows, to go behind the tube's name.
fn check(tube: &Tube) -> Result<(), String> {
    check_alone(tube).map_err(|why| format!(": {why}"))?;
    check_each("limits", &tube.limits, |row| row.check(tube.kind))?;
    check_each("point", &tube.points, |row| row.check(tube.kind))?;
    check_each("example", &tube.examples, |row| row.check(tube.kind))
}

/// What is wrong with a tube apart from its rows.
fn check_alone(tube: &Tube) -> Result<(), String> {
    for heater in std::iter::once(&tube.heater).chain(tube.other_heaters.values()) {
        above_zero("heater.volts", Some(heater.volts))?;
        above_zero("heater.amps", Some(heater.amps))?;
        above_zero("heater.cathode_volts", heater.cathode_volts)?;
        if heater.is_filament && heater.cathode_volts.is_some() {
            return Err("a filament has no volts between it and its cathode".into());
        }
    }
    if let Some(name) = (tube.other_heaters.keys()).find(|name| !tube.equivalents.contains(name)) {
        return Err(format!(
            "other_heaters: {name} is not among the equivalents"
        ));
    }
    if tube.systems == 0 {
        return Err("systems = 0: a bottle holds one at least".into());
    }
    above_zero("mu_screen", tube.mu_screen)?;
    if tube.kind.has_screen() != tube.mu_screen.is_some() {
        return Err("mu_screen belongs to tubes with a screen, and to all of them".into());
    }
    if tube.limits.is_empty() {
        return Err("no limits".into());
    }
    Ok(())
}

/// What is wrong with the first row that `check` refuses: `, point 3: …`.
fn check_each<T>(
    name: &str,
    rows: &[T],
    check: impl Fn(&T) -> Result<(), String>,
) -> Result<(), String> {
    for (at, row) in rows.iter().enumerate() {
        check(row).map_err(|why| format!(", {name} {}: {why}", at + 1))?;
    }
    Ok(())
}

/// Puts the title of each source in the place of its key.
fn name_sources_in_full(tube: &mut Tube, titles: &BTreeMap<String, String>) -> Result<(), String> {
    let sources = std::iter::once(&mut tube.source)
        .chain(tube.limits.iter_mut().map(|row| &mut row.source))
        .chain(tube.points.iter_mut().map(|row| &mut row.source))
        .chain(tube.examples.iter_mut().map(|row| &mut row.source));
    for source in sources {
        *source = (titles.get(source).cloned())
            .ok_or_else(|| format!(": source {source:?} is not in [sources]"))?;
    }
    Ok(())
}

/// The model with these parameters, by the names of the fields of [`Triode`] or [`Pentode`].
fn model(kind: Kind, parameters: BTreeMap<String, f64>) -> Result<Model, serde::de::value::Error> {
    let parameters = MapDeserializer::new(parameters.into_iter());
    if kind.has_screen() {
        Pentode::deserialize(parameters).map(Model::Pentode)
    } else {
        Triode::deserialize(parameters).map(Model::Triode)
    }
}
