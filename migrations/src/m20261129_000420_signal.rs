//! Signals of the watch as they were raised.

use sea_orm_migration::prelude::*;

use crate::table::NewTable;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

const TABLE: &str = "signal";

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        NewTable::new(TABLE)
            .id()
            .texts(["part_no", "mode"])
            .optional_texts(["used_lot"])
            .day("first_on")
            .whole("weeks")
            .whole("reports")
            .real("expected")
            .day("raised_on")
            .optional_day("ended_on")
            .create(manager)
            .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager.drop_table(Table::drop().table(TABLE).to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
