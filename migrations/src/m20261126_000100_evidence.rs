//! What decisions on changes rest on, frozen: the database refuses to alter or remove it.

use sea_orm_migration::prelude::*;

use crate::guard::{guard, unguard};
use crate::table::{NewTable, OnDelete};

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        NewTable::new("evidence")
            .id()
            .refers("change_no", ("change", "change_no"), OnDelete::Restrict)
            .texts(["occasion", "digest", "document"])
            .whole("revision")
            .moment("frozen_at")
            .create(manager)
            .await?;
        guard(manager, "evidence").await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        unguard(manager, "evidence").await?;
        manager.drop_table(Table::drop().table("evidence").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
