//! Lists of failures sent as one file: kept as one, and taken back as one while nobody has sorted them.

mod sent;

use std::collections::HashSet;

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::report::Report;
use domain::upload::{check_withdrawal, stays};
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::Expr;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::insert::insert_all;
use crate::intake::{self, IntakeFacts, Sending};
use crate::journal::{Entry, enter, moment, named};
use crate::stored::ASKED_AT_ONCE;
use crate::{json, sorting, upload_row};

pub(crate) use sent::of_report;
use sent::reports_of;
pub use sent::{CameWith, TakenBack, Upload, UploadFile, UploadedReport};

/// Codes drawn for one report before giving up.
const DRAWS: usize = 5;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "upload")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub key: String,
    pub sender: String,
    pub sha256: String,
    pub file_name: String,
    pub reports: i64,
    pub sent_before: i64,
    pub refused: i64,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
    pub withdrawn_at: Option<DateTime<Utc>>,
    pub withdrawn_by: Option<String>,
    pub withdrawn_why: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A list to be sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewUpload {
    /// What keeps it from being sent twice.
    pub key: String,
    /// Who sends lists of this kind: a unit, or a person.
    pub sender: String,
    /// The digest of the file.
    pub sha256: String,
    /// The file's own name.
    pub file_name: String,
    /// Rows that could not be taken.
    pub refused: u32,
}

/// One row of it.
#[derive(Clone, Debug, PartialEq)]
pub struct NewUploadRow {
    /// The line it stands on.
    pub line: u64,
    /// The report; its reference is drawn when it is kept.
    pub report: Report,
    /// What keeps the row from being sent twice.
    pub client_key: String,
    /// The digest of the secret that opens its receipt.
    pub secret_hash: String,
    /// Who altered or mended the item, in words.
    pub altered_by: Option<String>,
}

/// Refuses to have a report count again that was taken back with its list: its row may have been sent anew with another,
/// and one failure would count twice.
///
/// # Errors
/// [`StoreError::Refused`] where it was taken back.
pub(crate) async fn need_not_taken_back(db: &impl ConnectionTrait, report_ref: &str) -> Result<()> {
    let row = upload_row::Entity::find_by_id(report_ref.to_owned()).one(db).await?;
    let Some(row) = row.filter(|row| row.withdrawn) else { return Ok(()) };
    let why = format!(
        "was taken back with list {}, whose rows may have been sent again; it stays set aside",
        row.upload_id
    );
    Err(Problem::new("report", why).into())
}

/// So many codes that no report has yet, each another one.
async fn free_codes(
    db: &impl ConnectionTrait,
    count: usize,
    draw: &mut (dyn FnMut() -> String + Send + Sync),
) -> Result<Vec<String>> {
    let (mut free, mut used, mut last) = (Vec::with_capacity(count), HashSet::new(), String::new());
    for _ in 0..DRAWS {
        let drawn: Vec<String> = (free.len()..count).map(|_| draw()).collect();
        used.extend(intake::used_among(db, drawn.iter().map(String::as_str).collect()).await?);
        for code in drawn {
            last.clone_from(&code);
            if used.insert(code.clone()) {
                free.push(code);
            }
        }
        if free.len() == count {
            return Ok(free);
        }
    }
    Err(StoreError::taken("receipt", last))
}

/// The reports of new rows under codes that are free, with what comes with each.
fn sendings(rows: &[NewUploadRow], codes: Vec<String>) -> Vec<(Report, IntakeFacts)> {
    let sending = |(row, receipt_code): (&NewUploadRow, String)| {
        let report = Report { report_ref: receipt_code.clone(), ..row.report.clone() };
        let facts = IntakeFacts {
            receipt_code,
            client_key: row.client_key.clone(),
            secret_hash: row.secret_hash.clone(),
            unit_link_id: None,
            altered_by: row.altered_by.clone(),
            // A list tells of what is past: its clock runs on the queue, and nobody is called at night.
            contact: None,
            alarm: None,
        };
        (report, facts)
    };
    rows.iter().zip(codes).map(sending).collect()
}

impl Store {
    /// Keeps a list with its reports, receipts and journal entries at once, and gives its number. Rows that were sent
    /// before are counted and not kept anew; sent again under its key, the list is found and nothing is kept.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where a unit, item or part doesn't exist; [`StoreError::Refused`] where no row is new, or an
    /// item is no end item.
    pub async fn send_upload(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (upload, rows): (&NewUpload, Vec<NewUploadRow>),
        draw: &mut (dyn FnMut() -> String + Send + Sync),
    ) -> Result<i64> {
        let tx = self.begin().await?;
        if let Some(before) = Entity::find().filter(Column::Key.eq(&upload.key)).one(&tx).await? {
            return Ok(before.id);
        }
        let count = rows.len();
        let sent = intake::sent_among(&tx, rows.iter().map(|row| row.client_key.as_str()).collect()).await?;
        let new: Vec<NewUploadRow> = rows.into_iter().filter(|row| !sent.contains(&row.client_key)).collect();
        if new.is_empty() {
            return Err(
                Problem::new("file", "every row of it was sent before, so nothing was sent again").into()
            );
        }
        let kept = ActiveModel {
            id: NotSet,
            key: Set(upload.key.clone()),
            sender: Set(upload.sender.clone()),
            sha256: Set(upload.sha256.clone()),
            file_name: Set(upload.file_name.clone()),
            reports: Set(i64::try_from(new.len()).unwrap_or(i64::MAX)),
            sent_before: Set(i64::try_from(count - new.len()).unwrap_or(i64::MAX)),
            refused: Set(i64::from(upload.refused)),
            made_by: Set(named(by).0),
            made_at: Set(moment(now)),
            withdrawn_at: Set(None),
            withdrawn_by: Set(None),
            withdrawn_why: Set(None),
        };
        let kept = Entity::insert(kept).exec_with_returning(&tx).await?;
        let id = kept.id;
        let sendings = sendings(&new, free_codes(&tx, new.len(), draw).await?);
        let all: Vec<Sending<'_>> = sendings.iter().map(|(report, facts)| (report, facts)).collect();
        intake::keep_all(&tx, by, now, &all).await?;
        let of_list = new.iter().zip(&sendings).map(|(row, (report, _))| upload_row::ActiveModel {
            report_ref: Set(report.report_ref.clone()),
            upload_id: Set(id),
            line: Set(i64::try_from(row.line).unwrap_or(i64::MAX)),
            withdrawn: Set(false),
        });
        insert_all::<upload_row::ActiveModel>(&tx, of_list.collect()).await?;
        enter(&tx, by, now, Entry::new("send", "upload", &id.to_string()).after(json::row(kept))).await?;
        tx.commit().await?;
        Ok(id)
    }

    /// Takes a list back: its reports count nowhere, their receipts say so, and its rows may be sent again. What an
    /// engineer has sorted stays. Says how many went.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such list; [`StoreError::Refused`] without a reason, where it was taken
    /// back before, and where all of it stays.
    pub async fn withdraw_upload(&self, by: &Actor, now: DateTime<Utc>, id: i64, why: &str) -> Result<usize> {
        let tx = self.begin().await?;
        let before = Entity::find_by_id(id).one(&tx).await?;
        let before = before.ok_or_else(|| StoreError::missing("upload", id))?;
        check_withdrawal(before.withdrawn_at.is_some(), why)?;
        let mut reports = reports_of(&tx, id).await?;
        reports.retain(|one| stays(one.state).is_none());
        if reports.is_empty() {
            return Err(
                Problem::new("withdrawn", "every report of it stays, so nothing can be taken back").into()
            );
        }
        let why = why.trim();
        let refs: Vec<&str> = reports.iter().map(|one| one.report.report_ref.as_str()).collect();
        sorting::put_all_aside(&tx, by, now, &refs, &format!("taken back with list {id}: {why}")).await?;
        intake::free_keys(&tx, &refs, id).await?;
        for some in refs.chunks(ASKED_AT_ONCE) {
            let of = upload_row::Entity::update_many()
                .col_expr(upload_row::Column::Withdrawn, Expr::value(true))
                .filter(upload_row::Column::ReportRef.is_in(some.iter().copied()));
            of.exec(&tx).await?;
        }
        let mut row = before.clone().into_active_model();
        row.withdrawn_at = Set(Some(moment(now)));
        row.withdrawn_by = Set(Some(named(by).0));
        row.withdrawn_why = Set(Some(why.to_owned()));
        let after = row.update(&tx).await?;
        let key = id.to_string();
        let entry = Entry::new("take back", "upload", &key).before(json::row(before)).after(json::row(after));
        enter(&tx, by, now, entry).await?;
        tx.commit().await?;
        Ok(reports.len())
    }
}
