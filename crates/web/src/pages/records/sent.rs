//! What a form sent, read field by field, with a sentence for each field that can't be used.

use std::str::FromStr;

use chrono::NaiveDate;
use serde::Deserialize;
use store::StoreError;

use crate::error::AppError;
use crate::format;
use crate::view::Faults;

/// The longest free text that is kept, in characters.
const LONGEST: usize = 4_000;

/// What is wrong with free text that is as long as a book.
pub(crate) fn too_long(text: &str) -> Option<&'static str> {
    (text.chars().count() > LONGEST).then_some("this is too long: use up to 4,000 letters")
}

/// Names and values as they were sent; a name may come several times.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(transparent)]
pub(crate) struct Sent(Vec<(String, String)>);

impl Sent {
    /// Values to begin with, as if they had been sent.
    pub(crate) fn with<'a>(values: impl IntoIterator<Item = (&'a str, String)>) -> Self {
        Self(values.into_iter().map(|(name, value)| (name.to_owned(), value)).collect())
    }

    /// The value of a name without blanks around it; empty where it was not sent.
    pub(crate) fn get(&self, name: &str) -> &str {
        self.0.iter().find(|(sent, _)| sent == name).map_or("", |(_, value)| value.trim())
    }

    /// Whether a name came with this value.
    pub(crate) fn has(&self, name: &str, value: &str) -> bool {
        self.0.iter().any(|(sent, with)| sent == name && with == value)
    }
}

/// What the store refused by a rule of the trade becomes a sentence beside its field; the rest ends the request.
pub(crate) fn kept<T>(result: Result<T, StoreError>) -> Result<Result<T, Faults>, AppError> {
    match result {
        Ok(value) => Ok(Ok(value)),
        Err(StoreError::Refused(problem)) => Ok(Err(problem.into())),
        Err(error) => Err(error.into()),
    }
}

/// Reads a form, field by field.
pub(crate) struct Reading<'a> {
    sent: &'a Sent,
    faults: Faults,
}

impl<'a> Reading<'a> {
    pub(crate) fn of(sent: &'a Sent) -> Self {
        Self { sent, faults: Faults::default() }
    }

    /// Notes why a field can't be used.
    pub(crate) fn wrong(&mut self, field: &'static str, why: &str) {
        self.faults.add(field, format::sentence(why));
    }

    /// A text, empty where nothing was written.
    pub(crate) fn text(&self, name: &str) -> String {
        self.sent.get(name).to_owned()
    }

    /// Free words, empty where nothing was written; refused where they are as long as a book.
    pub(crate) fn words(&mut self, name: &'static str) -> String {
        let text = self.text(name);
        if let Some(why) = too_long(&text) {
            self.wrong(name, why);
        }
        text
    }

    /// A text that may be left out.
    pub(crate) fn optional(&self, name: &str) -> Option<String> {
        Some(self.text(name)).filter(|text| !text.is_empty())
    }

    /// A day that may be left out.
    pub(crate) fn day(&mut self, name: &'static str) -> Option<NaiveDate> {
        let typed = self.sent.get(name);
        let day = typed.parse().ok();
        if day.is_none() && !typed.is_empty() {
            self.wrong(name, "write the day, such as 2026-03-01");
        }
        day
    }

    /// A day that can't be left out; any day stands for one that is wrong, since the form is refused then.
    pub(crate) fn needed_day(&mut self, name: &'static str) -> NaiveDate {
        if self.sent.get(name).is_empty() {
            self.wrong(name, "write the day, such as 2026-03-01");
        }
        self.day(name).unwrap_or_default()
    }

    /// A whole number that may be left out.
    pub(crate) fn count(&mut self, name: &'static str) -> Option<u32> {
        let typed = self.sent.get(name);
        let number = typed.parse().ok();
        if number.is_none() && !typed.is_empty() {
            self.wrong(name, "write a whole number, such as 40");
        }
        number
    }

    /// One of a fixed list.
    pub(crate) fn word<T: FromStr>(&mut self, name: &'static str) -> Option<T> {
        let word = self.sent.get(name).parse().ok();
        if word.is_none() {
            self.wrong(name, "choose one of these");
        }
        word
    }

    /// What was read, unless something is wrong.
    pub(crate) fn end<T>(self, value: Option<T>) -> Result<T, Faults> {
        value.filter(|_| self.faults.is_empty()).ok_or(self.faults)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_that_is_wrong_is_named_and_the_rest_is_kept() {
        let sent = Sent::with([("day", "3rd".into()), ("items", "-2".into()), ("why", " worn ".into())]);
        let mut reading = Reading::of(&sent);
        let (day, items) = (reading.day("day"), reading.count("items"));
        assert_eq!((day, items, reading.optional("why").as_deref()), (None, None, Some("worn")));
        let mut faults = reading.end(Some(())).expect_err("refused");
        assert_eq!(faults.take("day").as_deref(), Some("Write the day, such as 2026-03-01."));
        assert_eq!(faults.rest(), ["Write a whole number, such as 40."]);
    }

    #[test]
    fn free_words_are_no_book() {
        let sent = Sent::with([("why", "\u{e4}".repeat(LONGEST)), ("words", "x".repeat(LONGEST + 1))]);
        let mut reading = Reading::of(&sent);
        assert_eq!(reading.words("why").chars().count(), LONGEST);
        reading.words("words");
        let mut faults = reading.end(Some(())).expect_err("refused");
        assert_eq!(faults.take("words").as_deref(), Some("This is too long: use up to 4,000 letters."));
        assert!(faults.is_empty());
    }
}
