//! Makes one text out of what tells a row from all others, for nouns whose key has parts that may be missing.

use std::collections::HashMap;
use std::fmt::Write as _;

use chrono::NaiveDate;
use sha2::{Digest as _, Sha256};

/// Stands between the parts of a key; no value of a pack holds it.
const BETWEEN: char = '\u{1f}';

/// How many equal rows have come, for nouns of which equal rows stand for separate things.
#[derive(Default)]
pub(crate) struct Twins(HashMap<[u8; 12], u32>);

/// An identity in the making.
#[derive(Default)]
pub(crate) struct Identity(String);

impl Identity {
    /// The identity of a row of a table among rows of all tables.
    pub(crate) fn of(table: &str) -> Self {
        Self(table.to_owned())
    }

    /// Adds a column.
    pub(crate) fn part(mut self, part: &impl Part) -> Self {
        if !self.0.is_empty() {
            self.0.push(BETWEEN);
        }
        part.write(&mut self.0);
        self
    }

    /// The columns of a key, readable.
    pub(crate) fn key(self) -> String {
        self.0
    }

    /// The whole row as 96 bits, and which of the equal rows it is, from 0. It is kept, so the method can't change.
    pub(crate) fn whole(self, twins: &mut Twins) -> String {
        let mut digest = [0; 12];
        digest.copy_from_slice(&Sha256::digest(self.0.as_bytes())[..12]);
        let ordinal = twins.0.entry(digest).and_modify(|n| *n += 1).or_insert(0);
        let [a, b, c] = [0, 4, 8]
            .map(|at| u32::from_be_bytes([digest[at], digest[at + 1], digest[at + 2], digest[at + 3]]));
        format!("{a:08x}{b:08x}{c:08x}-{ordinal}")
    }
}

/// A column that can be part of an identity.
pub(crate) trait Part {
    fn write(&self, out: &mut String);
}

impl Part for String {
    fn write(&self, out: &mut String) {
        out.push_str(self);
    }
}

impl Part for NaiveDate {
    fn write(&self, out: &mut String) {
        write!(out, "{self}").expect("writing to a string doesn't fail");
    }
}

impl Part for i64 {
    fn write(&self, out: &mut String) {
        write!(out, "{self}").expect("writing to a string doesn't fail");
    }
}

impl Part for f64 {
    fn write(&self, out: &mut String) {
        write!(out, "{self}").expect("writing to a string doesn't fail");
    }
}

impl<T: Part> Part for Option<T> {
    fn write(&self, out: &mut String) {
        if let Some(part) = self {
            part.write(out);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_rows_are_told_apart_and_rows_of_other_tables_too() {
        let mut twins = Twins::default();
        let row = |table: &str| Identity::of(table).part(&"a".to_owned()).part(&None::<String>).part(&1.5);
        let first = row("event").whole(&mut twins);
        let second = row("event").whole(&mut twins);
        assert_eq!(first.strip_suffix("-0"), second.strip_suffix("-1"));
        assert!(row("movement").whole(&mut twins).ends_with("-0"));
        assert_eq!(row("event").whole(&mut Twins::default()), first);
    }

    #[test]
    fn a_missing_part_moves_no_other_into_its_place() {
        let key = |a: Option<&str>, b: Option<&str>| {
            Identity::default()
                .part(&"x".to_owned())
                .part(&a.map(str::to_owned))
                .part(&b.map(str::to_owned))
                .key()
        };
        assert_ne!(key(Some("a"), None), key(None, Some("a")));
    }

    #[test]
    fn the_digest_of_a_row_is_that_of_sha_256() {
        // FIPS 180-4 example: SHA-256("abc") begins ba7816bf 8f01cfea 414140de.
        assert_eq!(Identity::of("abc").whole(&mut Twins::default()), "ba7816bf8f01cfea414140de-0");
    }
}
