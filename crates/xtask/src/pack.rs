//! Bytes as few letters as a string literal in a page can safely hold.

use std::io::Write as _;

use anyhow::Result;
use lzma_rust2::{LzmaOptions, LzmaWriter};

/// How many letters there are. 91² is just over 2¹³, so that two letters hold 13 bits:
/// 1.23 letters a byte, where base64 has 1.33.
const LETTERS: u32 = 91;
const BITS: u32 = 13;

/// How far back a repetition is looked for, in bytes: more than the module is long.
const WINDOW: u32 = 1 << 22;

/// Compressed by LZMA, without a header, as `boot.js` unpacks it.
pub fn lzma(bytes: &[u8]) -> Result<Vec<u8>> {
    let options = LzmaOptions {
        dict_size: WINDOW,
        lc: 3,
        lp: 0,
        // Nothing in a module is aligned.
        pb: 0,
        nice_len: 273,
        depth_limit: 1000,
        ..LzmaOptions::with_preset(9)
    };
    let mut writer = LzmaWriter::new_no_header(Vec::new(), &options, false)?;
    writer.write_all(bytes)?;
    Ok(writer.finish()?)
}

/// The bytes as text in base 91, least significant bits first.
pub fn letters(bytes: &[u8]) -> String {
    let alphabet: Vec<char> = alphabet().collect();
    let mut text = String::new();
    let mut write = |pair: u32| {
        for value in [pair % LETTERS, pair / LETTERS] {
            text.extend(alphabet.get(value as usize));
        }
    };
    let mut held = 0_u32;
    let mut bits = 0;
    for byte in bytes {
        held |= u32::from(*byte) << bits;
        bits += 8;
        if bits >= BITS {
            write(held % (1 << BITS));
            held >>= BITS;
            bits -= BITS;
        }
    }
    if bits > 0 {
        write(held);
    }
    text
}

/// Printable ASCII but for what could end or escape a string literal, open a tag, or
/// look like a placeholder.
fn alphabet() -> impl Iterator<Item = char> {
    (' '..='~').filter(|letter| !['"', '<', '\\', '{'].contains(letter))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pair_of_letters_holds_thirteen_bits() {
        const { assert!(LETTERS * LETTERS >= 1 << BITS) };
        assert_eq!(alphabet().count(), LETTERS as usize);
    }

    /// Read back by the library's own reader; that `boot.js` reads it too is seen by every
    /// test of the page in a browser.
    #[test]
    fn what_is_packed_comes_out_again() {
        let bytes: Vec<u8> = (0..40_000_u32)
            .map(|n| (n * n / 7 % 256 * (n / 1000 % 2)) as u8)
            .collect();
        let packed = lzma(&bytes).expect("packs");
        assert!(packed.len() < bytes.len());
        let length = bytes.len() as u64;
        let mut reader =
            lzma_rust2::LzmaReader::new(&packed[..], length, 3, 0, 0, WINDOW, None).expect("reads");
        let mut found = Vec::new();
        std::io::Read::read_to_end(&mut reader, &mut found).expect("unpacks");
        assert_eq!(found, bytes);
    }

    /// By hand: 0xFF is 255 = 2 · 91 + 73, and the letters 73 and 2, counted from 0, are `l` and `#`.
    #[test]
    fn a_byte_is_two_letters() {
        assert_eq!(letters(&[0xFF]), "l#");
        assert_eq!(letters(&[]), "");
    }

    #[test]
    fn the_letters_give_the_bytes_back() {
        let bytes: Vec<u8> = (0..4000_u32).map(|n| (n * n / 7 % 256) as u8).collect();
        let values: Vec<u32> = letters(&bytes)
            .chars()
            .map(|letter| alphabet().position(|known| known == letter).expect("known") as u32)
            .collect();
        let mut bits: Vec<bool> = Vec::new();
        for pair in values.chunks(2) {
            let number = pair[0] + LETTERS * pair[1];
            bits.extend((0..BITS).map(|bit| number >> bit & 1 == 1));
        }
        let found: Vec<u8> = (bits.chunks_exact(8).take(bytes.len()))
            .map(|byte| (0..8).map(|bit| u8::from(byte[bit]) << bit).sum())
            .collect();
        assert_eq!(found, bytes);
    }
}
