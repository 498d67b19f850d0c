//! Touchstone files of one port, versions 1 and 2.
//!
//! Touchstone File Format Specification, versions 1.1 and 2.0 (IBIS Open Forum), from memory;
//! the tests compare it with scikit-rf. In version 1, Y and Z are normalised to the
//! reference resistance; in version 2 they are not.

use num_complex::Complex64;

use super::columns::{Columns, whole_numeral};
use super::points::Points;
use super::{Line, quoted};
use tapwright_units::numeral::DecimalMark;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Parameter {
    S,
    Y,
    Z,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum ComplexForm {
    /// Modulus and angle in degrees.
    MA,
    /// Decibels and angle in degrees.
    DB,
    /// Real and imaginary part.
    RI,
}

const UNITS: [(&str, f64); 4] = [("hz", 1.0), ("khz", 1e3), ("mhz", 1e6), ("ghz", 1e9)];

const PARAMETERS: [(&str, Parameter); 3] = [
    ("s", Parameter::S),
    ("y", Parameter::Y),
    ("z", Parameter::Z),
];

const FORMS: [(&str, ComplexForm); 3] = [
    ("ma", ComplexForm::MA),
    ("db", ComplexForm::DB),
    ("ri", ComplexForm::RI),
];

/// What the option line says.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Options {
    hertz: f64,
    parameter: Parameter,
    form: ComplexForm,
    ohms: f64,
}

/// Where in the file the next line is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Part {
    /// Before the data.
    #[default]
    Head,
    /// After `[Reference]`, whose value may stand on the next line.
    Reference,
    /// Between `[Begin Information]` and `[End Information]`.
    Information,
    /// The network data.
    Data,
    /// After all that this program reads.
    End,
}

#[derive(Debug, Clone, Default)]
pub(super) struct Touchstone {
    options: Option<Options>,
    second: bool,
    frequencies: Option<usize>,
    part: Part,
}

/// Whether a line is one that a Touchstone file begins with, and not a comment of a table.
pub(super) fn is_start(text: &str) -> bool {
    match text.strip_prefix('#') {
        // An option line has at least unit, parameter and form; `# Hz` is a comment.
        Some(options) => Columns::cut(options, b' ').count > 2 && read_options(options).is_ok(),
        None => keyword(text).is_some_and(|(word, _)| word == "version"),
    }
}

/// A `[Keyword]` in lower case, and what stands behind it.
fn keyword(text: &str) -> Option<(String, &str)> {
    let (word, rest) = text.strip_prefix('[')?.split_once(']')?;
    Some((word.trim().to_ascii_lowercase(), rest.trim()))
}

fn read_options(text: &str) -> Result<Options, String> {
    let mut options = Options {
        hertz: 1e9,
        parameter: Parameter::S,
        form: ComplexForm::MA,
        ohms: 50.0,
    };
    let mut words = text.split_whitespace();
    while let Some(word) = words.next() {
        let is = |known: &str| word.eq_ignore_ascii_case(known);
        if let Some((_, hertz)) = UNITS.iter().find(|(name, _)| is(name)) {
            options.hertz = *hertz;
        } else if let Some((_, parameter)) = PARAMETERS.iter().find(|(name, _)| is(name)) {
            options.parameter = *parameter;
        } else if let Some((_, form)) = FORMS.iter().find(|(name, _)| is(name)) {
            options.form = *form;
        } else if is("r") {
            options.ohms = reference(words.next().unwrap_or_default())?;
        } else if is("h") || is("g") {
            return Err(format!("{word} parameters are those of two ports, not one"));
        } else {
            return Err(format!("{} is no option of Touchstone", quoted(word)));
        }
    }
    Ok(options)
}

fn reference(text: &str) -> Result<f64, String> {
    number(text)
        .ok()
        .filter(|ohms| *ohms > 0.0 && *ohms <= 1e6)
        .ok_or_else(|| format!("{} is no reference resistance, such as 50", quoted(text)))
}

/// Reads a number. Touchstone has only points as decimal marks.
fn number(text: &str) -> Result<f64, String> {
    match whole_numeral(text) {
        Some(numeral) if numeral.mark != DecimalMark::Comma => Ok(numeral.value()),
        Some(_) => Err(format!(
            "{} has a comma; Touchstone has points",
            quoted(text)
        )),
        None => Err(format!("{} is not a number", quoted(text))),
    }
}

impl Touchstone {
    pub fn line(&mut self, text: &str, points: &mut Points) -> Line {
        let text = text.split('!').next().unwrap_or_default().trim();
        if text.is_empty() || self.part == Part::End {
            return Ok(());
        }
        if let Some((word, value)) = keyword(text) {
            return self.keyword(&word, value);
        }
        match (self.part, text.strip_prefix('#')) {
            (Part::Information, _) => Ok(()),
            (Part::Data, Some(_)) => Err("an option line belongs above the first point".into()),
            (_, Some(options)) => {
                let read = read_options(options)?;
                // The specification says that further option lines are ignored.
                self.options.get_or_insert(read);
                Ok(())
            }
            (Part::Reference, None) => self.reference(text),
            (Part::Head, None) if self.second => {
                Err(format!("{} stands before [Network Data]", quoted(text)))
            }
            (_, None) => self.data(text, points),
        }
    }

    fn keyword(&mut self, word: &str, value: &str) -> Line {
        if self.part == Part::Information && word != "end information" {
            return Ok(());
        }
        let count = || {
            value
                .parse::<usize>()
                .map_err(|_| format!("{} is no number of them", quoted(value)))
        };
        match word {
            "version" if matches!(value, "2.0" | "2.1") => self.second = true,
            "version" if value.starts_with("1.") => {}
            "version" => return Err(format!("version {} is not known here", quoted(value))),
            "number of ports" => {
                if count()? != 1 {
                    return Err(format!("it has {value} ports, and a speaker has one"));
                }
            }
            "number of frequencies" => self.frequencies = Some(count()?),
            "reference" if value.is_empty() => self.part = Part::Reference,
            "reference" => self.reference(value)?,
            "begin information" => self.part = Part::Information,
            "end information" => self.part = Part::Head,
            "network data" => self.part = Part::Data,
            "noise data" | "end" => self.part = Part::End,
            // A matrix with one element is the same in every order.
            "matrix format" | "two-port data order" | "two-port order" => {}
            _ => return Err(format!("{} is no keyword of one port", quoted(word))),
        }
        Ok(())
    }

    fn reference(&mut self, text: &str) -> Line {
        let ohms = reference(text)?;
        match &mut self.options {
            Some(options) => options.ohms = ohms,
            None => return Err("the option line, # and the units, belongs above it".into()),
        }
        self.part = Part::Head;
        Ok(())
    }

    fn data(&mut self, text: &str, points: &mut Points) -> Line {
        let Some(options) = self.options else {
            return Err("the option line, # and the units, belongs above the first point".into());
        };
        self.part = Part::Data;
        let words = Columns::cut(text, b' ');
        let Some([hertz, a, b]) = words.three() else {
            return Err(format!(
                "it has {} values, and one port has three: frequency and a pair",
                words.count
            ));
        };
        let z = impedance(options, self.second, number(a)?, number(b)?)?;
        let hertz = options.hertz * number(hertz)?;
        if z.re <= 0.0 {
            return Err(
                "a speaker takes power, and this one would give it: the real part of its impedance is not above zero"
                    .into(),
            );
        }
        points.add(hertz, z.norm(), z.arg().to_degrees())
    }

    pub fn end(&self, points: usize) -> Result<(), (Option<usize>, String)> {
        match self.frequencies {
            Some(said) if said != points => Err((
                None,
                format!("the file ends with {points} points, and says that it has {said}"),
            )),
            _ => Ok(()),
        }
    }
}

/// The impedance that a pair of numbers means.
fn impedance(options: Options, second: bool, a: f64, b: f64) -> Result<Complex64, String> {
    let polar = |modulus: f64| modulus * Complex64::cis(b.to_radians());
    let value = match options.form {
        ComplexForm::MA => polar(a),
        ComplexForm::DB => polar(10_f64.powf(a / 20.0)),
        ComplexForm::RI => Complex64::new(a, b),
    };
    let normal = if second { 1.0 } else { options.ohms };
    let z = match options.parameter {
        Parameter::S => options.ohms * (1.0 + value) / (1.0 - value),
        Parameter::Y => normal / value,
        Parameter::Z => normal * value,
    };
    if z.is_finite() {
        Ok(z)
    } else {
        Err("that is an open circuit, not a speaker".into())
    }
}
