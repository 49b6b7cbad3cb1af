//! The queue of reports that wait to be sorted. Each keeps its place in its row, so that the front is found at once in
//! however many: how urgent it is, and nothing where it doesn't wait.

use sea_orm::entity::prelude::*;
use sea_orm::sea_query::Expr;
use sea_orm::{QueryOrder as _, QuerySelect as _, Select};

use crate::connect::Store;
use crate::error::Result;
use crate::page::Page;
use crate::queue::{ReportLine, lines};
use crate::report::{Column, Entity};
use crate::stored::seen;

/// The place of a report that an import brings without part or mode, until the import is published.
pub(crate) const UNPLACED: i16 = 3;

/// The place that a report should have: 0 where somebody was hurt, 1 nearly, 2 where a release is said to have failed, else 3. A report that nobody
/// has handled waits where part or mode are missing, as [`crate::handling::implied`] says.
const PLACE: &str = "CASE \
     WHEN COALESCE((SELECT h.state FROM report_handling h WHERE h.report_ref = report.report_ref), \
       CASE WHEN report.part_no IS NULL OR report.mode IS NULL THEN 'received' ELSE 'sorted' END) \
       NOT IN ('received', 'asked') THEN NULL \
     WHEN report.harm = 'injury' THEN 0 \
     WHEN report.harm = 'near_miss' THEN 1 \
     WHEN report.part_no IN (SELECT p.part_no FROM part_revision p WHERE p.kind = 'QRC') THEN 2 \
     ELSE 3 END";

/// Gives some reports their places after what was written of them.
pub(crate) async fn place(db: &impl ConnectionTrait, report_refs: Vec<&str>) -> Result<()> {
    let of = Entity::update_many().col_expr(Column::Waits, Expr::cust(PLACE));
    of.filter(Column::ReportRef.is_in(report_refs)).exec(db).await?;
    Ok(())
}

/// Gives all that wait their places again: an import may say what kind a part is.
pub(crate) async fn place_all(db: &impl ConnectionTrait) -> Result<()> {
    let of = Entity::update_many().col_expr(Column::Waits, Expr::cust(PLACE));
    let displaced = Expr::cust(format!("waits IS NOT NULL AND waits <> COALESCE(({PLACE}), -1)"));
    of.filter(displaced).exec(db).await?;
    Ok(())
}

/// Those that wait, in an order that is still to be said.
fn waiting() -> Select<Entity> {
    seen::<Entity>().filter(Column::Waits.is_not_null())
}

impl Store {
    /// Reports that nobody has sorted or set aside: where somebody was hurt first, then nearly, then those of a release that is
    /// said to have failed, then whoever has waited longest.
    pub async fn waiting_reports(&self, page: Page) -> Result<Vec<ReportLine>> {
        let rows = waiting()
            .order_by_asc(Column::Waits)
            .order_by_asc(Column::ReceivedOn)
            .order_by_asc(Column::Id)
            .offset(page.offset())
            .limit(page.size);
        lines(self.reader(), rows.all(self.reader()).await?).await
    }

    /// How many reports wait.
    pub async fn count_waiting_reports(&self) -> Result<u64> {
        Ok(waiting().count(self.reader()).await?)
    }
}
