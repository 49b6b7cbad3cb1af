//! What a method answers: named values in the order they are to be read, and a sentence for people.

use serde::ser::{Serialize, SerializeMap as _, Serializer};
use serde_json::Value;

/// Named values in order; serialised as one JSON object.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    values: Vec<(String, Value)>,
    sentence: Option<String>,
}

impl Answer {
    /// Adds a value.
    pub fn put(&mut self, key: impl Into<String>, value: impl Told) {
        self.values.push((key.into(), value.told()));
    }

    /// Adds a pair of limits under a name with these two endings.
    pub(super) fn put_limits(&mut self, name: &str, limits: Option<stats::Interval>, ends: [&str; 2]) {
        self.put(format!("{name}{}", ends[0]), limits.map(|i| i.low));
        self.put(format!("{name}{}", ends[1]), limits.map(|i| i.high));
    }

    /// The same answer with a sentence for people, which is no part of the JSON.
    #[must_use]
    pub(super) fn saying(self, sentence: impl Into<String>) -> Self {
        Self { sentence: Some(sentence.into()), ..self }
    }

    /// The sentence for people, where the method has one.
    pub fn sentence(&self) -> Option<&str> {
        self.sentence.as_deref()
    }

    /// The values in order.
    pub fn values(&self) -> &[(String, Value)] {
        &self.values
    }
}

impl Serialize for Answer {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.values.len()))?;
        for (key, value) in &self.values {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

/// A value as JSON tells it: infinities as words, since JSON has none, and what is not a number as `null`.
pub trait Told {
    /// The JSON of it.
    fn told(self) -> Value;
}

impl Told for f64 {
    fn told(self) -> Value {
        if self.is_nan() {
            Value::Null
        } else if self.is_infinite() {
            Value::from(if self > 0.0 { "inf" } else { "-inf" })
        } else {
            Value::from(self)
        }
    }
}

macro_rules! told_as_json {
    ($($kind:ty),*) => {
        $(impl Told for $kind {
            fn told(self) -> Value {
                Value::from(self)
            }
        })*
    };
}

told_as_json!(u64, usize, bool, &str, String);

impl<T: Told> Told for Option<T> {
    fn told(self) -> Value {
        self.map_or(Value::Null, Told::told)
    }
}

impl<T: Told> Told for Vec<T> {
    fn told(self) -> Value {
        self.into_iter().map(Told::told).collect()
    }
}

impl Told for Answer {
    fn told(self) -> Value {
        Value::Object(self.values.into_iter().collect())
    }
}

/// Builds an [`Answer`] from keys and values.
macro_rules! answer {
    ($($key:literal: $value:expr),* $(,)?) => {{
        let mut answer = $crate::calc::Answer::default();
        $(answer.put($key, $value);)*
        answer
    }};
}
pub(super) use answer;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_keep_their_order_and_infinities_are_words() {
        let told = answer! { "z": f64::INFINITY, "a": f64::NEG_INFINITY, "m": f64::NAN, "none": None::<f64> };
        let line = serde_json::to_string(&told).expect("JSON");
        assert_eq!(line, r#"{"z":"inf","a":"-inf","m":null,"none":null}"#);
    }

    #[test]
    fn a_number_comes_back_as_it_was() {
        for number in [0.1 + 0.2, 1.0 / 3.0, 5e-324, f64::MAX, 1e300 / 7.0] {
            let text = serde_json::to_string(&number.told()).expect("JSON");
            assert_eq!(text.parse::<f64>().expect("a number").to_bits(), number.to_bits(), "{text}");
        }
    }
}
