//! Values of the trade and the forms they take in a document, each way.

use std::fmt::Display;
use std::str::FromStr;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// The form of a value in a document.
pub(super) trait Mirror<T>: Sized {
    /// The form of a value.
    fn of(value: &T) -> Self;
    /// The value of a form, or what is wrong with it.
    fn back(self) -> Result<T, String>;
}

macro_rules! as_they_are {
    ($($kind:ty),+) => { $(
        impl Mirror<$kind> for $kind {
            fn of(value: &$kind) -> Self {
                value.clone()
            }

            fn back(self) -> Result<$kind, String> {
                Ok(self)
            }
        }
    )+ };
}
as_they_are!(String, f64, u32, u64, bool, NaiveDate);

impl<T, F: Mirror<T>> Mirror<Option<T>> for Option<F> {
    fn of(value: &Option<T>) -> Self {
        value.as_ref().map(F::of)
    }

    fn back(self) -> Result<Option<T>, String> {
        self.map(F::back).transpose()
    }
}

impl<T, F: Mirror<T>> Mirror<Vec<T>> for Vec<F> {
    fn of(values: &Vec<T>) -> Self {
        values.iter().map(F::of).collect()
    }

    fn back(self) -> Result<Vec<T>, String> {
        self.into_iter().map(F::back).collect()
    }
}

impl<A, B, F: Mirror<A>, G: Mirror<B>> Mirror<(A, B)> for (F, G) {
    fn of((a, b): &(A, B)) -> Self {
        (F::of(a), G::of(b))
    }

    fn back(self) -> Result<(A, B), String> {
        Ok((self.0.back()?, self.1.back()?))
    }
}

/// A word of a fixed list.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct Word(String);

impl<T: Display + FromStr<Err: Display>> Mirror<T> for Word {
    fn of(value: &T) -> Self {
        Self(value.to_string())
    }

    fn back(self) -> Result<T, String> {
        self.0.parse().map_err(|error: T::Err| error.to_string())
    }
}

/// The form of a noun, field by field.
macro_rules! mirror {
    ($($form:ident of $noun:ident { $($field:ident: $kind:ty),+ $(,)? })+) => { $(
        #[derive(Clone, Debug, serde::Serialize, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $form {
            $($field: $kind),+
        }

        impl $crate::evidence::mirror::Mirror<$noun> for $form {
            fn of(noun: &$noun) -> Self {
                Self { $($field: $crate::evidence::mirror::Mirror::of(&noun.$field)),+ }
            }

            fn back(self) -> Result<$noun, String> {
                Ok($noun { $($field: $crate::evidence::mirror::Mirror::back(self.$field)?),+ })
            }
        }
    )+ };
}
pub(super) use mirror;
