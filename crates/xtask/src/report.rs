//! `cargo xtask report`: the report on a link as JSON, computed natively.

use std::io::Write;
use std::process::ExitCode;

use tapwright_core::link::{self, Trouble};
use tapwright_core::report::Report;

/// What is printed: the report, and what of the link could not be read.
#[derive(serde::Serialize)]
struct Printed {
    link: String,
    link_troubles: Vec<Trouble>,
    #[serde(flatten)]
    report: Report,
}

/// Prints the report. 0 also when fields were at fault, as the JSON then says; 2 when
/// there was nothing to read.
pub fn run(arguments: &[String]) -> ExitCode {
    let [link] = arguments else {
        return refuse("one link, or the part of it behind the #, is expected");
    };
    match print(link) {
        Ok(json) => match writeln!(std::io::stdout(), "{json}") {
            Ok(()) => ExitCode::SUCCESS,
            Err(error) => refuse(&format!("cannot print: {error}")),
        },
        Err(why) => refuse(&why),
    }
}

fn refuse(why: &str) -> ExitCode {
    eprintln!("cargo xtask report: {why}.");
    eprintln!("Try: cargo xtask report 'v=1&primary=8k&taps=4,8,16&hookup=8//8'");
    ExitCode::from(2)
}

fn print(link: &str) -> Result<String, String> {
    let parsed = link::parse(link);
    if parsed.understood == 0 {
        return Err("nothing in it is a set-up: no key that this program knows".into());
    }
    let printed = Printed {
        link: link::encode(&parsed.setup),
        link_troubles: parsed.troubles,
        report: tapwright_core::solve(&parsed.setup),
    };
    serde_json::to_string_pretty(&printed).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bad_fields_are_listed_inside_the_report() {
        let json = print("v=1&primary=8k&taps=eight&hookup=8&mood=blue").expect("a report");
        let report: serde_json::Value = serde_json::from_str(&json).expect("JSON");
        assert_eq!(report["problems"][0]["field"], "taps");
        assert_eq!(report["link_troubles"][0]["key"], "mood");
        assert_eq!(
            report["link"],
            "v=1&primary=8k&taps=eight&hookup=8&mood=blue"
        );
    }

    /// 8 kΩ : 4 Ω and 4 Ω of speaker reflect 8 kΩ. Exact arithmetic.
    #[test]
    fn the_numbers_are_in_it() {
        let json = print("page.html#v=1&primary=8k&taps=4&hookup=8//8").expect("a report");
        let report: serde_json::Value = serde_json::from_str(&json).expect("JSON");
        // A place, and not the ohms of the hookup: no key stands there twice.
        assert_eq!(report["connections"][0]["hookup"], 0);
        assert_eq!(
            json.matches("\"hookup\"").count(),
            2,
            "one in the connection, one in the answer"
        );
        let reflected = report["connections"][0]["reflected"]
            .as_f64()
            .expect("a number");
        assert!((reflected - 8_000.0).abs() < 1e-6, "{reflected}");
    }

    #[test]
    fn what_is_no_link_is_refused() {
        for text in ["", "hello", "#"] {
            assert!(print(text).is_err(), "{text}");
        }
    }
}
