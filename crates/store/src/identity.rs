//! Makes one text out of what tells a row from all others, for nouns whose key has parts that may be missing.

use sha2::{Digest as _, Sha256};

/// Stands between the parts of a key; no value of a pack holds it.
const BETWEEN: &str = "\u{1f}";

/// A key of several parts as one text.
pub(crate) fn key(parts: &[Option<&str>]) -> String {
    parts.iter().map(|part| part.unwrap_or_default()).collect::<Vec<_>>().join(BETWEEN)
}

/// 96 bits that stand for a whole row, as 24 hexadecimal digits. They are kept, so the method can't change.
pub(crate) fn digest(row: &str) -> String {
    let digest = Sha256::digest(row.as_bytes());
    digest[..12].iter().fold(String::with_capacity(24), |mut text, byte| {
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        text.push(char::from(DIGITS[usize::from(byte >> 4)]));
        text.push(char::from(DIGITS[usize::from(byte & 15)]));
        text
    })
}
