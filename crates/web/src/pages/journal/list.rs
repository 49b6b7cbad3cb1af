//! The page of the journal, and what a reader looks for in it.

use chrono::NaiveDate;
use domain::permission::{Act, Actor, may};
use serde::{Deserialize, Serialize};
use store::{JournalEntry, JournalFilter};

use super::ON_A_PAGE;
use super::difference::{Line, lines};
use crate::address::{self, segment};
use crate::format;
use crate::templates::Page;
use crate::view::{Ask, Empty, Faults, Place, Shell};

/// Nouns whose entries hold what units wrote and were asked; only who may read that sees more of them than that they are.
const OF_UNITS: [&str; 4] = ["report", "question", "answer", "mailed report"];

/// Fields of one entry that stand open; more fold away.
const OPEN: usize = 6;

/// What a reader looks for, as it was typed.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    noun: String,
    key: String,
    who: String,
    from: String,
    until: String,
    older: String,
}

/// The journal.
#[derive(Serialize)]
pub struct JournalPage {
    shell: Shell,
    nouns: Vec<(String, bool)>,
    key: Ask,
    who: Ask,
    from: Ask,
    until: Ask,
    rows: Vec<Row>,
    empty: Empty,
    newest: Option<String>,
    older: Option<String>,
}

#[derive(Serialize)]
struct Row {
    address: Option<String>,
    when: String,
    who: String,
    act: String,
    noun: String,
    key: String,
    open: Vec<Line>,
    folded: Vec<Line>,
    more: String,
    /// Whether what it changed is not this reader's to read.
    kept_back: bool,
}

fn filled(text: &str) -> Option<String> {
    Some(text.trim().to_owned()).filter(|text| !text.is_empty())
}

fn day(field: &str, typed: &str, faults: &mut Faults) -> Option<NaiveDate> {
    let day = filled(typed)?.parse().ok();
    if day.is_none() {
        faults.add(field, "Write a date such as 2026-03-09.");
    }
    day
}

impl Filter {
    /// What the store is asked for.
    pub(super) fn read(&self) -> Result<JournalFilter, Faults> {
        let mut faults = Faults::default();
        let (from, until) = (day("from", &self.from, &mut faults), day("until", &self.until, &mut faults));
        if from.zip(until).is_some_and(|(from, until)| until < from) {
            faults.add("until", "This is before the first day.");
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        Ok(JournalFilter {
            noun: filled(&self.noun),
            key: filled(&self.key),
            actor: filled(&self.who),
            from,
            until,
            older_than: self.older.parse().ok(),
            ..JournalFilter::default()
        })
    }

    /// The address of these entries from one number on.
    fn address(&self, older: Option<i64>) -> String {
        let mut parts: Vec<String> = [
            ("noun", &self.noun),
            ("key", &self.key),
            ("who", &self.who),
            ("from", &self.from),
            ("until", &self.until),
        ]
        .iter()
        .filter(|(_, value)| !value.trim().is_empty())
        .map(|(name, value)| format!("{name}={}", segment(value.trim())))
        .collect();
        parts.extend(older.map(|id| format!("older={id}")));
        if parts.is_empty() { "/journal".to_owned() } else { format!("/journal?{}", parts.join("&")) }
    }
}

impl JournalPage {
    pub(super) fn new(
        actor: &Actor,
        filter: &Filter,
        nouns: &[String],
        mut entries: Vec<JournalEntry>,
        faults: &Faults,
    ) -> Self {
        let hears = may(actor, &Act::ReadUnitReports { unit: "" }).is_ok();
        let more = entries.len() > ON_A_PAGE;
        entries.truncate(ON_A_PAGE);
        let last = entries.last().map(|entry| entry.id).filter(|_| more);
        Self {
            shell: Shell::inside("Journal", actor, Place::Journal),
            nouns: nouns.iter().map(|noun| (noun.clone(), *noun == filter.noun)).collect(),
            key: Ask::of_kind("search", "key", "Which", &filter.key),
            who: Ask::of_kind("search", "who", "Who", &filter.who),
            from: Ask::of_kind("date", "from", "From", &filter.from).problem(faults.of("from")),
            until: Ask::of_kind("date", "until", "Until", &filter.until).problem(faults.of("until")),
            rows: entries.into_iter().map(|entry| row(entry, hears)).collect(),
            empty: if nouns.is_empty() {
                Empty::rest("Nothing has been done yet.")
            } else {
                Empty::first("No entry fits this.", "Show the whole journal", "/journal")
            },
            newest: (!filter.older.is_empty()).then(|| filter.address(None)),
            older: last.map(|id| filter.address(Some(id))),
        }
    }
}

/// The page of what an entry is about, where it has one that its key leads to.
fn address_of(noun: &str, key: &str) -> Option<String> {
    match noun {
        "report" => Some(address::report(key)),
        "change" => Some(address::change(key)),
        _ => None,
    }
}

fn row(entry: JournalEntry, hears: bool) -> Row {
    let kept_back = !hears && OF_UNITS.contains(&entry.noun.as_str());
    let mut open =
        if kept_back { Vec::new() } else { lines(entry.before.as_deref(), entry.after.as_deref()) };
    let folded = if open.len() > OPEN + 1 { open.split_off(OPEN) } else { Vec::new() };
    Row {
        address: address_of(&entry.noun, &entry.key).filter(|_| !kept_back),
        when: format::moment(entry.at),
        who: entry.actor,
        act: entry.act,
        noun: entry.noun,
        key: entry.key,
        more: format::counted(folded.len() as u64, "more field", "more fields"),
        open,
        folded,
        kept_back,
    }
}

impl Page for JournalPage {
    const TEMPLATE: &'static str = "pages/journal/journal";

    fn samples() -> Vec<Self> {
        use domain::permission::Role;
        let actor = Actor::Person { id: 1, name: "Mika Holm".into(), role: Role::Administrator, unit: None };
        let entry = |id: i64| JournalEntry {
            id,
            at: chrono::DateTime::UNIX_EPOCH,
            actor: "Oda Fell".into(),
            user_id: Some(1),
            act: "edit".into(),
            noun: "unit".into(),
            key: "<b>".into(),
            before: Some(r#"{"a":1,"b":2,"gone":"x"}"#.into()),
            after: Some(r#"{"a":2,"c":1,"d":1,"e":1,"f":1,"g":1,"h":1,"i":1}"#.into()),
        };
        let nouns = ["lot".to_owned(), "unit".to_owned()];
        let older = Filter { noun: "unit".into(), older: "90".into(), ..Filter::default() };
        let wrong = Filter { from: "soon".into(), until: "later".into(), ..Filter::default() };
        let faults = wrong.read().err().unwrap_or_default();
        vec![
            Self::new(&actor, &older, &nouns, (0..60).map(entry).collect(), &Faults::default()),
            Self::new(&actor, &wrong, &nouns, Vec::new(), &faults),
            Self::new(&actor, &Filter::default(), &[], Vec::new(), &Faults::default()),
        ]
    }
}
