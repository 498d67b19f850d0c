//! Every link that was ever made opens, with the answers it had.
#![allow(
    clippy::panic,
    clippy::expect_used,
    clippy::unwrap_used,
    reason = "a test that cannot go on has failed"
)]

use tapwright_core::{link, solve};

#[test]
fn old_links_open_with_the_answers_they_had() {
    let corpus = include_str!("old_links.txt");
    let mut opened = 0;
    for line in corpus.lines().filter(|line| !line.starts_with('#')) {
        let [text, connections, reflected] = line
            .split(" | ")
            .collect::<Vec<_>>()
            .try_into()
            .expect("three columns");
        let parsed = link::parse(text);
        assert!(parsed.troubles.is_empty(), "{text}: {:?}", parsed.troubles);
        let report = solve(&parsed.setup);
        assert!(report.problems.is_empty(), "{text}: {:?}", report.problems);
        assert_eq!(
            report.solved.connections.len().to_string(),
            connections,
            "{text}"
        );
        let answers: Vec<String> = (report.answers.iter())
            .map(|answer| {
                report.solved.connections[answer.connection]
                    .connection
                    .load
                    .reflected
                    .0
                    .round()
                    .to_string()
            })
            .collect();
        assert_eq!(answers.join(" "), reflected, "{text}");
        assert_eq!(
            link::parse(&link::encode(&parsed.setup)).setup,
            parsed.setup,
            "{text}"
        );
        opened += 1;
    }
    assert!(opened >= 82, "a link was taken away: {opened} are left");
}
