//! The set-up as a link: the one in the address, and those that a person opens.

use tapwright_core::examples::EXAMPLES;
use tapwright_core::link::{self, Parsed};
use tapwright_units::entry::excerpt;

use super::Desk;
use crate::view;

/// What can be opened as a link.
const EXAMPLE_OF_LINK: &str = "v=1&primary=8k&taps=4,8,16&hookup=8";

impl Desk {
    /// The fragment that brings everything back.
    pub fn link(&self) -> String {
        link::encode(&self.typed)
    }

    /// Tells that the page was opened from a disk.
    pub fn set_from_disk(&mut self) {
        self.from_disk = true;
    }

    /// What a person takes elsewhere: the address, or, from a disk, the set-up as text.
    pub fn to_copy(&self, address: String) -> String {
        match self.from_disk {
            true => self.link(),
            false => address,
        }
    }

    /// Replaces everything by what a fragment holds, or by the first example when it is
    /// empty; what was there is one undo away.
    pub fn follow(&mut self, fragment: &str) {
        let parsed = parse(fragment);
        self.typed.shown.leaf = parsed.setup.shown.leaf;
        if parsed.setup != self.typed {
            self.replace(parsed.setup);
        }
        self.tell_troubles(&parsed.troubles);
    }

    /// Opens an address, a fragment of one, or a set-up that was kept as text; what was there
    /// is one undo away. `false` for a text that is none of these: then the reason is said at
    /// the field.
    pub fn open_link(&mut self, text: &str) -> bool {
        // A mail program breaks long lines, and puts brackets around an address.
        let text = text.replace(['\n', '\r'], "");
        let text = text.trim().trim_matches(['<', '>', '“', '”', '"']);
        let parsed = link::parse(text);
        self.no_link = (parsed.understood == 0).then(|| match text {
                "" => format!("Nothing is typed. For example: {EXAMPLE_OF_LINK}"),
                text => format!(
                    "“{}” is neither an address of this page nor a set-up. For example: {EXAMPLE_OF_LINK}",
                    excerpt(text)
                ),
        });
        if self.no_link.is_some() {
            return false;
        }
        self.set_open(view::MENU, false);
        self.replace(parsed.setup);
        self.tell_of_link(&parsed.troubles);
        true
    }
}

/// Reads a fragment; an empty one is the first example.
pub(super) fn parse(fragment: &str) -> Parsed {
    link::parse(or_first_example(fragment))
}

fn or_first_example(fragment: &str) -> &str {
    match fragment.trim_start_matches('#') {
        "" => EXAMPLES[0].link,
        // With its first `#`, behind which others belong to the link.
        _ => fragment,
    }
}
