//! Modes that come with a pack, and are seen by nobody before it is published; who added one the journal says.
//!
//! The table is made anew, for SQLite gives up no column that must be filled and takes none back.

use sea_orm_migration::prelude::*;

use crate::table::NewTable;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

const TABLE: &str = "catalogue_mode";
const TEXTS: [&str; 10] = [
    "kind",
    "kind_name",
    "code",
    "name",
    "mechanism",
    "how_found",
    "usual_fix",
    "test_methods",
    "default_severity",
    "field_words",
];

/// Puts a table in the place of the one there is, with its rows in their order; nothing refers to their numbers.
async fn replace(
    manager: &SchemaManager<'_>,
    new: NewTable,
    (columns, values): (&str, &str),
) -> Result<(), DbErr> {
    let db = manager.get_connection();
    let texts = TEXTS.join(", ");
    db.execute_unprepared(&format!("CREATE TABLE {TABLE}_was AS SELECT * FROM {TABLE}")).await?;
    manager.drop_table(Table::drop().table(TABLE).to_owned()).await?;
    new.create(manager).await?;
    let copy =
        format!("INSERT INTO {TABLE} ({texts}{columns}) SELECT {texts}{values} FROM {TABLE}_was ORDER BY id");
    db.execute_unprepared(&copy).await?;
    db.execute_unprepared(&format!("DROP TABLE {TABLE}_was")).await?;
    Ok(())
}

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let new = NewTable::new(TABLE).id().texts(TEXTS).imported().unique(&["code"]);
        replace(manager, new, ("", "")).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let texts = NewTable::new(TABLE).id().texts(TEXTS).text("added_by");
        let new = texts.moment("added_at").unique(&["code"]);
        // Who and when stand in the journal alone.
        replace(manager, new, (", added_by, added_at", ", '', '1970-01-01 00:00:00+00:00'")).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
