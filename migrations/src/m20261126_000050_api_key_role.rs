//! Binds keys to a role or a unit instead of a person. Nothing had made a key before, so that none is carried over.

use sea_orm_migration::prelude::*;

use crate::table::{NewTable, OnDelete};

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager.drop_table(Table::drop().table("api_key").to_owned()).await?;
        NewTable::new("api_key")
            .text_key("token_hash")
            .texts(["label", "role"])
            .optional_texts(["unit"])
            .texts(["made_by"])
            .moment("made_at")
            .optional_moment("revoked_at")
            .create(manager)
            .await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager.drop_table(Table::drop().table("api_key").to_owned()).await?;
        NewTable::new("api_key")
            .text_key("token_hash")
            .refers("user_id", ("app_user", "id"), OnDelete::Cascade)
            .text("label")
            .moment("made_at")
            .optional_moment("revoked_at")
            .create(manager)
            .await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
