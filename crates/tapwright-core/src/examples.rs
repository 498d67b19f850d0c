//! The set-ups that ship with the page. Invented data: no such amplifier exists.

use crate::link;
use crate::setup::Setup;

/// A set-up that ships, as a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Example {
    /// Its name.
    pub name: &'static str,
    /// What it shows, in one line.
    pub shows: &'static str,
    /// The fragment that opens it.
    pub link: &'static str,
}

impl Example {
    /// The set-up that it opens.
    ///
    /// ```
    /// let setup = tapwright_core::examples::EXAMPLES[0].setup();
    /// assert_eq!(setup.hookups.len(), 3);
    /// ```
    pub fn setup(&self) -> Setup {
        link::parse(self.link).setup
    }
}

/// The examples, in the order in which the page offers them.
pub const EXAMPLES: [Example; 3] = [
    Example {
        name: "The village-hall amplifier",
        shows: "two primary leads, three taps, three speakers, a push-pull pair of 6AQ5",
        link: "v=1&name=The%20village-hall%20amplifier\
               &primary=brown%208k,%20blue%2010k&taps=white%203,%20green%208,%20yellow%2015\
               &tube=6AQ5&supply=250\
               &hookup=Hall%2012-inch:15@20&hookup=Pair%20of%2010-inch:8//8@10\
               &hookup=Television%20oval:3@6",
    },
    Example {
        name: "The line transformer",
        shows: "power taps of a 100 V line, pressed into service behind one EL84",
        link: "v=1&name=The%20line%20transformer&stage=single-ended&marking=line\
               &power=1,%202.5,%205,%2010&taps=4,%208,%2016&tube=EL84&supply=250\
               &hookup=Shop%208-inch:8@15&hookup=Two%20in%20a%20box:8+8@10",
    },
    Example {
        name: "The unmarked lump",
        shows: "six leads and no marking: what is still unknown",
        link: "v=1&name=The%20unmarked%20lump&stage=single-ended&tube=6V6GT&supply=250\
               &hookup=Whatever%20fits:8",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::Missing;
    use crate::solve;

    #[test]
    fn examples_are_links_as_this_program_writes_them() {
        for example in EXAMPLES {
            let parsed = link::parse(example.link);
            assert!(
                parsed.troubles.is_empty(),
                "{}: {:?}",
                example.name,
                parsed.troubles
            );
            assert_eq!(link::encode(&parsed.setup), example.link);
            assert!(solve(&parsed.setup).problems.is_empty(), "{}", example.name);
        }
    }

    /// 8 kΩ : 3 Ω with 4 Ω of speaker, and 10 kΩ matched: exact arithmetic.
    #[test]
    fn the_village_hall_has_an_answer_for_each_speaker() {
        let report = solve(&EXAMPLES[0].setup());
        let reflected: Vec<f64> = report
            .answers
            .iter()
            .map(|answer| {
                report.connections[answer.connection]
                    .load
                    .reflected
                    .0
                    .round()
            })
            .collect();
        assert_eq!(reflected, [10_000.0, 10_667.0, 10_000.0]);
    }

    #[test]
    fn the_unmarked_lump_says_what_is_unknown() {
        let report = solve(&EXAMPLES[2].setup());
        assert_eq!(report.missing, [Missing::Primary, Missing::Taps]);
        assert!(report.answers.is_empty());
    }
}
