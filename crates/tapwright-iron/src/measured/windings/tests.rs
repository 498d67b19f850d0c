//! Windings out of a few readings each. Invented data.

use super::*;

fn ohms(a: Lead, b: Lead, value: f64) -> Resistance {
    let uncertainty = 0.01 * value;
    let ohms = Some(Uncertain { value, uncertainty });
    Resistance { pair: (a, b), ohms }
}

fn open(a: Lead, b: Lead) -> Resistance {
    Resistance {
        pair: (a, b),
        ohms: None,
    }
}

#[test]
fn nothing_read_is_nothing_known() {
    let found = find(3, &[], &[]);
    assert_eq!(found.windings.len(), 3);
    assert_eq!(found.questions.len(), 3);
    assert!(found.windings.iter().all(|w| !w.closed));
    assert!(find(0, &[], &[]).windings.is_empty());
}

#[test]
fn the_next_reading_settles_the_order() {
    let star = [ohms(0, 1, 100.0), ohms(0, 2, 150.0)];
    let found = find(3, &star, &[]);
    assert!(!found.windings[0].order_known);
    assert_eq!(found.questions, [Question::Order((1, 2))]);
    let settled = find(3, &[star[0], star[1], ohms(2, 1, 51.0)], &[]);
    assert_eq!(settled.windings[0].leads, [0, 1, 2]);
    assert!(settled.windings[0].order_known && settled.questions.is_empty());
}

#[test]
fn an_order_left_open_is_settled_by_voltages() {
    let star = [ohms(0, 1, 100.0), ohms(0, 2, 150.0)];
    let volts = |a, b, value: f64| Distance {
        ends: (a, b),
        length: Uncertain {
            value,
            uncertainty: 0.01 * value,
        },
    };
    let session = vec![volts(0, 1, 4.2), volts(0, 2, 6.3), volts(1, 2, 2.1)];
    let found = find(3, &star, &[session]);
    assert!(found.windings[0].order_known, "{found:?}");
}

#[test]
fn one_wrong_reading_among_many_is_named() {
    let readings = [
        ohms(0, 1, 100.0),
        ohms(1, 2, 50.0),
        ohms(2, 3, 80.0),
        ohms(0, 2, 150.0),
        // A slip of the decimal point: 130 Ω.
        ohms(1, 3, 13.0),
        ohms(0, 3, 230.0),
    ];
    let found = find(4, &readings, &[]);
    assert_eq!(found.conflicts, [Conflict::DoNotAddUp(vec![4])]);
    assert_eq!(found.windings[0].leads, [0, 1, 2, 3]);
    assert!(!found.windings[0].order_known);
}

/// In a triangle any of the three may be the wrong one.
#[test]
fn a_triangle_that_does_not_close_names_all_three() {
    let readings = [ohms(0, 1, 300.0), ohms(0, 2, 100.0), ohms(1, 2, 100.0)];
    let found = find(3, &readings, &[]);
    assert_eq!(found.conflicts, [Conflict::DoNotAddUp(vec![0, 1, 2])]);
}

#[test]
fn open_between_connected_leads_is_named_with_the_way() {
    let readings = [
        ohms(0, 1, 10.0),
        open(0, 2),
        ohms(1, 2, 10.0),
        ohms(0, 3, 5.0),
    ];
    let found = find(4, &readings, &[]);
    assert_eq!(found.conflicts, [Conflict::OpenAndConnected(vec![1, 0, 2])]);
    assert!(!found.windings[0].ends_known);
}

#[test]
fn two_halves_that_are_not_alike_have_no_centre_tap() {
    let at = |half: f64| {
        let whole = [
            ohms(0, 1, 100.0),
            ohms(0, 2, half),
            ohms(2, 1, 100.0 - half),
        ];
        find(3, &whole, &[]).windings[0].centre_tap
    };
    assert_eq!(at(46.0).map(|tap| tap.lead), Some(2));
    assert_eq!(at(30.0), None);
}
