//! Which report came with which list of failures.

use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "upload_row")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub report_ref: String,
    pub upload_id: i64,
    pub line: i64,
    pub withdrawn: bool,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}
