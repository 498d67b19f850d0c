//! Fits every tube, writes `data/fitted.toml` and `ACCURACY.md`, and prints the table of
//! errors. With `--check` it fits and writes nothing, and fails when the table is out of date.
//! With `--leave-one-out` it predicts each fitted row from a fit to the others.

use std::process::ExitCode;
use tapwright_fit::compare::{Comparison, compare};
use tapwright_fit::{ACCURACY, FITTED, accuracy, fit, leave_out};
use tapwright_tube::{Model, tubes};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let outcome = match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [] => fit_all(),
        ["--check"] => check(),
        ["--leave-one-out"] => leave_one_out(),
        _ => Err("only `--check` or `--leave-one-out` can be asked for".to_owned()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn fit_all() -> Result<(), String> {
    let mut models = Vec::new();
    for tube in tubes() {
        let name = tube.designation.as_str();
        let fitted =
            fit::fit(tube).ok_or_else(|| format!("{name}: the fit has nothing to start from"))?;
        if !fitted.converged {
            return Err(format!("{name}: the fit does not converge"));
        }
        eprintln!("{name}: sum of squares {:.2}", fitted.sum_of_squares);
        models.push((name, fitted.model));
    }
    let all = comparisons(models.iter().map(|(_, model)| *model));
    print!("{}", accuracy::plain(&all));
    write(FITTED, &fit::as_toml(&models))?;
    write(ACCURACY, &accuracy::markdown(&all))
}

fn check() -> Result<(), String> {
    let all = comparisons(tubes().iter().map(|tube| tube.model));
    print!("{}", accuracy::plain(&all));
    let written = std::fs::read_to_string(ACCURACY).map_err(|why| format!("{ACCURACY}: {why}"))?;
    if written == accuracy::markdown(&all) {
        Ok(())
    } else {
        Err(format!("{ACCURACY} is out of date: run `cargo xtask fit`"))
    }
}

fn leave_one_out() -> Result<(), String> {
    let (all, failed) = leave_out::predictions();
    print!("{}", accuracy::plain(&all));
    print!("{}", leave_out::table(&all));
    if failed == 0 {
        Ok(())
    } else {
        Err(format!("{failed} rows could not be predicted"))
    }
}

fn comparisons(models: impl Iterator<Item = Model>) -> Vec<Comparison> {
    tubes()
        .iter()
        .zip(models)
        .flat_map(|(tube, model)| compare(tube, model, false))
        .collect()
}

fn write(path: &str, text: &str) -> Result<(), String> {
    std::fs::write(path, text).map_err(|why| format!("{path}: {why}"))
}
