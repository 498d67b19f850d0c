//! Powers and turns by few means.
//!
//! The standard functions are as exact for any argument at all: they bring tables and long
//! reductions, six kilobytes of the page, for angles of millions of turns.

use num_complex::Complex64;
use std::f64::consts::FRAC_2_PI;

/// `base` to a power; `base` from zero on. As exact as the logarithm of the result is small:
/// within 2·10⁻¹⁶ times that logarithm, or once that.
///
/// ```
/// use tapwright_stage::elementary::power;
/// assert!((power(10.0, 2.5) / 316.227_766_016_837_94 - 1.0).abs() < 2e-15);
/// assert_eq!(power(0.0, 1.8), 0.0);
/// ```
pub fn power(base: f64, exponent: f64) -> f64 {
    (exponent * base.ln()).exp()
}

/// `e^{iφ}` for an angle in radians, up to a million either way; within 3·10⁻¹⁶ for some
/// turns, and 10⁻¹⁶ of the angle further out.
///
/// Whole quarters of a turn taken off in two parts, then the polynomials of Sun's fdlibm
/// (k_sin.c and k_cos.c, from memory; the test holds them against the standard library).
///
/// ```
/// use std::f64::consts::PI;
/// let turned = tapwright_stage::elementary::turn(PI / 3.0);
/// assert!((turned.re - 0.5).abs() < 1e-15 && (turned.im - 0.75_f64.sqrt()).abs() < 1e-15);
/// ```
pub fn turn(angle: f64) -> Complex64 {
    // π/2, its first 33 bits and the rest.
    const QUARTER: f64 = 1.570_796_326_734_125_6;
    const BELOW: f64 = 6.077_100_506_506_192e-11;
    let quarters = (angle * FRAC_2_PI).round_ties_even();
    let x = (angle - quarters * QUARTER) - quarters * BELOW;
    let z = x * x;
    let series = |terms: [f64; 6]| terms.iter().rev().fold(0.0, |sum, term| sum * z + term);
    let sine = x + x
        * z
        * series([
            -1.666_666_666_666_663_2e-1,
            8.333_333_333_322_49e-3,
            -1.984_126_982_985_795e-4,
            2.755_731_370_707_006_8e-6,
            -2.505_076_025_340_686_3e-8,
            1.589_690_995_211_55e-10,
        ]);
    let cosine = 1.0 - 0.5 * z
        + z * z
            * series([
                4.166_666_666_666_66e-2,
                -1.388_888_888_887_411e-3,
                2.480_158_728_947_673e-5,
                -2.755_731_435_139_066_3e-7,
                2.087_572_321_298_175e-9,
                -1.135_964_755_778_819_5e-11,
            ]);
    let turned = Complex64::new(cosine, sine);
    match (quarters as i64).rem_euclid(4) {
        0 => turned,
        1 => Complex64::new(-sine, cosine),
        2 => -turned,
        _ => Complex64::new(sine, -cosine),
    }
}

/// `e^z`.
///
/// ```
/// use num_complex::Complex64;
/// let z = Complex64::new(1.0, -2.0);
/// assert!((tapwright_stage::elementary::exp(z) - z.exp()).norm() < 1e-15);
/// ```
pub fn exp(z: Complex64) -> Complex64 {
    turn(z.im) * z.re.exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The standard library's sine and cosine, over some turns and far out.
    #[test]
    fn turns_are_those_of_the_standard_library() {
        for n in -200_000..=200_000 {
            for (angle, within) in [
                (f64::from(n) * 1e-4, 3e-16),
                (f64::from(n) * 4.9, 1e-16 * (1.0 + f64::from(n).abs())),
            ] {
                let (sine, cosine) = angle.sin_cos();
                let turned = turn(angle);
                let off = (turned.re - cosine).abs().max((turned.im - sine).abs());
                assert!(off <= within, "{angle}: {off}");
            }
        }
    }

    #[test]
    fn powers_are_those_of_the_standard_library() {
        for n in -300..=300 {
            for base in [0.3, 2.0, 10.0, 250.0] {
                let exponent = f64::from(n) * 0.1;
                let (got, known) = (power(base, exponent), base.powf(exponent));
                let within = 2.3e-16 * (1.0 + known.ln().abs());
                assert!((got / known - 1.0).abs() <= within, "{base}^{exponent}");
            }
        }
    }
}
