//! What is to be done for a change between its approval and its cut-in.

use chrono::{DateTime, NaiveDate, Utc};
use domain::action::{Action, ActionKind, Done, conditions};
use domain::change::ChangeState;
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::read_back::Row;
use crate::{change_record, json, user};

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
    enter(db, by, now, Entry::new("add", "action", &key).after(json::row(added))).await?;
    Ok(id)
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
    let row = row.ok_or_else(|| StoreError::missing("action", id))?;
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
    let entry = Entry::new(act, "action", &key).before(json::row(before)).after(json::row(after));
    enter(db, by, now, entry).await?;
    Ok(())
}

impl Store {
    /// Adds an action to a change that is approved or built, and gives its number.
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
        let id = insert(&tx, by, now, action).await?;
        tx.commit().await?;
        Ok(id)
    }

    /// Says who does an open action, and until when.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Refused`] where it is done.
    pub async fn assign_action(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        (owner, due): (Option<i64>, Option<NaiveDate>),
    ) -> Result<()> {
        let tx = self.begin().await?;
        let before = need(&tx, id).await?;
        need_owner(&tx, owner).await?;
        let mut row = before.clone().into_active_model();
        row.owner_id = Set(owner);
        row.due = Set(due);
        rewrite(&tx, by, now, "assign", (before, row)).await?;
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

    /// The action of a number.
    pub async fn find_action(&self, id: i64) -> Result<Option<KeptAction>> {
        let rows = Entity::find_by_id(id).all(self.reader()).await?;
        Ok(self.with_names(rows).await?.pop())
    }

    /// Actions of one change, or of all, in the order they came.
    pub async fn list_actions(&self, change_no: Option<&str>) -> Result<Vec<KeptAction>> {
        let mut select = Entity::find().order_by_asc(Column::Id);
        if let Some(change_no) = change_no {
            select = select.filter(Column::ChangeNo.eq(change_no));
        }
        let rows = select.all(self.reader()).await?;
        self.with_names(rows).await
    }

    async fn with_names(&self, rows: Vec<Model>) -> Result<Vec<KeptAction>> {
        let names = user::names(self.reader()).await?;
        let kept = rows.into_iter().map(|row| {
            let (id, at) = (row.id, row.made_at);
            let action = action_of(row)?;
            let owner_name = action.owner.and_then(|owner| names.get(&owner).cloned());
            Ok(KeptAction { id, action, owner_name, at })
        });
        kept.collect()
    }
}
