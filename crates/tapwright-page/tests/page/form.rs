//! Every field of the table can be typed.

use tapwright_core::link;
use tapwright_core::setup::{DriverText, Field, Leaf};
use tapwright_core::values::is_asked;
use tapwright_page::view::frame;
use tapwright_page::{Action, Desk};

/// A row of each list.
const ROWS: &str =
    "feedback_from=selected&hookup=8&point=250&ohms=1-2&volts=1-2&speaker.1.called=A&leads=1,2,3";

/// A field that is asked for stands on the page once, and another nowhere.
#[test]
fn every_field_that_is_asked_for_is_on_the_page_once() {
    let mut seen = Vec::new();
    let tubes = [
        "6AQ5&driver=12AX7",
        "2A3&driver=own",
        "own&driver=12AX7",
        "own&own=triode&driver=own",
    ];
    for tube in tubes {
        for stage in ["push-pull", "single-ended"] {
            for marking in ["impedance", "line", "measured"] {
                for screens in ["steady", "taps", "plates"] {
                    let link = format!(
                        "{ROWS}&tube={tube}&stage={stage}&marking={marking}&screens={screens}"
                    );
                    check(&link, &mut seen);
                }
            }
        }
    }
    let all = link::parse(&format!("{ROWS}&driver=own")).setup.fields();
    let unseen: Vec<String> = (all.iter().filter(|field| !seen.contains(*field)))
        .map(Field::to_string)
        .collect();
    assert!(unseen.is_empty(), "{unseen:?}");
}

fn check(link: &str, seen: &mut Vec<Field>) {
    let setup = link::parse(link).setup;
    let mut desk = Desk::open(link);
    // Some fields stand among the parts, others on the leaf that they are about.
    let mut page = frame().into_string();
    for (place, leaf) in [Leaf::Feedback, Leaf::Heat].into_iter().enumerate() {
        desk.act(Action::Turn(leaf));
        let regions = desk.regions();
        let parts = regions.first.into_iter().filter(|_| place == 0);
        let regions = parts.chain(regions.leaf);
        page.extend(regions.map(|region| region.markup.into_string()));
    }
    for field in setup.fields() {
        let count = page.matches(&format!("id=\"field-{field}\"")).count();
        let asked = is_asked(&setup, field);
        assert_eq!(count, usize::from(asked), "{field} of {link}");
        if asked && !seen.contains(&field) {
            seen.push(field);
        }
    }
}

/// A speaker that is called by its ohms is not asked for them.
#[test]
fn a_name_that_is_a_rating_needs_no_rating() {
    let desk = Desk::open("hookup=8&speaker.1.called=8");
    let form = crate::region::region(&desk, "parts");
    let rated = Field::Driver(0, DriverText::Rated);
    assert!(!form.contains(&format!("field-{rated}")));
}
