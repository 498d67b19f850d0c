//! Counts what test programs report, so that many runs end in one line.
//!
//! Read from the lines that Rust's test harness prints for people: its JSON
//! output is unstable. The browsers' harness prints the same lines.

/// What was found over all runs so far.
#[derive(Debug, Default)]
pub struct Tally {
    /// Tests and checks that passed.
    pub passed: usize,
    /// What failed, by name.
    pub failed: Vec<String>,
    /// What was skipped, with the reason.
    pub skipped: Vec<String>,
}

impl Tally {
    /// Counts one check that is not a test program.
    pub fn check(&mut self, name: &str, passed: bool) {
        if passed {
            self.passed += 1;
        } else {
            self.failed.push(name.to_owned());
        }
    }

    /// Counts the output of one step that runs test programs.
    ///
    /// `succeeded` is what its exit code said. A step that fails without a
    /// failed test (it did not compile, it was killed) counts as one failure,
    /// and so does a step that ran nothing at all.
    pub fn step(&mut self, name: &str, output: &str, succeeded: bool) {
        let before = self.failed.len();
        let (mut passed, mut failed, mut skipped) = (0, 0, 0);
        for line in output.lines() {
            if let Some(counts) = line.trim_start().strip_prefix("test result: ") {
                passed += count(counts, "passed");
                failed += count(counts, "failed");
                skipped += count(counts, "ignored");
            } else if let Some((test, outcome)) = outcome(line) {
                if outcome.starts_with("FAIL") {
                    self.failed.push(format!("{name}: {test}"));
                } else if let Some(rest) = outcome.strip_prefix("ignored") {
                    let reason = rest.trim_matches([',', ' ', '(', ')']);
                    self.skipped.push(if reason.is_empty() {
                        format!("{name}: {test}")
                    } else {
                        format!("{name}: {test}: {reason}")
                    });
                }
            }
        }
        self.passed += passed;
        let named = self.failed.len() - before;
        for _ in named..failed {
            self.failed.push(format!("{name}: a test without a name"));
        }
        if !succeeded && self.failed.len() == before {
            self.failed.push(format!("{name}: did not run to its end"));
        } else if passed + failed + skipped == 0 {
            self.failed.push(format!("{name}: ran no test"));
        }
    }

    /// The last line of a run.
    pub fn line(&self) -> String {
        format!(
            "{} passed, {} failed, {} skipped",
            self.passed,
            self.failed.len(),
            self.skipped.len()
        )
    }
}

/// The number before `word` in `ok. 12 passed; 0 failed; 3 ignored; …`.
fn count(counts: &str, word: &str) -> usize {
    let mut words = counts.split([' ', ';', '.']).filter(|w| !w.is_empty());
    let mut last = "";
    words
        .find_map(|w| {
            if w == word {
                return last.parse().ok();
            }
            last = w;
            None
        })
        .unwrap_or(0)
}

/// Name and outcome in a line such as `test units::parses ... ok`.
fn outcome(line: &str) -> Option<(&str, &str)> {
    let (test, outcome) = line
        .trim_start()
        .strip_prefix("test ")?
        .rsplit_once(" ... ")?;
    Some((test.trim(), outcome))
}

#[cfg(test)]
mod tests {
    use super::*;

    const OUTPUT: &str = "\
running 3 tests
test units::parses ... ok
test firefox::opens ... ignored (firefox is not installed)
test line::slow ... ignored, takes an hour
test hookup::brackets ... FAILED

test result: FAILED. 12 passed; 1 failed; 2 ignored; 0 measured; 0 filtered out; finished in 0.00s

test result: ok. 30 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out
";

    #[test]
    fn sums_all_programs_of_a_step() {
        let mut tally = Tally::default();
        tally.check("format", true);
        tally.step("unit tests", OUTPUT, false);
        assert_eq!(tally.line(), "43 passed, 1 failed, 2 skipped");
        assert_eq!(tally.failed, ["unit tests: hookup::brackets"]);
        assert_eq!(
            tally.skipped,
            [
                "unit tests: firefox::opens: firefox is not installed",
                "unit tests: line::slow: takes an hour"
            ]
        );
    }

    #[test]
    fn a_step_that_does_not_compile_has_failed() {
        let mut tally = Tally::default();
        tally.step("unit tests", "", false);
        assert_eq!(tally.line(), "0 passed, 1 failed, 0 skipped");
    }

    #[test]
    fn a_program_that_dies_after_passing_has_failed() {
        let mut tally = Tally::default();
        tally.step(
            "unit tests",
            "test result: ok. 3 passed; 0 failed; 0 ignored",
            false,
        );
        assert_eq!(tally.line(), "3 passed, 1 failed, 0 skipped");
    }

    #[test]
    fn a_step_that_ran_nothing_has_failed() {
        let mut tally = Tally::default();
        tally.step("wasm", "no tests to run!\n", true);
        assert_eq!(tally.failed, ["wasm: ran no test"]);
    }
}
