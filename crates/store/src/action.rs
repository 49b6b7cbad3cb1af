//! What is to be done for a change between its approval and its cut-in.

use chrono::{DateTime, NaiveDate, Utc};
use domain::action::{Action, ActionKind, Done, conditions};
use domain::change::ChangeState;
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};
use serde_json::Value as Json;

use crate::change_record;
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{self, Entry, enter, moment, named};
use crate::kept::Kept;
use crate::overtaken::About;
use crate::read_back::Row;
use crate::twice;
use crate::{json, user};

/// How the journal names it.
const NOUN: &str = "action";
const ASSIGN: &str = "assign";

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "action")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub change_no: String,
    pub kind: String,
    pub what: String,
    pub owner_id: Option<i64>,
    pub due: Option<NaiveDate>,
    pub done_on: Option<NaiveDate>,
    pub evidence: Option<String>,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// An action as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptAction {
    /// The store's number.
    pub id: i64,
    /// The action.
    pub action: Action,
    /// The name of its owner.
    pub owner_name: Option<String>,
    /// Since when it waits.
    pub at: DateTime<Utc>,
}

fn action_of(row: Model) -> Result<Action> {
    let kind = Row { table: "action", id: &row.id }.word("kind", &row.kind)?;
    let done = row.done_on.map(|on| Done { on, evidence: row.evidence.unwrap_or_default() });
    let Model { change_no, what, owner_id: owner, due, .. } = row;
    Ok(Action { change_no, kind, what, owner, due, done })
}

fn row_of(action: &Action, by: &Actor, now: DateTime<Utc>) -> ActiveModel {
    ActiveModel {
        id: NotSet,
        change_no: Set(action.change_no.clone()),
        kind: Set(action.kind.word().to_owned()),
        what: Set(action.what.trim().to_owned()),
        owner_id: Set(action.owner),
        due: Set(action.due),
        done_on: Set(action.done.as_ref().map(|done| done.on)),
        evidence: Set(action.done.as_ref().map(|done| done.evidence.clone())),
        made_by: Set(named(by).0),
        made_at: Set(moment(now)),
    }
}

async fn insert(db: &impl ConnectionTrait, by: &Actor, now: DateTime<Utc>, action: &Action) -> Result<i64> {
    let added = Entity::insert(row_of(action, by, now)).exec_with_returning(db).await?;
    let (id, key) = (added.id, added.id.to_string());
    enter(db, by, now, Entry::new("add", NOUN, &key).after(json::row(added))).await?;
    Ok(id)
}

/// What overtakes who says whose an action is: that others said so, or that it was passed on with a hand-over.
fn about(key: &str) -> About<'_> {
    About { noun: NOUN, nouns: &[NOUN], key, acts: &[ASSIGN, "pass on"] }
}

/// An action as an act left it, by whom and when.
fn left_by(entry: journal::Model, action: &Action) -> Result<Kept<Action>> {
    let corrupt = || StoreError::Corrupt { table: "journal", column: "after", id: entry.id.to_string() };
    let after = entry.after.as_deref().and_then(|after| serde_json::from_str::<Json>(after).ok());
    let after = after.ok_or_else(corrupt)?;
    let due = after["due"].as_str().map(str::parse::<NaiveDate>).transpose().map_err(|_| corrupt())?;
    let what = Action { owner: after["owner_id"].as_i64(), due, ..action.clone() };
    Ok(Kept { number: entry.key, what, by: entry.actor, at: entry.at })
}

/// The number of the action that somebody has just added in the same words.
async fn twin(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    new: &Action,
) -> Result<Option<i64>> {
    let meant = Action { what: new.what.trim().to_owned(), ..new.clone() };
    let just_added = twice::just_written((Column::MadeBy, Column::MadeAt), by, now);
    let of_change = Entity::find().filter(just_added).filter(Column::ChangeNo.eq(&new.change_no));
    for row in of_change.order_by_asc(Column::Id).all(db).await? {
        let id = row.id;
        if action_of(row)? == meant {
            return Ok(Some(id));
        }
    }
    Ok(None)
}

/// Makes an action of each condition of an approval; whoever drafted the change has them until somebody else does.
pub(crate) async fn add_conditions(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    (change_no, owner): (&str, Option<i64>),
    text: &str,
) -> Result<()> {
    for what in conditions(text) {
        let action = Action {
            change_no: change_no.to_owned(),
            kind: ActionKind::Condition,
            what: what.to_owned(),
            owner,
            due: None,
            done: None,
        };
        insert(db, by, now, &action).await?;
    }
    Ok(())
}

/// Refuses a cut-in while a condition of the approval is open.
pub(crate) async fn need_conditions_met(db: &impl ConnectionTrait, change_no: &str) -> Result<()> {
    let rows = Entity::find().filter(Column::ChangeNo.eq(change_no)).all(db).await?;
    for row in rows {
        let action = action_of(row)?;
        if action.bars_cut_in() {
            let why = format!("a condition of the approval is open: {}", action.what);
            return Err(Problem::new("conditions", why).into());
        }
    }
    Ok(())
}

/// Open actions of somebody, for a hand-over.
pub(crate) async fn open_of(db: &impl ConnectionTrait, owner: i64) -> Result<Vec<Model>> {
    let open = Entity::find().filter(Column::OwnerId.eq(owner)).filter(Column::DoneOn.is_null());
    Ok(open.order_by_asc(Column::Id).all(db).await?)
}

async fn need(db: &impl ConnectionTrait, id: i64) -> Result<Model> {
    let row = Entity::find_by_id(id).one(db).await?;
    let row = row.ok_or_else(|| StoreError::missing(NOUN, id))?;
    if row.done_on.is_some() {
        return Err(Problem::new("done_on", "this action is done and is not altered any more").into());
    }
    Ok(row)
}

async fn need_owner(db: &impl ConnectionTrait, owner: Option<i64>) -> Result<()> {
    match owner {
        Some(id) if user::find_active(db, id).await?.is_none() => {
            Err(Problem::new("owner", "expected somebody who is not retired").into())
        }
        _ => Ok(()),
    }
}

/// Writes a new state of an action with its entry in the journal.
pub(crate) async fn rewrite(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    act: &str,
    (before, row): (Model, ActiveModel),
) -> Result<()> {
    let key = before.id.to_string();
    let after = row.update(db).await?;
    let entry = Entry::new(act, NOUN, &key).before(json::row(before)).after(json::row(after));
    enter(db, by, now, entry).await?;
    Ok(())
}

impl Store {
    /// Adds an action to a change that is approved or built, and gives its number. The same sent twice is the first one,
    /// under its number.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such change; [`StoreError::Refused`] where it is not approved or the
    /// action breaks a rule.
    pub async fn add_action(&self, by: &Actor, now: DateTime<Utc>, action: &Action) -> Result<i64> {
        action.check(now.date_naive())?;
        let tx = self.begin().await?;
        let state = change_record::state(&tx, &action.change_no).await?;
        if !(state == ChangeState::Approved || state.is_built()) {
            return Err(Problem::new("change_no", "expected a change that is approved").into());
        }
        need_owner(&tx, action.owner).await?;
        if let Some(first) = twin(&tx, by, now, action).await? {
            return Ok(first);
        }
        let id = insert(&tx, by, now, action).await?;
        tx.commit().await?;
        Ok(id)
    }

    /// Says who does an open action, and until when. `shown` is the number of the latest assignment that whoever gives it
    /// has seen, as [`Store::find_action_to_assign`] gives it; `None` where nobody looked. The same sent twice is kept once.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Refused`] where it is done;
    /// [`StoreError::Overtaken`] where somebody else gave it to somebody since what was shown.
    pub async fn assign_action(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (id, shown): (i64, Option<i64>),
        (owner, due): (Option<i64>, Option<NaiveDate>),
    ) -> Result<()> {
        let tx = self.begin().await?;
        let before = need(&tx, id).await?;
        let key = id.to_string();
        let of = about(&key);
        if of.check(&tx, (by, ASSIGN), shown).await?.is_some() {
            return of.repeats((before.owner_id, before.due) == (owner, due));
        }
        need_owner(&tx, owner).await?;
        let mut row = before.clone().into_active_model();
        row.owner_id = Set(owner);
        row.due = Set(due);
        rewrite(&tx, by, now, ASSIGN, (before, row)).await?;
        Ok(tx.commit().await?)
    }

    /// Says that an open action is done.
    ///
    /// # Errors
    /// As [`Store::assign_action`], and [`StoreError::Refused`] for a day to come or without evidence.
    pub async fn finish_action(&self, by: &Actor, now: DateTime<Utc>, id: i64, done: &Done) -> Result<()> {
        done.check(now.date_naive())?;
        let tx = self.begin().await?;
        let before = need(&tx, id).await?;
        let mut row = before.clone().into_active_model();
        row.done_on = Set(Some(done.on));
        row.evidence = Set(Some(done.evidence.trim().to_owned()));
        rewrite(&tx, by, now, "finish", (before, row)).await?;
        Ok(tx.commit().await?)
    }

    /// The action of a number with the journal's number of its latest assignment, 0 where there is none, for whoever says
    /// anew whose it is.
    pub async fn find_action_to_assign(&self, id: i64) -> Result<Option<(KeptAction, i64)>> {
        let snapshot = self.snapshot().await?;
        let rows = Entity::find_by_id(id).all(&snapshot).await?;
        let Some(kept) = with_names(&snapshot, rows).await?.pop() else { return Ok(None) };
        Ok(Some((kept, about(&id.to_string()).latest(&snapshot).await?)))
    }

    /// An action as others left it after what was shown, in the order in which they did, by whom and when.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Corrupt`] where an entry of the journal
    /// can't be read.
    pub async fn action_assigned_since(&self, id: i64, shown: i64) -> Result<Vec<Kept<Action>>> {
        let row = Entity::find_by_id(id).one(self.reader()).await?;
        let action = action_of(row.ok_or_else(|| StoreError::missing(NOUN, id))?)?;
        let since = about(&id.to_string()).since(self.reader(), shown).await?;
        since.into_iter().map(|entry| left_by(entry, &action)).collect()
    }

    /// The action of a number.
    pub async fn find_action(&self, id: i64) -> Result<Option<KeptAction>> {
        let rows = Entity::find_by_id(id).all(self.reader()).await?;
        Ok(with_names(self.reader(), rows).await?.pop())
    }

    /// Actions of one change, or of all, in the order they came.
    pub async fn list_actions(&self, change_no: Option<&str>) -> Result<Vec<KeptAction>> {
        let mut select = Entity::find().order_by_asc(Column::Id);
        if let Some(change_no) = change_no {
            select = select.filter(Column::ChangeNo.eq(change_no));
        }
        let rows = select.all(self.reader()).await?;
        with_names(self.reader(), rows).await
    }
}

async fn with_names(db: &impl ConnectionTrait, rows: Vec<Model>) -> Result<Vec<KeptAction>> {
    let names = user::names(db).await?;
    let kept = rows.into_iter().map(|row| {
        let (id, at) = (row.id, row.made_at);
        let action = action_of(row)?;
        let owner_name = action.owner.and_then(|owner| names.get(&owner).cloned());
        Ok(KeptAction { id, action, owner_name, at })
    });
    kept.collect()
}
