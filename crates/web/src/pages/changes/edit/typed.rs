//! What was typed into a section's form, what is wrong with it, and the fields that show both.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::view::{Ask, Choices, Faults};

/// The longest text that is kept.
const LONGEST: usize = 8_000;

/// Fields by their names.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(transparent)]
pub(in crate::pages::changes) struct Typed(BTreeMap<String, String>);

/// One piece of a form, in order: a field, choices, or words between them.
#[derive(Serialize)]
pub(in crate::pages::changes) struct Block {
    ask: Option<Ask>,
    choices: Option<Choices>,
    head: Option<String>,
    says: Option<String>,
}

impl Typed {
    /// What a field holds, without blanks around; nothing where it wasn't sent.
    pub(super) fn text(&self, field: &str) -> &str {
        self.0.get(field).map_or("", |text| text.trim())
    }

    /// The same, where something was written.
    pub(super) fn filled(&self, field: &str) -> Option<String> {
        Some(self.text(field).to_owned()).filter(|text| !text.is_empty())
    }

    /// With a field set.
    pub(super) fn with(mut self, field: impl Into<String>, text: impl Into<String>) -> Self {
        self.0.insert(field.into(), text.into());
        self
    }

    /// With a field set where there is something to set.
    pub(super) fn with_some(self, field: impl Into<String>, text: Option<impl Into<String>>) -> Self {
        match text {
            Some(text) => self.with(field, text),
            None => self,
        }
    }

    /// Names every text that is too long to be kept.
    pub(super) fn too_long(&self) -> Faults {
        let mut faults = Faults::default();
        for (field, _) in self.0.iter().filter(|(_, text)| text.chars().count() > LONGEST) {
            faults.add(field, "This is too long: use up to 8,000 letters.");
        }
        faults
    }
}

impl Block {
    const EMPTY: Self = Self { ask: None, choices: None, head: None, says: None };

    /// A line of its own above what follows.
    pub(super) fn head(text: impl Into<String>) -> Self {
        Self { head: Some(text.into()), ..Self::EMPTY }
    }

    /// A sentence between fields.
    pub(super) fn says(text: impl Into<String>) -> Self {
        Self { says: Some(text.into()), ..Self::EMPTY }
    }
}

impl From<Ask> for Block {
    fn from(ask: Ask) -> Self {
        Self { ask: Some(ask), ..Self::EMPTY }
    }
}

impl From<Choices> for Block {
    fn from(choices: Choices) -> Self {
        Self { choices: Some(choices), ..Self::EMPTY }
    }
}
