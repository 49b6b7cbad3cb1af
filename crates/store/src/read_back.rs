//! Turns stored columns back into values of the trade, and names the column that can't be.

use std::fmt::Display;
use std::str::FromStr;

use crate::error::{Result, StoreError};

/// The row whose columns are read.
pub(crate) struct Row<'a> {
    pub(crate) table: &'static str,
    pub(crate) id: &'a dyn Display,
}

impl Row<'_> {
    pub(crate) fn corrupt(&self, column: &'static str) -> StoreError {
        StoreError::Corrupt { table: self.table, column, id: self.id.to_string() }
    }

    /// A word of a fixed list.
    pub(crate) fn word<T: FromStr>(&self, column: &'static str, text: &str) -> Result<T> {
        text.parse().map_err(|_| self.corrupt(column))
    }

    /// A word of a fixed list that may be missing.
    pub(crate) fn optional_word<T: FromStr>(
        &self,
        column: &'static str,
        text: Option<&str>,
    ) -> Result<Option<T>> {
        text.map(|text| self.word(column, text)).transpose()
    }

    /// A whole number that the trade keeps narrower than the database does.
    pub(crate) fn number<T: TryFrom<i64>>(&self, column: &'static str, number: i64) -> Result<T> {
        number.try_into().map_err(|_| self.corrupt(column))
    }

    /// The same where it may be missing.
    pub(crate) fn optional_number<T: TryFrom<i64>>(
        &self,
        column: &'static str,
        number: Option<i64>,
    ) -> Result<Option<T>> {
        number.map(|number| self.number(column, number)).transpose()
    }
}

/// A text that is kept only where it says something.
pub(crate) fn filled(text: Option<&str>) -> Option<String> {
    text.filter(|text| !text.is_empty()).map(str::to_owned)
}

/// The word of a value that may be missing.
pub(crate) fn word_of<T: Copy>(value: Option<T>, word: impl Fn(T) -> &'static str) -> Option<String> {
    value.map(|value| word(value).to_owned())
}
