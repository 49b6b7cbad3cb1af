//! Makes a table append-only: the database itself refuses to change or remove a row.

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_orm::DbBackend;

/// Guards a table.
pub(crate) async fn guard(manager: &SchemaManager<'_>, table: &str) -> Result<(), DbErr> {
    let says = format!("{table} is append-only");
    let statements = if manager.get_database_backend() == DbBackend::Sqlite {
        let refuse = format!("BEGIN SELECT RAISE(ABORT, '{says}'); END");
        vec![
            format!("CREATE TRIGGER {table}_keeps BEFORE UPDATE ON {table} {refuse}"),
            format!("CREATE TRIGGER {table}_stays BEFORE DELETE ON {table} {refuse}"),
            // Replacing a row would not fire the trigger on deleting.
            format!(
                "CREATE TRIGGER {table}_grows BEFORE INSERT ON {table} \
                 WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id) {refuse}"
            ),
        ]
    } else {
        vec![
            format!(
                "CREATE FUNCTION {table}_refuses() RETURNS trigger LANGUAGE plpgsql AS \
                 $$ BEGIN RAISE EXCEPTION '{says}'; END $$"
            ),
            format!(
                "CREATE TRIGGER {table}_keeps BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} \
                 FOR EACH STATEMENT EXECUTE FUNCTION {table}_refuses()"
            ),
        ]
    };
    run(manager, &statements).await
}

/// Takes the guard off, before the table is dropped.
pub(crate) async fn unguard(manager: &SchemaManager<'_>, table: &str) -> Result<(), DbErr> {
    let statements = if manager.get_database_backend() == DbBackend::Sqlite {
        ["keeps", "stays", "grows"].map(|what| format!("DROP TRIGGER {table}_{what}")).to_vec()
    } else {
        vec![format!("DROP TRIGGER {table}_keeps ON {table}"), format!("DROP FUNCTION {table}_refuses()")]
    };
    run(manager, &statements).await
}

async fn run(manager: &SchemaManager<'_>, statements: &[String]) -> Result<(), DbErr> {
    for statement in statements {
        manager.get_connection().execute_unprepared(statement).await?;
    }
    Ok(())
}
