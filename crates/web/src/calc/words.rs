//! Inputs that are no plain numbers: flags, labels and exact fractions.

use serde::Deserialize;
use serde::de::{Deserializer, Error};
use serde_json::Value;

use super::answer::Told;

/// Yes or no, as `true` and `false` or 1 and 0.
#[derive(Clone, Copy, Debug)]
pub(super) struct Flag(pub(super) bool);

impl<'de> Deserialize<'de> for Flag {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        match Value::deserialize(deserializer)? {
            Value::Bool(flag) => Ok(Self(flag)),
            Value::Number(n) if n.as_f64() == Some(1.0) => Ok(Self(true)),
            Value::Number(n) if n.as_f64() == Some(0.0) => Ok(Self(false)),
            other => Err(D::Error::custom(format!("{other} was given but 1 or 0, true or false is needed"))),
        }
    }
}

/// The name of a group: text or a whole number.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Label {
    Whole(i64),
    Text(String),
}

impl<'de> Deserialize<'de> for Label {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        match Value::deserialize(deserializer)? {
            Value::String(text) => Ok(Self::Text(text)),
            other => other.as_i64().map(Self::Whole).ok_or_else(|| {
                D::Error::custom(format!("{other} was given but a label is text or a whole number"))
            }),
        }
    }
}

impl Told for Label {
    fn told(self) -> Value {
        match self {
            Self::Whole(number) => Value::from(number),
            Self::Text(text) => Value::from(text),
        }
    }
}

/// An exact fraction of 0 or more, as `"3/4"`, `"2"`, `"0.75"` or a number, in lowest terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fraction {
    pub(super) top: u32,
    pub(super) bottom: u32,
}

impl Fraction {
    /// The fraction that a text writes.
    fn parse(text: &str) -> Option<Self> {
        let (top, bottom) = if let Some((top, bottom)) = text.split_once('/') {
            (top.trim().parse().ok()?, bottom.trim().parse().ok()?)
        } else {
            let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
            let bottom = 10_u64.checked_pow(u32::try_from(decimals.len()).ok()?)?;
            (format!("{whole}{decimals}").parse().ok()?, bottom)
        };
        Self::lowest(top, bottom)
    }

    fn lowest(top: u64, bottom: u64) -> Option<Self> {
        let (mut common, mut rest) = (top, bottom);
        while rest != 0 {
            (common, rest) = (rest, common % rest);
        }
        let part = |n: u64| u32::try_from(n.checked_div(common)?).ok();
        (bottom != 0).then_some(Self { top: part(top)?, bottom: part(bottom)? })
    }

    /// How many parts of the whole it is, for a number of parts that its own divides.
    pub(super) fn parts_of(self, parts: u32) -> Option<u32> {
        self.top.checked_mul(parts / self.bottom)
    }

    /// The least number of parts in which all can be told exactly.
    pub(super) fn common_parts(all: &[Self]) -> Option<u32> {
        all.iter().try_fold(1_u32, |parts, one| {
            let shared = Self::lowest(u64::from(parts), u64::from(one.bottom))?;
            parts.checked_mul(shared.bottom)
        })
    }
}

impl<'de> Deserialize<'de> for Fraction {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let value = Value::deserialize(deserializer)?;
        let text = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
        Self::parse(&text).ok_or_else(|| {
            D::Error::custom(format!("{value} was given but a fraction such as \"3/4\" or 0.75 is needed"))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Fraction;

    #[test]
    fn a_fraction_is_read_exactly_and_in_lowest_terms() {
        let is =
            |text, top, bottom| assert_eq!(Fraction::parse(text), Some(Fraction { top, bottom }), "{text}");
        is("1/4", 1, 4);
        is("6/8", 3, 4);
        is("0.25", 1, 4);
        is("10", 10, 1);
        is("2.0", 2, 1);
        is("0", 0, 1);
        for none in ["1/0", "-1", "x", "", "1/2/3", "1e9", "99999999999"] {
            assert_eq!(Fraction::parse(none), None, "{none}");
        }
    }

    #[test]
    fn fractions_share_the_least_number_of_parts() {
        let all = ["1/4", "5/6", "2"].map(|text| Fraction::parse(text).expect("a fraction"));
        assert_eq!(Fraction::common_parts(&all), Some(12));
        assert_eq!(all.map(|one| one.parts_of(12)), [Some(3), Some(10), Some(24)]);
    }
}
