//! Where exhibits were, and since when.

use chrono::NaiveDate;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "exhibit_place")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub exhibit_id: i64,
    pub place: String,
    pub since: NaiveDate,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
