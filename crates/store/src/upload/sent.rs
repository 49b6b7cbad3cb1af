//! Lists as they were sent: what is read of them, and of the reports that came with them.

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use domain::report::Report;
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use super::{Column, Entity, Model};
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::page::Page;
use crate::stored::Stored as _;
use crate::{handling, report, upload_row};

/// A list as it was sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Upload {
    /// The store's number.
    pub id: i64,
    /// Who sends such lists.
    pub sender: String,
    /// The digest of the file.
    pub sha256: String,
    /// The file's own name.
    pub file_name: String,
    /// How many reports it brought.
    pub reports: u32,
    /// Rows that had been sent before and were not kept anew.
    pub sent_before: u32,
    /// Rows that could not be taken.
    pub refused: u32,
    /// Who sent it.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Taken back.
    pub taken_back: Option<TakenBack>,
}

/// That a list was taken back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenBack {
    /// By whom.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Why.
    pub why: String,
}

/// One report of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct UploadedReport {
    /// The line it stood on.
    pub line: u64,
    /// The report.
    pub report: Report,
    /// Where it stands.
    pub state: ReportState,
    /// Whether it was taken back with the list.
    pub taken_back: bool,
}

/// A list with its reports.
#[derive(Clone, Debug, PartialEq)]
pub struct UploadFile {
    /// The list.
    pub upload: Upload,
    /// Its reports, in the order of the file.
    pub reports: Vec<UploadedReport>,
}

/// The list a report came with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CameWith {
    /// The list's number.
    pub id: i64,
    /// Where the report was taken back with it.
    pub taken_back: Option<TakenBack>,
}

fn upload_of(row: Model) -> Upload {
    let small = |number: i64| u32::try_from(number).unwrap_or(u32::MAX);
    Upload {
        taken_back: taken_back(&row),
        reports: small(row.reports),
        sent_before: small(row.sent_before),
        refused: small(row.refused),
        id: row.id,
        sender: row.sender,
        sha256: row.sha256,
        file_name: row.file_name,
        by: row.made_by,
        at: row.made_at,
    }
}

fn taken_back(row: &Model) -> Option<TakenBack> {
    let (by, why) =
        (row.withdrawn_by.clone().unwrap_or_default(), row.withdrawn_why.clone().unwrap_or_default());
    row.withdrawn_at.map(|at| TakenBack { by, at, why })
}

/// The list that a report came with.
pub(crate) async fn of_report(db: &impl ConnectionTrait, report_ref: &str) -> Result<Option<CameWith>> {
    let Some(row) = upload_row::Entity::find_by_id(report_ref.to_owned()).one(db).await? else {
        return Ok(None);
    };
    let upload = Entity::find_by_id(row.upload_id).one(db).await?;
    let upload = upload.ok_or_else(|| StoreError::missing("upload", row.upload_id))?;
    Ok(Some(CameWith { id: upload.id, taken_back: taken_back(&upload).filter(|_| row.withdrawn) }))
}

/// The reports that came with a list, in the order of its file.
pub(super) async fn reports_of(db: &impl ConnectionTrait, id: i64) -> Result<Vec<UploadedReport>> {
    let rows = upload_row::Entity::find().filter(upload_row::Column::UploadId.eq(id));
    let rows = rows.order_by_asc(upload_row::Column::Line).all(db).await?;
    let refs: Vec<&str> = rows.iter().map(|row| row.report_ref.as_str()).collect();
    let reports = report::need_rows(db, &refs).await?;
    let handled = handling::of_each(db, &reports).await?;
    let rows = rows.iter().zip(reports).zip(handled);
    rows.map(|((row, report), handled)| {
        Ok(UploadedReport {
            line: row.line.unsigned_abs(),
            report: report::Entity::noun(report)?,
            state: handling::state_of(&handled)?,
            taken_back: row.withdrawn,
        })
    })
    .collect()
}

impl Store {
    /// Lists of one sender, or of all, the latest first.
    pub async fn list_uploads(&self, sender: Option<&str>, page: Page) -> Result<Vec<Upload>> {
        let mut select = Entity::find().order_by_desc(Column::Id);
        if let Some(sender) = sender {
            select = select.filter(Column::Sender.eq(sender));
        }
        let rows = select.offset(page.offset()).limit(page.size).all(self.reader()).await?;
        Ok(rows.into_iter().map(upload_of).collect())
    }

    /// The list that somebody made of the same file before, unless it was taken back; the latest where there are several.
    pub async fn find_same_upload(&self, sha256: &str) -> Result<Option<Upload>> {
        let same = Entity::find()
            .filter(Column::Sha256.eq(sha256))
            .filter(Column::WithdrawnAt.is_null())
            .order_by_desc(Column::Id);
        Ok(same.one(self.reader()).await?.map(upload_of))
    }

    /// A list with its reports.
    pub async fn find_upload(&self, id: i64) -> Result<Option<UploadFile>> {
        let snapshot = self.snapshot().await?;
        let Some(row) = Entity::find_by_id(id).one(&snapshot).await? else { return Ok(None) };
        Ok(Some(UploadFile { upload: upload_of(row), reports: reports_of(&snapshot, id).await? }))
    }
}
