//! Marks mail to people outside the house, whose address and words are blanked once it is sent, and how they stop it.

use sea_orm_migration::prelude::*;
use sea_orm_migration::schema;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let is_personal = schema::boolean("is_personal").default(false).to_owned();
        manager.alter_table(Table::alter().table("outbox").add_column(is_personal).to_owned()).await?;
        let stop = schema::text_null("stop_url");
        manager.alter_table(Table::alter().table("outbox").add_column(stop).to_owned()).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        for column in ["stop_url", "is_personal"] {
            manager.alter_table(Table::alter().table("outbox").drop_column(column).to_owned()).await?;
        }
        Ok(())
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
