//! What people decide about recurrences: who has it, how severe it is and why, its cause, the next step.

mod edit;

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::recurrence::RecurrenceState;
use domain::risk::{Level, Severity};
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::IntoActiveModel as _;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter};
use crate::kept::next_number;
use crate::overtaken::About;
use crate::read_back::Row;
use crate::settlement::KeptSettlement;
use crate::user::{self, User};
use crate::{json, part, settlement};

pub use edit::{RecurrenceAct, RecurrenceEdit};

/// How the journal names that a hand-over gave one to somebody.
const PASS_ON: &str = "pass on";
/// How the journal names what this is about.
const NOUN: &str = "recurrence";

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "recurrence")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub sheet_no: String,
    pub part_no: String,
    pub mode: String,
    pub state: String,
    pub severity: Option<i64>,
    pub probability: Option<String>,
    pub severity_reason: Option<String>,
    pub severity_by: Option<String>,
    pub severity_at: Option<DateTime<Utc>>,
    /// How its owner was named then.
    pub owner: Option<String>,
    /// Its owner; nobody who can be told from others where only a name was kept.
    pub owner_id: Option<i64>,
    pub cause: Option<String>,
    pub next_step: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// What a person decided about the risk of a recurrence.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// The severity.
    pub severity: Severity,
    /// The probability level; that of the figures where it is `None`.
    pub probability: Option<Level>,
    /// Why.
    pub reason: String,
    /// Who decided.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
}

/// What is decided about one recurrence.
#[derive(Clone, Debug, PartialEq)]
pub struct RecurrenceRecord {
    /// Its sheet number.
    pub sheet_no: String,
    /// The part.
    pub part_no: String,
    /// The mode.
    pub mode: String,
    /// Where it stands.
    pub state: RecurrenceState,
    /// Its risk, once a person has judged it.
    pub judgement: Option<Judgement>,
    /// Who has it, as they are named now, or as they were where their number is not known.
    pub owner: Option<String>,
    /// The number of whoever has it.
    pub owner_id: Option<i64>,
    /// What causes it, or why no cause was found.
    pub cause: Option<String>,
    /// What comes next.
    pub next_step: Option<String>,
    /// What was stated when it was last settled.
    pub settled: Option<KeptSettlement>,
}

fn record_of(
    names: &HashMap<i64, String>,
    row: Model,
    settled: Option<KeptSettlement>,
) -> Result<RecurrenceRecord> {
    let read = Row { table: "recurrence", id: &row.id };
    let judgement = match (row.severity, row.severity_at) {
        (Some(number), Some(at)) => {
            let severity = read.number::<u8>("severity", number)?;
            Some(Judgement {
                severity: Severity::from_number(severity).ok_or_else(|| read.corrupt("severity"))?,
                probability: read.optional_word("probability", row.probability.as_deref())?,
                reason: row.severity_reason.unwrap_or_default(),
                by: row.severity_by.unwrap_or_default(),
                at,
            })
        }
        _ => None,
    };
    Ok(RecurrenceRecord {
        state: Row { table: "recurrence", id: &row.id }.word("state", &row.state)?,
        judgement,
        sheet_no: row.sheet_no,
        part_no: row.part_no,
        mode: row.mode,
        owner: row.owner_id.and_then(|id| names.get(&id).cloned()).or(row.owner),
        owner_id: row.owner_id,
        cause: row.cause,
        next_step: row.next_step,
        settled,
    })
}

async fn find(db: &impl ConnectionTrait, part_no: &str, mode: &str) -> Result<Option<Model>> {
    let select = Entity::find().filter(Column::PartNo.eq(part_no)).filter(Column::Mode.eq(mode));
    Ok(select.one(db).await?)
}

/// Where a recurrence stands about which something was decided.
pub(crate) async fn state_of(
    db: &impl ConnectionTrait,
    part_no: &str,
    mode: &str,
) -> Result<Option<RecurrenceState>> {
    let Some(row) = find(db, part_no, mode).await? else { return Ok(None) };
    Row { table: "recurrence", id: &row.id }.word("state", &row.state).map(Some)
}

/// Recurrences of somebody, for a hand-over. A settled one too: it may come back, and then somebody is to have it.
pub(crate) async fn all_of(db: &impl ConnectionTrait, owner: i64) -> Result<Vec<Model>> {
    let of_owner = Entity::find().filter(Column::OwnerId.eq(owner));
    Ok(of_owner.order_by_asc(Column::Id).all(db).await?)
}

/// Gives a recurrence, by part and mode with a blank between, to somebody.
pub(crate) async fn pass(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    key: &str,
    to: &User,
) -> Result<()> {
    let Some((part_no, mode)) = key.rsplit_once(' ') else { return Ok(()) };
    let Some(before) = find(db, part_no, mode).await? else { return Ok(()) };
    let mut row = before.clone().into_active_model();
    row.owner = Set(Some(to.full_name.clone()));
    row.owner_id = Set(Some(to.id));
    let after = row.update(db).await?;
    let entry = Entry::new(PASS_ON, NOUN, key).before(json::row(before)).after(json::row(after));
    enter(db, by, now, entry).await?;
    Ok(())
}

impl Store {
    /// What is decided about a recurrence; nothing while it only stands.
    pub async fn find_recurrence(&self, part_no: &str, mode: &str) -> Result<Option<RecurrenceRecord>> {
        match find(self.reader(), part_no, mode).await? {
            Some(row) => {
                let names = user::names(self.reader()).await?;
                let settled = settlement::latest(self.reader(), row.id).await?;
                Ok(Some(record_of(&names, row, settled)?))
            }
            None => Ok(None),
        }
    }

    /// Every recurrence about which something is decided.
    pub async fn list_recurrences(&self) -> Result<Vec<RecurrenceRecord>> {
        let rows = Entity::find().order_by_asc(Column::Id).all(self.reader()).await?;
        let names = user::names(self.reader()).await?;
        let mut settled = settlement::latest_of_all(self.reader()).await?;
        rows.into_iter()
            .map(|row| {
                let settled = settled.remove(&row.id);
                record_of(&names, row, settled)
            })
            .collect()
    }

    /// Keeps a decision; the first one gives the recurrence its sheet number. `shown` is the number of the latest entry
    /// about it in the journal that whoever decides has seen, 0 where they saw that there is none; `None` where nobody
    /// looked. The same decision sent twice is kept once.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such part; [`StoreError::Refused`] for a settlement without a cause on
    /// record, without a proved change or without a statement; [`StoreError::Overtaken`] where something that it would
    /// overwrite was decided since what was shown ([`RecurrenceAct::overtaken_by`]).
    pub async fn decide_recurrence(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        ((part_no, mode), shown): ((&str, &str), Option<i64>),
        edit: &RecurrenceEdit,
    ) -> Result<()> {
        let tx = self.begin().await?;
        part::need(&tx, part_no).await?;
        let key = format!("{part_no} {mode}");
        let act = edit.act();
        let of = About { noun: NOUN, nouns: &[NOUN], key: &key, acts: act.overtaken_by() };
        let twin = of.check(&tx, (by, act.word()), shown).await?;
        let before = find(&tx, part_no, mode).await?;
        let mut row = match &before {
            Some(row) => row.clone(),
            None => standing(next_number::<Entity>(&tx, Column::SheetNo, "R-", now).await?, part_no, mode),
        };
        edit.apply(&mut row, by, now);
        if twin.is_some() {
            return of.repeats(says_as(&tx, edit, row, before).await?);
        }
        let mut active = row.clone().into_active_model().reset_all();
        if before.is_some() {
            active.update(&tx).await?;
        } else {
            active.id = NotSet;
            Entity::insert(active).exec_without_returning(&tx).await?;
        }
        if let RecurrenceEdit::Settle(stated) = edit {
            let Some(settled) = find(&tx, part_no, mode).await? else {
                return Err(StoreError::missing(NOUN, mode));
            };
            if settled.cause.is_none() {
                return Err(
                    Problem::new("cause", "the cause, or why none was found, is not on record").into()
                );
            }
            settlement::write(&tx, by, now, settled.id, stated).await?;
        }
        let mut entry = Entry::new(act.word(), NOUN, &key).after(json::row(row));
        entry.before = before.map(json::row);
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }
}

/// Whether a decision would leave a recurrence as it is; when it was made is no part of it.
async fn says_as(
    db: &impl ConnectionTrait,
    edit: &RecurrenceEdit,
    row: Model,
    before: Option<Model>,
) -> Result<bool> {
    let Some(before) = before else { return Ok(false) };
    if let RecurrenceEdit::Settle(stated) = edit {
        let kept = settlement::latest(db, before.id).await?;
        if kept.is_none_or(|kept| kept.settlement != settlement::trimmed(stated)) {
            return Ok(false);
        }
    }
    Ok(Model { severity_at: before.severity_at, ..row } == before)
}

fn standing(sheet_no: String, part_no: &str, mode: &str) -> Model {
    Model {
        id: 0,
        sheet_no,
        part_no: part_no.to_owned(),
        mode: mode.to_owned(),
        state: RecurrenceState::Standing.word().to_owned(),
        severity: None,
        probability: None,
        severity_reason: None,
        severity_by: None,
        severity_at: None,
        owner: None,
        owner_id: None,
        cause: None,
        next_step: None,
    }
}
