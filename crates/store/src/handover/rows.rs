//! The rows of hand-overs.

use chrono::{DateTime, Utc};
use domain::handover::HandoverItem;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::read_back::Row;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "handover")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub from_id: i64,
    pub to_id: i64,
    pub note: Option<String>,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

pub(super) mod item {
    use chrono::NaiveDate;
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "handover_item")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub handover_id: i64,
        pub kind: String,
        pub key: String,
        pub title: String,
        pub due: Option<NaiveDate>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

pub(super) fn item_of(row: item::Model) -> Result<HandoverItem> {
    let kind = Row { table: "handover_item", id: &row.id }.word("kind", &row.kind)?;
    Ok(HandoverItem { kind, key: row.key, title: row.title, due: row.due })
}
