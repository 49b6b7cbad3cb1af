//! What an entry of the journal changed, field by field, for a reader.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate};
use serde::Serialize;
use serde_json::Value as Json;

use crate::format;

/// The longest value shown, in characters.
const LONGEST: usize = 160;

/// Parts of names of fields that are never shown, whatever the store kept of them.
const SECRET: [&str; 5] = ["password", "secret", "token", "hash", "client_key"];

/// One field that an act changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub(super) struct Line {
    field: String,
    before: Option<String>,
    after: Option<String>,
}

/// The fields in which two states differ, by name; of a state that stands alone all its fields.
pub(super) fn lines(before: Option<&str>, after: Option<&str>) -> Vec<Line> {
    let (before, after) = (fields(before), fields(after));
    let names = before.keys().chain(after.keys()).collect::<std::collections::BTreeSet<_>>();
    names
        .into_iter()
        .filter(|name| before.get(*name) != after.get(*name))
        // A row's own number says nothing to a reader; the entry is named by its key.
        .filter(|name| *name != "id" && !name.ends_with(": id"))
        .filter(|name| !SECRET.iter().any(|secret| name.contains(secret)))
        .map(|name| Line {
            field: name.replace('_', " "),
            before: before.get(name).map(|value| short(value)),
            after: after.get(name).map(|value| short(value)),
        })
        .collect()
}

/// A state's fields as text; those of an object in an object are named `outer: inner`.
fn fields(state: Option<&str>) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    if let Some(state) = state {
        match serde_json::from_str(state) {
            Ok(json) => gather(String::new(), &json, &mut found),
            // Whatever it is, it is on record.
            Err(_) => drop(found.insert("state".to_owned(), state.to_owned())),
        }
    }
    found
}

fn gather(name: String, json: &Json, found: &mut BTreeMap<String, String>) {
    let text = match json {
        Json::Object(object) => {
            for (inner, value) in object {
                let name = if name.is_empty() { inner.clone() } else { format!("{name}: {inner}") };
                gather(name, value, found);
            }
            return;
        }
        Json::Null => return,
        Json::Bool(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Json::String(text) => worded(text),
        Json::Array(items) if items.iter().all(Json::is_string) => {
            items.iter().filter_map(Json::as_str).collect::<Vec<_>>().join(", ")
        }
        other => other.to_string(),
    };
    found.insert(if name.is_empty() { "state".to_owned() } else { name }, text);
}

/// Days and moments as pages write them; words of a list without their underscores.
fn worded(text: &str) -> String {
    if let Ok(moment) = DateTime::parse_from_rfc3339(text) {
        return format::moment(moment.to_utc());
    }
    if let Ok(day) = text.parse::<NaiveDate>() {
        return format::date(day);
    }
    let is_word = text.contains('_') && text.chars().all(|c| c.is_ascii_lowercase() || c == '_');
    if is_word { text.replace('_', " ") } else { text.to_owned() }
}

fn short(value: &str) -> String {
    let mut short: String = value.chars().take(LONGEST).collect();
    if short.len() < value.len() {
        short.push_str(" ...");
    }
    if short.trim().is_empty() { "(empty)".to_owned() } else { short }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(before: Option<&str>, after: Option<&str>) -> Vec<String> {
        let said = |line: &Line| {
            let [before, after] = [&line.before, &line.after].map(|side| side.as_deref().unwrap_or("-"));
            format!("{}: {before} > {after}", line.field)
        };
        lines(before, after).iter().map(said).collect()
    }

    #[test]
    fn only_what_differs_is_shown_and_what_came_or_went_stands_alone() {
        assert_eq!(
            shown(
                Some(r#"{"name":"Cove","kind":"wearing","parent_unit":"BASE"}"#),
                Some(r#"{"name":"Cove 2","kind":"wearing","retired":true}"#)
            ),
            ["name: Cove > Cove 2", "parent unit: BASE > -", "retired: - > yes"]
        );
    }

    #[test]
    fn objects_in_objects_are_spread_and_lists_of_words_joined() {
        assert_eq!(
            shown(None, Some(r#"{"counts":{"units":3,"lots":0},"words":["a","b"],"note":""}"#)),
            ["counts: lots: - > 0", "counts: units: - > 3", "note: - > (empty)", "words: - > a, b"]
        );
    }

    #[test]
    fn days_moments_and_words_are_written_as_pages_write_them() {
        let state = r#"{"id":7,"on":"2026-03-03","at":"2026-03-03T12:05:09.5+00:00","harm":"near_miss","code":"A_B"}"#;
        assert_eq!(
            shown(None, Some(state)),
            ["at: - > 3 Mar 2026, 12:05 UTC", "code: - > A_B", "harm: - > near miss", "on: - > 3 Mar 2026"]
        );
    }

    #[test]
    fn a_secret_is_not_shown_even_if_the_journal_had_one() {
        let state = r#"{"password_hash":"argon2","api_token":"0a1b","name":"fell","inner":{"secret":"x"}}"#;
        assert_eq!(shown(None, Some(state)), ["name: - > fell"]);
    }

    #[test]
    fn what_is_no_object_is_shown_as_it_stands_and_cut() {
        assert_eq!(shown(None, Some("broken {")), ["state: - > broken {"]);
        assert_eq!(shown(Some("1"), Some("2")), ["state: 1 > 2"]);
        let long = serde_json::json!({ "a": "\u{e9}".repeat(200) }).to_string();
        assert_eq!(lines(None, Some(&long))[0].after.as_ref().unwrap().chars().count(), 164);
    }
}
