//! The keys that exist, so that rows of a pack can be checked before any is staged.

use domain::pack::{Known, Record as _};
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::{Expr, Query};
use sea_orm::{ExprTrait as _, QuerySelect as _};

use crate::books::Books;
use crate::connect::Store;
use crate::error::Result;
use crate::report;
use crate::stored::{find, visible};

/// Columns of long tables that name lots by their number alone.
const NAMING_LOTS: [(&str, &str); 6] = [
    ("movement", "lot_no"),
    ("movement", "to_lot_no"),
    ("inspection", "lot_no"),
    ("event", "lot_no"),
    ("event", "new_lot_no"),
    ("bench_test", "lot_no"),
];

impl Store {
    /// The keys of everything visible, and the kinds and modes of the catalogue.
    pub async fn known(&self) -> Result<Known> {
        let books = self.books().await?;
        let mut known = Known::new(&books.catalogue().await?);
        books.units().await?.iter().for_each(|noun| noun.learn(&mut known));
        books.parts().await?.iter().for_each(|noun| noun.learn(&mut known));
        books.components().await?.iter().for_each(|noun| noun.learn(&mut known));
        books.lots().await?.iter().for_each(|noun| noun.learn(&mut known));
        books.lot_uses().await?.iter().for_each(|noun| noun.learn(&mut known));
        books.serials().await?.iter().for_each(|noun| noun.learn(&mut known));
        books.fit_ranges().await?.iter().for_each(|noun| noun.learn(&mut known));
        books.changes().await?.iter().for_each(|noun| noun.learn(&mut known));
        books.effectivity().await?.iter().for_each(|noun| noun.learn(&mut known));
        for (table, column) in NAMING_LOTS {
            lots_named(&books, table, column).await?.iter().for_each(|lot_no| known.name_lot(lot_no));
        }
        for_each_reference(&books, |report_ref| known.add_report(report_ref)).await?;
        Ok(known)
    }
}

/// The lot numbers in a column, each once: the rows may be a million, the numbers are not.
async fn lots_named(books: &Books, table: &'static str, column: &'static str) -> Result<Vec<String>> {
    let query = Query::select()
        .distinct()
        .column(column)
        .from(table)
        .and_where(Expr::col(column).is_not_null())
        .cond_where(visible(table))
        .take();
    let rows = books.snapshot.query_all(&query).await?;
    Ok(rows.iter().map(|row| row.try_get_by_index(0)).collect::<std::result::Result<_, _>>()?)
}

/// References alone, for there may be a million reports.
async fn for_each_reference(books: &Books, mut each: impl FnMut(&str) + Send) -> Result<()> {
    const ROWS_AT_ONCE: u64 = 20_000;
    let mut after = 0_i64;
    loop {
        let rows: Vec<(i64, String)> = find::<report::Entity>()
            .filter(report::Column::Id.gt(after))
            .limit(ROWS_AT_ONCE)
            .select_only()
            .columns([report::Column::Id, report::Column::ReportRef])
            .into_tuple()
            .all(&books.snapshot)
            .await?;
        let Some((last, _)) = rows.last() else { return Ok(()) };
        after = *last;
        for (_, report_ref) in &rows {
            each(report_ref);
        }
    }
}
