//! Reading a method's input: numbers and counts with words for what is accepted, and the place of what is wrong.

use std::fmt;

use serde::Deserialize;
use serde::de::{Deserializer, Error, Visitor};
use serde_json::Value;
use stats::{Confidence, Exposure, StatsError};

/// Above this a whole number can't be told from its neighbours once it is a double.
const LARGEST_COUNT: u64 = 1 << 53;

/// Why a line has no answer, as a sentence that names the value and says what is accepted.
#[derive(Debug, thiserror::Error)]
pub enum CalcError {
    /// The line doesn't hold what the method takes.
    #[error("{0}")]
    Input(String),
    /// The method refuses a value.
    #[error(transparent)]
    Refused(#[from] StatsError),
    /// The program fails where it should have answered or refused.
    #[error("the program fails on this input, which is a fault of its own; please report it")]
    Fault,
}

impl CalcError {
    pub(super) fn input(words: impl Into<String>) -> Self {
        Self::Input(words.into())
    }
}

/// Reads an input object; an error names the place in it.
pub(super) fn read<'a, T: Deserialize<'a>>(input: &'a Value) -> Result<T, CalcError> {
    if !input.is_object() {
        return Err(CalcError::input("an input is an object, such as {\"k\": 3}"));
    }
    serde_path_to_error::deserialize(input).map_err(|error| {
        let (path, why) = (error.path().to_string(), error.inner().to_string());
        // An unknown key is named in the sentence already; its place is what holds it.
        let place = if why.starts_with("unknown field") {
            path.rsplit_once('.').map_or("", |(holder, _)| holder)
        } else {
            path.trim_start_matches('.')
        };
        CalcError::Input(if place.is_empty() { why } else { format!("`{place}`: {why}") })
    })
}

/// Whether an input names a value, which tells the forms of a method apart.
pub(super) fn names(input: &Value, key: &str) -> bool {
    input.get(key).is_some_and(|value| !value.is_null())
}

/// A number; infinity is taken as the word that answers use for it, and the method has the last word.
#[derive(Clone, Copy, Debug)]
pub(super) struct Number(pub(super) f64);

impl<'de> Deserialize<'de> for Number {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Words;
        impl Visitor<'_> for Words {
            type Value = Number;
            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("a number")
            }
            fn visit_f64<E: Error>(self, value: f64) -> Result<Number, E> {
                Ok(Number(value))
            }
            fn visit_u64<E: Error>(self, value: u64) -> Result<Number, E> {
                Ok(Number(value as f64))
            }
            fn visit_i64<E: Error>(self, value: i64) -> Result<Number, E> {
                Ok(Number(value as f64))
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<Number, E> {
                match text {
                    "inf" => Ok(Number(f64::INFINITY)),
                    "-inf" => Ok(Number(f64::NEG_INFINITY)),
                    _ => Err(E::custom(format!("\"{text}\" was given but a number is needed"))),
                }
            }
        }
        deserializer.deserialize_any(Words)
    }
}

/// A count; `1e12` counts too.
#[derive(Clone, Copy, Debug)]
pub(super) struct Count(pub(super) u64);

impl<'de> Deserialize<'de> for Count {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Words;
        fn refused<E: Error>(value: impl fmt::Display) -> E {
            E::custom(format!("{value} was given but a whole number from 0 to {LARGEST_COUNT} is needed"))
        }
        impl Visitor<'_> for Words {
            type Value = Count;
            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("a whole number of 0 or more")
            }
            fn visit_u64<E: Error>(self, value: u64) -> Result<Count, E> {
                if value <= LARGEST_COUNT { Ok(Count(value)) } else { Err(refused(value)) }
            }
            fn visit_i64<E: Error>(self, value: i64) -> Result<Count, E> {
                u64::try_from(value).map_err(|_| refused(value)).and_then(|count| self.visit_u64(count))
            }
            fn visit_f64<E: Error>(self, value: f64) -> Result<Count, E> {
                if value.fract() == 0.0 && (0.0..=LARGEST_COUNT as f64).contains(&value) {
                    Ok(Count(value as u64))
                } else {
                    Err(refused(value))
                }
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<Count, E> {
                Err(refused(format_args!("\"{text}\"")))
            }
        }
        deserializer.deserialize_any(Words)
    }
}

/// A value whose size the method's own checks leave open, but beyond which it would run for hours or lose its digits.
pub(super) fn within(what: &'static str, value: f64, low: f64, high: f64) -> Result<f64, CalcError> {
    if (low..=high).contains(&value) {
        return Ok(value);
    }
    let short = |value: f64| match value.abs() {
        0.0 => "0".to_owned(),
        1e-3..1e6 => value.to_string(),
        _ => format!("{value:e}"),
    };
    Err(CalcError::Input(format!(
        "{what} is {} but must be from {} to {}",
        short(value),
        short(low),
        short(high)
    )))
}

/// A two-sided confidence, checked by the method's library when it is taken out.
pub(super) fn confidence(level: Number) -> Result<Confidence, CalcError> {
    Ok(Confidence::new(level.0)?)
}

/// An exposure.
pub(super) fn exposure(amount: Number) -> Result<Exposure, CalcError> {
    Ok(Exposure::new(amount.0)?)
}

/// The numbers themselves.
pub(super) fn plain(numbers: &[Number]) -> Vec<f64> {
    numbers.iter().map(|number| number.0).collect()
}

/// The counts themselves.
pub(super) fn whole(counts: &[Count]) -> Vec<u64> {
    counts.iter().map(|count| count.0).collect()
}

/// What stands for a weight that isn't given.
pub(super) fn one() -> Number {
    Number(1.0)
}

/// What stands for an age that isn't given.
pub(super) fn zero() -> Number {
    Number(0.0)
}
