//! Who has a recurrence, by number beside the name: two people may share a name, and a name may change.

use sea_orm_migration::prelude::*;
use sea_orm_migration::schema;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

/// A name that several people have, or nobody any more, tells of no one: it stays as text alone.
const FIND_OWNERS: &str = "UPDATE recurrence SET owner_id = \
     (SELECT MIN(u.id) FROM app_user u WHERE u.full_name = recurrence.owner) \
     WHERE (SELECT COUNT(*) FROM app_user u WHERE u.full_name = recurrence.owner) = 1";

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let mut owner = schema::big_integer_null("owner_id");
        // With the column, for SQLite gives no key to a column that is there.
        owner.extra("REFERENCES app_user (id) ON DELETE RESTRICT");
        manager.alter_table(Table::alter().table("recurrence").add_column(owner).to_owned()).await?;
        manager.get_connection().execute_unprepared(FIND_OWNERS).await?;
        let mut own = Index::create().name("recurrence_for_owner_id").table("recurrence").to_owned();
        own.col("owner_id").and_where(Expr::col("owner_id").is_not_null());
        manager.create_index(own).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let own = Index::drop().name("recurrence_for_owner_id").table("recurrence").to_owned();
        manager.drop_index(own).await?;
        manager.alter_table(Table::alter().table("recurrence").drop_column("owner_id").to_owned()).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
