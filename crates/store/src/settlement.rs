//! What was stated when recurrences were settled.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::change::ChangeState;
use domain::permission::Actor;
use domain::recurrence::Settlement;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::change_record;
use crate::error::Result;
use crate::journal::{moment, named};
use crate::read_back::Row;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "settlement")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub recurrence_id: i64,
    pub change_no: String,
    pub with_change: i64,
    pub in_service: i64,
    pub stock: String,
    pub remains: String,
    pub accepted_by: String,
    pub settled_by: String,
    pub settled_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A settlement as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptSettlement {
    /// What was stated.
    pub settlement: Settlement,
    /// By whom it was settled.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
}

/// The latest settlement of a recurrence.
pub(crate) async fn latest(db: &impl ConnectionTrait, recurrence_id: i64) -> Result<Option<KeptSettlement>> {
    let select = Entity::find().filter(Column::RecurrenceId.eq(recurrence_id)).order_by_desc(Column::Id);
    select.one(db).await?.map(kept_of).transpose()
}

/// The latest settlement of each recurrence that has one, by the recurrence's number in the store.
pub(crate) async fn latest_of_all(db: &impl ConnectionTrait) -> Result<HashMap<i64, KeptSettlement>> {
    let rows = Entity::find().order_by_asc(Column::Id).all(db).await?;
    rows.into_iter().map(|row| Ok((row.recurrence_id, kept_of(row)?))).collect()
}

fn kept_of(row: Model) -> Result<KeptSettlement> {
    let read = Row { table: "settlement", id: &row.id };
    let settlement = Settlement {
        with_change: read.number("with_change", row.with_change)?,
        in_service: read.number("in_service", row.in_service)?,
        change_no: row.change_no,
        stock: row.stock,
        remains: row.remains,
        accepted_by: row.accepted_by,
    };
    Ok(KeptSettlement { settlement, by: row.settled_by, at: row.settled_at })
}

/// A statement as it is kept.
pub(crate) fn trimmed(stated: &Settlement) -> Settlement {
    let trim = |text: &str| text.trim().to_owned();
    Settlement {
        change_no: stated.change_no.clone(),
        with_change: stated.with_change,
        in_service: stated.in_service,
        stock: trim(&stated.stock),
        remains: trim(&stated.remains),
        accepted_by: trim(&stated.accepted_by),
    }
}

/// Writes a settlement in the transaction that settles the recurrence.
pub(crate) async fn write(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    recurrence_id: i64,
    new: &Settlement,
) -> Result<()> {
    new.check()?;
    if change_record::state(db, &new.change_no).await? != ChangeState::Proved {
        let why = format!("change {} is not proved", new.change_no);
        return Err(Problem::new("change", why).into());
    }
    let whole = |number: u64| i64::try_from(number).unwrap_or(i64::MAX);
    let new = trimmed(new);
    let row = ActiveModel {
        id: NotSet,
        recurrence_id: Set(recurrence_id),
        change_no: Set(new.change_no),
        with_change: Set(whole(new.with_change)),
        in_service: Set(whole(new.in_service)),
        stock: Set(new.stock),
        remains: Set(new.remains),
        accepted_by: Set(new.accepted_by),
        settled_by: Set(named(by).0),
        settled_at: Set(moment(now)),
    };
    Entity::insert(row).exec_without_returning(db).await?;
    Ok(())
}
