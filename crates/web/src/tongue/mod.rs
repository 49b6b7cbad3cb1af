//! How a unit is spoken to: every text of its pages and mails, in its language. The texts stand in one file a language,
//! `templates/languages/`.

mod choose;
#[cfg(test)]
mod tests;

use std::sync::LazyLock;

use chrono::{Datelike as _, NaiveDate};
use domain::language::Language;
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use serde::{Serialize, Serializer};

pub(crate) use choose::choose;

use crate::format;

/// The language of one reader, and everything that is said in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tongue(Language);

type Texts = FluentBundle<FluentResource>;

static ENGLISH: LazyLock<Texts> =
    LazyLock::new(|| texts("en", include_str!("../../../../templates/languages/en.ftl")));
static GERMAN: LazyLock<Texts> =
    LazyLock::new(|| texts("de", include_str!("../../../../templates/languages/de.ftl")));
static FRENCH: LazyLock<Texts> =
    LazyLock::new(|| texts("fr", include_str!("../../../../templates/languages/fr.ftl")));

/// The texts of one file. What of it can't be read is left out and found by the tests, which hold the files side by side.
fn texts(code: &str, file: &str) -> Texts {
    let language = code.parse().unwrap_or_default();
    let mut texts = FluentBundle::new_concurrent(vec![language]);
    // Marks around what is filled in would be copied along with a receipt code.
    texts.set_use_isolating(false);
    let (Ok(resource) | Err((resource, _))) = FluentResource::try_new(file.to_owned());
    texts.add_resource_overriding(resource);
    texts
}

impl Tongue {
    /// English, which engineers and programs read.
    pub const ENGLISH: Self = Self(Language::English);

    /// As those read who speak a language.
    pub const fn of(language: Language) -> Self {
        Self(language)
    }

    /// Each that is spoken.
    pub fn all() -> Vec<Self> {
        Language::ALL.iter().copied().map(Self).collect()
    }

    /// The language.
    pub const fn language(self) -> Language {
        self.0
    }

    fn texts(self) -> &'static Texts {
        match self.0 {
            Language::English => &ENGLISH,
            Language::German => &GERMAN,
            Language::French => &FRENCH,
        }
    }

    /// A text that has nothing to be filled in.
    pub fn say(self, key: &str) -> String {
        self.with(key, &[])
    }

    /// A text with what is filled in.
    ///
    /// A key that has no text is shown as it is, and the log says so; a test finds it before.
    pub fn with(self, key: &str, filled: &[(&str, FluentValue<'_>)]) -> String {
        self.find(key, filled).unwrap_or_else(|why| {
            tracing::error!(key, %why, "a text is wanting");
            key.to_owned()
        })
    }

    /// The same, or what is wanting.
    ///
    /// # Errors
    /// There is no such text, or it asks for what isn't filled in.
    pub(crate) fn find(self, key: &str, filled: &[(&str, FluentValue<'_>)]) -> Result<String, String> {
        let texts = self.texts();
        let text = texts.get_message(key).and_then(|message| message.value());
        let text = text.ok_or_else(|| format!("`{key}` has no text in `{}`", self.0))?;
        let args: FluentArgs<'_> = filled.iter().cloned().collect();
        let mut faults = Vec::new();
        let said = texts.format_pattern(text, Some(&args), &mut faults);
        match faults.first() {
            Some(fault) => Err(format!("`{key}` in `{}`: {fault}", self.0)),
            None => Ok(said.into_owned()),
        }
    }

    /// A word of a fixed list, as units say it: `harm` and `near_miss` give the text `harm-near_miss`.
    pub fn word(self, list: &str, word: impl std::fmt::Display) -> String {
        self.say(&format!("{list}-{}", word.to_string().replace(' ', "-")))
    }

    /// A date with its month as a word: `3 Mar 2026`.
    pub fn date(self, day: NaiveDate) -> String {
        let filled = [
            ("day", day.day().into()),
            ("month", day.month().into()),
            ("year", day.year().to_string().into()),
        ];
        self.with("date", &filled)
    }

    /// A count with its thousands set apart.
    pub fn count(self, number: u64) -> String {
        format::count(number).replace(',', &self.say("thousands"))
    }

    /// The last of several joined by its word: `1, 2 and 3`.
    pub fn listed(self, several: &[&str]) -> String {
        match several {
            [] => String::new(),
            [one] => (*one).to_owned(),
            [first @ .., last] => format!("{} {} {last}", first.join(", "), self.say("and")),
        }
    }
}

/// On a page a tongue is its language's code, by which the template's texts are found.
impl Serialize for Tongue {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.0.word())
    }
}
