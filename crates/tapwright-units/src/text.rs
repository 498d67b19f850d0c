//! A text as it was typed.

/// Longest text that a field is read from, in bytes. Nobody types more than that.
pub const LONGEST_ENTRY: usize = 2_000;

/// The start of a text, short enough to repeat in a message.
pub fn excerpt(text: &str) -> String {
    let mut kept: String = text.chars().take(24).collect();
    if text.chars().nth(24).is_some() {
        kept.push('…');
    }
    kept
}

/// Puts one character in the place of each of the several that look like a space, a minus
/// sign, a micro sign or an ohm sign.
pub fn tidy(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\u{2126}' => 'Ω',
            '\u{00b5}' | '\u{03bc}' => 'u',
            '\u{2212}' => '-',
            c if c.is_whitespace() => ' ',
            c => c,
        })
        .collect()
}
