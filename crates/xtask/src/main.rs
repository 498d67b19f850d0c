//! `cargo xtask`: every job of the project that is more than one command.
//!
//! One program in Rust, so that a machine with Rust and nothing else can build
//! the page, and so that a local run and a run elsewhere do the same thing.

mod browsers;
mod bundle;
mod fit;
mod page;
mod places;
mod report;
mod site;
mod suite;
mod tally;
mod tools;

use std::process::ExitCode;

const USAGE: &str = "\
cargo xtask page [--no-open]          build the single HTML file, and open it
cargo xtask site [<folder>]           write a folder for any static host, which can be
                                      installed and opens without a network
cargo xtask report '<link>'           print the report of a link as JSON
cargo xtask test                      run every check
cargo xtask fit [--check | --leave-one-out]
                                      fit the tube models to the published values,
                                      only compare them, or predict each fitted
                                      row from the others
cargo xtask study [<number>]          hold the output stage against ngspice over whole
                                      grids and write down how far apart they are, or
                                      show the one case that a number draws
cargo xtask study transformers [<number>]
                                      follow a thousand transformers without marking by
                                      what the page asks for, and write down how they
                                      end, or follow the one that a number draws
cargo xtask bench                     measure the page in a browser
cargo xtask shots ['<fragment>'] [--readme]
                                      take pictures of the page";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (command, rest) = match arguments.split_first() {
        Some((command, rest)) => (command.as_str(), rest),
        None => ("help", &[][..]),
    };
    let outcome = match command {
        "page" => page::run(rest),
        "site" => site::run(rest),
        "test" => suite::run(rest),
        "report" => return report::run(rest),
        "fit" => fit::run(rest),
        "study" => browsers::study(rest),
        "bench" => browsers::bench(rest),
        "shots" => browsers::shots(rest),
        "help" | "--help" | "-h" => {
            println!("{USAGE}");
            return ExitCode::SUCCESS;
        }
        other => {
            eprintln!("There is no command `{other}`. These there are:\n{USAGE}");
            return ExitCode::from(2);
        }
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error:#}");
            ExitCode::FAILURE
        }
    }
}
