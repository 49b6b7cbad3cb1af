//! The one error of this crate: a value that a method cannot accept, by name, with what it would accept.

use std::fmt;

/// Why a method has no answer.
///
/// `Display` gives a sentence that names the value, shows it and says what is accepted, so that it can be shown
/// to a person as it stands.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum StatsError {
    /// A value outside the range the method accepts (NaN and infinity included unless said otherwise).
    OutOfRange {
        /// Name of the value, as in the method's documentation.
        what: &'static str,
        /// The value that was given.
        value: f64,
        /// What would have been accepted, as words that follow "must be".
        accepted: &'static str,
    },
    /// One value of a list is outside the range the method accepts.
    ItemOutOfRange {
        /// Name of the value, as in the method's documentation.
        what: &'static str,
        /// Place in the list, counted from 0.
        index: usize,
        /// The value that was given.
        value: f64,
        /// What would have been accepted, as words that follow "must be".
        accepted: &'static str,
    },
    /// A count larger than the total it is a part of.
    CountAboveTotal {
        /// Name of the count.
        what: &'static str,
        /// The count that was given.
        count: u64,
        /// The total it may not exceed.
        total: u64,
    },
    /// A list that must hold something is empty or too short.
    TooFew {
        /// What the list holds.
        what: &'static str,
        /// How many there were.
        given: usize,
        /// How many the method needs.
        needed: usize,
    },
    /// Lists that belong together differ in length.
    LengthsDiffer {
        /// What the first list holds.
        first: &'static str,
        /// What the second list holds.
        second: &'static str,
        /// Lengths of the two.
        lengths: (usize, usize),
    },
    /// The data are of a kind for which no estimate exists, with the reason in words.
    NoEstimate {
        /// Why none exists, as a sentence without its full stop.
        reason: &'static str,
    },
}

impl fmt::Display for StatsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { what, value, accepted } => {
                write!(f, "{what} is {value} but must be {accepted}")
            }
            Self::ItemOutOfRange { what, index, value, accepted } => {
                write!(f, "{what} number {} is {value} but must be {accepted}", index + 1)
            }
            Self::CountAboveTotal { what, count, total } => {
                write!(f, "{what} is {count} but must not exceed its total, {total}")
            }
            Self::TooFew { what, given, needed } => {
                write!(f, "there are {given} {what} but at least {needed} are needed")
            }
            Self::LengthsDiffer { first, second, lengths: (one, two) } => {
                write!(f, "there are {one} {first} but {two} {second}; each needs its partner")
            }
            Self::NoEstimate { reason } => write!(f, "no estimate exists: {reason}"),
        }
    }
}

impl std::error::Error for StatsError {}

/// Passes a finite value above zero on, and names it otherwise.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, StatsError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(StatsError::OutOfRange { what, value, accepted: "a finite number above 0" })
    }
}

/// Passes a finite value of zero or more on, and names it otherwise.
pub(crate) fn not_negative(what: &'static str, value: f64) -> Result<f64, StatsError> {
    if value >= 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(StatsError::OutOfRange { what, value, accepted: "a finite number of 0 or more" })
    }
}

/// Passes a finite value on, and names it otherwise.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, StatsError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(StatsError::OutOfRange { what, value, accepted: "a finite number" })
    }
}

/// The sum of counts, refused from 2^53 on, where whole numbers are no longer told apart.
pub(crate) fn total<'a>(
    what: &'static str,
    counts: impl IntoIterator<Item = &'a u64>,
) -> Result<u64, StatsError> {
    const MOST: u64 = 1 << 53;
    let sum = counts.into_iter().fold(0_u64, |sum, n| sum.saturating_add(*n));
    if sum < MOST {
        Ok(sum)
    } else {
        Err(StatsError::OutOfRange { what, value: sum as f64, accepted: "below 9,007,199,254,740,992" })
    }
}
