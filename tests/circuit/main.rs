//! Tube models, output stage, transformer and speakers against ngspice, which solves the same
//! equations from the same parameters in its own way.
//!
//! The set-ups are invented for the comparison, from parts that such amplifiers use, or are
//! those of the published examples in the table of tubes; the published results play no part
//! here. When ngspice is missing each test is skipped and says so.

use std::process::ExitCode;

use libtest_mimic::{Arguments, Completion, Trial};
use tapwright_tests::circuit;

mod curves;
mod iron;
mod parts;
mod published;
mod speakers;
mod stages;

/// What a test returns: the error is what failed.
type Outcome = anyhow::Result<()>;

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let ready = circuit::available();
    let mut trials = vec![
        trial("curves::pentodes", &ready, curves::pentodes),
        trial("curves::triodes", &ready, curves::triodes),
        trial(
            "stages::altered_part_is_noticed",
            &ready,
            stages::altered_part_is_noticed,
        ),
        trial("speakers::agree", &ready, speakers::agree),
        trial(
            "speakers::altered_coil_is_noticed",
            &ready,
            speakers::altered_coil_is_noticed,
        ),
        trial("iron::agrees", &ready, iron::agrees),
        trial("iron::band_edges", &ready, iron::band_edges),
        trial(
            "iron::altered_part_is_noticed",
            &ready,
            iron::altered_part_is_noticed,
        ),
    ];
    for case in parts::cases().into_iter().chain(published::cases()) {
        let name = case.name.clone();
        trials.push(trial(&name, &ready, move || stages::agrees(&case)));
    }
    libtest_mimic::run(&arguments, trials).exit_code()
}

/// A test that is skipped, with the reason, when ngspice is not `ready`.
fn trial(
    name: &str,
    ready: &Result<(), String>,
    test: impl FnOnce() -> Outcome + Send + 'static,
) -> Trial {
    let ready = ready.clone();
    Trial::ignorable_test(name, move || match ready {
        Err(reason) => Ok(Completion::ignored_with(reason)),
        Ok(()) => test()
            .map(|()| Completion::Completed)
            .map_err(|error| format!("{error:#}").into()),
    })
}
