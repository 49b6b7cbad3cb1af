//! Keeps given up what was given up after eight tries, now that mail is tried for days: nobody wants an alarm of last month.

use sea_orm_migration::prelude::*;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let last = "UPDATE outbox SET attempts = 25 WHERE sent_at IS NULL AND attempts >= 8";
        manager.get_connection().execute_unprepared(last).await?;
        Ok(())
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let last = "UPDATE outbox SET attempts = 8 WHERE sent_at IS NULL AND attempts >= 8";
        manager.get_connection().execute_unprepared(last).await?;
        Ok(())
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
