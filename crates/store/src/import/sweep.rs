//! Takes the rows of an import out again, in short transactions, each table before those it refers to.

use sea_orm::sea_query::Expr;
use sea_orm::{
    ColumnTrait as _, ConnectionTrait as _, EntityTrait as _, QueryFilter as _, QuerySelect as _, Statement,
};

use crate::connect::Store;
use crate::error::Result;
use crate::pack_import::{ABANDONED, Column, Entity, STAGING};

/// Rows of one transaction.
const ROWS_AT_ONCE: u64 = 4_000;

/// Tables with staged rows, each before those its rows refer to.
const TABLES: [&str; 22] = [
    "effectivity",
    "change",
    "person",
    "fit_range",
    "requirement",
    "bench_test",
    "report",
    "demand",
    "event",
    "inspection",
    "movement",
    "serial",
    "lot_use",
    "lot",
    "weighing",
    "component",
    "size_share",
    "part_revision",
    "part",
    "use_pattern",
    "unit",
    "catalogue_mode",
];

/// Takes out every import that was neither published nor abandoned. Only whoever holds the lock may ask for it.
pub(super) async fn staged(store: &Store) -> Result<u64> {
    let ids: Vec<i64> = Entity::find()
        .filter(Column::State.eq(STAGING))
        .select_only()
        .column(Column::Id)
        .into_tuple()
        .all(store.reader())
        .await?;
    for id in &ids {
        one(store, *id).await?;
    }
    Ok(ids.len() as u64)
}

/// Takes out one import.
pub(super) async fn one(store: &Store, id: i64) -> Result<()> {
    for table in TABLES {
        while take_out(store, table, id).await? == ROWS_AT_ONCE {}
    }
    let tx = store.begin().await?;
    Entity::update_many()
        .col_expr(Column::State, Expr::value(ABANDONED))
        .filter(Column::Id.eq(id))
        .exec(&tx)
        .await?;
    Ok(tx.commit().await?)
}

async fn take_out(store: &Store, table: &str, id: i64) -> Result<u64> {
    let tx = store.begin().await?;
    let sql = format!(
        "DELETE FROM \"{table}\" WHERE id IN (SELECT id FROM \"{table}\" WHERE import_id = $1 LIMIT {ROWS_AT_ONCE})"
    );
    let statement = Statement::from_sql_and_values(tx.get_database_backend(), sql, [id.into()]);
    let taken = tx.execute_raw(statement).await?.rows_affected();
    tx.commit().await?;
    Ok(taken)
}
