//! Fits every tube and writes `data/fitted.toml`; with `--check` only compares the models
//! in use with what is published.

use tapwright_core::tube::TUBES;
use tapwright_fit::{compare, fit};

fn main() -> std::process::ExitCode {
    let models: Vec<_> = if std::env::args().any(|a| a == "--check") {
        TUBES.iter().map(|t| (t.designation, t.model)).collect()
    } else {
        TUBES
            .iter()
            .map(|tube| match fit::fit(tube) {
                Some(fitted) => {
                    let how = if fitted.converged {
                        ""
                    } else {
                        ", not converged"
                    };
                    eprintln!(
                        "{}: sum of squares {:.2}{how}",
                        tube.designation, fitted.sum_of_squares
                    );
                    (tube.designation, fitted.model)
                }
                None => {
                    eprintln!("{}: too many rows are marked for the fit", tube.designation);
                    (tube.designation, tube.model)
                }
            })
            .collect()
    };
    for (tube, (_, model)) in TUBES.iter().zip(&models) {
        for c in compare::compare(tube, *model, false) {
            println!(
                "{} {:52} {:18} {:9.3} {:9.3} {:+7.1} %",
                if c.fitted { "fit " } else { "held" },
                c.row,
                format!("{:?}", c.quantity),
                c.published,
                c.predicted,
                100.0 * c.error()
            );
        }
    }
    if std::env::args().any(|a| a == "--check") {
        return std::process::ExitCode::SUCCESS;
    }
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../tapwright-core/data/fitted.toml"
    );
    match std::fs::write(path, fit::as_toml(&models)) {
        Ok(()) => std::process::ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{path}: {error}");
            std::process::ExitCode::FAILURE
        }
    }
}
