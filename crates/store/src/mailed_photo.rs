//! Photographs of mails that are no reports yet.

use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "mailed_photo")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub mailed_id: i64,
    pub sha256: String,
    pub media_type: String,
    pub width: i64,
    pub height: i64,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
