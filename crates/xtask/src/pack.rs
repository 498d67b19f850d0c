//! Bytes as few letters as a string literal in a page can safely hold, and the page's encoding.

use std::io::Write as _;

use anyhow::Result;
use lzma_rust2::{LzmaOptions, LzmaWriter};

/// Bits that one letter holds. The page is written in UTF-16, where each of these letters
/// takes 16 bits: 1.07 bytes a byte, where base 64 in UTF-8 takes 1.33.
const BITS: u32 = 15;

/// The first letter. From here on 2¹⁵ letters stand in one row, all of them of one unit
/// of UTF-16, and none that could end or escape a string literal, or open a tag.
const FIRST: u32 = 0x4000;

/// How far back a repetition is looked for, in bytes: more than the module is long.
const WINDOW: u32 = 1 << 22;

/// Bits of the byte before that choose how a literal is coded.
const BITS_BEFORE: u32 = 4;

/// Compressed by LZMA, without a header, as `boot.js` unpacks it.
pub fn lzma(bytes: &[u8]) -> Result<Vec<u8>> {
    let options = LzmaOptions {
        dict_size: WINDOW,
        lc: BITS_BEFORE,
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

/// The bytes as text in base 2¹⁵, least significant bits first.
pub fn letters(bytes: &[u8]) -> String {
    let mut text = String::new();
    let mut write = |value: u32| text.extend(char::from_u32(FIRST + value));
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

/// A text in UTF-16, least significant bytes first.
pub fn utf16(text: &str) -> Vec<u8> {
    text.encode_utf16().flat_map(u16::to_le_bytes).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half of a pair of surrogates would be no letter at all.
    #[test]
    fn every_letter_is_one_unit() {
        let all: Vec<char> = (0..1 << BITS)
            .filter_map(|value| char::from_u32(FIRST + value))
            .collect();
        assert_eq!(all.len(), 1 << BITS);
        assert!(all.iter().all(|letter| letter.len_utf16() == 1));
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
            lzma_rust2::LzmaReader::new(&packed[..], length, BITS_BEFORE, 0, 0, WINDOW, None)
                .expect("reads");
        let mut found = Vec::new();
        std::io::Read::read_to_end(&mut reader, &mut found).expect("unpacks");
        assert_eq!(found, bytes);
    }

    /// By hand: 15 of 16 bits, all set, make the last letter; the one that is left the second.
    #[test]
    fn fifteen_bits_are_a_letter() {
        assert_eq!(letters(&[0xFF, 0xFF]), "\u{BFFF}\u{4001}");
        assert_eq!(letters(&[]), "");
        assert_eq!(utf16("<\u{BFFF}"), [0x3C, 0x00, 0xFF, 0xBF]);
    }

    #[test]
    fn the_letters_give_the_bytes_back() {
        let bytes: Vec<u8> = (0..4000_u32).map(|n| (n * n / 7 % 256) as u8).collect();
        let mut bits: Vec<bool> = Vec::new();
        for letter in letters(&bytes).chars() {
            let value = u32::from(letter) - FIRST;
            bits.extend((0..BITS).map(|bit| value >> bit & 1 == 1));
        }
        let found: Vec<u8> = (bits.chunks_exact(8).take(bytes.len()))
            .map(|byte| (0..8).map(|bit| u8::from(byte[bit]) << bit).sum())
            .collect();
        assert_eq!(found, bytes);
    }
}
