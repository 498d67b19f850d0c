//! What the charts draw, read and tabulate.

use tapwright_page::Charts;
use tapwright_page::chart::{Chart, Step, bars, draw, pointed, read, rest, step};

use crate::region::lines;

mod demo;

#[test]
fn plate_curves_with_a_load_path_and_a_limit() {
    insta::assert_snapshot!(lines(draw(&demo::plate_curves(), false)));
}

#[test]
fn power_and_distortion_with_the_table() {
    insta::assert_snapshot!(lines(draw(&demo::power(), true)));
}

#[test]
fn one_cycle() {
    insta::assert_snapshot!(lines(draw(&demo::waveform(), false)));
}

#[test]
fn stress_with_the_table() {
    insta::assert_snapshot!(lines(bars(&demo::stress(), true)));
}

fn said(chart: &Chart, place: f64) -> String {
    read(chart, place).text.replace('\u{a0}', " ")
}

#[test]
fn the_readout_gives_what_the_curves_give() {
    let power = demo::power();
    assert_eq!(
        said(&power, rest(&power)),
        "at 10.7 kΩ (brown 8 kΩ, white 3 Ω): power 10.0 W, distortion 5.1 %"
    );
    // Half-way between two points of the clipped wave, which is flat there.
    assert!(said(&demo::waveform(), 91.5 / 360.0).ends_with("output 7.00 V"));
    let path = demo::plate_curves();
    assert_eq!(
        said(&path, 0.25),
        "at plate 36.0 V: plate current 78.0 mA, grid 0.0 V"
    );
    assert_eq!(said(&path, f64::NAN), said(&path, 0.0));
}

#[test]
fn where_a_curve_has_no_value_none_is_read() {
    let mut power = demo::power();
    for curve in &mut power.curves {
        curve.points.truncate(10);
    }
    assert!(said(&power, 1.0).ends_with(": no value"));
    assert_eq!(read(&power, 1.0).dots, "");
    let nothing = Chart {
        curves: Vec::new(),
        ..demo::plate_curves()
    };
    assert_eq!(said(&nothing, 0.5), "at 250 V: no value");
}

#[test]
fn a_pointer_near_a_mark_means_the_mark() {
    let power = demo::power();
    let drawn = read(&power, rest(&power)).hair;
    let x: f64 = drawn[1..].split(',').next().unwrap().parse().unwrap();
    assert_eq!(pointed(&power, (x + 20.0) / 3600.0, 0.5), rest(&power));
    assert_ne!(pointed(&power, (x + 90.0) / 3600.0, 0.5), rest(&power));
    assert_eq!(pointed(&power, 0.0, 0.5), 0.0);
    assert_eq!(pointed(&power, 1.0, 0.5), 1.0);
}

#[test]
fn a_pointer_finds_the_nearest_point_of_a_path() {
    let path = demo::plate_curves();
    for place in [0.0, 0.25, 0.5, 0.75] {
        let dot = read(&path, place).dots;
        let mut numbers = dot[1..]
            .split(['l', ','])
            .map(|n| n.parse::<f64>().unwrap());
        let (x, y) = (numbers.next().unwrap(), numbers.next().unwrap());
        let found = pointed(&path, x / 3600.0, y / 2500.0);
        assert_eq!(read(&path, found).dots, dot);
    }
}

#[test]
fn steps_reach_every_mark_and_both_ends() {
    let power = demo::power();
    let mut place = 0.0;
    let mut names = Vec::new();
    while place < 1.0 {
        place = step(&power, place, Step::FarOn);
        names.extend(
            said(&power, place)
                .split_once('(')
                .map(|(_, rest)| rest.to_owned()),
        );
    }
    assert_eq!(names.len(), power.ticks.len());
    assert!(step(&power, place, Step::FarBack) < place);
    assert_eq!(step(&power, 0.3, Step::Last), 1.0);
    assert_eq!(step(&power, 0.3, Step::First), 0.0);
    assert_eq!(step(&power, 0.3, Step::Rest), rest(&power));
    assert_eq!(step(&power, 0.0, Step::Back), 0.0);

    let path = demo::plate_curves();
    let mut place = 0.0;
    let mut steps = 0;
    while place < 1.0 - 1e-9 {
        let next = step(&path, place, Step::On);
        assert!(next > place);
        place = next;
        steps += 1;
    }
    assert!((90..=100).contains(&steps), "{steps}");
    assert!((step(&path, 0.5, Step::FarBack) - 0.4).abs() < 0.01);
}

#[test]
fn a_chart_without_sense_is_drawn_without_panic() {
    let mut chart = demo::power();
    chart.x.from = f64::NAN;
    chart.y.to = chart.y.from;
    chart.right = None;
    let drawn = draw(&chart, true).into_string();
    assert!(drawn.contains("no value"));
    assert!(!drawn.contains("NaN") && !drawn.contains("inf"), "{drawn}");
}

#[test]
fn a_moved_cross_hair_stays_through_an_edit_until_it_is_sent_back() {
    let mut charts = Charts::default();
    assert_eq!(charts.point("power", 0.5, 0.5), None);
    charts.all(|| vec![demo::waveform(), demo::power()]);
    assert_eq!(charts.moved("power"), None);
    let read = charts.step("power", Step::On);
    assert_eq!(charts.moved("power"), read);
    assert_eq!(charts.moved("wave"), None);

    let mut edited = demo::power();
    for point in &mut edited.curves[1].points {
        point.1 /= 2.0;
    }
    charts.forget();
    charts.all(|| vec![edited]);
    let after = charts.moved("power");
    assert_eq!(
        after.as_ref().map(|r| &r.hair),
        read.as_ref().map(|r| &r.hair)
    );
    assert_ne!(after, read);
    let rested = charts.step("power", Step::Rest).unwrap();
    assert!(rested.text.contains("power 5.00\u{a0}W"), "{}", rested.text);
    assert_eq!(charts.moved("power"), None);
}
