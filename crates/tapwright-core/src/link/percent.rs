//! Percent-coding (RFC 3986, 2.1).

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_decode_str, utf8_percent_encode};

/// What is escaped: all that RFC 3986 does not allow in a fragment, and what delimits here.
const DELIMITERS: AsciiSet = NON_ALPHANUMERIC
    .remove(b'-')
    .remove(b'.')
    .remove(b'_')
    .remove(b'~')
    .remove(b'!')
    .remove(b'$')
    .remove(b'\'')
    .remove(b'(')
    .remove(b')')
    .remove(b'*')
    .remove(b'+')
    .remove(b',')
    .remove(b';')
    .remove(b'/')
    .remove(b'?');

/// The same and the comma, which delimits the values of a row.
const DELIMITERS_OF_A_ROW: AsciiSet = DELIMITERS.add(b',');

/// A text with what delimits in a link escaped.
pub(super) fn escaped(text: &str) -> String {
    utf8_percent_encode(text, &DELIMITERS).to_string()
}

/// A text with what delimits in a row of values escaped.
pub(super) fn escaped_in_row(text: &str) -> String {
    utf8_percent_encode(text, &DELIMITERS_OF_A_ROW).to_string()
}

/// A letter as its escapes, whatever it is.
pub(super) fn escaped_whole(letter: char) -> String {
    utf8_percent_encode(letter.encode_utf8(&mut [0; 4]), NON_ALPHANUMERIC).to_string()
}

/// The text that was escaped. What is no escape stays as it stands, and the second value is
/// false; so is it for bytes that are not UTF-8.
pub(super) fn decoded(raw: &str) -> (String, bool) {
    match percent_decode_str(raw).decode_utf8() {
        Ok(text) => (text.into_owned(), !has_stray_percent(raw)),
        Err(_) => (
            percent_decode_str(raw).decode_utf8_lossy().into_owned(),
            false,
        ),
    }
}

/// Whether a `%` stands without two hexadecimal digits after it.
fn has_stray_percent(raw: &str) -> bool {
    raw.split('%').skip(1).any(|after| {
        let digits = after.bytes().take(2).filter(u8::is_ascii_hexdigit);
        digits.count() < 2
    })
}
