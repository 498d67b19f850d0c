//! The fitter against the certified values of the NIST Statistical Reference Datasets for
//! nonlinear regression. Data, starts and certified values are read from the files of NIST,
//! which are in `tests/strd` as the source distribution of `lmfit` 1.3.4 (PyPI) carries them.

use std::f64::consts::PI;
use std::path::Path;
use tapwright_squares::{Precision, least_squares};

type Curve = fn(&[f64], f64) -> f64;

/// The problems, with their model as the file prints it, and from which starts the method is
/// expected to arrive.
const PROBLEMS: [(&str, Curve, [bool; 2]); 13] = [
    ("Misra1a", |b, x| b[0] * (1.0 - (-b[1] * x).exp()), BOTH),
    (
        "Chwirut2",
        |b, x| (-b[0] * x).exp() / (b[1] + b[2] * x),
        BOTH,
    ),
    (
        "Lanczos3",
        |b, x| b[0] * (-b[1] * x).exp() + b[2] * (-b[3] * x).exp() + b[4] * (-b[5] * x).exp(),
        BOTH,
    ),
    ("DanWood", |b, x| b[0] * x.powf(b[1]), BOTH),
    (
        "MGH17",
        |b, x| b[0] + b[1] * (-x * b[3]).exp() + b[2] * (-x * b[4]).exp(),
        SECOND,
    ),
    (
        "Roszman1",
        |b, x| b[0] - b[1] * x - (b[2] / (x - b[3])).atan() / PI,
        BOTH,
    ),
    (
        "MGH09",
        |b, x| b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]),
        BOTH,
    ),
    (
        "Thurber",
        |b, x| {
            (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1.0 + x * (b[4] + x * (b[5] + x * b[6])))
        },
        BOTH,
    ),
    ("BoxBOD", |b, x| b[0] * (1.0 - (-b[1] * x).exp()), SECOND),
    ("Rat42", |b, x| b[0] / (1.0 + (b[1] - b[2] * x).exp()), BOTH),
    ("MGH10", |b, x| b[0] * (b[1] / (x + b[2])).exp(), BOTH),
    (
        "Eckerle4",
        |b, x| b[0] / b[1] * (-0.5 * ((x - b[2]) / b[1]).powi(2)).exp(),
        BOTH,
    ),
    (
        "Rat43",
        |b, x| b[0] / (1.0 + (b[1] - b[2] * x).exp()).powf(1.0 / b[3]),
        BOTH,
    ),
];

const BOTH: [bool; 2] = [true, true];

/// The first start, which NIST chose far off, ends in an overflow (MGH17) or on a plain where
/// the exponential is gone (BoxBOD), as is known of methods of this kind without bounds.
const SECOND: [bool; 2] = [false, true];

/// What a file holds.
struct Dataset {
    starts: [Vec<f64>; 2],
    certified: Vec<f64>,
    sum_of_squares: f64,
    /// y, x
    rows: Vec<(f64, f64)>,
}

fn read(name: &str) -> std::io::Result<Dataset> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/strd")
        .join(format!("{name}.dat"));
    let text = std::fs::read_to_string(&path)?;
    let numbers = |line: &str| -> Vec<f64> {
        line.split_whitespace()
            .map_while(|word| word.parse().ok())
            .collect()
    };
    let mut set = Dataset {
        starts: [vec![], vec![]],
        certified: vec![],
        sum_of_squares: f64::NAN,
        rows: vec![],
    };
    let mut in_data = false;
    for line in text.lines() {
        let trimmed = line.trim_start();
        if let Some((name, values)) = trimmed.split_once('=')
            && name
                .trim_end()
                .strip_prefix('b')
                .is_some_and(|n| n.parse::<u8>().is_ok())
            && let [first, second, certified, _deviation] = numbers(values)[..]
        {
            set.starts[0].push(first);
            set.starts[1].push(second);
            set.certified.push(certified);
        } else if let Some(rest) = trimmed.strip_prefix("Residual Sum of Squares:") {
            set.sum_of_squares = numbers(rest)[0];
        } else if trimmed.starts_with("Data:") && trimmed.contains('y') && trimmed.ends_with('x') {
            in_data = true;
        } else if in_data && let [y, x] = numbers(line)[..] {
            set.rows.push((y, x));
        }
    }
    assert!(
        !set.certified.is_empty() && set.rows.len() > set.certified.len(),
        "{name}"
    );
    Ok(set)
}

/// Six digits of every certified parameter and of the sum of squares, from both starts that
/// each file gives.
#[test]
fn certified_values_are_met() {
    let mut failures = vec![];
    let mut runs = 0;
    for (name, curve, arrives) in PROBLEMS {
        let set = read(name).unwrap();
        for (which, start) in set.starts.iter().enumerate() {
            let precision = Precision {
                relative_step: 1e-6,
                least_step: 1e-300,
                tolerance: 1e-14,
            };
            let found = least_squares(start, precision, |b| {
                set.rows.iter().map(|(y, x)| curve(b, *x) - y).collect()
            });
            let worst = found.map_or(f64::INFINITY, |found| {
                let sum = found.sum_of_squares / set.sum_of_squares - 1.0;
                found
                    .unknowns
                    .iter()
                    .zip(&set.certified)
                    .map(|(f, c)| f / c - 1.0)
                    .chain([sum])
                    .fold(0.0, |worst: f64, e| worst.max(e.abs()))
            });
            runs += 1;
            println!("{name} from start {}: within {worst:.1e}", which + 1);
            if (worst < 1e-6) != arrives[which] {
                failures.push(format!("{name} from start {}: {worst:.1e}", which + 1));
            }
        }
    }
    assert_eq!(runs, 26);
    assert!(failures.is_empty(), "{failures:#?}");
}
