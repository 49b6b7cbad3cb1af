//! Inserts rows many at a time with statements that the database prepares once.

use std::fmt::Write as _;

use sea_orm::{
    ActiveModelTrait as _, ConnectionTrait, IdenStatic as _, IntoActiveModel as _, Iterable as _, Statement,
    Value,
};

use crate::error::{Result, StoreError};
use crate::stored::{Stored, table_of};

/// Rows of one statement. The database prepares a statement of this many rows once and reuses it.
pub(crate) const ROWS: usize = 100;

/// What to do where the key is there already.
#[derive(Clone, Copy, PartialEq, Eq)]
enum OnKey {
    /// Leave what is there.
    Keep,
    /// Take over a row of an import that is under way, and leave any other.
    Adopt,
}

/// Inserts the rows whose keys are new, and says how many were.
pub(crate) async fn insert_new<E: Stored>(db: &impl ConnectionTrait, rows: Vec<E::Model>) -> Result<u64> {
    let mut new = 0;
    let mut rows = rows.into_iter().peekable();
    while rows.peek().is_some() {
        new += insert_chunk::<E>(db, rows.by_ref().take(ROWS), OnKey::Keep).await?;
    }
    Ok(new)
}

/// Inserts one row that somebody enters while an import may be under way. A row of that import with the same key
/// becomes this one, so that the entry is neither refused nor lost with the import.
///
/// # Errors
/// [`StoreError::Taken`] where a visible row has the key.
pub(crate) async fn insert_live<E: Stored>(
    db: &impl ConnectionTrait,
    row: E::Model,
    noun: &'static str,
    key: &str,
) -> Result<()> {
    match insert_chunk::<E>(db, std::iter::once(row), OnKey::Adopt).await? {
        0 => Err(StoreError::taken(noun, key)),
        _ => Ok(()),
    }
}

async fn insert_chunk<E: Stored>(
    db: &impl ConnectionTrait,
    rows: impl Iterator<Item = E::Model>,
    on_key: OnKey,
) -> Result<u64> {
    let mut values: Vec<Value> = Vec::new();
    let mut count = 0;
    for row in rows {
        let mut row = row.into_active_model();
        values.extend(columns::<E>().filter_map(|column| row.take(column).into_value()));
        count += 1;
    }
    let statement =
        Statement::from_sql_and_values(db.get_database_backend(), insert_sql::<E>(count, on_key), values);
    Ok(db.execute_raw(statement).await?.rows_affected())
}

fn columns<E: Stored>() -> impl Iterator<Item = E::Column> {
    E::Column::iter().filter(|column| column.as_str() != "id")
}

fn insert_sql<E: Stored>(rows: usize, on_key: OnKey) -> String {
    let table = table_of::<E>();
    let names: Vec<&str> = columns::<E>().map(|column| column.as_str()).collect();
    let mut sql = format!("INSERT INTO \"{table}\" (\"{}\") VALUES ", names.join("\", \""));
    let mut place = 0;
    for row in 0..rows {
        sql.push_str(if row == 0 { "(" } else { ", (" });
        for column in 0..names.len() {
            place += 1;
            let comma = if column == 0 { "" } else { ", " };
            write!(sql, "{comma}${place}").expect("writing to a string doesn't fail");
        }
        sql.push(')');
    }
    match on_key {
        OnKey::Keep => sql.push_str(" ON CONFLICT DO NOTHING"),
        OnKey::Adopt => {
            let set: Vec<String> =
                names.iter().map(|name| format!("\"{name}\" = excluded.\"{name}\"")).collect();
            write!(
                sql,
                " ON CONFLICT (\"{}\") DO UPDATE SET {} WHERE \"{table}\".import_id IN \
                 (SELECT id FROM pack_import WHERE state <> 'visible')",
                E::KEY.join("\", \""),
                set.join(", "),
            )
            .expect("writing to a string doesn't fail");
        }
    }
    sql
}
