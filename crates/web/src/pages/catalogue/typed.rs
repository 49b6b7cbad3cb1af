//! What an engineer typed to add a mode, and the mode it makes.

use domain::catalogue::{DefaultSeverity, Mode};
use domain::words::Problem;
use serde::Deserialize;

use crate::format;
use crate::view::Faults;

/// The longest text of a field, in characters.
const LONGEST: usize = 400;
/// The most words for units.
const MOST_WORDS: usize = 40;

/// The form.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    pub(super) kind: String,
    pub(super) new_kind: String,
    pub(super) kind_name: String,
    pub(super) code: String,
    pub(super) name: String,
    pub(super) field_words: String,
    pub(super) severity: String,
    pub(super) mechanism: String,
    pub(super) how_found: String,
    pub(super) usual_fix: String,
    pub(super) test_methods: String,
}

/// What the catalogue refuses, beside the field it came from.
pub(super) fn refused(problem: &Problem) -> Faults {
    let field = match problem.field {
        "kind" => "new_kind",
        "mode_name" => "name",
        "kind_name" => "kind_name",
        _ => "code",
    };
    Faults::one(field, format::sentence(&problem.why))
}

impl Typed {
    /// The mode, of a kind that the catalogue names unless it is new.
    ///
    /// # Errors
    /// Everything that is missing or too long; whether the code fits, the catalogue says.
    pub(super) fn mode(&self) -> Result<Mode, Faults> {
        let mut faults = Faults::default();
        let kind = if self.kind == NEW { capitals(&self.new_kind) } else { self.kind.trim().to_owned() };
        if kind.is_empty() {
            let field = if self.kind == NEW { "new_kind" } else { "kind" };
            faults.add(field, "Choose the kind of part, or write a short code for a new one.");
        }
        let words: Vec<String> = self
            .field_words
            .split([';', '\n'])
            .map(|word| word.trim().to_lowercase())
            .filter(|word| !word.is_empty())
            .collect();
        if words.is_empty() {
            faults.add(
                "field_words",
                "Write at least one phrase a unit would use, so that reports can be matched.",
            );
        } else if words.len() > MOST_WORDS {
            faults.add("field_words", "Forty phrases are the most.");
        }
        let severity = self.severity.parse::<DefaultSeverity>().ok();
        if severity.is_none() {
            faults.add("severity", "Choose how bad it usually is.");
        }
        if self.name.trim().is_empty() {
            faults.add("name", "Write what engineers call it.");
        }
        for (field, text) in [
            ("name", &self.name),
            ("kind_name", &self.kind_name),
            ("code", &self.code),
            ("mechanism", &self.mechanism),
            ("how_found", &self.how_found),
            ("usual_fix", &self.usual_fix),
            ("test_methods", &self.test_methods),
        ] {
            if text.chars().count() > LONGEST {
                faults.add(field, "400 letters are the most.");
            }
        }
        let trimmed = |text: &str| text.trim().to_owned();
        match severity {
            Some(default_severity) if faults.is_empty() => Ok(Mode {
                kind,
                kind_name: if self.kind == NEW { trimmed(&self.kind_name) } else { String::new() },
                code: capitals(&self.code),
                name: trimmed(&self.name),
                mechanism: trimmed(&self.mechanism),
                how_found: trimmed(&self.how_found),
                usual_fix: trimmed(&self.usual_fix),
                test_methods: trimmed(&self.test_methods),
                default_severity,
                field_words: words,
            }),
            _ => Err(faults),
        }
    }
}

/// What stands for a kind the catalogue doesn't have.
pub(super) const NEW: &str = "+";

fn capitals(text: &str) -> String {
    text.trim().to_uppercase()
}
