//! The recent set-ups that this device keeps.

use tapwright_core::link::{self, saved};
use tapwright_core::setup::Setup;

/// Most of them that are kept: then the oldest goes.
pub const MOST: usize = 200;

/// One of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Recent {
    /// Under what the browser keeps it.
    pub id: String,
    /// The tab that works on it, or did.
    pub tab: String,
    /// When it was last changed: `2026-11-29 14:03:22.250`, by the clock on the wall.
    pub when: String,
    /// What the page answered to it, in brief.
    pub answer: String,
    /// What was typed.
    pub setup: Setup,
}

impl Recent {
    /// Whether it is this set-up, however that is shown and whichever connection is followed.
    pub fn is_of(&self, setup: &Setup) -> bool {
        plain(&self.setup) == plain(setup)
    }

    /// As the browser keeps it: the tab, then what a file would hold.
    pub fn write(&self) -> String {
        let text = saved::write([(&*self.when, &*self.answer, &self.setup)]);
        format!("{}\n{text}", self.tab)
    }

    /// Reads what the browser kept; `None` for what is not one of them.
    pub fn read(id: &str, kept: &str) -> Option<Self> {
        let (tab, text) = kept.split_once('\n')?;
        let saved = saved::read(text.as_bytes()).ok()?.into_iter().next()?;
        Some(Self {
            id: id.into(),
            tab: tab.into(),
            when: saved.when,
            answer: saved.answer,
            setup: saved.parsed.setup,
        })
    }
}

/// A set-up without the way it is shown.
fn plain(setup: &Setup) -> String {
    link::encode(&Setup {
        shown: Setup::default().shown,
        selected: None,
        ..setup.clone()
    })
}

/// What a file with this set-up in it is called: letters and digits of its name, which every
/// system takes.
pub fn file_name(name: &str) -> String {
    let words = name.split(|letter: char| !letter.is_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let stem: String = words.join("-").chars().take(60).collect();
    match stem.as_str() {
        "" => "tapwright.txt".into(),
        stem => format!("{stem}.tapwright.txt"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_comes_back_as_it_was_kept() {
        let one = Recent {
            id: "7".into(),
            tab: "tab.0.5".into(),
            when: "2026-11-29 14:03:22".into(),
            answer: "blue 10k + green 8: 9.8 kΩ".into(),
            setup: link::parse("v=1&name=Porch%20amp&primary=8k&taps=8&hookup=8").setup,
        };
        assert_eq!(Recent::read("7", &one.write()), Some(one));
        for other in ["", "tab", "tab\nhello", "understood"] {
            assert_eq!(Recent::read("7", other), None, "{other}");
        }
    }

    #[test]
    fn a_file_is_called_what_every_system_takes() {
        for (name, file) in [
            ("Porch amp", "Porch-amp.tapwright.txt"),
            ("8k to 4/8 \"Ω\" <b>", "8k-to-4-8-Ω-b.tapwright.txt"),
            ("../..", "tapwright.txt"),
            ("", "tapwright.txt"),
        ] {
            assert_eq!(file_name(name), file);
        }
    }
}
