//! Measured curves that come from files, and the speakers that they belong to.

use tapwright_core::link;
use tapwright_core::setup::{List, Setup};
use tapwright_speaker::{FileProblem, ImpedanceCurve, THINNED_WITHIN, Thinned, thin};

use super::Desk;
use crate::number;

/// A curve from a file is thinned until the link has no more than this many characters.
const LONGEST_LINK: usize = 8_000;

/// Most characters of a curve that has to be averaged, so that other curves find room too.
const LONGEST_AVERAGED: usize = 5_000;

/// With fewer characters left than this, no useful curve fits.
const SHORTEST_CURVE: usize = 300;

impl Desk {
    /// Takes a curve that was read for the speaker at a place; without one, for the first
    /// that has no curve yet, or for a new one. What cannot be read changes nothing.
    pub fn take_curve(
        &mut self,
        place: Option<usize>,
        file: &str,
        read: Result<ImpedanceCurve, FileProblem>,
    ) {
        let curve = match read {
            Ok(curve) => curve,
            Err(problem) => {
                let why = format!("“{file}” could not be read, {problem}. Nothing was changed.",);
                return self.tell_file(place, why);
            }
        };
        let mut typed = self.typed.clone();
        let free = || {
            typed
                .drivers
                .iter()
                .position(|row| row.curve.trim().is_empty())
        };
        let at = (place.filter(|at| *at < typed.drivers.len()))
            .or_else(free)
            .unwrap_or(typed.drivers.len());
        if at == List::Driver.about().most {
            let why =
                format!("“{file}” has no place: as many speakers are described as there can be.",);
            return self.tell_file(Some(at), why);
        }
        if at == typed.drivers.len() {
            typed.add_row(List::Driver);
            self.name_driver(&mut typed);
        }
        let Some(row) = typed.drivers.get_mut(at) else {
            return;
        };
        row.curve.clear();
        row.from = file.into();
        let room = room(&typed);
        if room < SHORTEST_CURVE {
            let why = format!("“{file}” has no room in the link: other curves and texts fill it.",);
            return self.tell_file(Some(at), why);
        }
        let mut thinned = thin(&curve, room);
        if thinned.largest_error > THINNED_WITHIN {
            thinned = thin(&curve, room.min(LONGEST_AVERAGED));
        }
        let told = told(&thinned);
        if let Some(row) = typed.drivers.get_mut(at) {
            row.from = format!("{file}: {told}");
            row.curve = thinned.text;
        }
        self.settle();
        self.theirs = true;
        self.change(typed, true);
        self.set_open("drivers", true);
        self.set_open(&format!("measured.{}", at + 1), true);
        let told = format!(
            "“{file}” was read for speaker {number}: {told}.",
            number = at + 1,
        );
        self.tell_file(Some(at), told);
    }

    /// Names the last speaker of a set-up: by the first rating in a hookup that is not
    /// described yet, or by a letter.
    pub(super) fn name_driver(&self, typed: &mut Setup) {
        let drivers = self
            .values
            .hookups
            .iter()
            .flatten()
            .flat_map(|hookup| &hookup.drivers);
        let undescribed = drivers.into_iter().find(|driver| driver.name.is_empty());
        let is_free = |letter: &char| {
            let mut others = self.typed.drivers.iter();
            others.all(|other| !other.called.chars().eq([*letter]))
        };
        let name = match undescribed {
            Some(driver) => number::trimmed(driver.rated.0, 6),
            None => ('A'..='Z').find(is_free).unwrap_or('Z').into(),
        };
        if let Some(row) = typed.drivers.last_mut() {
            row.called = name;
        }
    }
}

/// How many characters of a link are left for one more curve.
fn room(typed: &Setup) -> usize {
    // 120 for the sentence on how it was thinned, escaped.
    let used = link::encode(typed).len() + 120;
    LONGEST_LINK.saturating_sub(used)
}

/// What was made of the points of a file, in a few words.
fn told(thinned: &Thinned) -> String {
    let (before, points) = (thinned.before, thinned.points);
    let off = number::percent_short(thinned.largest_error);
    if points == before {
        format!("all {points} points")
    } else if thinned.largest_error > THINNED_WITHIN {
        format!(
            "{before} points thinned to {points}, averaged, as they are too restless for a link: up to {off} off"
        )
    } else {
        format!("{before} points thinned to {points}, within {off}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::action::Action;
    use crate::view::Notice;
    use tapwright_speaker::read_points;

    fn notice(desk: &Desk) -> String {
        match desk.notices.last() {
            Some(Notice::File(_, what)) => what.clone(),
            other => panic!("{other:?}"),
        }
    }

    fn curve(points: u32) -> ImpedanceCurve {
        let lines: Vec<String> = (0..points)
            .map(|n| {
                format!(
                    "{} {} 0",
                    20 + n,
                    8.0 + 4.0 * f64::from(n * n % 101) / 100.0
                )
            })
            .collect();
        read_points(&lines.join(";")).unwrap_or_else(|problem| panic!("{problem}"))
    }

    #[test]
    fn a_curve_goes_to_a_speaker_of_its_own_and_can_be_undone() {
        let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=15");
        desk.take_curve(None, "a.txt", Ok(curve(200)));
        assert_eq!(desk.value("speaker.1.called").as_deref(), Some("15"));
        assert!(
            notice(&desk).starts_with("“a.txt” was read for speaker 1: 200 points thinned to ")
        );
        assert!(desk.is_open("drivers") && desk.is_open("measured.1"));
        assert_eq!(link::parse(&desk.link()).setup, desk.typed);
        // The next goes to a further one, called by a letter: 15 is described.
        desk.take_curve(None, "b.txt", Ok(curve(2)));
        assert_eq!(desk.value("speaker.2.called").as_deref(), Some("A"));
        assert_eq!(
            desk.value("speaker.2.from").as_deref(),
            Some("b.txt: all 2 points")
        );
        desk.take_curve(Some(0), "c.txt", Ok(curve(2)));
        assert_eq!(
            desk.value("speaker.1.from").as_deref(),
            Some("c.txt: all 2 points")
        );
        desk.act(Action::Undo);
        desk.act(Action::Undo);
        desk.act(Action::Undo);
        assert!(desk.typed.drivers.is_empty());
    }

    #[test]
    fn a_file_that_cannot_be_read_changes_nothing() {
        let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8");
        let before = desk.typed.clone();
        let fault = read_points("20 8 0; 20 8 0").expect_err("repeated");
        desk.take_curve(None, "a.txt", Err(fault));
        assert_eq!(
            notice(&desk),
            "“a.txt” could not be read, line 2: it repeats 20 Hz; each frequency stands there once. Nothing was changed."
        );
        assert_eq!(desk.typed, before);
        desk.act(Action::Dismiss);
        assert!(desk.notices.is_empty());
    }

    /// What becomes of a file, and of what it makes idle, is said where the file was chosen.
    #[test]
    fn the_field_tells_of_its_file() {
        let mut desk =
            Desk::open("#v=1&primary=8k&taps=8&hookup=A&speaker.1.called=A&speaker.1.resonance=75");
        let fault = read_points("20 8 0; 20 8 0").expect_err("repeated");
        let echo = |desk: &Desk| {
            let mut found = desk.regions().first.into_iter();
            let found = found.find(|region| region.id == "echo-speaker-1-curve");
            found.map(|region| region.markup.0).expect("it is there")
        };
        desk.take_curve(Some(0), "a.txt", Err(fault));
        let told = echo(&desk);
        assert!(told.contains("“a.txt” could not be read, line 2"), "{told}");
        assert!(!told.contains("does not"), "{told}");
        desk.take_curve(Some(0), "b.txt", Ok(curve(3)));
        let told = echo(&desk);
        assert!(told.contains("“b.txt” was read"), "{told}");
        assert!(told.contains("resonance and box does not"), "{told}");
    }

    /// Where the link has the room, a restless curve keeps its points too.
    #[test]
    fn a_curve_is_averaged_only_where_the_link_is_full() {
        let restless: Vec<String> = (0..380_u32)
            .map(|n| format!("{}.5 {}.125 12.5", 120 + n, 8 + 4 * (n % 2)))
            .collect();
        let restless =
            read_points(&restless.join(";")).unwrap_or_else(|problem| panic!("{problem}"));
        let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8");
        desk.take_curve(None, "a.txt", Ok(restless));
        assert!(
            desk.link().len() > LONGEST_AVERAGED,
            "{} {}",
            desk.link().len(),
            notice(&desk)
        );
        assert!(desk.link().len() <= LONGEST_LINK, "{}", desk.link().len());
        let told = notice(&desk);
        assert!(!told.contains("averaged"), "{told}");
    }

    /// However many curves there are, and however restless, they leave the link short.
    #[test]
    fn curves_keep_to_their_room_in_the_link() {
        let restless: Vec<String> = (0..20_000_u32)
            .map(|n| format!("{} {} 0", 20 + n, 8 + (n * 7_919) % 5))
            .collect();
        let restless =
            read_points(&restless.join(";")).unwrap_or_else(|problem| panic!("{problem}"));
        let mut desk = Desk::open("#v=1&primary=8k&taps=8&hookup=8");
        let mut told = Vec::new();
        for _ in 0..10 {
            desk.take_curve(None, "a.txt", Ok(restless.clone()));
            assert!(desk.link().len() <= LONGEST_LINK, "{}", desk.link().len());
            told.push(notice(&desk));
        }
        assert!(
            told[0].contains("averaged, as they are too restless"),
            "{told:?}"
        );
        assert!(told[9].contains("no room in the link"), "{told:?}");
    }
}
