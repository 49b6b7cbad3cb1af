//! Finds the mails that wait among all that were ever sent: the outbox is looked at for every mail that goes.

use sea_orm_migration::prelude::*;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let mut waiting = Index::create().name("outbox_waiting").table("outbox").col("run_at").to_owned();
        waiting.and_where(Expr::col("sent_at").is_null());
        manager.create_index(waiting).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager.drop_index(Index::drop().name("outbox_waiting").table("outbox").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
