//! The page of packs: the form to send one, those that wait, and what was brought in before.

use domain::permission::{Act, Actor, may};
use serde::Serialize;
use store::{OpenImport, PastImport};

use crate::format;
use crate::pack::{Record, Stage};
use crate::templates::Page;
use crate::view::{Empty, Place, Problem, Shell};

/// Past imports on the page; the journal has them all.
const MOST_ROWS: usize = 50;

/// Books in and out.
#[derive(Serialize)]
pub struct PacksPage {
    shell: Shell,
    sends: bool,
    takes_reports: bool,
    most: String,
    pack: Option<Problem>,
    under_way: Option<String>,
    waiting: Vec<WaitingRow>,
    past: Vec<PastRow>,
    shown: Option<String>,
    stopped: Vec<String>,
    empty: Empty,
}

#[derive(Serialize)]
struct WaitingRow {
    address: String,
    sent: String,
    names: String,
    rows: String,
    stands: String,
}

#[derive(Serialize)]
struct PastRow {
    when: String,
    by: String,
    rows: String,
    files: String,
}

/// What the store knows of imports.
pub(super) struct Books {
    /// The one under way.
    pub(super) under_way: Option<OpenImport>,
    /// Those that came to their end.
    pub(super) past: Vec<PastImport>,
    /// Those that didn't.
    pub(super) stopped: Vec<OpenImport>,
    /// The largest upload.
    pub(super) most_bytes: u64,
}

impl PacksPage {
    /// `running` says for each waiting pack whether somebody is at it.
    pub(super) fn new(
        actor: &Actor,
        books: &Books,
        mine: &[(String, Record)],
        running: &[bool],
        problem: Option<&str>,
    ) -> Self {
        let past: Vec<PastRow> = books.past.iter().take(MOST_ROWS).map(past_row).collect();
        let (shown, all) = (past.len() as u64, books.past.len() as u64);
        let sends = may(actor, &Act::Import).is_ok();
        Self {
            shell: Shell::inside("Packs", actor, Place::Packs),
            sends,
            takes_reports: takes_reports(actor),
            most: format!("{} MB", books.most_bytes >> 20),
            pack: problem.map(|says| Problem::new("pack", says)),
            under_way: books
                .under_way
                .as_ref()
                .map(|one| format!("{} is taking a pack in since {}.", one.by, format::moment(one.begun_at))),
            waiting: mine
                .iter()
                .zip(running)
                .map(|((id, record), &at_it)| waiting_row(id, record, at_it))
                .collect(),
            past,
            shown: (shown < all)
                .then(|| format!("The latest {} of {}.", format::count(shown), format::count(all))),
            stopped: books.stopped.iter().take(MOST_ROWS).map(stopped).collect(),
            empty: if sends {
                Empty::rest("No pack was taken in yet. Send the first one above.")
            } else {
                Empty::rest("No pack was taken in yet.")
            },
        }
    }
}

/// Whether an export of this reader has the failure reports: they are in units' words.
pub(super) fn takes_reports(actor: &Actor) -> bool {
    may(actor, &Act::ReadUnitReports { unit: "" }).is_ok()
}

fn waiting_row(id: &str, record: &Record, at_it: bool) -> WaitingRow {
    let stands = match &record.stage {
        _ if at_it => "being taken in",
        Stage::Checked if record.can_take_all() => "checked, waits for you",
        Stage::Checked if record.refused_files > 0 => "checked, can't be read",
        Stage::Checked => "checked, rows refused",
        Stage::Importing(_) => "stopped before its end",
        Stage::Failed(_) => "not taken in",
        Stage::Taken { .. } => "taken in",
    };
    WaitingRow {
        address: format!("/packs/{id}"),
        sent: format::moment(record.sent_at()),
        names: several(&record.names),
        rows: format::count(record.sum(|file| file.rows)),
        stands: stands.to_owned(),
    }
}

/// The first few of many names.
pub(super) fn several(names: &[String]) -> String {
    match names {
        [first, second, third, _, ..] => {
            format!("{first}, {second}, {third} and {} more", names.len() - 3)
        }
        few => few.join(", "),
    }
}

fn past_row(past: &PastImport) -> PastRow {
    let rows = past.counts.iter().map(|(_, new)| new).sum();
    let files: Vec<String> = past
        .counts
        .iter()
        .filter(|(_, new)| *new > 0)
        .map(|(table, new)| format!("{} {table}", format::count(*new)))
        .collect();
    PastRow {
        when: format::moment(past.begun_at),
        by: past.by.clone(),
        rows: format::count(rows),
        files: if files.is_empty() {
            "all there already".to_owned()
        } else {
            files.join(", ").replace('_', " ")
        },
    }
}

fn stopped(one: &OpenImport) -> String {
    format!("{}, begun by {}", format::moment(one.begun_at), one.by)
}

impl Page for PacksPage {
    const TEMPLATE: &'static str = "pages/packs/packs";

    fn samples() -> Vec<Self> {
        use domain::permission::Role;
        let actor = |role| Actor::Person { id: 1, name: "Oda Fell".into(), role, unit: None };
        let open = OpenImport { id: 9, begun_at: chrono::DateTime::UNIX_EPOCH, by: "Mika Holm".into() };
        let past = |new| PastImport {
            id: 1,
            begun_at: chrono::DateTime::UNIX_EPOCH,
            ended_at: None,
            by: "Oda Fell".into(),
            digests: Vec::new(),
            counts: vec![("lot_uses".into(), new), ("units".into(), 0)],
        };
        let books = Books {
            under_way: Some(open.clone()),
            past: (0..60).map(past).collect(),
            stopped: vec![open],
            most_bytes: 256 << 20,
        };
        let none = Books { under_way: None, past: Vec::new(), stopped: Vec::new(), most_bytes: 256 << 20 };
        let records = super::sample::records();
        let mine: Vec<(String, Record)> = records.into_iter().map(|record| ("0a1b".into(), record)).collect();
        let running: Vec<bool> = mine.iter().enumerate().map(|(at, _)| at == 0).collect();
        vec![
            Self::new(&actor(Role::Engineer), &books, &mine, &running, Some("Choose the files first.")),
            Self::new(&actor(Role::Engineer), &none, &[], &[], None),
            Self::new(&actor(Role::Board), &none, &[], &[], None),
            Self::new(&actor(Role::Administrator), &none, &[], &[], None),
        ]
    }
}
