//! An answer in plain words: its sentence, and a line for each value with the key's parts spelled out.

use std::fmt::Write as _;

use serde_json::Value;
use stats::{Confidence, Interval};

use super::Answer;
use super::key_words::spelled;
use crate::format::{counted, significant};

/// Digits that mean something in a sentence.
const DIGITS: u8 = 3;

/// `2.50`, or a word where there is no such number.
pub(super) fn number(value: f64) -> String {
    if value.is_nan() {
        "an unknown number".to_owned()
    } else if value.is_infinite() {
        "infinity".to_owned()
    } else if value != 0.0 && value.abs() < 1e-4 {
        format!("{value:.2e}")
    } else {
        significant(value, DIGITS)
    }
}

/// `0.681 to 6.46`, or that there is no upper limit.
pub(super) fn limits(ends: Interval) -> String {
    if ends.high.is_infinite() {
        format!("{} or more", number(ends.low))
    } else {
        format!("{} to {}", number(ends.low), number(ends.high))
    }
}

/// `at 90 % confidence`.
pub(super) fn at(conf: Confidence) -> String {
    format!("at {} confidence", percent_in_full(conf.value()))
}

/// `99.9999999 %`, with every digit that was given: a rounded level could say that nothing is left to be wrong by.
pub(super) fn percent_in_full(share: f64) -> String {
    let text = share.to_string();
    let Some(digits) = text.strip_prefix("0.") else { return percent(share) };
    let padded = format!("{digits:0<2}");
    let (whole, rest) = padded.split_at(2);
    let whole = whole.strip_prefix('0').unwrap_or(whole);
    let point = if rest.is_empty() { "" } else { "." };
    format!("{whole}{point}{rest}\u{a0}%")
}

/// `80.34 %`, to two digits behind the point at most.
pub(super) fn percent(share: f64) -> String {
    let text = format!("{:.2}", 100.0 * share);
    format!("{}\u{a0}%", text.trim_end_matches('0').trim_end_matches('.'))
}

/// `3 events`.
pub(super) fn events(count: u64) -> String {
    counted(count, "event", "events")
}

/// `3 units`.
pub(super) fn units(count: u64) -> String {
    counted(count, "unit", "units")
}

/// The whole answer for a person.
pub fn in_words(answer: &Answer) -> String {
    let mut out = String::new();
    if let Some(sentence) = answer.sentence() {
        let _ = writeln!(out, "{sentence}");
    }
    for (key, value) in answer.values() {
        // A remark that there is nothing to remark helps nobody.
        if key == "note" && value.is_null() {
            continue;
        }
        line(&mut out, &spelled(key), value, 1);
    }
    out
}

fn line(out: &mut String, name: &str, value: &Value, depth: usize) {
    let margin = "  ".repeat(depth);
    let nested = match value {
        Value::Object(fields) => fields.iter().map(|(key, value)| (spelled(key), value)).collect(),
        Value::Array(rows) if rows.iter().any(Value::is_object) => {
            rows.iter().enumerate().map(|(at, row)| (format!("number {}", at + 1), row)).collect()
        }
        _ => Vec::new(),
    };
    let _ = if nested.is_empty() {
        writeln!(out, "{margin}{name}: {}", told(value))
    } else {
        writeln!(out, "{margin}{name}")
    };
    for (name, value) in nested {
        line(out, &name, value, depth + 1);
    }
}

fn told(value: &Value) -> String {
    match value {
        Value::Null => "no estimate".to_owned(),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        Value::String(text) if text == "inf" => "no limit".to_owned(),
        Value::String(text) => text.replace('_', " "),
        Value::Number(n) => n.as_f64().map_or_else(|| n.to_string(), number_or_whole),
        Value::Array(list) if list.is_empty() => "none".to_owned(),
        Value::Array(list) => list.iter().map(told).collect::<Vec<_>>().join("; "),
        Value::Object(_) => value.to_string(),
    }
}

/// Counts in full, other numbers with the digits that help a reader.
fn number_or_whole(value: f64) -> String {
    if value.fract() == 0.0 && value.abs() < 1e15 {
        crate::format::decimals(value, 0)
    } else if value.abs() >= 1e-4 {
        significant(value, 4)
    } else {
        format!("{value:.3e}")
    }
}
