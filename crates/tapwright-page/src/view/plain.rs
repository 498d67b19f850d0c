//! What a markup says.

/// The text of a markup, without its tags.
pub fn plain(markup: &str) -> String {
    let mut text = String::new();
    let mut rest = markup;
    while let Some((before, tag)) = rest.split_once('<') {
        text.push_str(before);
        rest = tag.split_once('>').map_or("", |(_, after)| after);
    }
    text.push_str(rest);
    let text = text
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&amp;", "&");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn tags_go_and_escapes_are_undone() {
        assert_eq!(
            plain("<p class=\"a\">A&amp;amp;B  <b>5</b> kΩ, &lt;8</p>"),
            "A&amp;B 5 kΩ, <8"
        );
    }
}
