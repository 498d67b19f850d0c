//! Impedance files: whatever bytes come, the readers say something and never fall over; and
//! what is thinned is still the curve.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use proptest::prelude::*;
use strum::VariantArray;
use tapwright_speaker::{
    CurveFile, FileProblem, ImpedanceCurve, ImpedancePoint, Motor, Size, THINNED_WITHIN,
    read_points, thin,
};
use tapwright_units::Ohms;

fn read(name: &str, bytes: &[u8], piece: usize) -> Result<ImpedanceCurve, FileProblem> {
    let mut file = CurveFile::new(name);
    for piece in bytes.chunks(piece) {
        file.feed(piece)?;
    }
    file.finish()
}

/// A driver measured at so many frequencies, 20 Hz to 20 kHz, with a ripple of so much.
fn measured(size: Size, points: u32, ripple: f64) -> Vec<ImpedancePoint> {
    let motor = Motor::of_size(size, Ohms(8.0));
    (0..points)
        .map(|n| {
            let hertz = 20.0 * 1_000_f64.powf(f64::from(n) / f64::from(points - 1));
            let z = motor.impedance(hertz);
            // A fixed sequence that looks like noise.
            let noise = (f64::from(n) * 12.989_8).sin() * 43_758.545;
            ImpedancePoint {
                hertz,
                ohms: z.norm() * (1.0 + ripple * (noise - noise.floor() - 0.5)),
                degrees: z.arg().to_degrees(),
            }
        })
        .collect()
}

fn table(points: &[ImpedancePoint], separator: &str, comma: bool) -> String {
    let mut text = "Hz ohms degrees\n".replace(' ', separator);
    for point in points {
        let values = [point.hertz, point.ohms, point.degrees].map(|value| {
            let text = format!("{value:.5}");
            if comma { text.replace('.', ",") } else { text }
        });
        text.push_str(&values.join(separator));
        text.push('\n');
    }
    text
}

/// A sound file of each kind, to be damaged.
fn sound_files() -> Vec<(&'static str, Vec<u8>)> {
    let points = measured(Size::Ten, 40, 0.0);
    let touchstone = |head: &str, tail: &str| {
        let mut text = head.to_owned();
        for point in &points {
            text.push_str(&format!(
                "{} {} {}\n",
                point.hertz, point.ohms, point.degrees
            ));
        }
        text.push_str(tail);
        text.into_bytes()
    };
    vec![
        ("a.csv", table(&points, ",", false).into_bytes()),
        ("a.csv", table(&points, ";", true).into_bytes()),
        ("a.txt", table(&points, "\t", false).into_bytes()),
        ("a.txt", table(&points, " ", true).into_bytes()),
        ("a.s1p", touchstone("! made up\n# Hz Z MA R 1\n", "")),
        (
            "a.ts",
            touchstone(
                "[Version] 2.0\n# Hz Z MA R 8\n[Number of Ports] 1\n[Reference] 8\n[Number of Frequencies] 40\n[Network Data]\n",
                "[End]\n",
            ),
        ),
    ]
}

#[test]
fn sound_files_are_read() {
    for (name, bytes) in sound_files() {
        let curve = read(name, &bytes, 4_096).unwrap_or_else(|problem| panic!("{name}: {problem}"));
        assert_eq!(curve.points().len(), 40);
        let z = Motor::of_size(Size::Ten, Ohms(8.0)).impedance(20_000.0);
        assert!((curve.impedance(20_000.0) - z).norm() < 1e-3, "{name}");
    }
}

/// What a reader may say about any bytes: a curve that holds together, or a line of the file.
fn is_answer(
    found: Result<ImpedanceCurve, FileProblem>,
    bytes: &[u8],
) -> Result<(), TestCaseError> {
    match found {
        Ok(curve) => {
            prop_assert!(curve.points().len() > 1);
            prop_assert!(ImpedanceCurve::new(curve.points().to_vec()).is_some());
            let z = curve.impedance(440.0);
            prop_assert!(z.is_finite() && z.re > 0.0, "{z}");
            let thinned = thin(&curve, 4_000);
            prop_assert!(thinned.points >= 2 && thinned.points <= curve.points().len());
        }
        Err(problem) => {
            let ends = bytes.iter().filter(|byte| matches!(byte, b'\n' | b'\r'));
            prop_assert!((1..=ends.count() + 1).contains(&problem.line), "{problem}");
            prop_assert!(!problem.why.is_empty());
        }
    }
    Ok(())
}

const NAMES: [&str; 4] = ["a.txt", "a.s1p", "a.ts", ""];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn any_bytes_get_an_answer(
        bytes in prop::collection::vec(any::<u8>(), 0..400),
        name in 0..NAMES.len(),
        piece in 1..64_usize,
    ) {
        is_answer(read(NAMES[name], &bytes, piece), &bytes)?;
    }

    /// Texts out of what such files are made of reach further into the readers.
    #[test]
    fn any_likely_text_gets_an_answer(
        words in prop::collection::vec(prop::sample::select(vec![
            "20", "7,5", "-3.5", "1e3", "1,000", "0", "1e999", "-", ".", ",", ";", "\t", " ", " ",
            "\n", "\n", "\r\n", "#", "# Hz S MA R 50", "# Hz Z RI", "# ghz y db", "!", "\"",
            "[Version] 2.0", "[Reference]", "[Network Data]", "[End]", "[", "]", "[Number of Ports]",
            "[Number of Frequencies] ", "Hz", "kHz", "nan", "°", "\u{feff}", "90", "8.1 12", "r", "R",
        ]), 0..60),
        name in 0..NAMES.len(),
        piece in 1..64_usize,
    ) {
        let text = words.concat();
        is_answer(read(NAMES[name], text.as_bytes(), piece), text.as_bytes())?;
    }

    /// Sound files with bytes changed, taken out and put in.
    #[test]
    fn damaged_files_get_an_answer(
        which in 0..6_usize,
        damage in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0..3_u8), 1..8),
        piece in 1..512_usize,
    ) {
        let (name, mut bytes) = sound_files().swap_remove(which);
        for (at, byte, kind) in damage {
            let at = at.index(bytes.len());
            match kind {
                0 => bytes[at] = byte,
                1 => { bytes.remove(at); }
                _ => bytes.insert(at, byte),
            }
        }
        is_answer(read(name, &bytes, piece), &bytes)?;
    }
}

/// The largest distance of two curves at the points of the first, over its modulus.
fn apart(curve: &ImpedanceCurve, other: &ImpedanceCurve) -> f64 {
    let apart = curve.points().iter().map(|point| {
        let z = curve.impedance(point.hertz);
        (other.impedance(point.hertz) - z).norm() / z.norm()
    });
    apart.fold(0.0, f64::max)
}

/// A driver of any size at any number of points is within 1 % once it is thinned, and needs
/// no more than 2 KB of a link.
#[test]
fn a_thinned_curve_is_within_one_per_cent() {
    for &size in Size::VARIANTS {
        for points in [2, 3, 10, 200, 5_000, 100_000] {
            let curve = ImpedanceCurve::new(measured(size, points, 0.0)).unwrap();
            let thinned = thin(&curve, 5_000);
            assert_eq!(thinned.before, points as usize);
            assert!(
                thinned.text.len() < 2_000,
                "{size:?}: {}",
                thinned.text.len()
            );
            assert!(
                thinned.largest_error <= THINNED_WITHIN,
                "{size:?}: {}",
                thinned.largest_error
            );
            let again = read_points(&thinned.text).unwrap();
            assert_eq!(again.points().len(), thinned.points);
            let apart = apart(&curve, &again);
            // Said for the worst direction of a complex difference.
            assert!(
                apart <= thinned.largest_error + 1e-9 && apart > 0.98 * thinned.largest_error,
                "{apart}"
            );
        }
    }
}

/// A thousand points at nearly one frequency end in an answer too.
#[test]
fn hardly_any_range_is_thinned_as_well() {
    for step in [1e-13, 1e-9, 1e-5] {
        let points = (0..1_000).map(|n| ImpedancePoint {
            hertz: 20.0 * (1.0 + step * f64::from(n)),
            ohms: if n % 2 == 0 { 5.0 } else { 9.0 },
            degrees: 0.0,
        });
        let thinned = thin(&ImpedanceCurve::new(points.collect()).unwrap(), 500);
        assert!(
            thinned.points >= 2 && thinned.text.len() <= 500,
            "{}",
            thinned.text
        );
    }
}

/// Noise that no few points follow: the characters are kept to, the distance is said, and
/// what is left is the curve without the noise.
#[test]
fn what_cannot_be_kept_within_one_per_cent_is_said() {
    let curve = ImpedanceCurve::new(measured(Size::Twelve, 100_000, 0.06)).unwrap();
    let thinned = thin(&curve, 5_000);
    assert!(thinned.text.len() <= 5_000);
    let kept = read_points(&thinned.text).unwrap();
    let apart_from_all = apart(&curve, &kept);
    assert!(
        apart_from_all <= thinned.largest_error && apart_from_all > 0.9 * thinned.largest_error,
        "{apart_from_all} {}",
        thinned.largest_error
    );
    // ±3 % of ripple, and the bands' width at the resonance.
    assert!(
        (0.03..0.05).contains(&thinned.largest_error),
        "{}",
        thinned.largest_error
    );
    let quiet = ImpedanceCurve::new(measured(Size::Twelve, 1_000, 0.0)).unwrap();
    let apart_from_quiet = apart(&quiet, &kept);
    assert!(apart_from_quiet < 0.02, "{apart_from_quiet}");
}
