//! Gives injuries a place of their own before near misses, for reports that wait.

use sea_orm_migration::prelude::*;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let apart = "UPDATE report SET waits = CASE WHEN waits = 0 AND harm = 'injury' THEN 0 ELSE waits + 1 END \
                     WHERE waits IS NOT NULL";
        manager.get_connection().execute_unprepared(apart).await?;
        Ok(())
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let together = "UPDATE report SET waits = waits - 1 WHERE waits > 0";
        manager.get_connection().execute_unprepared(together).await?;
        Ok(())
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
