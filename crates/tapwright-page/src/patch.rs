//! What differs between two markups of a grid or of a row of buttons, part by part, so
//! that an edit that changes a column does not cost the layout of the whole table.

/// The elements that are replaced one by one, as a selector. None stands in another.
#[cfg(target_arch = "wasm32")]
pub const PARTS: &str = "h3, th, td, .grid > button, .answers button";

/// How the same elements start in markup, and how they end.
const TAGS: [(&str, &str); 4] = [
    ("<h3", "</h3>"),
    ("<th", "</th>"),
    ("<td", "</td>"),
    ("<button", "</button>"),
];

/// Two markups with the same frame around parts of which some differ.
pub struct Patch<'a> {
    before: Vec<&'a str>,
    after: Vec<&'a str>,
}

impl<'a> Patch<'a> {
    /// The patch from one markup to another; `None` when more than parts differs.
    pub fn between(before: &'a str, after: &'a str) -> Option<Self> {
        let (before, after) = (pieces(before), pieces(after));
        let same_frame = before.len() == after.len()
            && (before.iter().zip(&after).step_by(2)).all(|(before, after)| before == after);
        same_frame.then_some(Self { before, after })
    }

    /// The parts that differ: their places among all that `PARTS` selects, and their markup
    /// before and after.
    pub fn changes(&self) -> Vec<(usize, [&'a str; 2])> {
        let parts = self.before.iter().zip(&self.after).skip(1).step_by(2);
        parts
            .enumerate()
            .filter(|(_, (before, after))| before != after)
            .map(|(place, (before, after))| (place, [*before, *after]))
            .collect()
    }

    /// The new markup with the parts at `left` as they were.
    pub fn leaving(&self, left: &[usize]) -> String {
        let mut pieces = self.after.clone();
        for at in left.iter().map(|place| 2 * place + 1) {
            if let (Some(piece), Some(before)) = (pieces.get_mut(at), self.before.get(at)) {
                *piece = before;
            }
        }
        pieces.concat()
    }
}

/// The markup cut before and after each part: frame, part, frame, part, …, frame.
fn pieces(markup: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let mut rest = markup;
    while let Some((start, end)) = next_part(rest) {
        pieces.push(&rest[..start]);
        pieces.push(&rest[start..end]);
        rest = &rest[end..];
    }
    pieces.push(rest);
    pieces
}

/// Where the next part starts and ends. A `<` that is text is escaped, so each one in
/// markup starts a tag.
fn next_part(markup: &str) -> Option<(usize, usize)> {
    markup.match_indices('<').find_map(|(start, _)| {
        let rest = &markup[start..];
        let (tag, end) = TAGS.iter().find(|(tag, _)| {
            // `<th` starts `<thead` too.
            (rest.strip_prefix(tag)).is_some_and(|after| after.starts_with([' ', '>']))
        })?;
        let length = rest[tag.len()..].find(end)? + tag.len() + end.len();
        Some((start, start + length))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEFORE: &str = "<h3>a</h3><table><thead><tr><th scope=\"col\">b</th></tr></thead>\
        <tr><td class=\"fits\"><button>c</button></td><td>d</td></tr></table><button>e</button>";

    #[test]
    fn parts_that_differ_are_found_by_their_place() {
        let after = BEFORE.replace(">c<", ">C<").replace(">e<", ">E<");
        let patch = Patch::between(BEFORE, &after).expect("the frame is the same");
        assert_eq!(
            patch.changes(),
            [
                (
                    2,
                    [
                        "<td class=\"fits\"><button>c</button></td>",
                        "<td class=\"fits\"><button>C</button></td>"
                    ]
                ),
                (4, ["<button>e</button>", "<button>E</button>"]),
            ]
        );
        assert_eq!(patch.leaving(&[]), after);
        assert_eq!(patch.leaving(&[4]), BEFORE.replace(">c<", ">C<"));
        assert_eq!(patch.leaving(&[2, 4]), BEFORE);
    }

    #[test]
    fn no_patch_adds_a_row_or_changes_the_frame() {
        let row = "<tr><td>f</td></tr></table>";
        assert!(Patch::between(BEFORE, &BEFORE.replace("</table>", row)).is_none());
        let class = "<table class=\"many\">";
        assert!(Patch::between(BEFORE, &BEFORE.replace("<table>", class)).is_none());
    }
}
