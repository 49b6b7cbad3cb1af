//! Photos that came with reports: what is known of each. The pictures themselves are kept outside the database, by their
//! digest.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter};
use crate::read_back::Row;
use crate::report;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "photo")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub report_ref: String,
    pub sha256: String,
    pub media_type: String,
    pub width: i64,
    pub height: i64,
    /// Empty but for photos kept before they had a place outside the database.
    pub bytes: Vec<u8>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A photo to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewPhoto {
    /// The SHA-256 digest of its bytes, hexadecimal.
    pub sha256: String,
    /// What it is, such as `image/jpeg`.
    pub media_type: String,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
}

/// What is known of a photo without its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoFacts {
    /// The store's number.
    pub id: i64,
    /// What it is, such as `image/jpeg`.
    pub media_type: String,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
}

/// A photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// The report it came with.
    pub report_ref: String,
    /// The SHA-256 digest of its bytes, hexadecimal.
    pub sha256: String,
    /// What it is, such as `image/jpeg`.
    pub media_type: String,
    /// The file, where it was kept before photos had a place outside the database.
    pub bytes: Option<Vec<u8>>,
}

/// Keeps the photos of a report, each once.
pub(crate) async fn add(db: &impl ConnectionTrait, report_ref: &str, photos: &[NewPhoto]) -> Result<()> {
    let mut kept: Vec<&str> = Vec::new();
    for photo in photos {
        if kept.contains(&photo.sha256.as_str()) {
            continue;
        }
        kept.push(&photo.sha256);
        let row = ActiveModel {
            id: NotSet,
            report_ref: Set(report_ref.to_owned()),
            sha256: Set(photo.sha256.clone()),
            media_type: Set(photo.media_type.clone()),
            width: Set(i64::from(photo.width)),
            height: Set(i64::from(photo.height)),
            bytes: Set(Vec::new()),
        };
        Entity::insert(row).exec_without_returning(db).await?;
    }
    Ok(())
}

/// What is known of a report's photos.
pub(crate) async fn facts(db: &impl ConnectionTrait, report_ref: &str) -> Result<Vec<PhotoFacts>> {
    Ok(facts_of(db, &[report_ref]).await?.into_iter().map(|(_, facts)| facts).collect())
}

/// What is known of the photos of some reports, each with its report's reference.
async fn facts_of(db: &impl ConnectionTrait, report_refs: &[&str]) -> Result<Vec<(String, PhotoFacts)>> {
    let rows: Vec<(i64, String, String, i64, i64)> = Entity::find()
        .filter(Column::ReportRef.is_in(report_refs.iter().copied()))
        .order_by_asc(Column::Id)
        .select_only()
        .columns([Column::Id, Column::ReportRef, Column::MediaType, Column::Width, Column::Height])
        .into_tuple()
        .all(db)
        .await?;
    rows.into_iter()
        .map(|(id, report_ref, media_type, width, height)| {
            let read = Row { table: "photo", id: &id };
            let (width, height) = (read.number("width", width)?, read.number("height", height)?);
            Ok((report_ref, PhotoFacts { id, media_type, width, height }))
        })
        .collect()
}

impl Store {
    /// What is known of the photos of some reports, each with its report's reference, in the order they came.
    pub async fn photos_of(&self, report_refs: &[&str]) -> Result<Vec<(String, PhotoFacts)>> {
        facts_of(self.reader(), report_refs).await
    }

    /// Keeps one more photo of a report and says whether it was new; the same picture is kept once.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such report; [`StoreError::Refused`] where it has `most` photos.
    pub async fn add_photo(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        report_ref: &str,
        photo: &NewPhoto,
        most: u64,
    ) -> Result<bool> {
        let tx = self.begin().await?;
        report::need_row(&tx, report_ref).await?;
        let of_report = Entity::find().filter(Column::ReportRef.eq(report_ref));
        if of_report.clone().filter(Column::Sha256.eq(photo.sha256.as_str())).count(&tx).await? > 0 {
            return Ok(false);
        }
        if of_report.count(&tx).await? >= most {
            let why = format!("the report has {most} photographs already, which is the most");
            return Err(StoreError::Refused(Problem::new("photo", why)));
        }
        add(&tx, report_ref, std::slice::from_ref(photo)).await?;
        enter(&tx, by, now, Entry::new("add", "photo", report_ref)).await?;
        tx.commit().await?;
        Ok(true)
    }

    /// A photo by number.
    pub async fn find_photo(&self, id: i64) -> Result<Option<Photo>> {
        let row = Entity::find_by_id(id).one(self.reader()).await?;
        Ok(row.map(|row| {
            let Model { report_ref, sha256, media_type, bytes, .. } = row;
            Photo { report_ref, sha256, media_type, bytes: Some(bytes).filter(|bytes| !bytes.is_empty()) }
        }))
    }
}
