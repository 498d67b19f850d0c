//! What to beware of with a connection. Each domain owns its cautions; here they are put in
//! order.

use serde::Serialize;

use crate::solved::Solved;

pub mod connection;
pub mod heaters;
pub mod iron;
pub mod speakers;
pub mod stage;
pub mod supply;

/// Something to beware of.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Caution {
    /// Of the power supply.
    Supply(supply::Caution),
    /// Of the output stage and its tubes.
    Stage(stage::Caution),
    /// Of the speakers.
    Speakers(speakers::Caution),
    /// Of the connection itself.
    Connection(connection::Caution),
    /// Of the transformer.
    Iron(iron::Caution),
}

/// How pressing a caution is, the most pressing first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// It kills whoever touches the chassis.
    Lethal,
    /// It holds with the speakers' reactance, and no load elsewhere is worse.
    WithReactance,
    /// The readings that all else rests on are in doubt.
    ReadingsInDoubt,
    /// All that is said holds at one frequency only.
    OneFrequency,
    /// It decides the verdict, or holds with the speakers' reactance at that frequency.
    Decisive,
    /// The transformer cannot be wired or used so.
    Wiring,
    /// The operating point is odd, or music passes a limit.
    Operation,
    /// The power is more than something behind the tubes takes.
    Overload,
    /// The load does not fit.
    Misfit,
    /// A limit is passed when overdriven.
    Overdriven,
    /// Within its tolerance the load is worse.
    Tolerance,
    /// What to see to when wiring.
    Handling,
    /// Beyond full drive, or at the drive typed, something is too much.
    BeyondFullDrive,
    /// It holds for every connection.
    Always,
}

impl Caution {
    /// What to beware of with the connection at a place, most pressing first.
    pub(crate) fn every(solved: &Solved, place: usize) -> Vec<Self> {
        let Some(judged) = solved.connections.get(place) else {
            return Vec::new();
        };
        let followed = (solved.followed.as_ref()).filter(|followed| followed.place == place);
        let exact = followed.and_then(|followed| followed.exact());
        let stage = stage::cautions(solved, judged, exact);
        let speakers = speakers::cautions(solved, judged, exact);
        let connection = connection::cautions(solved, judged);
        let iron = iron::cautions(solved, judged, place, exact);
        let mut all: Vec<(Severity, Self)> = Vec::new();
        all.extend(
            supply::cautions(solved)
                .into_iter()
                .map(|(by, caution)| (by, Self::Supply(caution))),
        );
        all.extend(
            stage
                .into_iter()
                .map(|(by, caution)| (by, Self::Stage(caution))),
        );
        all.extend(
            speakers
                .into_iter()
                .map(|(by, caution)| (by, Self::Speakers(caution))),
        );
        all.extend(
            connection
                .into_iter()
                .map(|(by, caution)| (by, Self::Connection(caution))),
        );
        all.extend(
            iron.into_iter()
                .map(|(by, caution)| (by, Self::Iron(caution))),
        );
        all.sort_by_key(|(severity, _)| *severity);
        all.into_iter().map(|(_, caution)| caution).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Report, link, solve};
    use tapwright_units::Watts;

    fn report(link: &str) -> Report {
        solve(&link::parse(link).setup)
    }

    /// 10 W against 6 W of speaker; √(5.7 W · 5 kΩ) = 169 V on a 100 V winding.
    #[test]
    fn too_much_power_for_speaker_or_line_transformer() {
        let hall = report(crate::examples::EXAMPLES[0].link);
        let Caution::Speakers(speakers::Caution::MoreThanSpeakersTake(Watts(gives), Watts(6.0))) =
            &hall.answers[2].cautions[0]
        else {
            panic!("{:?}", hall.answers[2].cautions)
        };
        assert!((gives / 10.0 - 1.0).abs() < 0.05, "{gives}");
        let line = report(crate::examples::EXAMPLES[1].link);
        let over = line.answers[0]
            .cautions
            .iter()
            .find_map(|caution| match caution {
                Caution::Iron(iron::Caution::OverLineVoltage(volts, _)) => Some(volts.0),
                _ => None,
            });
        let best = &line.solved.connections[line.answers[0].connection];
        let watts = best.output.expect("the stage is known").watts.0;
        let volts = (watts * best.connection.load.reflected.0).sqrt();
        assert!((over.expect("over the line voltage") - volts).abs() < 1e-9);
        assert!(volts > 150.0, "{volts}");
    }

    fn names(link: &str) -> Vec<String> {
        let cautions = &report(link).answers[0].cautions;
        let name = |caution: &Caution| match serde_json::to_value(caution) {
            Ok(serde_json::Value::Object(named)) => named.keys().next().cloned(),
            Ok(serde_json::Value::String(name)) => Some(name),
            _ => None,
        };
        cautions.iter().filter_map(name).collect()
    }

    #[test]
    fn a_ratio_in_doubt_comes_before_what_a_speaker_may_fall_to() {
        let link = "marking=measured&leads=a,%20b,%20c,%20d&voltmeter=2%25%20%2B%205\
                    &ohms=a-b,150&ohms=c-d,0.9&volts=a-b,12.6,c-d,0.51&hookup=8";
        let order = [
            "readings-unsure",
            "no-centre-tap",
            "ratio-unsure",
            "may-fall-to",
            "never-without-load",
        ];
        assert_eq!(names(link), order);
    }

    /// A hot tube is the first thing to say only where the reactance makes nothing worse.
    #[test]
    fn what_the_reactance_makes_worse_comes_first() {
        let link = "stage=single-ended&primary=5k&taps=8&tube=6V6GT&supply=250&grid=-12.5&hookup=8";
        assert_eq!(names(link)[0], "gap-unknown");
        let at_100 = names(&format!("{link}&frequency=100"));
        assert_eq!(at_100[..2], ["over-limit-with-reactance", "gap-unknown"]);
    }

    #[test]
    fn an_unused_lead_carries_the_swing_of_its_turns() {
        let report = report("primary=8k,%2010k&taps=8&hookup=8&target=8k");
        let unused = report.answers[0]
            .cautions
            .iter()
            .find_map(|caution| match caution {
                Caution::Iron(iron::Caution::UnusedPrimaryLeads(leads)) => Some(leads[0]),
                _ => None,
            });
        let (lead, swing) = unused.expect("a lead is unused");
        assert_eq!(lead, 1);
        assert!((swing - 1.25_f64.sqrt()).abs() < 1e-12);
    }
}
