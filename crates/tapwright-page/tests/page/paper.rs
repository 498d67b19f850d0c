//! What only the printed page has.

use tapwright_core::examples::EXAMPLES;
use tapwright_core::setup::Setup;
use tapwright_page::Desk;

/// Every text that was typed is on paper, with what it is, and so is the link.
#[test]
fn what_was_typed_is_on_paper() {
    let blank = Setup::default();
    for example in EXAMPLES {
        let desk = Desk::open(example.link);
        let paper = desk.on_paper().0;
        let setup = example.setup();
        let typed = setup.fields().into_iter().filter(|field| {
            let text = setup.text(*field).unwrap_or_default();
            !text.is_empty() && !field.row().label.is_empty() && blank.text(*field) != Some(text)
        });
        let mut count = 0;
        for field in typed {
            let label = field.label();
            assert!(paper.contains(&label), "{}: {label}", example.name);
            count += 1;
        }
        assert!(count >= 5, "{}: {count}", example.name);
        let link = desk.link().replace('&', "&amp;");
        assert!(paper.contains(&link), "{}", example.name);
        assert!(paper.contains("enough to kill"));
    }
}

/// What was typed stays text.
#[test]
fn what_was_typed_is_escaped() {
    let mut desk = Desk::open("v=1&primary=8k&taps=8&hookup=8");
    desk.edit("taps", "<b>8");
    let paper = desk.on_paper().0;
    assert!(paper.contains("&lt;b&gt;8"), "{paper}");
    assert!(!paper.contains("<b>8"), "{paper}");
}
