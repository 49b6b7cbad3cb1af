//! Finds the reports that wait for sorting without reading all.

use sea_orm_migration::prelude::*;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let mut unsorted =
            Index::create().name("report_waiting").table("report").col("received_on").to_owned();
        unsorted.and_where(Expr::col("part_no").is_null().or(Expr::col("mode").is_null()));
        manager.create_index(unsorted).await?;
        let standing =
            Index::create().name("report_handling_state").table("report_handling").col("state").to_owned();
        manager.create_index(standing).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        manager
            .drop_index(Index::drop().name("report_handling_state").table("report_handling").to_owned())
            .await?;
        manager.drop_index(Index::drop().name("report_waiting").table("report").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
