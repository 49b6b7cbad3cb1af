//! Failure reports, as units send them and engineers sort them.

use std::collections::HashMap;

use domain::report::Report;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::Expr;
use sea_orm::{Iterable as _, QuerySelect as _};

use crate::error::Result;
use crate::identity::Twins;
use crate::read_back::{Row, filled, word_of};
use crate::stored::{ASKED_AT_ONCE, Stored, find, seen};
use crate::waiting;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "report")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub report_ref: String,
    pub found_on: chrono::NaiveDate,
    pub received_on: chrono::NaiveDate,
    pub unit: String,
    pub item_part_no: String,
    pub size: Option<String>,
    pub serial: Option<String>,
    pub lot_text: Option<String>,
    pub lot_known: Option<String>,
    pub maker: Option<String>,
    pub contract_no: Option<String>,
    pub made_month: Option<chrono::NaiveDate>,
    pub part_no: Option<String>,
    pub mode: Option<String>,
    pub narrative: Option<String>,
    pub activity: Option<String>,
    pub found_when: Option<String>,
    pub worn_weeks: Option<f64>,
    pub altered: Option<String>,
    pub prompted_by: Option<String>,
    pub harm: Option<String>,
    pub item_fate: Option<String>,
    pub relevant: Option<bool>,
    pub chargeable: Option<bool>,
    pub quantity: i64,
    /// Its place among those that wait; nothing where it doesn't wait.
    pub waits: Option<i16>,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Report;
    const KEY: &'static [&'static str] = &["report_ref"];

    fn model(report: &Report, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        let (part_no, mode) = (filled(report.part_no.as_deref()), filled(report.mode.as_deref()));
        Model {
            id: 0,
            report_ref: report.report_ref.clone(),
            found_on: report.found_on,
            received_on: report.received_on,
            unit: report.unit.clone(),
            item_part_no: report.item_part_no.clone(),
            size: filled(report.size.as_deref()),
            serial: filled(report.serial.as_deref()),
            lot_text: filled(report.lot_text.as_deref()),
            lot_known: word_of(report.lot_known, domain::report::LotKnown::word),
            maker: filled(report.maker.as_deref()),
            contract_no: filled(report.contract_no.as_deref()),
            made_month: report.made_month,
            narrative: filled(report.narrative.as_deref()),
            activity: filled(report.activity.as_deref()),
            found_when: word_of(report.found_when, domain::report::FoundWhen::word),
            worn_weeks: report.worn_weeks,
            altered: word_of(report.altered, domain::report::Altered::word),
            prompted_by: filled(report.prompted_by.as_deref()),
            harm: word_of(report.harm, domain::report::Harm::word),
            item_fate: word_of(report.item_fate, domain::report::ItemFate::word),
            relevant: report.relevant,
            chargeable: report.chargeable,
            quantity: i64::from(report.quantity),
            waits: (part_no.is_none() || mode.is_none()).then_some(waiting::UNPLACED),
            part_no,
            mode,
            import_id,
        }
    }

    fn noun(row: Model) -> Result<Report> {
        let read = Row { table: "report", id: &row.id };
        Ok(Report {
            lot_known: read.optional_word("lot_known", row.lot_known.as_deref())?,
            found_when: read.optional_word("found_when", row.found_when.as_deref())?,
            altered: read.optional_word("altered", row.altered.as_deref())?,
            harm: read.optional_word("harm", row.harm.as_deref())?,
            item_fate: read.optional_word("item_fate", row.item_fate.as_deref())?,
            quantity: read.number("quantity", row.quantity)?,
            report_ref: row.report_ref,
            found_on: row.found_on,
            received_on: row.received_on,
            unit: row.unit,
            item_part_no: row.item_part_no,
            size: row.size,
            serial: row.serial,
            lot_text: row.lot_text,
            maker: row.maker,
            contract_no: row.contract_no,
            made_month: row.made_month,
            part_no: row.part_no,
            mode: row.mode,
            narrative: row.narrative,
            activity: row.activity,
            worn_weeks: row.worn_weeks,
            prompted_by: row.prompted_by,
            relevant: row.relevant,
            chargeable: row.chargeable,
        })
    }
}

/// A visible report.
pub(crate) async fn find_row(db: &impl ConnectionTrait, report_ref: &str) -> Result<Option<Model>> {
    Ok(find::<Entity>().filter(Column::ReportRef.eq(report_ref)).one(db).await?)
}

/// A visible report that must be there.
pub(crate) async fn need_row(db: &impl ConnectionTrait, report_ref: &str) -> Result<Model> {
    find_row(db, report_ref).await?.ok_or_else(|| crate::StoreError::missing("report", report_ref))
}

/// Visible reports that must be there, in the order of their references.
pub(crate) async fn need_rows(db: &impl ConnectionTrait, report_refs: &[&str]) -> Result<Vec<Model>> {
    let mut found: HashMap<String, Model> = HashMap::with_capacity(report_refs.len());
    for some in report_refs.chunks(ASKED_AT_ONCE) {
        let rows = seen::<Entity>().filter(Column::ReportRef.is_in(some.iter().copied())).all(db).await?;
        found.extend(rows.into_iter().map(|row| (row.report_ref.clone(), row)));
    }
    let need = |report_ref: &&str| {
        found.remove(*report_ref).ok_or_else(|| crate::StoreError::missing("report", report_ref))
    };
    report_refs.iter().map(need).collect()
}

/// Reports of one reading.
const ROWS_AT_ONCE: u64 = 5_000;

/// Hands over every visible report with its row's number in the order they came, without holding more than some of them.
pub(crate) async fn for_each<E: From<crate::StoreError>>(
    db: &impl ConnectionTrait,
    with_narrative: bool,
    each: &mut (impl FnMut(i64, Report) -> std::result::Result<(), E> + Send),
) -> std::result::Result<(), E> {
    let mut after = 0;
    loop {
        let mut rows = find::<Entity>().filter(Column::Id.gt(after)).limit(ROWS_AT_ONCE);
        if !with_narrative {
            let columns = Column::iter().filter(|column| !matches!(column, Column::Narrative));
            rows = rows.select_only().columns(columns).expr_as(Expr::value(None::<String>), "narrative");
        }
        let rows = rows.all(db).await.map_err(crate::StoreError::from)?;
        let Some(last) = rows.last() else { return Ok(()) };
        after = last.id;
        for row in rows {
            each(row.id, Entity::noun(row)?)?;
        }
    }
}
