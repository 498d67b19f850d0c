//! The tables of tubes, `data/tubes.toml` and `data/fitted.toml`: read, and refused where
//! they contradict themselves.
//!
//! `data/tubes.toml` is what is published; a person can read and correct it. The fit writes
//! `data/fitted.toml`.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use serde::Deserialize;
use serde::de::DeserializeOwned;
use toml::Spanned;

use crate::checks::above_zero;
use crate::{Kind, Model, Tube};

#[cfg(test)]
mod tests;

const PUBLISHED: &str = include_str!("../data/tubes.toml");
const FITTED: &str = include_str!("../data/fitted.toml");

static TUBES: LazyLock<Vec<Tube>> = LazyLock::new(|| {
    #[expect(clippy::panic, reason = "a test reads the same two texts")]
    read(PUBLISHED, FITTED).unwrap_or_else(|why| panic!("{why}"))
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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedFile {
    /// Titles by the keys that rows name as their source.
    sources: BTreeMap<String, String>,
    tube: Vec<Spanned<Tube>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FittedFile {
    #[serde(default)]
    model: Vec<Spanned<toml::Table>>,
}

/// The tubes of the two files.
///
/// # Errors
/// What is wrong, with file and line. Where a tube contradicts itself, the line is the tube's
/// first and the row is named: `data/tubes.toml, line 43, 6V6GT, limits 2: …`.
fn read(published: &str, fitted: &str) -> Result<Vec<Tube>, String> {
    let tubes_file = File("data/tubes.toml", published);
    let fitted_file = File("data/fitted.toml", fitted);
    let published: PublishedFile = tubes_file.parse()?;
    let mut models = BTreeMap::new();
    for row in fitted_file.parse::<FittedFile>()?.model {
        let start = row.span().start;
        let line = || fitted_file.line(start);
        let mut parameters = row.into_inner();
        let Some(toml::Value::String(designation)) = parameters.remove("type") else {
            return Err(format!("{}: type is missing", line()));
        };
        if models.contains_key(&designation) {
            return Err(format!(
                "{}, {designation}: a second model of this type",
                line()
            ));
        }
        models.insert(designation, (start, parameters));
    }
    let mut names = BTreeSet::new();
    let mut tubes = Vec::new();
    for row in published.tube {
        let start = row.span().start;
        // Counting lines is as slow as reading them.
        let line = || tubes_file.line(start);
        let mut tube = row.into_inner();
        let designation = tube.designation.clone();
        check(&tube)
            .and_then(|()| name_sources_in_full(&mut tube, &published.sources))
            .map_err(|why| format!("{}, {designation}{why}", line()))?;
        let mut all_names = tube.names();
        if let Some(name) = all_names.find(|name| !names.insert(name.to_uppercase())) {
            return Err(format!("{}: the name {name} stands for two tubes", line()));
        }
        drop(all_names);
        tube.model = match models.remove(&designation) {
            Some((start, parameters)) => model(tube.kind, parameters)
                .map_err(|why| format!("{}, {designation}: {why}", fitted_file.line(start)))?,
            // A tube that was just added has none before the fit; a test refuses it later.
            None => tube.kind.unfitted(),
        };
        tubes.push(tube);
    }
    if let Some((designation, (start, _))) = models.first_key_value() {
        let line = fitted_file.line(*start);
        return Err(format!("{line}: {designation} is not in data/tubes.toml"));
    }
    Ok(tubes)
}

/// A data file: its name and its text.
#[derive(Clone, Copy)]
struct File<'a>(&'static str, &'a str);

impl File<'_> {
    fn parse<T: DeserializeOwned>(self) -> Result<T, String> {
        toml::from_str(self.1).map_err(|error| {
            let start = error.span().map_or(0, |span| span.start);
            format!("{}: {}", self.line(start), error.message())
        })
    }

    /// Where a byte of the text is: `data/tubes.toml, line 43`.
    fn line(self, byte: usize) -> String {
        let before = self.1.get(..byte).unwrap_or(self.1);
        format!("{}, line {}", self.0, before.matches('\n').count() + 1)
    }
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
    above_zero("heater.volts", Some(tube.heater.volts))?;
    above_zero("heater.amps", Some(tube.heater.amps))?;
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

/// The model with these parameters, by the names of the fields of [`crate::Triode`] or
/// [`crate::Pentode`].
fn model(kind: Kind, parameters: toml::Table) -> Result<Model, String> {
    let model = if kind.has_screen() {
        parameters.try_into().map(Model::Pentode)
    } else {
        parameters.try_into().map(Model::Triode)
    };
    model.map_err(|error| error.message().to_owned())
}
