//! Holds a JSON value against a schema of the document: the keywords it uses, and an error for any other.

use chrono::{DateTime, NaiveDate};
use serde_json::Value;

/// What of `value` doesn't fit the schema, each with its place; a keyword this doesn't know is a fault too.
pub(super) fn faults(document: &Value, schema: &Value, value: &Value) -> Vec<String> {
    let mut found = Vec::new();
    hold(document, schema, value, "$", &mut found);
    found
}

fn hold(document: &Value, schema: &Value, value: &Value, at: &str, found: &mut Vec<String>) {
    let Some(schema) = schema.as_object() else { return found.push(format!("{at}: no schema")) };
    for (keyword, rule) in schema {
        let holds = match keyword.as_str() {
            "description" | "examples" | "title" | "pattern" | "default" => true,
            "$ref" => {
                let pointer = rule.as_str().unwrap_or_default().trim_start_matches('#');
                match document.pointer(pointer) {
                    Some(target) => {
                        hold(document, target, value, at, found);
                        true
                    }
                    None => false,
                }
            }
            "oneOf" => {
                let fits = |one: &&Value| faults(document, one, value).is_empty();
                rule.as_array().is_some_and(|all| all.iter().filter(fits).count() == 1)
            }
            "type" => match rule {
                Value::Array(kinds) => kinds.iter().any(|kind| is_of(kind, value)),
                kind => is_of(kind, value),
            },
            "enum" => rule.as_array().is_some_and(|all| all.contains(value)),
            "format" => is_formatted(rule.as_str().unwrap_or_default(), value),
            "minimum" => compare(value, rule, |value, limit| value >= limit),
            "maximum" => compare(value, rule, |value, limit| value <= limit),
            "exclusiveMinimum" => compare(value, rule, |value, limit| value > limit),
            "exclusiveMaximum" => compare(value, rule, |value, limit| value < limit),
            "minLength" => compare_length(value, rule, |letters, limit| letters >= limit),
            "maxLength" => compare_length(value, rule, |letters, limit| letters <= limit),
            "required" => value.as_object().is_none_or(|fields| {
                rule.as_array()
                    .is_some_and(|all| all.iter().all(|n| fields.contains_key(n.as_str().unwrap_or(""))))
            }),
            "additionalProperties" => *rule == Value::Bool(false),
            "properties" => {
                for (name, field) in value.as_object().into_iter().flatten() {
                    match rule.get(name) {
                        Some(schema) => hold(document, schema, field, &format!("{at}.{name}"), found),
                        None => found.push(format!("{at}.{name}: not in the document")),
                    }
                }
                true
            }
            "items" => {
                for (number, item) in value.as_array().into_iter().flatten().enumerate() {
                    hold(document, rule, item, &format!("{at}[{number}]"), found);
                }
                true
            }
            _ => false,
        };
        if !holds {
            found.push(format!("{at}: {keyword} {rule} doesn't hold of {value}"));
        }
    }
}

fn is_of(kind: &Value, value: &Value) -> bool {
    match kind.as_str() {
        Some("null") => value.is_null(),
        Some("boolean") => value.is_boolean(),
        Some("string") => value.is_string(),
        Some("array") => value.is_array(),
        Some("object") => value.is_object(),
        Some("number") => value.is_number(),
        Some("integer") => value.is_i64() || value.is_u64(),
        _ => false,
    }
}

fn is_formatted(format: &str, value: &Value) -> bool {
    value.as_str().is_none_or(|text| match format {
        "date" => NaiveDate::parse_from_str(text, "%Y-%m-%d").is_ok(),
        "date-time" => DateTime::parse_from_rfc3339(text).is_ok(),
        _ => false,
    })
}

fn compare(value: &Value, rule: &Value, holds: fn(f64, f64) -> bool) -> bool {
    value.as_f64().is_none_or(|value| rule.as_f64().is_some_and(|limit| holds(value, limit)))
}

fn compare_length(value: &Value, rule: &Value, holds: fn(u64, u64) -> bool) -> bool {
    let letters = value.as_str().map(|text| text.chars().count() as u64);
    letters.is_none_or(|letters| rule.as_u64().is_some_and(|limit| holds(letters, limit)))
}

#[test]
fn what_does_not_fit_is_found() {
    let document = serde_json::json!({ "lot": { "type": "object", "required": ["no"], "properties": {
        "no": { "type": "string", "maxLength": 3 }, "made": { "type": ["string", "null"], "format": "date" },
        "share": { "oneOf": [{ "type": "null" }, { "type": "number", "minimum": 0 }] } } } });
    let found = |value: Value| faults(&document, &serde_json::json!({ "$ref": "#/lot" }), &value).len();
    assert_eq!(found(serde_json::json!({ "no": "1", "made": "2026-03-03", "share": 0.5 })), 0);
    assert_eq!(found(serde_json::json!({ "made": null })), 1, "a field is missing");
    assert_eq!(found(serde_json::json!({ "no": "1234" })), 1, "too long");
    assert_eq!(found(serde_json::json!({ "no": "1", "made": "3 Mar" })), 1, "no date");
    assert_eq!(found(serde_json::json!({ "no": "1", "share": -1 })), 1, "below nought");
    assert_eq!(found(serde_json::json!({ "no": "1", "size": "M" })), 1, "not in the document");
    assert_eq!(faults(&document, &serde_json::json!({ "odd": 1 }), &Value::Null).len(), 1, "unknown keyword");
}
