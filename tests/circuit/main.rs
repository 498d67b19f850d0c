//! Tube models, output stage, transformer, speakers, supplies and whole amplifiers against ngspice, which solves the same
//! equations from the same parameters in its own way.
//!
//! The set-ups are invented for the comparison, from parts that such amplifiers use, or are
//! those of the published examples in the table of tubes; the published results play no part
//! here. When ngspice is missing each test is skipped and says so, or fails where `CI` is `true`.

use std::process::ExitCode;

use libtest_mimic::Arguments;
use tapwright_tests::trial::trial;
use tapwright_tests::{circuit, grid};

mod amplifiers;
mod by_hand;
mod curves;
mod iron;
mod parts;
mod speakers;
mod stages;
mod supplies;

/// What a test returns: the error is what failed.
type Outcome = anyhow::Result<()>;

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let ready = circuit::available();
    let mut trials = vec![
        trial("curves::pentodes", ready.clone(), curves::pentodes),
        trial("curves::triodes", ready.clone(), curves::triodes),
        trial(
            "stages::altered_part_is_noticed",
            ready.clone(),
            stages::altered_part_is_noticed,
        ),
        trial("speakers::agree", ready.clone(), speakers::agree),
        trial(
            "speakers::altered_coil_is_noticed",
            ready.clone(),
            speakers::altered_coil_is_noticed,
        ),
        trial("iron::agrees", ready.clone(), iron::agrees),
        trial("iron::band_edges", ready.clone(), iron::band_edges),
        trial(
            "iron::altered_part_is_noticed",
            ready.clone(),
            iron::altered_part_is_noticed,
        ),
        trial(
            "amplifiers::altered_part_is_noticed",
            ready.clone(),
            amplifiers::altered_part_is_noticed,
        ),
        // Needs no ngspice: two solvers of this program.
        trial(
            "amplifiers::stage_alone_agrees",
            Ok(()),
            amplifiers::stage_alone_agrees,
        ),
        trial(
            "by_hand::moved_wire_is_noticed",
            ready.clone(),
            by_hand::moved_wire_is_noticed,
        ),
    ];
    for deck in &by_hand::DECKS {
        trials.push(trial(deck.name, ready.clone(), || by_hand::agrees(deck)));
    }
    match tapwright_tests::amplifiers::of_today() {
        Ok(cases) => {
            for case in cases {
                let name = case.name.clone();
                trials.push(trial(&name, ready.clone(), move || {
                    amplifiers::agree(&case)
                }));
            }
        }
        Err(error) => trials.push(trial("amplifiers", ready.clone(), move || Err(error))),
    }
    trials.push(trial(
        "supplies::altered_part_is_noticed",
        ready.clone(),
        supplies::altered_part_is_noticed,
    ));
    for case in tapwright_tests::supplies::of_today() {
        let name = case.name.clone();
        trials.push(trial(&name, ready.clone(), move || supplies::agree(&case)));
    }
    for case in parts::cases() {
        let name = case.name.clone();
        trials.push(trial(&name, ready.clone(), move || stages::agrees(&case)));
    }
    match grids() {
        Ok(cases) => {
            for case in cases {
                let name = case.name.clone();
                trials.push(trial(&name, ready.clone(), move || {
                    stages::agree(case.stage, case.load, case.drive)
                }));
            }
        }
        Err(error) => trials.push(trial("grids", ready, move || Err(error))),
    }
    libtest_mimic::run(&arguments, trials).exit_code()
}

/// A tenth of each grid, the same every time, and one case drawn by the date.
fn grids() -> anyhow::Result<Vec<grid::Case>> {
    let mut cases: Vec<_> = grid::tenth(grid::published()).collect();
    cases.extend(grid::tenth(grid::all_drawn()?));
    cases.push(grid::drawn(grid::today())?);
    Ok(cases)
}
