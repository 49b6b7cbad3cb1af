//! What people decide about recurrences: who has it, how severe it is and why, its cause, the next step.

use chrono::{DateTime, Datelike as _, Utc};
use domain::permission::Actor;
use domain::recurrence::{RecurrenceState, Settlement};
use domain::risk::{Level, Severity};
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::IntoActiveModel as _;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::read_back::{Row, filled};
use crate::settlement::KeptSettlement;
use crate::{json, part, settlement};

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
    pub owner: Option<String>,
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
    /// Who has it.
    pub owner: Option<String>,
    /// What causes it, or why no cause was found.
    pub cause: Option<String>,
    /// What comes next.
    pub next_step: Option<String>,
    /// What was stated when it was last settled.
    pub settled: Option<KeptSettlement>,
}

/// One decision.
#[derive(Clone, Debug, PartialEq)]
pub enum RecurrenceEdit {
    /// Whoever decides takes it up.
    TakeUp,
    /// How severe it is.
    Judge {
        /// The severity.
        severity: Severity,
        /// The probability level; that of the figures where it is `None`.
        probability: Option<Level>,
        /// Why.
        reason: String,
    },
    /// What is known and what comes next.
    Note {
        /// What causes it, or why no cause was found.
        cause: String,
        /// What comes next.
        next_step: String,
    },
    /// It is settled on a proved change, and what remains is accepted.
    Settle(Settlement),
}

impl RecurrenceEdit {
    const fn act(&self) -> &'static str {
        match self {
            Self::TakeUp => "take up",
            Self::Judge { .. } => "judge",
            Self::Note { .. } => "note",
            Self::Settle(_) => "settle",
        }
    }

    fn apply(&self, row: &mut Model, by: &Actor, now: DateTime<Utc>) {
        match self {
            Self::TakeUp => {
                row.owner = Some(named(by).0);
                RecurrenceState::TakenUp.word().clone_into(&mut row.state);
            }
            Self::Judge { severity, probability, reason } => {
                row.severity = Some(i64::from(severity.number()));
                row.probability = probability.map(|level| level.word().to_owned());
                row.severity_reason = Some(reason.clone());
                row.severity_by = Some(named(by).0);
                row.severity_at = Some(moment(now));
            }
            Self::Note { cause, next_step } => {
                row.cause = filled(Some(cause.trim()));
                row.next_step = filled(Some(next_step.trim()));
            }
            Self::Settle(_) => RecurrenceState::Settled.word().clone_into(&mut row.state),
        }
    }
}

async fn record_of(db: &impl ConnectionTrait, row: Model) -> Result<RecurrenceRecord> {
    let settled = settlement::latest(db, row.id).await?;
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
        owner: row.owner,
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

/// The next sheet number of the year. The writer's lock keeps two from the same number.
async fn next_number(db: &impl ConnectionTrait, now: DateTime<Utc>) -> Result<String> {
    let prefix = format!("{}-", now.year());
    let taken = Entity::find().filter(Column::SheetNo.starts_with(&prefix)).all(db).await?;
    let highest = taken.iter().filter_map(|row| row.sheet_no[prefix.len()..].parse::<u32>().ok()).max();
    Ok(format!("{prefix}{:03}", highest.unwrap_or(0) + 1))
}

/// Recurrences of somebody that are not settled, for a hand-over.
pub(crate) async fn open_of(db: &impl ConnectionTrait, owner: &str) -> Result<Vec<Model>> {
    let of_owner = Entity::find().filter(Column::Owner.eq(owner));
    let open = of_owner.filter(Column::State.ne(RecurrenceState::Settled.word()));
    Ok(open.order_by_asc(Column::Id).all(db).await?)
}

/// Gives a recurrence, by part and mode with a blank between, to somebody.
pub(crate) async fn pass(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    key: &str,
    to: &str,
) -> Result<()> {
    let Some((part_no, mode)) = key.rsplit_once(' ') else { return Ok(()) };
    let Some(before) = find(db, part_no, mode).await? else { return Ok(()) };
    let mut row = before.clone().into_active_model();
    row.owner = Set(Some(to.to_owned()));
    let after = row.update(db).await?;
    let entry = Entry::new("pass on", "recurrence", key).before(json::row(before)).after(json::row(after));
    enter(db, by, now, entry).await?;
    Ok(())
}

impl Store {
    /// What is decided about a recurrence; nothing while it only stands.
    pub async fn find_recurrence(&self, part_no: &str, mode: &str) -> Result<Option<RecurrenceRecord>> {
        match find(self.reader(), part_no, mode).await? {
            Some(row) => Ok(Some(record_of(self.reader(), row).await?)),
            None => Ok(None),
        }
    }

    /// Every recurrence about which something is decided.
    pub async fn list_recurrences(&self) -> Result<Vec<RecurrenceRecord>> {
        let rows = Entity::find().order_by_asc(Column::Id).all(self.reader()).await?;
        let mut records = Vec::with_capacity(rows.len());
        for row in rows {
            records.push(record_of(self.reader(), row).await?);
        }
        Ok(records)
    }

    /// Keeps a decision; the first one gives the recurrence its sheet number.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such part; [`StoreError::Refused`] for a settlement without a cause on
    /// record, without a proved change or without a statement.
    pub async fn decide_recurrence(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (part_no, mode): (&str, &str),
        edit: &RecurrenceEdit,
    ) -> Result<()> {
        let tx = self.begin().await?;
        part::need(&tx, part_no).await?;
        let before = find(&tx, part_no, mode).await?;
        let mut row = match &before {
            Some(row) => row.clone(),
            None => standing(next_number(&tx, now).await?, part_no, mode),
        };
        edit.apply(&mut row, by, now);
        let mut active = row.clone().into_active_model().reset_all();
        if before.is_some() {
            active.update(&tx).await?;
        } else {
            active.id = NotSet;
            Entity::insert(active).exec_without_returning(&tx).await?;
        }
        if let RecurrenceEdit::Settle(stated) = edit {
            let Some(settled) = find(&tx, part_no, mode).await? else {
                return Err(StoreError::missing("recurrence", mode));
            };
            if settled.cause.is_none() {
                return Err(
                    Problem::new("cause", "the cause, or why none was found, is not on record").into()
                );
            }
            settlement::write(&tx, by, now, settled.id, stated).await?;
        }
        let key = format!("{part_no} {mode}");
        let mut entry = Entry::new(edit.act(), "recurrence", &key).after(json::row(row));
        entry.before = before.map(json::row);
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }
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
        cause: None,
        next_step: None,
    }
}
