//! Keeps a report's place among those that wait to be sorted in its row: the front of a long queue is found at once.

use sea_orm_migration::prelude::*;
use sea_orm_migration::schema;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

const PLACE_ALL: &str = "UPDATE report SET waits = CASE \
     WHEN harm IN ('injury', 'near_miss') THEN 0 \
     WHEN part_no IN (SELECT p.part_no FROM part_revision p WHERE p.kind = 'QRC') THEN 1 \
     ELSE 2 END \
     WHERE report_ref IN (\
     SELECT report_ref FROM report_handling WHERE state IN ('received', 'asked') \
     UNION ALL \
     SELECT r.report_ref FROM report r WHERE (r.part_no IS NULL OR r.mode IS NULL) \
       AND NOT EXISTS (SELECT 1 FROM report_handling h WHERE h.report_ref = r.report_ref))";

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let waits = schema::small_integer_null("waits");
        manager.alter_table(Table::alter().table("report").add_column(waits).to_owned()).await?;
        manager.get_connection().execute_unprepared(PLACE_ALL).await?;
        let mut queue = Index::create().name("report_queue").table("report").to_owned();
        // With the import, so that counting looks at nothing else.
        queue.col("waits").col("received_on").col("id").col("import_id");
        queue.and_where(Expr::col("waits").is_not_null());
        manager.create_index(queue).await?;
        manager.drop_index(Index::drop().name("report_waiting").table("report").to_owned()).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let mut unsorted =
            Index::create().name("report_waiting").table("report").col("received_on").to_owned();
        unsorted.and_where(Expr::col("part_no").is_null().or(Expr::col("mode").is_null()));
        manager.create_index(unsorted).await?;
        manager.drop_index(Index::drop().name("report_queue").table("report").to_owned()).await?;
        manager.alter_table(Table::alter().table("report").drop_column("waits").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
