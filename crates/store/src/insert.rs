//! Inserts rows many at a time with statements that the database prepares once.

use std::fmt::Write as _;
use std::marker::PhantomData;

use sea_orm::{
    ActiveModelTrait, ConnectionTrait, DbBackend, DbErr, EntityTrait, IdenStatic as _, IntoActiveModel as _,
    Iterable as _, Statement, Value,
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

/// Rows in the form that statements take, so many a statement.
pub(crate) struct Prepared<E> {
    statements: Vec<(usize, Vec<Value>)>,
    of: PhantomData<E>,
}

/// Takes rows apart for statements that insert those whose keys are new; nothing of it needs the database.
pub(crate) fn prepare<E: Stored>(rows: Vec<E::Model>) -> Prepared<E> {
    let mut rows = rows.into_iter().peekable();
    let mut statements = Vec::new();
    while rows.peek().is_some() {
        statements.push(values::<E>(rows.by_ref().take(ROWS)));
    }
    Prepared { statements, of: PhantomData }
}

impl<E: Stored> Prepared<E> {
    /// Runs the statements and says how many rows were new.
    pub(crate) async fn insert(self, db: &impl ConnectionTrait) -> Result<u64> {
        let backend = db.get_database_backend();
        let whole = insert_sql::<E>(backend, ROWS, OnKey::Keep);
        let mut new = 0;
        for (count, values) in self.statements {
            let sql =
                if count == ROWS { whole.clone() } else { insert_sql::<E>(backend, count, OnKey::Keep) };
            new +=
                db.execute_raw(Statement::from_sql_and_values(backend, sql, values)).await?.rows_affected();
        }
        Ok(new)
    }
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
    insert_all_live::<E>(db, vec![row], noun, key).await
}

/// Inserts rows as [`insert_live`] does, many at a time; `key` is what an error names.
///
/// # Errors
/// [`StoreError::Taken`] where a visible row has the key of one of them.
pub(crate) async fn insert_all_live<E: Stored>(
    db: &impl ConnectionTrait,
    rows: Vec<E::Model>,
    noun: &'static str,
    key: &str,
) -> Result<()> {
    let backend = db.get_database_backend();
    for (count, values) in prepare::<E>(rows).statements {
        let sql = insert_sql::<E>(backend, count, OnKey::Adopt);
        let statement = Statement::from_sql_and_values(backend, sql, values);
        if db.execute_raw(statement).await?.rows_affected() < count as u64 {
            return Err(StoreError::taken(noun, key));
        }
    }
    Ok(())
}

/// Inserts rows of any table in their order, many at a time.
pub(crate) async fn insert_all<A: ActiveModelTrait>(
    db: &impl ConnectionTrait,
    rows: Vec<A>,
) -> Result<(), DbErr> {
    let mut rows = rows.into_iter().peekable();
    while rows.peek().is_some() {
        let some = <A::Entity as EntityTrait>::insert_many(rows.by_ref().take(ROWS));
        some.exec_without_returning(db).await?;
    }
    Ok(())
}

/// The columns of rows one after the other, and how many rows there were.
fn values<E: Stored>(rows: impl Iterator<Item = E::Model>) -> (usize, Vec<Value>) {
    let mut values = Vec::with_capacity(ROWS * 30);
    let mut count = 0;
    for row in rows {
        let mut row = row.into_active_model();
        values.extend(columns::<E>().filter_map(|column| row.take(column).into_value()));
        count += 1;
    }
    (count, values)
}

fn columns<E: Stored>() -> impl Iterator<Item = E::Column> {
    E::Column::iter().filter(|column| column.as_str() != "id")
}

fn insert_sql<E: Stored>(backend: DbBackend, rows: usize, on_key: OnKey) -> String {
    let table = table_of::<E>();
    let names: Vec<&str> = columns::<E>().map(|column| column.as_str()).collect();
    let mut sql = format!("INSERT INTO \"{table}\" (\"{}\") VALUES ", names.join("\", \""));
    let mut place = 0;
    for row in 0..rows {
        sql.push_str(if row == 0 { "(" } else { ", (" });
        for column in 0..names.len() {
            place += 1;
            sql.push_str(if column == 0 { "" } else { ", " });
            match backend {
                // SQLite keeps the names of its parameters in a list that the driver searches from the front for each:
                // three thousand named ones cost ten times what the rows themselves do.
                DbBackend::Sqlite => sql.push('?'),
                _ => write!(sql, "${place}").expect("writing to a string doesn't fail"),
            }
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
