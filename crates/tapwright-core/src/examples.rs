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
pub const EXAMPLES: [Example; 4] = [
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
        shows: "six leads and no marking: found out with an ohmmeter and 6.3 V AC",
        link: "v=1&name=The%20unmarked%20lump&stage=single-ended&marking=measured\
               &tube=6V6GT&supply=250&leads=red,%20blue,%20black,%20green,%20yellow,%20white\
               &ohms=red-blue,318&ohms=black-white,0.8&ohms=black-yellow,0.6\
               &ohms=black-green,0.4&ohms=red-black,open\
               &volts=red-blue,6.31,black-white,0.3449&volts=,,black-yellow,0.2442\
               &volts=,,black-green,0.1731&volts=,,green-white,0.1724\
               &volts=,,yellow-white,0.1004\
               &hookup=Shop%2012-inch:8@15&hookup=Pair%20from%20a%20radio:4+4@5",
    },
    Example {
        name: "The record player",
        shows: "a single-ended EL84 behind half an ECC83, its supply, a selector, feedback that can be turned, and a worn tube to set",
        link: "v=1&name=The%20record%20player&stage=single-ended\
               &primary=blue%205.2k,%20white%207k,%20red%20B+\
               &taps=black%20common,%20yellow%204,%20green%208,%20grey%2016\
               &tube=EL84&supply=250&core=gapped&inductance=12%20H&leakage=25%20mH\
               &capacitance=400%20pF&cathode=140\
               &hookup=Shop%2010-inch:8@15&hookup=Radio%20oval:4@6\
               &driver=ECC83&driver_supply=220&driver_plate=100k&driver_cathode=1.5k\
               &feedback_from=selected&feedback_fixed=15k&feedback_control=50k&feedback_at=24\
               &read_plate=247.6&read_cathode=6.38&read_screen=249.1&read_tolerance=1\
               &wanted_dissipation=10.5%20W\
               &heater_rectifier=insulated&heater_amps=2&heater_resistors=100\
               &mains=231&mains_taps=110,%20220,%20240&winding_volts=2%20x%20250&winding_amps=90%20mA\
               &winding_ohms=190&mains_ohms=42&rectifier=EZ80&reservoir=47u&reservoir_volts=450\
               &filter=680,,47u,450,plates%20screens&filter=15k,,22u,450,drivers",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve;
    use tapwright_units::Ohms;

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
                report.solved.connections[answer.connection]
                    .connection
                    .load
                    .reflected
                    .0
                    .round()
            })
            .collect();
        assert_eq!(reflected, [10_000.0, 10_667.0, 10_000.0]);
    }

    #[test]
    fn the_unmarked_lump_is_found_out() {
        let report = solve(&EXAMPLES[2].setup());
        let findings = report.solved.measured.as_ref().expect("it is measured");
        assert!(!findings.unsure && findings.hazards.is_empty());
        let transformer = findings.transformer.as_ref().expect("enough is read");
        let guess = &transformer.guess;
        assert_eq!(guess.taps, [4.0, 8.0, 16.0].map(Ohms));
        assert_eq!(guess.leads, [Ohms(5_000.0)]);
        let first = &report.solved.connections[report.answers[0].connection];
        // 6.31 V over 0.2446 V, squared, times 8 Ω; the 0.2446 V as all readings have it.
        assert!((first.connection.load.reflected.0 / 5_326.0 - 1.0).abs() < 1e-3);
        let (low, high) = first.connection.range().expect("it was measured");
        assert!(low.0 < 5_000.0 && high.0 > 5_600.0, "{low:?} to {high:?}");
    }
}
