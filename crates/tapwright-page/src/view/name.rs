//! What a set-up is called.

use tapwright_core::setup::{Marking, Setup};

/// What a set-up is called: its name, or what it is made of.
pub fn name(setup: &Setup) -> String {
    let first = |texts: [&str; 2]| {
        let mut texts = texts.into_iter().map(str::trim);
        texts
            .find(|text| !text.is_empty())
            .unwrap_or_default()
            .to_owned()
    };
    let (primary, taps) = match setup.marking {
        Marking::Measured => (setup.measured.once.leads.trim().to_owned(), ""),
        _ => (first([&setup.primary, &setup.line_taps]), setup.taps.trim()),
    };
    let speakers = setup.hookups.first().map_or("", |hookup| &hookup.speakers);
    match (setup.name.trim(), &*primary, taps) {
        ("", "", "") => first([&setup.tube, speakers]),
        ("", "", taps) => taps.into(),
        ("", primary, "") => primary.into(),
        ("", primary, taps) => format!("{primary} to {taps}"),
        (name, ..) => name.into(),
    }
}

/// The page's title, so that a bookmark names itself.
pub fn title(setup: &Setup) -> String {
    match name(setup).as_str() {
        "" => "Tapwright".into(),
        name => format!("{name} · Tapwright"),
    }
}
