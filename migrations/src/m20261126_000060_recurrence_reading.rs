//! Finds the newest reports of a recurrence, and what the journal says of one thing, without reading all.

use sea_orm_migration::prelude::*;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let mut newest = Index::create().name("report_of_recurrence").table("report").to_owned();
        newest.col("part_no").col("mode").col("received_on").col("id");
        newest.and_where(Expr::col("mode").is_not_null());
        manager.create_index(newest).await?;
        let told =
            Index::create().name("journal_of_thing").table("journal").col("noun").col("key").to_owned();
        manager.create_index(told).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager.drop_index(Index::drop().name("journal_of_thing").table("journal").to_owned()).await?;
        manager.drop_index(Index::drop().name("report_of_recurrence").table("report").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
