//! Modes that come with a pack, and are seen by nobody before it is published; who added one the journal says.

use sea_orm_migration::prelude::*;
use sea_orm_migration::schema;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

const TABLE: &str = "catalogue_mode";
const INDEX: &str = "catalogue_mode_for_import_id";

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let mut import = schema::big_integer_null("import_id");
        // With the column, for SQLite gives no key to a column that is there.
        import.extra("REFERENCES pack_import (id) ON DELETE RESTRICT");
        manager.alter_table(Table::alter().table(TABLE).add_column(import).to_owned()).await?;
        let mut imported = Index::create().name(INDEX).table(TABLE).to_owned();
        imported.col("import_id").and_where(Expr::col("import_id").is_not_null());
        manager.create_index(imported).await?;
        for column in ["added_by", "added_at"] {
            manager.alter_table(Table::alter().table(TABLE).drop_column(column).to_owned()).await?;
        }
        Ok(())
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        // A column that must be filled can only come back with a value for the rows that are there.
        let by = schema::text("added_by").default("").to_owned();
        let at = schema::timestamp_with_time_zone("added_at").default("1970-01-01 00:00:00+00:00").to_owned();
        for column in [by, at] {
            manager.alter_table(Table::alter().table(TABLE).add_column(column).to_owned()).await?;
        }
        manager.drop_index(Index::drop().name(INDEX).table(TABLE).to_owned()).await?;
        manager.alter_table(Table::alter().table(TABLE).drop_column("import_id").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
