//! Who has a change: whoever drafted it, until it was handed over.

use std::collections::HashMap;

use domain::permission::Actor;
use sea_orm::ActiveValue::Set;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::OnConflict;

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter};
use crate::{change_record, json};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "change_holder")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub change_no: String,
    pub user_id: i64,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Who has each change, by number of the person; a change that nobody drafted or took over is missing.
pub(crate) async fn all(db: &impl ConnectionTrait) -> Result<HashMap<String, i64>> {
    let mut holders = change_record::drafters(db).await?;
    holders.extend(Entity::find().all(db).await?.into_iter().map(|row| (row.change_no, row.user_id)));
    Ok(holders)
}

/// Gives a change to somebody.
pub(crate) async fn pass(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: chrono::DateTime<chrono::Utc>,
    (change_no, to): (&str, i64),
) -> Result<()> {
    let before = Entity::find_by_id(change_no).one(db).await?;
    let row = ActiveModel { change_no: Set(change_no.to_owned()), user_id: Set(to) };
    let over = OnConflict::column(Column::ChangeNo).update_column(Column::UserId).to_owned();
    Entity::insert(row).on_conflict(over).exec_without_returning(db).await?;
    let after = Model { change_no: change_no.to_owned(), user_id: to };
    let mut entry = Entry::new("pass on", "change holder", change_no).after(json::row(after));
    entry.before = before.map(json::row);
    enter(db, by, now, entry).await?;
    Ok(())
}

impl Store {
    /// Who has each change, by number of the person; a change that nobody drafted or took over is missing.
    pub async fn change_holders(&self) -> Result<HashMap<String, i64>> {
        all(self.reader()).await
    }
}
