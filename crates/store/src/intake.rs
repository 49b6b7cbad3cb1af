//! Reports as they come in through the form or the API: sent twice, kept once.

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use domain::permission::Actor;
use domain::report::Report;
use domain::words::Problem;
use sea_orm::ActiveValue::Set;
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::contact::{self, NewContact};
use crate::error::{Result, StoreError};
use crate::identity::Twins;
use crate::insert::insert_live;
use crate::journal::{Entry, enter, moment};
use crate::json;
use crate::on_call;
use crate::outbox::MailWords;
use crate::photo::{self, NewPhoto};
use crate::stored::{Stored as _, find};
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

/// Whether something was sent under a client key before.
pub(crate) async fn is_sent(db: &impl ConnectionTrait, client_key: &str) -> Result<bool> {
    Ok(Entity::find().filter(Column::ClientKey.eq(client_key)).one(db).await?.is_some())
}

/// Lets what was sent under a key be sent again, since it was taken back.
pub(crate) async fn free_key(db: &impl ConnectionTrait, report_ref: &str, upload_id: i64) -> Result<()> {
    let Some(row) = Entity::find_by_id(report_ref.to_owned()).one(db).await? else { return Ok(()) };
    let was = format!("taken back {upload_id} {}", row.client_key);
    let mut row = row.into_active_model();
    row.client_key = Set(was);
    row.update(db).await?;
    Ok(())
}

/// Whether a part is an end item in some revision, as a pack asks of the item of its reports.
async fn is_item(db: &impl ConnectionTrait, part_no: &str) -> Result<bool> {
    let items = find::<part::Entity>().filter(part::Column::PartNo.eq(part_no));
    Ok(items.filter(part::Column::Kind.eq(domain::part::ITEM)).count(db).await? > 0)
}

async fn need_item(db: &impl ConnectionTrait, part_no: &str) -> Result<()> {
    part::need(db, part_no).await?;
    if is_item(db, part_no).await? {
        return Ok(());
    }
    let why = format!("{part_no} is a part, but not an end item; expected the item it belongs to");
    Err(Problem::new("item_part_no", why).into())
}

/// Keeps a report, what came with it and the entry in the journal.
pub(crate) async fn keep(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    report: &Report,
    facts: &IntakeFacts,
) -> Result<Model> {
    unit::need(db, &report.unit).await?;
    need_item(db, &report.item_part_no).await?;
    if let Some(part_no) = &report.part_no {
        part::need(db, part_no).await?;
    }
    let row = report::Entity::model(report, None, &mut Twins::default());
    insert_live::<report::Entity>(db, row.clone(), "report", &report.report_ref).await?;
    let kept = ActiveModel {
        report_ref: Set(report.report_ref.clone()),
        receipt_code: Set(facts.receipt_code.clone()),
        client_key: Set(facts.client_key.clone()),
        secret_hash: Set(facts.secret_hash.clone()),
        unit_link_id: Set(facts.unit_link_id),
        altered_by: Set(facts.altered_by.clone()),
        sent_at: Set(moment(now)),
    };
    let kept = Entity::insert(kept).exec_with_returning(db).await;
    let kept = kept.map_err(|e| StoreError::of_insert(e, "receipt", &facts.receipt_code))?;
    // A unit may guess part and mode; until an engineer has looked, the report is not sorted.
    handling::keep(db, handling::received(&report.report_ref, ReportState::Received)).await?;
    let entry = Entry::new("send", "report", &report.report_ref).after(json::row(row));
    enter(db, by, now, entry).await?;
    if let Some(new) = &facts.contact {
        contact::add(db, by, now, &report.report_ref, new).await?;
    }
    if let Some(alarm) = &facts.alarm {
        on_call::call(db, now, &report.report_ref, alarm).await?;
    }
    Ok(kept)
}

impl Store {
    /// Keeps a report, its photos, its journal entry and its receipt at once. Sent again under the same client key,
    /// however many at a time, it gives the receipt that was kept and keeps nothing anew; the receipt tells where the key had
    /// brought another report.
    ///
    /// # Errors
    /// [`StoreError::Taken`] where the reference, the receipt code or the client key is that of another report;
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
