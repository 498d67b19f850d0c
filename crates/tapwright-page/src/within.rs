//! What differs between two markups of one element, down to its texts and attributes.

/// One change inside an element: of the node at a place among its elements and texts, the
/// element itself first, in the order of the document.
#[derive(Debug, PartialEq)]
pub struct Change<'a> {
    pub node: usize,
    pub to: To<'a>,
}

/// What a node becomes.
#[derive(Debug, PartialEq)]
pub enum To<'a> {
    /// A text of these words.
    Text(String),
    /// An element whose attribute has this value, or is gone.
    Attribute(&'a str, Option<String>),
}

/// What makes the element of one markup that of another; `None` where elements or texts come
/// or go. To write a text costs the browser a tenth of a new element.
pub fn changes<'a>(before: &'a str, after: &'a str) -> Option<Vec<Change<'a>>> {
    let mut changes = Vec::new();
    let (mut old, mut new) = (tokens(before), tokens(after));
    let mut node = 0;
    loop {
        let (old, new) = match (old.next(), new.next()) {
            (None, None) => return Some(changes),
            (old, new) => (old?, new?),
        };
        match (tag(old), tag(new)) {
            (None, None) if old != new => changes.push(Change {
                node,
                to: To::Text(unescaped(new)),
            }),
            (Some((name, had)), Some((new_name, has))) if name == new_name => {
                if name.starts_with('/') {
                    continue;
                }
                let all = attribute_changes(had, has);
                changes.extend(all.map(|(name, value)| Change {
                    node,
                    to: To::Attribute(name, value),
                }));
            }
            (None, None) => {}
            _ => return None,
        }
        node += 1;
    }
}

/// The attributes that go, and those that come or change with the value that they get.
fn attribute_changes<'a>(
    had: &'a str,
    has: &'a str,
) -> impl Iterator<Item = (&'a str, Option<String>)> {
    let gone = attributes(had).filter(move |(name, _)| attributes(has).all(|new| new.0 != *name));
    let came = attributes(has).filter(move |new| attributes(had).all(|old| old != *new));
    let gone = gone.map(|(name, _)| (name, None));
    gone.chain(came.map(|(name, value)| (name, Some(unescaped(value)))))
}

/// The tags and texts of a markup.
fn tokens(markup: &str) -> impl Iterator<Item = &str> {
    let mut rest = markup;
    std::iter::from_fn(move || {
        let end = match rest.starts_with('<') {
            true => rest.find('>').map(|last| last + 1),
            false => rest.find('<'),
        };
        let (token, after) = rest.split_at(end.unwrap_or(rest.len()));
        rest = after;
        (!token.is_empty()).then_some(token)
    })
}

/// The name of a tag, with the `/` of one that ends, and its attributes; `None` for a text.
fn tag(token: &str) -> Option<(&str, &str)> {
    let inside = token.strip_prefix('<')?.strip_suffix('>')?;
    Some(inside.split_once(' ').unwrap_or((inside, "")))
}

/// The names and values of attributes, as the markup has them; quotation marks and `>` inside
/// of values are escaped.
fn attributes(text: &str) -> impl Iterator<Item = (&str, &str)> {
    let mut rest = text;
    std::iter::from_fn(move || {
        rest = rest.trim_start();
        let end = rest.find([' ', '=']).unwrap_or(rest.len());
        let (name, after) = rest.split_at(end);
        let (value, after) = match after.strip_prefix("=\"") {
            Some(after) => after.split_once('"')?,
            None => ("", after),
        };
        rest = after;
        (!name.is_empty()).then_some((name, value))
    })
}

/// A text as it is shown.
fn unescaped(text: &str) -> String {
    let plain = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&amp;", "&"),
    ];
    let mut text = text.to_owned();
    for (escape, letter) in plain {
        if text.contains('&') {
            text = text.replace(escape, letter);
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_and_attributes_change_by_their_node() {
        let before = "<td class=\"fits\" hidden><button id=\"a\" title=\"x y\"><b>1 &lt; 2</b> k<br>m</button></td>";
        let after = "<td class=\"usable\"><button id=\"a\" title=\"&quot;>&quot;\" lang=\"en\"><b>1 &amp;lt; 3</b> k<br>n</button></td>"
            .replace(">&", "&gt;&");
        let attribute = |node, name, value: Option<&str>| Change {
            node,
            to: To::Attribute(name, value.map(String::from)),
        };
        let text = |node, words: &str| Change {
            node,
            to: To::Text(words.into()),
        };
        assert_eq!(
            changes(before, &after),
            Some(vec![
                attribute(0, "hidden", None),
                attribute(0, "class", Some("usable")),
                attribute(1, "title", Some("\">\"")),
                attribute(1, "lang", Some("en")),
                text(3, "1 &lt; 3"),
                // The text " k" is the fourth, the break the fifth.
                text(6, "n"),
            ])
        );
        assert_eq!(changes(before, before), Some(Vec::new()));
    }

    #[test]
    fn no_node_comes_or_goes() {
        let before = "<td><b>1</b>k</td>";
        for after in [
            "<td><b>1</b></td>",
            "<td><b>1</b>k<i></i></td>",
            "<td><i>1</i>k</td>",
            "<td><b></b>k</td>",
            "<td><b>1</b>k</td><td></td>",
            "",
        ] {
            assert_eq!(changes(before, after), None, "{after}");
        }
    }
}
