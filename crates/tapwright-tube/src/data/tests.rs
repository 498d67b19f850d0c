//! What is refused in the tables, and what the real tables hold.

use serde::de::DeserializeOwned;
use toml::Spanned;

use super::*;
use crate::{Bias, Currents, FullSignal, RatingSystem, ReferredTo, Topology, TubeConnection};

/// The tubes of two files, with the line of what is wrong.
fn read(published: &str, fitted: &str) -> Result<Vec<Tube>, String> {
    let tubes_file = File("data/tubes.toml", published);
    let fitted_file = File("data/fitted.toml", fitted);
    let published: PublishedFile<Spanned<Tube>> = tubes_file.parse()?;
    let fitted: FittedFile<Spanned<FittedModel>> = fitted_file.parse()?;
    put_together(
        &published.sources,
        published.tube.into_iter().map(|row| tubes_file.placed(row)),
        fitted.model.into_iter().map(|row| fitted_file.placed(row)),
    )
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

    fn placed<T>(self, row: Spanned<T>) -> Placed<T> {
        Placed {
            place: self.line(row.span().start),
            row: row.into_inner(),
        }
    }
}

/// What a person reads and corrects is what is computed with.
#[test]
fn the_tubes_are_those_of_the_files() {
    let written = read(
        include_str!("../../data/tubes.toml"),
        include_str!("../../data/fitted.toml"),
    );
    assert_eq!(written.as_deref(), Ok(tubes()));
}

/// A table that is sound. Invented: no such tubes exist.
const SOUND: &str = r#"[sources]
book = "An invented book of tubes"

[[tube]]
type = "1P1"
equivalents = ["1P1G"]
kind = "beam tetrode"
heater = { volts = 6.3, amps = 0.5 }
mu_screen = 9.0
source = "book"
provenance = "from memory"

[[tube.limits]]
system = "design-centre"
plate_watts = 12.0
screen_watts = 2.0
plate_volts = 315.0
source = "book"
provenance = "read"

[[tube.point]]
connection = "triode"
plate_volts = 250.0
grid_volts = -12.0
cathode_ma = 49.0
source = "book"
provenance = "read"
note = "round numbers"
fitted = true

[[tube.example]]
topology = "push-pull"
connection = "pentode"
referred_to = "ground"
plate_volts = 300.0
screen_volts = 280.0
screen_ohms = 470.0
bias = { cathode_ohms = 130.0 }
plate_ma = [70.0, 90.0]
full_signal = "distortion"
load_ohms = 8000.0
thd_percent = 5.0
source = "book"
provenance = "read"
fitted = false

[[tube]]
type = "1T1"
equivalents = []
kind = "triode"
heater = { volts = 2.5, amps = 1.5 }
source = "book"
provenance = "read"

[[tube.limits]]
system = "absolute"
plate_watts = 15.0
plate_volts = 300.0
source = "book"
provenance = "read"

[[tube.example]]
topology = "single-ended"
connection = "triode"
plate_volts = 250.0
bias = { grid_volts = -45.0 }
plate_ma = [60.0]
full_signal = { drive_volts = 30.0 }
load_ohms = 2500.0
source = "book"
provenance = "read"
fitted = true
"#;

const SOUND_MODEL: &str = r#"[[model]]
type = "1T1"
mu = 4.2
exponent = 1.5
perveance = 0.001
kp = 30.0
kvb = 300.0
contact = 0.5
"#;

#[test]
fn a_sound_table_is_read_as_it_stands() {
    let tubes = read(SOUND, SOUND_MODEL).expect("sound");
    let [beam, triode] = &tubes[..] else {
        panic!("{tubes:?}")
    };
    assert_eq!(beam.names().collect::<Vec<_>>(), ["1P1", "1P1G"]);
    assert_eq!(beam.source, "An invented book of tubes");
    assert_eq!(beam.points[0].source, "An invented book of tubes");
    assert_eq!(beam.points[0].screen_volts(), 250.0);
    assert_eq!(beam.model, Model::Pentode(Pentode::UNFITTED));
    let example = &beam.examples[0];
    assert_eq!(example.connection, TubeConnection::Pentode);
    assert_eq!(example.referred_to, ReferredTo::Ground);
    assert_eq!(example.screen_volts(), 280.0);
    assert_eq!(example.bias, Bias::Cathode(130.0));
    let currents = Currents {
        idle: 70.0,
        full: Some(90.0),
    };
    assert_eq!(example.plate_ma, currents);
    assert_eq!(example.full_signal, FullSignal::Distortion);
    let example = &triode.examples[0];
    assert_eq!(example.referred_to, ReferredTo::Cathode);
    assert_eq!(example.screen_volts(), 250.0);
    assert_eq!(example.bias, Bias::Fixed(-45.0));
    assert_eq!(example.full_signal, FullSignal::Drive(30.0));
    assert!(matches!(triode.model, Model::Triode(triode) if triode.mu == 4.2));
}

/// What makes the sound table one that is refused: the line that is named, and behind a comma
/// the tube where it is named too | what stands in the sound table | what stands there
/// instead | why that is refused. `\n` is the end of a line.
const REFUSED: &str = r#"
47 | equivalents = [] | equivalents = ["1p1g"] | the name 1p1g stands for two tubes
47 | type = "1T1" | type = "1P1" | the name 1P1 stands for two tubes
50 | kind = "triode" | kind = "diode" | unknown variant `diode`, expected one of
47, 1T1 | kind = "triode" | kind = "pentode" | mu_screen belongs to tubes with a screen
4, 1P1 | mu_screen = 9.0\n |  | mu_screen belongs to tubes with a screen
4, 1P1 | mu_screen = 9.0 | mu_screen = nan | mu_screen = NaN: a number above zero
4, 1P1 | volts = 6.3 | volts = 0.0 | heater.volts = 0: a number above zero
4, 1P1 | amps = 0.5 | amps = -0.5 | heater.amps = -0.5: a number above zero
8 | amps = 0.5 | amps = 0.5, ohms = 12.6 | unknown field `ohms`
9 | mu_screen = 9.0 | mu = 9.0 | unknown field `mu`
47, 1T1 | \n[[tube.limits]]\nsystem = "absolute"\nplate_watts = 15.0\nplate_volts = 300.0\nsource = "book"\nprovenance = "read"\n |  | no limits
4, 1P1 | source = "book"\nprovenance = "from memory" | source = "paper"\nprovenance = "read" | source "paper" is not in [sources]
11 | provenance = "from memory" | provenance = "hearsay" | unknown variant `hearsay`
56 | system = "absolute" | system = "hopeful" | unknown variant `hopeful`
4, 1P1 | plate_watts = 12.0 | plate_watts = 0.05 | limits 1: plate_watts = 0.05: between 0.1 and 1000
4, 1P1 | plate_watts = 12.0 | plate_watts = inf | limits 1: plate_watts = inf: between 0.1 and 1000
4, 1P1 | plate_volts = 315.0 | plate_volts = 5001.0 | limits 1: plate_volts = 5001: between 10 and 5000
4, 1P1 | screen_watts = 2.0\n |  | limits 1: screen_watts belongs to the limits of tubes with a screen
47, 1T1 | plate_watts = 15.0 | plate_watts = 15.0\nscreen_watts = 2.0 | limits 1: screen_watts belongs to the limits of tubes with a screen
4, 1P1 | screen_watts = 2.0 | screen_watts = 0.0 | limits 1: screen_watts = 0: a number above zero
4, 1P1 | plate_volts = 315.0 | plate_volts = 315.0\nscreen_volts = 0.0 | limits 1: screen_volts = 0: a number above zero
4, 1P1 | plate_volts = 315.0 | plate_volts = 315.0\ncathode_ma = nan | limits 1: cathode_ma = NaN: a number above zero
18 | plate_volts = 315.0 | plate_volts = 315.0\nplate_amps = 1.0 | unknown field `plate_amps`
4, 1P1 | grid_volts = -12.0 | grid_volts = 0.5 | point 1: grid_volts = 0.5: between -500 and 0
4, 1P1 | plate_volts = 250.0\ngrid_volts | plate_volts = 0.5\ngrid_volts | point 1: plate_volts = 0.5: between 1 and 5000
4, 1P1 | cathode_ma = 49.0\n |  | point 1: a triode point gives cathode_ma, a pentode point plate_ma
4, 1P1 | cathode_ma = 49.0 | plate_ma = 44.0 | point 1: a triode point gives cathode_ma, a pentode point plate_ma
4, 1P1 | connection = "triode"\nplate_volts = 250.0\ngrid_volts | connection = "pentode"\nplate_volts = 250.0\nscreen_volts = 250.0\ngrid_volts | point 1: a triode point gives cathode_ma, a pentode point plate_ma
4, 1P1 | connection = "triode"\nplate_volts = 250.0\ngrid_volts | connection = "triode"\nplate_volts = 250.0\nscreen_volts = 250.0\ngrid_volts | point 1: screen_volts belongs to the pentode connection
4, 1P1 | cathode_ma = 49.0 | cathode_ma = 49.0\ngm_ms = -5.0 | point 1: gm_ms = -5: a number above zero
4, 1P1 | cathode_ma = 49.0 | cathode_ma = 49.0\nrp_kohm = inf | point 1: rp_kohm = inf: a number above zero
4, 1P1 | cathode_ma = 49.0 | cathode_ma = 49.0\nmu = 0.0 | point 1: mu = 0: a number above zero
4, 1P1 | cathode_ma = 49.0 | cathode_ma = 49.0\nscreen_ma = 0.0 | point 1: screen_ma = 0: a number above zero
4, 1P1 | cathode_ma = 49.0 | cathode_ma = 0.0 | point 1: cathode_ma = 0: a number above zero
4, 1P1 | note = "round numbers" | note = " " | point 1: note is empty
28 | note = "round numbers" | remark = "round numbers" | unknown field `remark`
21 | fitted = true\n\n | \n | missing field `fitted`
32 | topology = "push-pull" | topology = "bridge" | unknown variant `bridge`
33 | connection = "pentode" | connection = "cathode" | unknown variant `cathode`
4, 1P1 | connection = "pentode" | connection = "triode" | example 1: screen_volts belongs to the pentode connection
4, 1P1 | screen_volts = 280.0\n |  | example 1: screen_volts belongs to the pentode connection
47, 1T1 | connection = "triode"\nplate_volts = 250.0\nbias | connection = "pentode"\nplate_volts = 250.0\nscreen_volts = 250.0\nbias | example 1: screen_volts belongs to the pentode connection
4, 1P1 | screen_volts = 280.0 | screen_volts = 2001.0 | example 1: screen_volts = 2001: between 1 and 2000
34 | referred_to = "ground" | referred_to = "chassis" | unknown variant `chassis`
4, 1P1 | plate_volts = 300.0\nscreen | plate_volts = 0.0\nscreen | example 1: plate_volts = 0: between 1 and 5000
4, 1P1 | screen_ohms = 470.0 | screen_ohms = -1.0 | example 1: screen_ohms = -1: between 0 and 1000000
4, 1P1 | load_ohms = 8000.0 | load_ohms = 8.0 | example 1: load_ohms = 8: between 100 and 100000
4, 1P1 | cathode_ohms = 130.0 | cathode_ohms = 0.5 | example 1: cathode_ohms = 0.5: between 1 and 10000
47, 1T1 | grid_volts = -45.0 | grid_volts = 45.0 | example 1: grid_volts = 45: between -500 and 0
38 | { cathode_ohms = 130.0 } | { cathode_ohms = 130.0, grid_volts = -10.0 } | wanted exactly 1 element, more than 1 element
38 | { cathode_ohms = 130.0 } | {} | wanted exactly 1 element, found 0 elements
31 | bias = { cathode_ohms = 130.0 }\n |  | missing field `bias`
39 | plate_ma = [70.0, 90.0] | plate_ma = [90.0, 70.0] | [idle] or [idle, full] expected, full not below idle
39 | plate_ma = [70.0, 90.0] | plate_ma = [] | [idle] or [idle, full] expected, full not below idle
39 | plate_ma = [70.0, 90.0] | plate_ma = [70.0, 80.0, 90.0] | [idle] or [idle, full] expected, full not below idle
67 | plate_ma = [60.0] | plate_ma = [nan] | currents above zero expected
39 | plate_ma = [70.0, 90.0] | plate_ma = [70.0, inf] | currents above zero expected
4, 1P1 | thd_percent = 5.0\n |  | example 1: full_signal can be "distortion" where thd_percent is given
40 | full_signal = "distortion" | full_signal = "loud" | unknown variant `loud`
47, 1T1 | drive_volts = 30.0 | drive_volts = 0.0 | example 1: drive_volts = 0: a number above zero
4, 1P1 | thd_percent = 5.0 | thd_percent = -5.0 | example 1: thd_percent = -5: a number above zero
4, 1P1 | thd_percent = 5.0 | thd_percent = 5.0\nwatts = 0.0 | example 1: watts = 0: a number above zero
4, 1P1 | thd_percent = 5.0 | thd_percent = 5.0\nrp_kohm = 0.0 | example 1: rp_kohm = 0: a number above zero
4, 1P1 | thd_percent = 5.0 | thd_percent = 5.0\ngm_ms = nan | example 1: gm_ms = NaN: a number above zero
4, 1P1 | thd_percent = 5.0 | thd_percent = 5.0\nnote = "" | example 1: note is empty
43 | thd_percent = 5.0 | thd_percent = 5.0\nloud = true | unknown field `loud`
1 | [sources] | author = 1\n[sources] | unknown field `author`
68 | plate_ma = [60.0] | plate_ma = [60.0 | missing comma between array elements
"#;

#[test]
fn a_table_that_contradicts_itself_is_refused() {
    let mut refused = 0;
    for row in REFUSED.trim().lines() {
        let row = row.replace("\\n", "\n");
        let [place, sound, wrong, why] = row.split(" | ").collect::<Vec<_>>()[..] else {
            panic!("{row}")
        };
        assert!(SOUND.contains(sound), "{row}");
        let refusal = read(&SOUND.replacen(sound, wrong, 1), SOUND_MODEL).expect_err(&row);
        assert!(
            refusal.starts_with(&format!("data/tubes.toml, line {place}")) && refusal.contains(why),
            "{row}\ngave {refusal}"
        );
        refused += 1;
    }
    assert!(refused > 60, "{refused}");
}

#[test]
fn a_fitted_model_that_does_not_belong_is_refused() {
    let line = "data/fitted.toml, line 1";
    for (sound, wrong, why) in [
        ("1T1", "1T2", "1T2 is not in data/tubes.toml"),
        ("1T1", "1P1", "unknown field `kvb`"),
        ("kp = 30.0\n", "", "missing field `kp`"),
        ("kp = 30.0", "kp = 30.0\nknee = 3.0", "unknown field `knee`"),
        ("type = \"1T1\"\n", "", "missing field `type`"),
        ("kp = 30.0", "kp = \"30\"", "expected f64"),
    ] {
        assert!(SOUND_MODEL.contains(sound), "{sound}");
        let refusal = read(SOUND, &SOUND_MODEL.replace(sound, wrong)).expect_err(wrong);
        assert!(
            refusal.starts_with(line) && refusal.contains(why),
            "{wrong:?} gave {refusal:?} and not {line}: {why}"
        );
    }
    let twice = SOUND_MODEL.repeat(2);
    assert_eq!(
        read(SOUND, &twice).expect_err("twice"),
        "data/fitted.toml, line 9, 1T1: a second model of this type"
    );
}

/// Each model is one fitted to its tube, not the one that a fit starts from.
#[test]
fn every_tube_is_fitted() {
    for tube in tubes() {
        assert_ne!(tube.model, tube.kind.unfitted(), "{}", tube.designation);
    }
}

/// Every tube has limits under a rating system (IEC 60134), and tubes with a screen have
/// them for the screen; a promise that allows for tolerances is not above one that does not.
#[test]
fn limits_are_complete() {
    for tube in tubes() {
        let name = &tube.designation;
        assert!(!tube.limits.is_empty(), "{name}");
        for limits in &tube.limits {
            assert!(
                limits.plate_watts > 0.0 && limits.plate_volts > 0.0,
                "{name}"
            );
            let screen = (limits.screen_watts, limits.screen_volts);
            if tube.kind == Kind::Triode {
                assert_eq!(screen, (None, None), "{name}");
            } else {
                assert!(
                    matches!(screen, (Some(w), Some(v)) if w > 0.0 && v > 0.0),
                    "{name}"
                );
            }
            assert!(limits.cathode_ma.is_none_or(|ma| ma > 0.0), "{name}");
        }
        let of = |system| tube.limits.iter().find(|l| l.system == system);
        if let (Some(centre), Some(maximum)) = (
            of(RatingSystem::DesignCentre),
            of(RatingSystem::DesignMaximum),
        ) {
            assert!(centre.plate_watts <= maximum.plate_watts, "{name}");
            assert!(centre.plate_volts <= maximum.plate_volts, "{name}");
        }
    }
}

/// No published example idles above the limits of its tube, except for 10 % that rounded
/// currents and a sheet of another year may add. (Voltages cannot be checked so: makers print
/// examples above the limits of a later sheet.)
#[test]
fn examples_idle_within_the_limits() {
    for tube in tubes() {
        let most = tube
            .limits
            .iter()
            .map(|l| l.plate_watts)
            .fold(0.0, f64::max);
        for e in &tube.examples {
            let tubes = if e.topology == Topology::PushPull {
                2.0
            } else {
                1.0
            };
            let cathode_ma = e.idle_cathode_ma();
            let volts = match (e.bias, e.referred_to) {
                (Bias::Cathode(ohms), ReferredTo::Ground) => {
                    e.plate_volts - 1e-3 * ohms * cathode_ma
                }
                _ => e.plate_volts,
            };
            let watts = 1e-3 * volts * e.plate_ma.idle / tubes;
            assert!(
                watts <= 1.1 * most,
                "{}: {watts} of {most} W",
                tube.designation
            );
        }
    }
}

/// Each number names its source, and each source is named in full.
#[test]
fn every_number_has_a_source() {
    for tube in tubes() {
        let rows = std::iter::once(&tube.source)
            .chain(tube.limits.iter().map(|row| &row.source))
            .chain(tube.points.iter().map(|row| &row.source))
            .chain(tube.examples.iter().map(|row| &row.source));
        for source in rows {
            assert!(source.len() > 10, "{}: {source:?}", tube.designation);
        }
    }
}

/// The types that such amplifiers use are there, under each customary name.
#[test]
fn the_tubes_asked_for_are_there() {
    for name in [
        "6V6GT", "6AQ5", "EL90", "6F6", "6K6GT", "6L6GC", "5881", "6550", "KT88", "EL84", "6BQ5",
        "EL34", "6CA7", "EL86", "ECL82", "ECL86", "50C5", "2A3", "45", "300B", "12AX7", "ECC83",
        "12AT7", "12AU7", "6SL7", "6SN7", "6AV6",
    ] {
        assert!(find(name).is_some(), "{name}");
    }
}
