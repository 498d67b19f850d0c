//! Tests that need a program or a file which may be missing.

use anyhow::Result;
use libtest_mimic::{Completion, Trial};

/// A test that is skipped, with the reason, when it is not `ready`.
///
/// Where the variable `CI` is `true` it fails instead: a run that is to vouch for everything
/// must not pass for want of a browser.
pub fn trial(
    name: &str,
    ready: Result<(), String>,
    test: impl FnOnce() -> Result<()> + Send + 'static,
) -> Trial {
    let must_run = std::env::var("CI").is_ok_and(|value| value == "true");
    Trial::ignorable_test(name, move || match ready {
        Err(reason) => unready(reason, must_run),
        Ok(()) => test()
            .map(|()| Completion::Completed)
            .map_err(|error| format!("{error:#}").into()),
    })
}

fn unready(reason: String, must_run: bool) -> Result<Completion, libtest_mimic::Failed> {
    if must_run {
        Err(format!("{reason}; with CI=true nothing may be skipped").into())
    } else {
        Ok(Completion::ignored_with(reason))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_must_run_fails_when_it_cannot() {
        let skipped = unready("no browser".into(), false);
        assert!(
            matches!(skipped, Ok(Completion::Ignored { reason: Some(r) }) if r == "no browser")
        );
        let failed = unready("no browser".into(), true).err();
        let said = failed.and_then(|failed| failed.message().map(str::to_owned));
        assert!(said.is_some_and(|said| said.contains("no browser")));
    }
}
