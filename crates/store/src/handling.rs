//! Where reports stand, and why they count or do not.

use std::collections::{HashMap, HashSet};

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::OnConflict;
use sea_orm::{Condition, IntoActiveModel as _, Iterable as _, QuerySelect as _};

use crate::error::Result;
use crate::insert::ROWS;
use crate::read_back::Row;
use crate::stored::ASKED_AT_ONCE;
use crate::{report, waiting};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "report_handling")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub report_ref: String,
    pub state: String,
    pub lot_text_as_sent: Option<String>,
    pub cause: Option<String>,
    pub relevant_reason: Option<String>,
    pub chargeable_reason: Option<String>,
    pub set_aside_reason: Option<String>,
    pub sorted_by: Option<i64>,
    pub sorted_at: Option<DateTime<Utc>>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Where a report stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Handling {
    /// Its state.
    pub state: ReportState,
    /// What the label said as sent, where an engineer chose the lot.
    pub lot_text_as_sent: Option<String>,
    /// What induced the failure.
    pub cause: Option<String>,
    /// Why it does not count as a failure.
    pub relevant_reason: Option<String>,
    /// Why it does not count against the design.
    pub chargeable_reason: Option<String>,
    /// Why it was set aside.
    pub set_aside_reason: Option<String>,
    /// Who sorted it, by number.
    pub sorted_by: Option<i64>,
    /// When.
    pub sorted_at: Option<DateTime<Utc>>,
}

/// The row a report without one stands for: imported reports are sorted where part and mode are set.
fn implied(report: &report::Model) -> Model {
    let is_sorted = report.part_no.is_some() && report.mode.is_some();
    let state = if is_sorted { ReportState::Sorted } else { ReportState::Received };
    received(&report.report_ref, state)
}

/// The row of a report nobody has handled.
pub(crate) fn received(report_ref: &str, state: ReportState) -> Model {
    Model {
        report_ref: report_ref.to_owned(),
        state: state.word().to_owned(),
        lot_text_as_sent: None,
        cause: None,
        relevant_reason: None,
        chargeable_reason: None,
        set_aside_reason: None,
        sorted_by: None,
        sorted_at: None,
    }
}

/// The row of a report, or the one it stands for.
pub(crate) async fn of(db: &impl ConnectionTrait, report: &report::Model) -> Result<Model> {
    let row = Entity::find_by_id(report.report_ref.clone()).one(db).await?;
    Ok(row.unwrap_or_else(|| implied(report)))
}

/// The rows of reports in their order, or those they stand for.
pub(crate) async fn of_each(db: &impl ConnectionTrait, reports: &[report::Model]) -> Result<Vec<Model>> {
    let mut found: HashMap<String, Model> = HashMap::with_capacity(reports.len());
    for some in reports.chunks(ASKED_AT_ONCE) {
        let refs: Vec<&str> = some.iter().map(|report| report.report_ref.as_str()).collect();
        let rows = Entity::find().filter(Column::ReportRef.is_in(refs)).all(db).await?;
        found.extend(rows.into_iter().map(|row| (row.report_ref.clone(), row)));
    }
    let of = |report: &report::Model| found.remove(&report.report_ref).unwrap_or_else(|| implied(report));
    Ok(reports.iter().map(of).collect())
}

/// Keeps a row, whether or not there was one, after what was written of its report.
pub(crate) async fn keep(db: &impl ConnectionTrait, row: Model) -> Result<()> {
    keep_all(db, vec![row]).await
}

/// Keeps rows of different reports as [`keep`] does, many at a time.
pub(crate) async fn keep_all(db: &impl ConnectionTrait, rows: Vec<Model>) -> Result<()> {
    for some in rows.chunks(ROWS) {
        let columns = Column::iter().filter(|column| !matches!(column, Column::ReportRef));
        let over = OnConflict::column(Column::ReportRef).update_columns(columns).to_owned();
        let of = some.iter().map(|row| row.clone().into_active_model().reset_all());
        Entity::insert_many(of).on_conflict(over).exec_without_returning(db).await?;
        waiting::place(db, some.iter().map(|row| row.report_ref.as_str()).collect()).await?;
    }
    Ok(())
}

/// Of some reports those whose lot a person chose when sorting.
pub(crate) async fn with_chosen_lot(db: &impl ConnectionTrait, which: Condition) -> Result<HashSet<String>> {
    let chosen = Entity::find().filter(Column::LotTextAsSent.is_not_null()).filter(which);
    let refs: Vec<String> = chosen.select_only().column(Column::ReportRef).into_tuple().all(db).await?;
    Ok(refs.into_iter().collect())
}

pub(crate) fn state_of(row: &Model) -> Result<ReportState> {
    Row { table: "report_handling", id: &row.report_ref }.word("state", &row.state)
}

pub(crate) fn handling_of(row: Model) -> Result<Handling> {
    Ok(Handling {
        state: state_of(&row)?,
        lot_text_as_sent: row.lot_text_as_sent,
        cause: row.cause,
        relevant_reason: row.relevant_reason,
        chargeable_reason: row.chargeable_reason,
        set_aside_reason: row.set_aside_reason,
        sorted_by: row.sorted_by,
        sorted_at: row.sorted_at,
    })
}
