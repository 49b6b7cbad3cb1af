//! Evidence as one canonical document: the keys of every object sorted, numbers at full precision, nothing between them.

mod freeze;
mod mirror;
mod nouns;
mod whole;

pub use freeze::{basis, freeze, shown_now};

use domain::evidence::Evidence;
use serde_json::Value;

use self::mirror::Mirror as _;
use self::whole::EvidenceForm;

/// Why a document is no evidence.
#[derive(Debug, thiserror::Error)]
#[error("this is no evidence of a change, or it was altered: {0}")]
pub struct Unreadable(String);

/// The document of evidence; equal evidence gives equal bytes.
pub fn write(evidence: &Evidence) -> Result<String, serde_json::Error> {
    Ok(sorted(serde_json::to_value(EvidenceForm::of(evidence))?).to_string())
}

/// The evidence of a document.
///
/// # Errors
/// A document that isn't one.
pub fn read(document: &str) -> Result<Evidence, Unreadable> {
    let mut source = serde_json::Deserializer::from_str(document);
    let form: EvidenceForm =
        serde_path_to_error::deserialize(&mut source).map_err(|error| Unreadable(error.to_string()))?;
    form.back().map_err(Unreadable)
}

/// With the keys of every object in order, whatever order the library keeps them in.
fn sorted(value: Value) -> Value {
    match value {
        Value::Object(object) => {
            let mut pairs: Vec<(String, Value)> =
                object.into_iter().map(|(key, value)| (key, sorted(value))).collect();
            pairs.sort_by(|a, b| a.0.cmp(&b.0));
            Value::Object(pairs.into_iter().collect())
        }
        Value::Array(values) => Value::Array(values.into_iter().map(sorted).collect()),
        other => other,
    }
}
