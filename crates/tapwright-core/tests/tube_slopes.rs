//! The analytic slopes of the static models against central differences, and their monotony.

use tapwright_tube::{Model, tubes};

fn near(analytic: f64, difference: f64, scale: f64, what: &str) {
    assert!(
        (analytic - difference).abs() < 1e-4 * (scale + difference.abs()),
        "{what}: {analytic} {difference}"
    );
}

/// From the knee to 400 V on the plate, from near cut-off to zero grid volts.
#[test]
fn slopes_are_the_differences() {
    for tube in tubes() {
        for plate in [5.0, 30.0, 120.0, 250.0, 400.0] {
            for screen in [100.0, 250.0] {
                for part in [0.0, 0.3, 0.7, 1.0] {
                    let mu = match tube.model {
                        Model::Pentode(p) => p.mu,
                        Model::Triode(t) => t.mu,
                    };
                    let grid = -part * screen / mu - 0.01;
                    let at = |v, s, g| tube.model.flow(v, s, g);
                    let here = at(plate, screen, grid);
                    let h = 1e-4;
                    let by = |above: f64, below: f64| (above - below) / (2.0 * h);
                    let (v1, v0) = (at(plate + h, screen, grid), at(plate - h, screen, grid));
                    let (s1, s0) = (at(plate, screen + h, grid), at(plate, screen - h, grid));
                    let (g1, g0) = (at(plate, screen, grid + h), at(plate, screen, grid - h));
                    let name = &tube.designation;
                    for (slope, up, down) in [
                        (here.plate.by_plate, v1.plate, v0.plate),
                        (here.screen.by_plate, v1.screen, v0.screen),
                        (here.plate.by_screen, s1.plate, s0.plate),
                        (here.screen.by_screen, s1.screen, s0.screen),
                        (here.plate.by_grid, g1.plate, g0.plate),
                        (here.screen.by_grid, g1.screen, g0.screen),
                    ] {
                        near(slope, by(up.amps, down.amps), 1e-6, name);
                    }
                    assert!(
                        here.plate.by_plate >= 0.0 && here.plate.by_grid >= 0.0,
                        "{name}"
                    );
                }
            }
        }
    }
}
