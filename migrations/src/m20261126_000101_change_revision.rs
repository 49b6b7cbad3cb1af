//! The text of each revision of a change record, as it was put before the board.

use sea_orm_migration::prelude::*;

use crate::guard::{guard, unguard};
use crate::table::{NewTable, OnDelete};

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        NewTable::new("change_revision")
            .id()
            .refers("change_no", ("change", "change_no"), OnDelete::Restrict)
            .whole("revision")
            .text("document")
            .moment("submitted_at")
            .unique(&["change_no", "revision"])
            .create(manager)
            .await?;
        guard(manager, "change_revision").await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        unguard(manager, "change_revision").await?;
        manager.drop_table(Table::drop().table("change_revision").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
