//! As what a mail went out, as a digest: what servers send back is believed only of mail that was sent.

use sea_orm_migration::prelude::*;
use sea_orm_migration::schema;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let sent_as = schema::text_null("sent_as");
        manager.alter_table(Table::alter().table("outbox").add_column(sent_as).to_owned()).await?;
        let mut found = Index::create().name("outbox_for_sent_as").table("outbox").col("sent_as").to_owned();
        found.and_where(Expr::col("sent_as").is_not_null());
        manager.create_index(found).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager.drop_index(Index::drop().name("outbox_for_sent_as").table("outbox").to_owned()).await?;
        manager.alter_table(Table::alter().table("outbox").drop_column("sent_as").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
