//! The finished page, opened from disk in every browser engine.
//!
//! Each test starts a browser with a fresh profile. A test whose browser or
//! tool is missing is skipped and says what to install.

use std::process::ExitCode;

use libtest_mimic::{Arguments, Completion, Trial};
use tapwright_tests::engine::Engine;
use tapwright_tests::page;

mod network;
mod weight;

/// What a test returns: the error is what failed.
type Outcome = anyhow::Result<()>;

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let mut trials = vec![trial("weight::file", page::file().map(drop), weight::file)];
    for engine in Engine::ALL {
        let ready = page::file().and_then(|_| engine.available());
        let mut add = |name: &str, test: fn(Engine) -> Outcome| {
            let name = format!("{}::{name}", engine.name());
            trials.push(trial(&name, ready.clone(), move || test(engine)));
        };
        add("network::policy_stops_every_way_out", network::stopped);
        add(
            "network::without_policy_every_way_out_is_caught",
            network::caught,
        );
    }
    libtest_mimic::run(&arguments, trials).exit_code()
}

/// A test that is skipped, with the reason, when it is not `ready`.
fn trial(
    name: &str,
    ready: Result<(), String>,
    test: impl FnOnce() -> Outcome + Send + 'static,
) -> Trial {
    Trial::ignorable_test(name, move || match ready {
        Err(reason) => Ok(Completion::ignored_with(reason)),
        Ok(()) => test()
            .map(|()| Completion::Completed)
            .map_err(|error| format!("{error:#}").into()),
    })
}
