//! The journal: who did what when, with the state before and after; written with every change, never altered.

use chrono::{DateTime, NaiveDate, NaiveTime, SubsecRound as _, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _, Statement};
use serde_json::Value as Json;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::insert::insert_all;
use crate::page::{Page, contains};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "journal")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub at: DateTime<Utc>,
    pub actor: String,
    pub user_id: Option<i64>,
    pub act: String,
    pub noun: String,
    pub key: String,
    pub before: Option<String>,
    pub after: Option<String>,
    pub touches_field: bool,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Nouns that say nothing of the field: a change of one leaves every figure as it was.
const BESIDE_THE_FIELD: [&str; 32] = [
    "disclosure",
    "user",
    "sign-in",
    "sign-in link",
    "unit link",
    "api key",
    "setting",
    "question",
    "answer",
    "photo",
    "recurrence",
    "signal",
    "action",
    "instruction",
    "variance",
    "lot condition",
    "maker case",
    "change holder",
    "handover",
    "mail",
    "digest reader",
    "contact",
    "hold",
    "on call",
    "published",
    "remark",
    "enclosure",
    "evidence",
    "meeting",
    "upload",
    "exhibit",
    "mailed report",
];

/// Finds each noun from the one before it, by the index: of a journal however long one entry of each noun is read.
const NOUNS: &str = "WITH RECURSIVE nouns(noun) AS (\
     SELECT MIN(noun) FROM journal \
     UNION ALL SELECT (SELECT MIN(journal.noun) FROM journal WHERE journal.noun > nouns.noun) FROM nouns \
     WHERE nouns.noun IS NOT NULL) \
     SELECT noun FROM nouns WHERE noun IS NOT NULL ORDER BY noun";

/// How acts that were refused begin: they change nothing, and are kept because somebody tried.
const REFUSED: &str = "refused: ";

/// What one entry says.
pub(crate) struct Entry<'a> {
    pub(crate) act: &'a str,
    pub(crate) noun: &'a str,
    pub(crate) key: &'a str,
    pub(crate) before: Option<Json>,
    pub(crate) after: Option<Json>,
}

impl<'a> Entry<'a> {
    /// An act on a thing, without a state before or after.
    pub(crate) const fn new(act: &'a str, noun: &'a str, key: &'a str) -> Self {
        Self { act, noun, key, before: None, after: None }
    }

    pub(crate) fn before(self, before: Json) -> Self {
        Self { before: Some(before), ..self }
    }

    pub(crate) fn after(self, after: Json) -> Self {
        Self { after: Some(after), ..self }
    }
}

/// Writes an entry in the transaction of the change it tells of, and gives its number.
pub(crate) async fn enter(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    entry: Entry<'_>,
) -> Result<i64> {
    Ok(Entity::insert(row_of(by, now, entry)).exec(db).await?.last_insert_id)
}

/// Writes entries as [`enter`] does, in their order, many at a time.
pub(crate) async fn enter_all(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    entries: Vec<Entry<'_>>,
) -> Result<()> {
    let rows: Vec<ActiveModel> = entries.into_iter().map(|entry| row_of(by, now, entry)).collect();
    Ok(insert_all(db, rows).await?)
}

fn row_of(by: &Actor, now: DateTime<Utc>, entry: Entry<'_>) -> ActiveModel {
    let (actor, user_id) = named(by);
    ActiveModel {
        id: NotSet,
        at: Set(moment(now)),
        actor: Set(actor),
        user_id: Set(user_id),
        act: Set(entry.act.to_owned()),
        noun: Set(entry.noun.to_owned()),
        key: Set(entry.key.to_owned()),
        before: Set(entry.before.map(|json| json.to_string())),
        after: Set(entry.after.map(|json| json.to_string())),
        touches_field: Set(!BESIDE_THE_FIELD.contains(&entry.noun) && !entry.act.starts_with(REFUSED)),
    }
}

/// A point in time as both databases keep it: to the microsecond.
pub(crate) fn moment(now: DateTime<Utc>) -> DateTime<Utc> {
    now.trunc_subsecs(6)
}

/// How the journal names an actor, and the person's number.
pub(crate) fn named(by: &Actor) -> (String, Option<i64>) {
    match by {
        Actor::Person { id, name, .. } => (name.clone(), Some(*id)),
        Actor::UnitLink { unit } => (format!("unit {unit}"), None),
        Actor::Key { purpose, .. } => (format!("key {purpose}"), None),
        Actor::Program => ("the program".to_owned(), None),
        Actor::Anybody => ("somebody not signed in".to_owned(), None),
    }
}

/// One entry, as read back.
#[derive(Clone, Debug, PartialEq)]
pub struct JournalEntry {
    /// Its number; later entries have higher ones.
    pub id: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// Who, in words.
    pub actor: String,
    /// The person's number, where a person did it.
    pub user_id: Option<i64>,
    /// What was done.
    pub act: String,
    /// To what kind of thing.
    pub noun: String,
    /// To which.
    pub key: String,
    /// Its state before, as JSON text.
    pub before: Option<String>,
    /// Its state after, as JSON text.
    pub after: Option<String>,
}

/// Which entries are wanted; all where nothing is set.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JournalFilter {
    /// Only of this kind of thing.
    pub noun: Option<String>,
    /// Only of this thing.
    pub key: Option<String>,
    /// Only by this person.
    pub user_id: Option<i64>,
    /// Only by those whose name holds this, in any case.
    pub actor: Option<String>,
    /// Not before this day began, in UTC.
    pub from: Option<NaiveDate>,
    /// Not after this day ended, in UTC.
    pub until: Option<NaiveDate>,
    /// Only entries older than the one of this number.
    pub older_than: Option<i64>,
}

impl Store {
    /// The number of the latest entry that changed what figures rest on; 0 where there is none. A picture of the
    /// field made at one number is good until the number moves on. Signing in and the like don't move it.
    pub async fn journal_number(&self) -> Result<i64> {
        crate::following::number(self.reader()).await
    }

    /// Keeps that somebody tried what is not allowed, and why it was refused.
    pub async fn enter_refusal(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (act, noun, key): (&str, &str, &str),
        why: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let act = format!("{REFUSED}{act}");
        let entry = Entry::new(&act, noun, key).after(serde_json::json!({ "why": why }));
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }

    /// Passes on how an act on a change went, and keeps in the journal that a step not allowed was tried.
    pub(crate) async fn told_if_refused<T: Send>(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (act, change_no): (&str, &str),
        done: Result<T>,
    ) -> Result<T> {
        if let Err(refused @ StoreError::NotAllowed(_)) = &done {
            self.enter_refusal(by, now, (act, "change", change_no), &refused.to_string()).await?;
        }
        done
    }

    /// Entries of the journal, latest first.
    pub async fn journal(&self, filter: &JournalFilter, page: Page) -> Result<Vec<JournalEntry>> {
        let mut select = Entity::find().order_by_desc(Column::Id);
        if let Some(noun) = &filter.noun {
            select = select.filter(Column::Noun.eq(noun.as_str()));
        }
        if let Some(key) = &filter.key {
            select = select.filter(Column::Key.eq(key.as_str()));
        }
        if let Some(user_id) = filter.user_id {
            select = select.filter(Column::UserId.eq(user_id));
        }
        if let Some(actor) = &filter.actor {
            select = select.filter(contains(("journal", "actor"), actor));
        }
        if let Some(from) = filter.from {
            select = select.filter(Column::At.gte(from.and_time(NaiveTime::MIN).and_utc()));
        }
        if let Some(until) = filter.until.and_then(|day| day.succ_opt()) {
            select = select.filter(Column::At.lt(until.and_time(NaiveTime::MIN).and_utc()));
        }
        if let Some(older_than) = filter.older_than {
            select = select.filter(Column::Id.lt(older_than));
        }
        let rows = select.offset(page.offset()).limit(page.size).all(self.reader()).await?;
        Ok(rows.into_iter().map(entry_of).collect())
    }

    /// Every kind of thing the journal has an entry of, by name.
    pub async fn journal_nouns(&self) -> Result<Vec<String>> {
        let db = self.reader();
        let rows = db.query_all_raw(Statement::from_string(db.get_database_backend(), NOUNS)).await?;
        rows.iter().map(|row| Ok(row.try_get_by_index(0)?)).collect()
    }
}

fn entry_of(row: Model) -> JournalEntry {
    let Model { id, at, actor, user_id, act, noun, key, before, after, .. } = row;
    JournalEntry { id, at, actor, user_id, act, noun, key, before, after }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The words of a step that reads a table or an index from end to end: the documentation of `SQLite`, "EXPLAIN QUERY PLAN".
    const READ_WHOLE: &str = "SCAN journal";

    #[tokio::test]
    async fn kinds_of_things_are_found_without_reading_the_journal_through() {
        let folder = tempfile::tempdir().expect("a folder");
        let url = format!("sqlite://{}/books.sqlite", folder.path().display());
        let store = Store::connect(&url).await.expect("opened");
        let db = store.reader();
        let plan = async |sql: &str| {
            let asked =
                Statement::from_string(db.get_database_backend(), format!("EXPLAIN QUERY PLAN {sql}"));
            let steps = db.query_all_raw(asked).await.expect("planned");
            let steps = steps.iter().map(|step| step.try_get("", "detail").expect("words"));
            steps.collect::<Vec<String>>().join("; ")
        };
        let through = plan("SELECT DISTINCT noun FROM journal").await;
        assert!(through.contains(READ_WHOLE), "what reading it through looks like: {through}");
        let steps = plan(NOUNS).await;
        assert!(steps.contains("journal_of_thing") && !steps.contains(READ_WHOLE), "{steps}");
    }
}
