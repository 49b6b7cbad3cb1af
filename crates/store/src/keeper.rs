//! Who answers for a thing since it was passed on; until then whoever made it does, and stays named as its maker.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::handover::HandoverKind;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::OnConflict;

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter};
use crate::{json, user};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "keeper")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub kind: String,
    pub key: String,
    pub user_id: i64,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Who has what was passed on, by kind and key.
pub(crate) async fn all(db: &impl ConnectionTrait) -> Result<HashMap<(String, String), i64>> {
    let rows = Entity::find().all(db).await?;
    Ok(rows.into_iter().map(|row| ((row.kind, row.key), row.user_id)).collect())
}

async fn find(db: &impl ConnectionTrait, kind: HandoverKind, key: &str) -> Result<Option<Model>> {
    let of = Entity::find().filter(Column::Kind.eq(kind.word())).filter(Column::Key.eq(key));
    Ok(of.one(db).await?)
}

/// Gives a thing to somebody. The journal has it under the thing's own noun and key.
pub(crate) async fn pass(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    (kind, key): (HandoverKind, &str),
    (noun, entered_under): (&str, &str),
    to: i64,
) -> Result<()> {
    let before = find(db, kind, key).await?;
    let row = ActiveModel {
        id: NotSet,
        kind: Set(kind.word().to_owned()),
        key: Set(key.to_owned()),
        user_id: Set(to),
    };
    let over = OnConflict::columns([Column::Kind, Column::Key]).update_column(Column::UserId).to_owned();
    Entity::insert(row).on_conflict(over).exec_without_returning(db).await?;
    let mut entry = Entry::new("pass on", noun, entered_under);
    entry.before = before.map(json::row);
    entry.after = find(db, kind, key).await?.map(json::row);
    enter(db, by, now, entry).await?;
    Ok(())
}

impl Store {
    /// The name of whoever answers for each thing of a kind that was passed on, by its key.
    pub async fn keepers(&self, kind: HandoverKind) -> Result<HashMap<String, String>> {
        let rows = Entity::find().filter(Column::Kind.eq(kind.word())).all(self.reader()).await?;
        let names = user::names(self.reader()).await?;
        Ok(rows.into_iter().filter_map(|row| Some((row.key, names.get(&row.user_id).cloned()?))).collect())
    }
}
