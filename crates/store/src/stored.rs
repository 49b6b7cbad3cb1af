//! What every noun of a pack has in common once it is a row, and asking for many rows at once.

use std::collections::HashSet;

use sea_orm::sea_query::{Expr, Query, SelectStatement};
use sea_orm::{
    ActiveModelTrait, ColumnTrait, Condition, ConnectionTrait, EntityTrait, ExprTrait as _, IntoActiveModel,
    QueryFilter as _, QueryOrder as _, QuerySelect as _, Select,
};

use crate::error::Result;
use crate::identity::Twins;

/// Values that one statement names; no database takes any number of them.
pub(crate) const ASKED_AT_ONCE: usize = 500;

/// A noun of a pack as rows of one table with an `id` and an `import_id`.
pub(crate) trait Stored:
    EntityTrait<
        Model: IntoActiveModel<<Self as EntityTrait>::ActiveModel> + Send,
        ActiveModel: ActiveModelTrait<Entity = Self> + Send,
    >
{
    /// The noun.
    type Noun;
    /// The columns that keep a row from being there twice.
    const KEY: &'static [&'static str];

    /// The row of a noun; `twins` counts equal rows that stand for separate things.
    fn model(noun: &Self::Noun, import_id: Option<i64>, twins: &mut Twins) -> Self::Model;

    /// The noun of a row.
    fn noun(model: Self::Model) -> Result<Self::Noun>;
}

/// The table's name.
pub(crate) fn table_of<E: EntityTrait>() -> &'static str {
    E::default().table_name()
}

/// Numbers of imports whose rows nobody may see yet.
pub(crate) fn hidden_imports() -> SelectStatement {
    Query::select().column("id").from("pack_import").and_where(Expr::col("state").ne("visible")).take()
}

/// Leaves out rows of imports that are not published.
pub(crate) fn visible(table: &'static str) -> Condition {
    let import_id = || Expr::col((table, "import_id"));
    Condition::any().add(import_id().is_null()).add(import_id().not_in_subquery(hidden_imports()))
}

/// Finds visible rows, in an order that is still to be said.
pub(crate) fn seen<E: Stored>() -> Select<E> {
    E::find().filter(visible(table_of::<E>()))
}

/// Finds visible rows in the order they came.
pub(crate) fn find<E: Stored>() -> Select<E> {
    seen::<E>().order_by_asc(Expr::col((table_of::<E>(), "id")))
}

/// All visible nouns in the order they came.
pub(crate) async fn list<E: Stored>(db: &impl ConnectionTrait) -> Result<Vec<E::Noun>> {
    find::<E>().all(db).await?.into_iter().map(E::noun).collect()
}

/// Those of some values that rows have in a column.
pub(crate) async fn found_among<E: EntityTrait>(
    db: &impl ConnectionTrait,
    rows: Select<E>,
    column: E::Column,
    mut values: Vec<&str>,
) -> Result<HashSet<String>> {
    values.sort_unstable();
    values.dedup();
    let mut found = HashSet::new();
    for some in values.chunks(ASKED_AT_ONCE) {
        let among = ColumnTrait::is_in(&column, some.iter().copied());
        let of_them = rows.clone().filter(among).select_only().column(column);
        found.extend(of_them.into_tuple::<String>().all(db).await?);
    }
    Ok(found)
}
