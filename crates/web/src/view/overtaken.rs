//! Word of what somebody else decided while a form was open, above the form that comes back.

use chrono::{DateTime, Utc};
use serde::Serialize;

use crate::format;

/// Says that nothing was kept, who decided what in between, and what stands now.
#[derive(Clone, Debug, Serialize)]
pub struct Overtaken {
    head: String,
    says: String,
    onward: &'static str,
    now: Vec<(&'static str, String)>,
}

impl Overtaken {
    /// From what was done to `noun` in between, each with who did it and when, in its order, and what is so now.
    pub fn new(
        noun: &str,
        done: impl IntoIterator<Item = (String, String, DateTime<Utc>)>,
        now: Vec<(&'static str, String)>,
    ) -> Self {
        let said = |(by, what, at): (String, String, DateTime<Utc>)| {
            format!("{} {what}, {}.", format::titled(&by), format::moment(at))
        };
        Self {
            head: format!("This {noun} changed while you had it open"),
            says: done.into_iter().map(said).collect::<Vec<_>>().join(" "),
            onward: "Nothing of yours was kept; what you typed stands below. Look again and keep what is right.",
            now,
        }
    }

    /// One for the templates' test.
    pub fn sample() -> Self {
        let done = ("Oda Fell".to_owned(), "sorted it as RC-131 / ZIP-1".to_owned(), DateTime::UNIX_EPOCH);
        Self::new("report", [done], vec![("stands", "sorted".to_owned())])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everybody_is_named_with_what_they_did_and_when() {
        let at = |minute: i64| DateTime::from_timestamp(1_772_539_200 + 60 * minute, 0).unwrap();
        let done = |by: &str, what: &str, minute: i64| (by.to_owned(), what.to_owned(), at(minute));
        let told = Overtaken::new(
            "report",
            [done("Oda Fell", "set it aside", 0), done("unit COVE-2", "answered a question", 1)],
            Vec::new(),
        );
        assert_eq!(
            told.says,
            "Oda Fell set it aside, 3 Mar 2026, 12:00 UTC. Unit COVE-2 answered a question, 3 Mar 2026, 12:01 UTC."
        );
    }
}
