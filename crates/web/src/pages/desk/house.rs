//! What keepers of the installation look at: imports, people, and what was done last.

use domain::field::LeftOut;
use store::{JournalEntry, PastImport, User};

use super::{Entry, List};
use crate::format;

/// Lines of each list.
const SHOWN: usize = 5;

/// The latest imports.
pub(super) fn imports(mut imports: Vec<PastImport>) -> List {
    imports.sort_by_key(|import| std::cmp::Reverse(import.id));
    let all = imports.len();
    let entry = |import: &PastImport| {
        let rows: u64 = import.counts.iter().map(|(_, rows)| rows).sum();
        Entry {
            date: format::date(import.ended_at.unwrap_or(import.begun_at).date_naive()),
            name: format!("Pack {}", import.id),
            address: "/packs".to_owned(),
            words: format!("{} by {}", format::counted(rows, "new row", "new rows"), import.by),
        }
    };
    List {
        head: "Books that came in last".to_owned(),
        entries: imports.iter().take(SHOWN).map(entry).collect(),
        none: "No data pack has been brought in yet.".to_owned(),
        more: (all > SHOWN).then(|| ("/packs".to_owned(), "All packs".to_owned())),
    }
}

/// Rows of the books that are in no figure; nothing where all are.
pub(super) fn left_out(left_out: &[LeftOut]) -> Option<List> {
    let entry = |one: &LeftOut| Entry {
        date: String::new(),
        name: one.table.file(),
        address: "/recurrences".to_owned(),
        words: one.to_string(),
    };
    let entries: Vec<Entry> = left_out.iter().map(entry).collect();
    let head = "Rows of the books that are in no figure".to_owned();
    (!entries.is_empty()).then_some(List { head, entries, none: String::new(), more: None })
}

/// Who may sign in.
pub(super) fn people(people: &[User]) -> List {
    let active = people.iter().filter(|user| user.retired_at.is_none());
    let entry = |user: &User| Entry {
        date: String::new(),
        name: user.full_name.clone(),
        address: "/people".to_owned(),
        words: match &user.unit {
            Some(unit) => format!("{}, {unit}", crate::view::shell::role_word(user.role)),
            None => crate::view::shell::role_word(user.role).to_owned(),
        },
    };
    let all = active.clone().count() as u64;
    List {
        head: format!("{} may sign in", format::counted(all, "person", "people")),
        entries: active.take(SHOWN).map(entry).collect(),
        none: "Nobody may sign in.".to_owned(),
        more: Some(("/people".to_owned(), "Add or retire people".to_owned())),
    }
}

/// What was done last, signing in left out.
pub(super) fn journal(entries: &[JournalEntry]) -> List {
    let entry = |entry: &JournalEntry| Entry {
        date: format::moment(entry.at),
        name: format!("{} {}", entry.act, entry.noun),
        address: "/journal".to_owned(),
        words: if entry.key.is_empty() {
            entry.actor.clone()
        } else {
            format!("{}, by {}", entry.key, entry.actor)
        },
    };
    List {
        head: "What was done last".to_owned(),
        entries: entries
            .iter()
            .filter(|entry| !entry.noun.starts_with("sign-in"))
            .take(SHOWN)
            .map(entry)
            .collect(),
        none: "Nothing was done yet.".to_owned(),
        more: Some(("/journal".to_owned(), "The whole journal".to_owned())),
    }
}
