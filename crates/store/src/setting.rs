//! Settings that people change while the program runs.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::Set;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::OnConflict;

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter};
use crate::json;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "setting")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub key: String,
    pub value: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Store {
    /// The value of a setting, where somebody has set it.
    pub async fn find_setting(&self, key: &str) -> Result<Option<String>> {
        Ok(Entity::find_by_id(key.to_owned()).one(self.reader()).await?.map(|row| row.value))
    }

    /// Sets a setting.
    pub async fn set_setting(&self, by: &Actor, now: DateTime<Utc>, key: &str, value: &str) -> Result<()> {
        let tx = self.begin().await?;
        let before = Entity::find_by_id(key.to_owned()).one(&tx).await?;
        let row = ActiveModel { key: Set(key.to_owned()), value: Set(value.to_owned()) };
        let over = OnConflict::column(Column::Key).update_column(Column::Value).to_owned();
        Entity::insert(row).on_conflict(over).exec_without_returning(&tx).await?;
        let after = Model { key: key.to_owned(), value: value.to_owned() };
        let mut entry = Entry::new("set", "setting", key).after(json::row(after));
        entry.before = before.map(json::row);
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }
}
