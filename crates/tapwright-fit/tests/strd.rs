//! The fitter against certified values of the NIST Statistical Reference Datasets,
//! nonlinear regression (data and certified values from memory).

use tapwright_fit::problem::least_squares;

fn agrees(value: f64, certified: f64) {
    assert!(
        (value / certified - 1.0).abs() < 1e-6,
        "{value} against {certified}"
    );
}

/// Misra1a, from its first, distant start.
#[test]
fn misra1a() {
    let x = [
        77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1,
        760.0,
    ];
    let y = [
        10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47,
        81.78,
    ];
    let found = least_squares(&[500.0, 0.0001], 1e-6, &|b| {
        x.iter()
            .zip(y)
            .map(|(x, y)| b[0] * (1.0 - (-b[1] * x).exp()) - y)
            .collect()
    });
    agrees(found.parameters[0], 2.3894212918e2);
    agrees(found.parameters[1], 5.5015643181e-4);
    agrees(found.sum_of_squares, 1.2455138894e-1);
}

/// DanWood, from its first start.
#[test]
fn danwood() {
    let x = [1.309_f64, 1.471, 1.490, 1.565, 1.611, 1.680];
    let y = [2.138, 3.421, 3.597, 4.340, 4.882, 5.660];
    let found = least_squares(&[1.0, 5.0], 1e-6, &|b| {
        x.iter()
            .zip(y)
            .map(|(x, y)| b[0] * x.powf(b[1]) - y)
            .collect()
    });
    agrees(found.parameters[0], 7.6886226176e-1);
    agrees(found.parameters[1], 3.8604055871);
    agrees(found.sum_of_squares, 4.3173084083e-3);
}
