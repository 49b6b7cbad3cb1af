//! Keeps the journal append-only: the database itself refuses to change or remove an entry.

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_orm::DbBackend;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

const SQLITE_UP: &[&str] = &[
    "CREATE TRIGGER journal_keeps BEFORE UPDATE ON journal \
     BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END",
    "CREATE TRIGGER journal_stays BEFORE DELETE ON journal \
     BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END",
    // Replacing a row would not fire the trigger on deleting.
    "CREATE TRIGGER journal_grows BEFORE INSERT ON journal \
     WHEN EXISTS (SELECT 1 FROM journal WHERE id = NEW.id) \
     BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END",
];
const SQLITE_DOWN: &[&str] =
    &["DROP TRIGGER journal_keeps", "DROP TRIGGER journal_stays", "DROP TRIGGER journal_grows"];
const POSTGRES_UP: &[&str] = &[
    "CREATE FUNCTION journal_refuses() RETURNS trigger LANGUAGE plpgsql AS \
     $$ BEGIN RAISE EXCEPTION 'the journal is append-only'; END $$",
    "CREATE TRIGGER journal_keeps BEFORE UPDATE OR DELETE OR TRUNCATE ON journal \
     FOR EACH STATEMENT EXECUTE FUNCTION journal_refuses()",
];
const POSTGRES_DOWN: &[&str] = &["DROP TRIGGER journal_keeps ON journal", "DROP FUNCTION journal_refuses()"];

async fn run(manager: &SchemaManager<'_>, sqlite: &[&str], postgres: &[&str]) -> Result<(), DbErr> {
    let is_sqlite = manager.get_database_backend() == DbBackend::Sqlite;
    for statement in if is_sqlite { sqlite } else { postgres } {
        manager.get_connection().execute_unprepared(statement).await?;
    }
    Ok(())
}

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, SQLITE_UP, POSTGRES_UP).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, SQLITE_DOWN, POSTGRES_DOWN).await
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
