//! Drafting: a change gets its number and its record.

use chrono::{DateTime, Utc};
use domain::change::{Change, ChangeState};
use domain::permission::Actor;
use sea_orm::ActiveValue::Set;
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use super::proposed::add_proposed;
use super::rows;
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::identity::Twins;
use crate::insert::insert_live;
use crate::journal::{Entry, enter, moment, named};
use crate::kept::next_number;
use crate::stored::Stored as _;
use crate::twice;
use crate::{change, json, part};

/// What a draft begins with.
#[derive(Clone, Debug, PartialEq)]
pub struct NewChange {
    /// Its title.
    pub title: String,
    /// The part that changes.
    pub part_no: String,
    /// The revision before.
    pub from_revision: String,
    /// The revision after.
    pub to_revision: String,
    /// The modes it is meant to cure.
    pub modes: Vec<String>,
    /// The part and mode of the recurrence it answers.
    pub recurrence: Option<(String, String)>,
    /// Why it is needed.
    pub problem: String,
}

impl Store {
    /// Drafts a change under the next sheet number of the year (`2026-014`), and gives the number. Where the books lack
    /// the revision after, it is added as a proposed one. The same draft sent twice is the first one, under its number.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such part; [`StoreError::Refused`] where the part lacks the revision
    /// before, and for a change of a revision to itself.
    pub async fn draft_change(&self, by: &Actor, now: DateTime<Utc>, new: &NewChange) -> Result<String> {
        let tx = self.begin().await?;
        part::need(&tx, &new.part_no).await?;
        if let Some(first) = twin(&tx, by, now, new).await? {
            return Ok(first);
        }
        let change = Change {
            change_no: next_number::<change::Entity>(&tx, change::Column::ChangeNo, "", now).await?,
            title: new.title.clone(),
            part_no: new.part_no.clone(),
            from_revision: new.from_revision.clone(),
            to_revision: new.to_revision.clone(),
            modes: new.modes.clone(),
            state: Some(ChangeState::Draft),
            cut_in_lot: None,
            cut_in_on: None,
        };
        change.check()?;
        let row = change::Entity::model(&change, None, &mut Twins::default());
        insert_live::<change::Entity>(&tx, row.clone(), "change", &change.change_no).await?;
        add_proposed(&tx, by, now, &change).await?;
        write_body(&tx, by, now, &change.change_no, new.recurrence.clone(), &new.problem).await?;
        enter(&tx, by, now, Entry::new("draft", "change", &change.change_no).after(json::row(row))).await?;
        tx.commit().await?;
        Ok(change.change_no)
    }

    /// Begins the record of a change that came with a pack.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such change; [`StoreError::Taken`] where it has a record.
    pub async fn start_record(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        problem: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        super::need(&tx, change_no).await?;
        if rows::Entity::find_by_id(change_no).one(&tx).await?.is_some() {
            return Err(StoreError::taken("change record", change_no));
        }
        write_body(&tx, by, now, change_no, None, problem).await?;
        enter(&tx, by, now, Entry::new("start record", "change", change_no)).await?;
        Ok(tx.commit().await?)
    }
}

/// The number of the draft that somebody has just begun with the same words, where nothing was made of it since.
async fn twin(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    new: &NewChange,
) -> Result<Option<String>> {
    let Some(person) = named(by).1 else { return Ok(None) };
    let begun = rows::Entity::find()
        .filter(rows::Column::DraftedBy.eq(person))
        .filter(rows::Column::DraftedAt.gte(twice::since(now)))
        .filter(rows::Column::Problem.eq(&new.problem))
        .filter(rows::Column::Version.eq(1))
        .order_by_asc(rows::Column::ChangeNo);
    for body in begun.all(db).await? {
        let of = super::need(db, &body.change_no).await?;
        let change = change::Entity::noun(of)?;
        let is_draft = change.state == Some(ChangeState::Draft);
        let begun = NewChange {
            title: change.title,
            part_no: change.part_no,
            from_revision: change.from_revision,
            to_revision: change.to_revision,
            modes: change.modes,
            recurrence: body.recurrence_part_no.zip(body.recurrence_mode),
            problem: body.problem,
        };
        if is_draft && begun == *new {
            return Ok(Some(body.change_no));
        }
    }
    Ok(None)
}

async fn write_body(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    change_no: &str,
    recurrence: Option<(String, String)>,
    problem: &str,
) -> Result<()> {
    let (recurrence_part_no, recurrence_mode) = recurrence.unzip();
    let blank = rows::Model {
        change_no: change_no.to_owned(),
        recurrence_part_no,
        recurrence_mode,
        problem: problem.to_owned(),
        description: String::new(),
        prediction_basis: None,
        ratio_low: None,
        ratio_best: None,
        ratio_high: None,
        prediction_source: None,
        retrofit: None,
        retrofit_note: None,
        class: None,
        priority: None,
        justification: None,
        cost_note: None,
        drafted_by: named(by).1,
        drafted_at: moment(now),
        submitted_at: None,
        revision: 0,
        version: 1,
    };
    let mut row = blank.into_active_model();
    row.change_no = Set(change_no.to_owned());
    rows::Entity::insert(row.reset_all()).exec_without_returning(db).await?;
    Ok(())
}
