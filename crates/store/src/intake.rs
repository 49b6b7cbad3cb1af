//! Reports as they come in through the form, the API or a list: sent twice, kept once.

use std::collections::HashSet;

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use domain::permission::Actor;
use domain::report::Report;
use domain::words::Problem;
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::Expr;

use crate::connect::Store;
use crate::contact::{self, NewContact};
use crate::error::{Result, StoreError, is_taken_in};
use crate::identity::Twins;
use crate::insert::{insert_all, insert_all_live};
use crate::journal::{Entry, enter_all, moment};
use crate::json;
use crate::on_call;
use crate::outbox::MailWords;
use crate::photo::{self, NewPhoto};
use crate::stored::{ASKED_AT_ONCE, Stored as _, find, found_among, seen};
use crate::{handling, part, report, unit};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "intake")]
pub(crate) struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub report_ref: String,
    pub receipt_code: String,
    pub client_key: String,
    pub secret_hash: String,
    pub unit_link_id: Option<i64>,
    pub altered_by: Option<String>,
    pub sent_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// What comes with a report besides what it says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IntakeFacts {
    /// The code the reporter keeps.
    pub receipt_code: String,
    /// The key the sender made, by which a second sending is known.
    pub client_key: String,
    /// The digest of the secret that opens the receipt.
    pub secret_hash: String,
    /// The unit link it came by.
    pub unit_link_id: Option<i64>,
    /// Who altered or mended the item, in words.
    pub altered_by: Option<String>,
    /// Where the reporter wants the answer mailed.
    pub contact: Option<NewContact>,
    /// What engineers on call are mailed at once.
    pub alarm: Option<MailWords>,
}

/// A report as it is sent, with what comes with it.
pub(crate) type Sending<'a> = (&'a Report, &'a IntakeFacts);

/// What is kept of a sending.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The report.
    pub report_ref: String,
    /// The unit it was sent for.
    pub unit: String,
    /// The code the reporter keeps.
    pub receipt_code: String,
    /// The digest of the secret that opens it.
    pub secret_hash: String,
    /// Who altered or mended the item, in words.
    pub altered_by: Option<String>,
    /// When it was first sent.
    pub sent_at: DateTime<Utc>,
    /// Whether it had been sent before; nothing was kept anew then.
    pub sent_before: bool,
    /// Whether what was sent before under this key is another report: another story, item, serial number or harm.
    pub is_other: bool,
}

impl Receipt {
    fn new(row: Model, unit: String, sent_before: bool) -> Self {
        let Model { report_ref, receipt_code, secret_hash, altered_by, sent_at, .. } = row;
        Self {
            report_ref,
            unit,
            receipt_code,
            secret_hash,
            altered_by,
            sent_at,
            sent_before,
            is_other: false,
        }
    }
}

async fn find_by(db: &impl ConnectionTrait, column: Column, value: &str) -> Result<Option<Receipt>> {
    let Some(row) = Entity::find().filter(column.eq(value)).one(db).await? else { return Ok(None) };
    let of = report::find_row(db, &row.report_ref).await?;
    let of = of.ok_or_else(|| StoreError::Corrupt {
        table: "intake",
        column: "report_ref",
        id: row.report_ref.clone(),
    })?;
    Ok(Some(Receipt::new(row, of.unit, true)))
}

/// Whether a report that was kept tells of another failure than one that is sent under its key. What an engineer has set since
/// and what follows from the day of sending is no difference.
async fn is_other(db: &impl ConnectionTrait, report_ref: &str, sent: &Report) -> Result<bool> {
    let told = |row: report::Model| (row.narrative, row.item_part_no, row.serial, row.harm);
    let kept = report::need_row(db, report_ref).await?;
    Ok(told(kept) != told(report::Entity::model(sent, None, &mut Twins::default())))
}

/// What came with a report; nothing where it was imported.
pub(crate) async fn of_report(db: &impl ConnectionTrait, report: &report::Model) -> Result<Option<Receipt>> {
    let row = Entity::find_by_id(report.report_ref.clone()).one(db).await?;
    Ok(row.map(|row| Receipt::new(row, report.unit.clone(), true)))
}

/// Those of some client keys under which something was sent before.
pub(crate) async fn sent_among(db: &impl ConnectionTrait, client_keys: Vec<&str>) -> Result<HashSet<String>> {
    found_among(db, Entity::find(), Column::ClientKey, client_keys).await
}

/// Those of some codes that a receipt or a report has already.
pub(crate) async fn used_among(db: &impl ConnectionTrait, codes: Vec<&str>) -> Result<HashSet<String>> {
    let mut used = found_among(db, Entity::find(), Column::ReceiptCode, codes.clone()).await?;
    used.extend(found_among(db, seen::<report::Entity>(), report::Column::ReportRef, codes).await?);
    Ok(used)
}

/// Lets what was sent be sent again under its keys, since it was taken back with its list.
pub(crate) async fn free_keys(db: &impl ConnectionTrait, report_refs: &[&str], upload_id: i64) -> Result<()> {
    let was = format!("'taken back {upload_id} ' || client_key");
    for some in report_refs.chunks(ASKED_AT_ONCE) {
        let of = Entity::update_many().col_expr(Column::ClientKey, Expr::cust(was.clone()));
        of.filter(Column::ReportRef.is_in(some.iter().copied())).exec(db).await?;
    }
    Ok(())
}

/// Whether a part is an end item in some revision, as a pack asks of the item of its reports.
async fn is_item(db: &impl ConnectionTrait, part_no: &str) -> Result<bool> {
    let items = find::<part::Entity>().filter(part::Column::PartNo.eq(part_no));
    Ok(items.filter(part::Column::Kind.eq(domain::part::ITEM)).count(db).await? > 0)
}

/// Units, parts and end items that there are, of those that some reports name.
struct Named {
    units: HashSet<String>,
    parts: HashSet<String>,
    items: HashSet<String>,
}

impl Named {
    async fn by(db: &impl ConnectionTrait, sendings: &[Sending<'_>]) -> Result<Self> {
        let units = sendings.iter().map(|(report, _)| report.unit.as_str()).collect();
        let items: Vec<&str> = sendings.iter().map(|(report, _)| report.item_part_no.as_str()).collect();
        let mut parts = items.clone();
        parts.extend(sendings.iter().filter_map(|(report, _)| report.part_no.as_deref()));
        let end_items = seen::<part::Entity>().filter(part::Column::Kind.eq(domain::part::ITEM));
        Ok(Self {
            units: found_among(db, seen::<unit::Entity>(), unit::Column::Code, units).await?,
            parts: found_among(db, seen::<part::number::Entity>(), part::number::Column::PartNo, parts)
                .await?,
            items: found_among(db, end_items, part::Column::PartNo, items).await?,
        })
    }

    fn check(&self, report: &Report) -> Result<()> {
        let Report { unit, item_part_no: item, part_no, .. } = report;
        if !self.units.contains(unit) {
            return Err(StoreError::missing("unit", unit));
        }
        self.need_part(item)?;
        if !self.items.contains(item) {
            let why = format!("{item} is a part, but not an end item; expected the item it belongs to");
            return Err(Problem::new("item_part_no", why).into());
        }
        part_no.as_deref().map_or(Ok(()), |part_no| self.need_part(part_no))
    }

    fn need_part(&self, part_no: &str) -> Result<()> {
        if self.parts.contains(part_no) { Ok(()) } else { Err(StoreError::missing("part", part_no)) }
    }
}

/// Keeps a report, what came with it and the entry in the journal.
pub(crate) async fn keep(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    report: &Report,
    facts: &IntakeFacts,
) -> Result<Model> {
    keep_all(db, by, now, &[(report, facts)]).await?;
    Ok(row_of((report, facts), now))
}

/// Keeps reports with what came with each and their entries in the journal, in their order.
pub(crate) async fn keep_all(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    sendings: &[Sending<'_>],
) -> Result<()> {
    let named = Named::by(db, sendings).await?;
    sendings.iter().try_for_each(|(report, _)| named.check(report))?;
    // The database doesn't say which row of a statement it refused.
    let (report_ref, receipt_code) = match sendings {
        [(report, facts)] => (report.report_ref.as_str(), facts.receipt_code.as_str()),
        _ => ("of one row of a list", "of one row of a list"),
    };
    let rows: Vec<report::Model> = sendings
        .iter()
        .map(|(report, _)| report::Entity::model(report, None, &mut Twins::default()))
        .collect();
    insert_all_live::<report::Entity>(db, rows.clone(), "report", report_ref).await?;
    let kept = sendings.iter().map(|sending| row_of(*sending, now).into_active_model()).collect();
    let kept = insert_all::<ActiveModel>(db, kept).await;
    kept.map_err(|error| {
        // Another code can be drawn; a secret that opens another receipt stays taken, however often one tries.
        if is_taken_in(&error, "secret_hash") {
            StoreError::taken("secret", "of this sending")
        } else {
            StoreError::of_insert(error, "receipt", receipt_code)
        }
    })?;
    // A unit may guess part and mode; until an engineer has looked, a report is not sorted.
    let received =
        rows.iter().map(|row| handling::received(&row.report_ref, ReportState::Received)).collect();
    handling::keep_all(db, received).await?;
    let entries = sendings
        .iter()
        .zip(rows)
        .map(|((report, _), row)| Entry::new("send", "report", &report.report_ref).after(json::row(row)));
    enter_all(db, by, now, entries.collect()).await?;
    for (report, facts) in sendings {
        if let Some(new) = &facts.contact {
            contact::add(db, by, now, &report.report_ref, new).await?;
        }
        if let Some(alarm) = &facts.alarm {
            on_call::call(db, now, &report.report_ref, alarm).await?;
        }
    }
    Ok(())
}

fn row_of((report, facts): Sending<'_>, now: DateTime<Utc>) -> Model {
    Model {
        report_ref: report.report_ref.clone(),
        receipt_code: facts.receipt_code.clone(),
        client_key: facts.client_key.clone(),
        secret_hash: facts.secret_hash.clone(),
        unit_link_id: facts.unit_link_id,
        altered_by: facts.altered_by.clone(),
        sent_at: moment(now),
    }
}

impl Store {
    /// Keeps a report, its photos, its journal entry and its receipt at once. Sent again under the same client key,
    /// however many at a time, it gives the receipt that was kept and keeps nothing anew; the receipt tells where the key had
    /// brought another report.
    ///
    /// # Errors
    /// [`StoreError::Taken`] where the reference, the receipt code, the secret or the client key is that of another report;
    /// [`StoreError::Missing`] where unit, item or part don't exist; [`StoreError::Refused`] where the item is no end item.
    pub async fn send_report(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        report: &Report,
        facts: &IntakeFacts,
        photos: &[NewPhoto],
    ) -> Result<Receipt> {
        let tx = self.begin().await?;
        if let Some(receipt) = find_by(&tx, Column::ClientKey, &facts.client_key).await? {
            // A key that another unit made is no second sending, and its receipt is none of this unit's business.
            if receipt.unit != report.unit {
                return Err(StoreError::taken("client key", "of this sending"));
            }
            let is_other = is_other(&tx, &receipt.report_ref, report).await?;
            return Ok(Receipt { is_other, ..receipt });
        }
        let kept = keep(&tx, by, now, report, facts).await?;
        photo::add(&tx, &report.report_ref, photos).await?;
        tx.commit().await?;
        Ok(Receipt::new(kept, report.unit.clone(), false))
    }

    /// Whether a part is an end item, so that a report may be about it.
    pub async fn is_item(&self, part_no: &str) -> Result<bool> {
        is_item(self.reader(), part_no).await
    }

    /// The receipt that a secret opens: the reporter's own, or one that was mailed to them.
    pub async fn find_receipt(&self, secret_hash: &str) -> Result<Option<Receipt>> {
        let db = self.reader();
        if let Some(receipt) = find_by(db, Column::SecretHash, secret_hash).await? {
            return Ok(Some(receipt));
        }
        let Some(report_ref) = contact::followed(db, secret_hash).await? else { return Ok(None) };
        find_by(db, Column::ReportRef, &report_ref).await
    }

    /// The receipt of a code; the caller must know by other means that the reader may see it.
    pub async fn find_receipt_by_code(&self, receipt_code: &str) -> Result<Option<Receipt>> {
        find_by(self.reader(), Column::ReceiptCode, receipt_code).await
    }
}
