//! An axis: where a value falls on it, where its ticks stand, how its values read.

use tapwright_units::Unit;

use crate::number::{self, NO_BREAK};

/// What the values of an axis or a bar count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// An SI quantity in its unit without prefix: volts, amperes, ohms.
    Si(Unit),
    /// A share, 0 to 1, that reads as a percentage.
    Percent,
    /// An angle in degrees.
    Degrees,
}

/// One axis of a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What it shows, without the unit: `plate current`.
    pub name: &'static str,
    /// What its values count.
    pub measure: Measure,
    /// Value at the left or lower end.
    pub from: f64,
    /// Value at the other end, above `from`.
    pub to: f64,
    /// Whether equal ratios take equal room; both ends are then above zero.
    pub log: bool,
}

impl Axis {
    /// Reaches as far as another axis of the same kind too.
    pub(super) fn grow(&mut self, other: &Self) {
        self.from = self.from.min(other.from);
        self.to = self.to.max(other.to);
    }
}

/// A tick: where on the axis it stands, and what it says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub value: f64,
    pub text: String,
}

/// Mantissas of the ticks within a decade, the densest first.
const DECADES: [&[f64]; 4] = [
    &[1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0],
    &[1.0, 2.0, 3.0, 5.0],
    &[1.0, 2.0, 5.0],
    &[1.0],
];
/// No axis needs more decades than that.
const MOST_DECADES: f64 = 30.0;
/// Turns of a circle that read well, in degrees.
const TURNS: [f64; 6] = [15.0, 30.0, 45.0, 90.0, 180.0, 360.0];

impl Measure {
    /// The factor from a value to what is written, and the unit behind it, for values
    /// up to `most`.
    fn scale(self, most: f64) -> (f64, String) {
        match self {
            Self::Si(unit) => {
                let (scale, prefix) = number::prefix(most, unit);
                (1.0 / scale, format!("{prefix}{}", unit.symbol()))
            }
            Self::Percent => (100.0, "%".into()),
            Self::Degrees => (1.0, "°".into()),
        }
    }

    /// A single value with three significant digits and its unit.
    pub(super) fn say(self, value: f64) -> String {
        let (factor, unit) = self.scale(value);
        let digits = if self == Self::Percent { 2 } else { 3 };
        with_unit(number::fixed(value * factor, digits), &unit)
    }

    /// A limit with its unit, as published: no digits that were not there.
    pub(super) fn given(self, value: f64) -> String {
        let (factor, unit) = self.scale(value);
        with_unit(number::trimmed(value * factor, 4), &unit)
    }
}

impl Axis {
    /// An axis from zero up, or between two values, with equal steps.
    pub fn linear(name: &'static str, measure: Measure, from: f64, to: f64) -> Self {
        Self {
            name,
            measure,
            from,
            to,
            log: false,
        }
    }

    /// An axis on which equal ratios take equal room. Both ends above zero.
    pub fn log(name: &'static str, measure: Measure, from: f64, to: f64) -> Self {
        Self {
            log: true,
            ..Self::linear(name, measure, from, to)
        }
    }

    /// How far along a value is: 0 at one end, 1 at the other. Not finite when the axis
    /// has no extent, or where a logarithm has no value.
    pub(super) fn share(&self, value: f64) -> f64 {
        if self.log {
            (value / self.from).ln() / (self.to / self.from).ln()
        } else {
            (value - self.from) / (self.to - self.from)
        }
    }

    /// The value at a fraction of the way along.
    pub(super) fn value(&self, share: f64) -> f64 {
        if self.log {
            self.from * (share * (self.to / self.from).ln()).exp()
        } else {
            self.from + share * (self.to - self.from)
        }
    }

    fn is_sound(&self) -> bool {
        self.from.is_finite()
            && self.to.is_finite()
            && self.to > self.from
            && (!self.log || self.from > 0.0)
    }

    /// Factor and unit that all values of a linear axis share.
    fn scale(&self) -> (f64, String) {
        self.measure.scale(self.from.abs().max(self.to.abs()))
    }

    /// What stands at the axis: name and unit.
    pub(super) fn title(&self) -> String {
        let (_, unit) = if self.log {
            self.measure.scale(1.0)
        } else {
            self.scale()
        };
        match (self.measure, unit.as_str()) {
            (_, "") => self.name.into(),
            // Degrees stand at every tick.
            (Measure::Degrees, _) => self.name.into(),
            (_, unit) => format!("{}, {unit}", self.name),
        }
    }

    /// A value as it stands in a table under [`Self::title`].
    pub(super) fn digits(&self, value: f64) -> String {
        if self.log {
            return bare(self.measure, value, |mantissa| number::fixed(mantissa, 3));
        }
        let (factor, _) = self.scale();
        let end = self.sign();
        let finest = self.finest(factor);
        let value = settle(value * factor, finest);
        minus(format!("{value:.finest$}{end}"))
    }

    /// A value in a sentence, with its unit: three digits, none finer than a
    /// thousandth of the axis.
    pub(super) fn say(&self, value: f64) -> String {
        if self.log {
            return self.measure.say(value);
        }
        let (factor, unit) = self.scale();
        let finest = self.finest(factor);
        let value = settle(value * factor, finest);
        let three = number::fixed(value, 3);
        let places = three.split_once('.').map_or(0, |(_, places)| places.len());
        let digits = if value == 0.0 {
            // As many places as a large value has.
            format!("{value:.*}", finest.saturating_sub(1))
        } else if places > finest {
            format!("{value:.finest$}")
        } else {
            three
        };
        with_unit(digits, &unit)
    }

    /// What stands at every number of the axis, rather than once at its name.
    fn sign(&self) -> &'static str {
        match self.measure {
            Measure::Degrees => "°",
            _ => "",
        }
    }

    /// Decimal places that are worth showing anywhere on a linear axis.
    fn finest(&self, factor: f64) -> usize {
        let most = self.from.abs().max(self.to.abs()) * factor;
        let digits = match self.measure {
            // Distortion and the like are not known finer than that, nor angles.
            Measure::Percent | Measure::Degrees => 3,
            Measure::Si(_) => 4,
        };
        number::decimal_places(most, digits).min(3)
    }

    /// Ticks at round values. On a linear axis there are at most `most` spaces between them;
    /// on a logarithmic one the distance between neighbours is at least the fraction `apart`
    /// of the axis.
    pub(super) fn ticks(&self, most: f64, apart: f64) -> Vec<Tick> {
        if !self.is_sound() {
            return Vec::new();
        }
        if self.log {
            return self.log_ticks(apart);
        }
        let (factor, _) = self.scale();
        let (from, to) = (self.from * factor, self.to * factor);
        let step = self.step((to - from) / most);
        let places = (-step.log10() - 1e-9).ceil().max(0.0) as usize;
        let first = (from / step - 1e-9).ceil() as i64;
        let last = (to / step + 1e-9).floor() as i64;
        let end = self.sign();
        (first..=last)
            .map(|n| Tick {
                value: n as f64 * step / factor,
                text: minus(format!("{:.places$}{end}", settle(n as f64 * step, places))),
            })
            .collect()
    }

    /// The round step that is at least `raw`.
    fn step(&self, raw: f64) -> f64 {
        let raw = raw * (1.0 - 1e-9);
        if self.measure == Measure::Degrees
            && let Some(turn) = TURNS.into_iter().find(|turn| *turn >= raw)
        {
            return turn;
        }
        let decade = 10_f64.powi(raw.log10().floor() as i32);
        [1.0, 2.0, 5.0]
            .into_iter()
            .map(|m| m * decade)
            .find(|step| *step >= raw)
            .unwrap_or(10.0 * decade)
    }

    fn log_ticks(&self, apart: f64) -> Vec<Tick> {
        let mut ticks = Vec::new();
        if (self.to / self.from).log10() > MOST_DECADES {
            return ticks;
        }
        for mantissas in DECADES {
            let (first, last) = (self.from.log10().floor(), self.to.log10().ceil());
            ticks = (first as i32..=last as i32)
                .flat_map(|decade| mantissas.iter().map(move |m| m * 10_f64.powi(decade)))
                .filter(|value| (-1e-9..=1.0 + 1e-9).contains(&self.share(*value)))
                .map(|value| Tick {
                    value,
                    text: bare(self.measure, value, |mantissa| number::trimmed(mantissa, 3)),
                })
                .collect();
            let clear = (ticks.windows(2))
                .all(|pair| self.share(pair[1].value) - self.share(pair[0].value) >= apart);
            if clear {
                break;
            }
        }
        ticks
    }
}

/// Digits and prefix without the unit: `2 k`.
fn bare(measure: Measure, value: f64, digits: impl Fn(f64) -> String) -> String {
    let Measure::Si(unit) = measure else {
        return minus(digits(value * measure.scale(value).0));
    };
    let (scale, prefix) = number::prefix(value, unit);
    let digits = digits(value / scale);
    match prefix {
        "" => minus(digits),
        prefix => minus(format!("{digits}{NO_BREAK}{prefix}")),
    }
}

fn with_unit(digits: String, unit: &str) -> String {
    minus(match unit {
        "" | "°" => format!("{digits}{unit}"),
        unit => format!("{digits}{NO_BREAK}{unit}"),
    })
}

/// The value, or zero where it would round to zero and keep only its sign.
fn settle(value: f64, places: usize) -> f64 {
    if value.abs() < 0.5 * 10_f64.powi(-(places as i32)) {
        0.0
    } else {
        value
    }
}

/// With a minus sign instead of a hyphen.
fn minus(text: String) -> String {
    text.replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(axis: &Axis, most: f64, apart: f64) -> String {
        let ticks = axis.ticks(most, apart).into_iter().map(|tick| tick.text);
        ticks.collect::<Vec<_>>().join(" | ").replace(NO_BREAK, " ")
    }

    const VOLTS: Measure = Measure::Si(Unit::Volt);
    const OHMS: Measure = Measure::Si(Unit::Ohm);

    #[test]
    fn linear_ticks_are_round() {
        for (from, to, text) in [
            (0.0, 500.0, "0 | 100 | 200 | 300 | 400 | 500"),
            (0.0, 0.16, "0 | 50 | 100 | 150"),
            (-33.0, 33.0, "−20 | 0 | 20"),
            (0.0, 1.2, "0.0 | 0.5 | 1.0"),
            (0.0, 4_000.0, "0 | 1 | 2 | 3 | 4"),
        ] {
            assert_eq!(texts(&Axis::linear("", VOLTS, from, to), 5.0, 0.0), text);
        }
        let angle = Axis::linear("", Measure::Degrees, 0.0, 360.0);
        assert_eq!(texts(&angle, 6.0, 0.0), "0° | 90° | 180° | 270° | 360°");
        let share = Axis::linear("", Measure::Percent, 0.0, 0.12);
        assert_eq!(texts(&share, 5.0, 0.0), "0 | 5 | 10");
    }

    #[test]
    fn log_ticks_thin_out_when_there_is_no_room() {
        let wide = Axis::log("", OHMS, 1_250.0, 80_000.0);
        assert_eq!(texts(&wide, 5.0, 0.1), "2 k | 5 k | 10 k | 20 k | 50 k");
        let long = Axis::log("", OHMS, 1.0, 1e6);
        assert_eq!(
            texts(&long, 5.0, 0.1),
            "1 | 10 | 100 | 1 k | 10 k | 100 k | 1 M"
        );
        let narrow = Axis::log("", OHMS, 4_000.0, 16_000.0);
        assert_eq!(
            texts(&narrow, 5.0, 0.1),
            "4 k | 5 k | 6 k | 8 k | 10 k | 15 k"
        );
    }

    #[test]
    fn an_axis_without_extent_has_no_ticks() {
        for (from, to) in [
            (1.0, 1.0),
            (2.0, 1.0),
            (f64::NAN, 1.0),
            (0.0, f64::INFINITY),
        ] {
            assert_eq!(Axis::linear("", VOLTS, from, to).ticks(5.0, 0.1), []);
        }
        assert_eq!(Axis::log("", OHMS, 0.0, 1.0).ticks(5.0, 0.1), []);
    }

    #[test]
    fn shares_and_values_are_each_others_inverse() {
        for axis in [
            Axis::linear("", VOLTS, -20.0, 60.0),
            Axis::log("", OHMS, 1e3, 64e3),
        ] {
            for share in [0.0, 0.25, 0.5, 1.0] {
                assert!((axis.share(axis.value(share)) - share).abs() < 1e-12);
            }
        }
        assert_eq!(Axis::log("", OHMS, 1e3, 64e3).value(0.5).round(), 8e3);
    }

    #[test]
    fn values_read_with_the_prefix_of_their_axis() {
        let current = Axis::linear("plate current", Measure::Si(Unit::Ampere), 0.0, 0.16);
        let said = |value| current.say(value).replace(NO_BREAK, " ");
        assert_eq!(current.title(), "plate current, mA");
        assert_eq!(said(0.035), "35.0 mA");
        assert_eq!(said(0.000_31), "0.3 mA");
        assert_eq!(said(-1e-17), "0 mA");
        assert_eq!(said(0.099_99), "100 mA");
        assert_eq!(current.digits(0.120_04), "120.0");
        let load = Axis::log("load", OHMS, 1e3, 64e3);
        assert_eq!(load.title(), "load, Ω");
        assert_eq!(load.digits(10_666.7).replace(NO_BREAK, " "), "10.7 k");
        assert_eq!(load.say(533.3).replace(NO_BREAK, " "), "533 Ω");
        let share = Axis::linear("distortion", Measure::Percent, 0.0, 0.12);
        assert_eq!(share.say(0.07).replace(NO_BREAK, " "), "7.0 %");
        assert_eq!(share.digits(0.07), "7.0");
    }
}
