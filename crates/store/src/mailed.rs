//! Mails that tell of failures: kept once each, waiting until unit and item are known, then reports.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::report::Report;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _, QuerySelect as _};
use serde_json::Value as Json;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::intake::{self, IntakeFacts};
use crate::journal::{Entry, enter, moment};
use crate::outbox::{self, NewMail};
use crate::page::Page;
use crate::photo::{self, NewPhoto};
use crate::read_back::Row;
use crate::{json, mailed_photo};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "mailed")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub key: String,
    pub sender: String,
    pub subject: String,
    pub story: String,
    pub arrived_at: DateTime<Utc>,
    pub unit: Option<String>,
    pub report_ref: Option<String>,
    pub dismissed_why: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A mail to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewMailed {
    /// What keeps it from being kept twice.
    pub key: String,
    /// Who sent it, as it says itself.
    pub sender: String,
    /// Its subject.
    pub subject: String,
    /// What it tells.
    pub story: String,
    /// The unit that answers to the sender's address.
    pub unit: Option<String>,
    /// Photographs.
    pub photos: Vec<NewPhoto>,
}

/// A mail as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mailed {
    /// The store's number.
    pub id: i64,
    /// What keeps it from being kept twice.
    pub key: String,
    /// Who sent it, as it says itself; empty once somebody has decided about it.
    pub sender: String,
    /// Its subject.
    pub subject: String,
    /// What it tells.
    pub story: String,
    /// When it was read.
    pub arrived_at: DateTime<Utc>,
    /// The unit that answers to the sender's address.
    pub unit: Option<String>,
    /// The report it became.
    pub report_ref: Option<String>,
    /// Why it became none.
    pub dismissed: Option<String>,
}

impl Mailed {
    /// Whether somebody has to decide about it.
    pub fn waits(&self) -> bool {
        self.report_ref.is_none() && self.dismissed.is_none()
    }
}

fn mailed_of(row: Model) -> Mailed {
    let Model { id, key, sender, subject, story, arrived_at, unit, report_ref, dismissed_why: dismissed } =
        row;
    Mailed { id, key, sender, subject, story, arrived_at, unit, report_ref, dismissed }
}

async fn need_waiting(db: &impl ConnectionTrait, id: i64) -> Result<Model> {
    let row =
        Entity::find_by_id(id).one(db).await?.ok_or_else(|| StoreError::missing("mailed report", id))?;
    if mailed_of(row.clone()).waits() {
        return Ok(row);
    }
    Err(Problem::new("mailed", "somebody has decided about this mail meanwhile").into())
}

async fn photos_of(db: &impl ConnectionTrait, id: i64) -> Result<Vec<NewPhoto>> {
    let rows = mailed_photo::Entity::find().filter(mailed_photo::Column::MailedId.eq(id));
    let rows = rows.order_by_asc(mailed_photo::Column::Id).all(db).await?;
    rows.into_iter()
        .map(|row| {
            let read = Row { table: "mailed_photo", id: &row.id };
            Ok(NewPhoto {
                width: read.number("width", row.width)?,
                height: read.number("height", row.height)?,
                sha256: row.sha256,
                media_type: row.media_type,
            })
        })
        .collect()
}

async fn forget_photos(db: &impl ConnectionTrait, id: i64) -> Result<()> {
    mailed_photo::Entity::delete_many().filter(mailed_photo::Column::MailedId.eq(id)).exec(db).await?;
    Ok(())
}

/// What the journal keeps of a mail: all but whose address it came from, which is deleted once somebody has decided.
fn told(row: Model) -> Json {
    let mut told = json::row(row);
    if let Json::Object(columns) = &mut told {
        columns.remove("sender");
    }
    told
}

/// Writes down what was decided about a mail; its address and photographs have served by then.
async fn settle(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    act: &str,
    (before, mut row): (Model, ActiveModel),
) -> Result<()> {
    let key = before.id.to_string();
    row.sender = Set(String::new());
    let after = row.update(db).await?;
    forget_photos(db, after.id).await?;
    let entry = Entry::new(act, "mailed report", &key).before(told(before)).after(told(after));
    enter(db, by, now, entry).await?;
    Ok(())
}

impl Store {
    /// Keeps a mail until it is a report; read again, it is found and nothing is kept.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such unit.
    pub async fn add_mailed(&self, by: &Actor, now: DateTime<Utc>, new: &NewMailed) -> Result<Mailed> {
        let tx = self.begin().await?;
        if let Some(row) = Entity::find().filter(Column::Key.eq(&new.key)).one(&tx).await? {
            return Ok(mailed_of(row));
        }
        if let Some(unit) = &new.unit {
            crate::unit::need(&tx, unit).await?;
        }
        let row = ActiveModel {
            id: NotSet,
            key: Set(new.key.clone()),
            sender: Set(new.sender.clone()),
            subject: Set(new.subject.clone()),
            story: Set(new.story.clone()),
            arrived_at: Set(moment(now)),
            unit: Set(new.unit.clone()),
            report_ref: Set(None),
            dismissed_why: Set(None),
        };
        let added = Entity::insert(row).exec_with_returning(&tx).await?;
        for photo in &new.photos {
            let row = mailed_photo::ActiveModel {
                id: NotSet,
                mailed_id: Set(added.id),
                sha256: Set(photo.sha256.clone()),
                media_type: Set(photo.media_type.clone()),
                width: Set(i64::from(photo.width)),
                height: Set(i64::from(photo.height)),
            };
            mailed_photo::Entity::insert(row).exec_without_returning(&tx).await?;
        }
        let key = added.id.to_string();
        let entry = Entry::new("receive", "mailed report", &key).after(told(added.clone()));
        enter(&tx, by, now, entry).await?;
        tx.commit().await?;
        Ok(mailed_of(added))
    }

    /// Makes a report of a mail that waits, with its photographs and the mail that answers with the receipt, at once. It
    /// was sent when the mail arrived, whenever that is done.
    ///
    /// # Errors
    /// [`StoreError::Taken`] where the reference or the receipt code is that of another report;
    /// [`StoreError::Missing`] where unit, item or part don't exist; [`StoreError::Refused`] where it waits no more.
    pub async fn send_mailed(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        (report, facts): (&Report, &IntakeFacts),
        answer: Option<&NewMail>,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let before = need_waiting(&tx, id).await?;
        let kept = intake::keep(&tx, by, now, report, facts).await?;
        // It came when the mail did, however long that waited to be made a report: the clock of danger runs from there.
        let mut kept = kept.into_active_model();
        kept.sent_at = Set(before.arrived_at);
        kept.update(&tx).await?;
        photo::add(&tx, &report.report_ref, &photos_of(&tx, id).await?).await?;
        if let Some(mail) = answer {
            outbox::put(&tx, by, now, mail).await?;
        }
        let mut row = before.clone().into_active_model();
        row.unit = Set(Some(report.unit.clone()));
        row.report_ref = Set(Some(report.report_ref.clone()));
        settle(&tx, (by, now), "send", (before, row)).await?;
        Ok(tx.commit().await?)
    }

    /// Says that a mail that waits tells of no failure; its photographs are forgotten.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is none of this number; [`StoreError::Refused`] where it waits no more or no
    /// reason is given.
    pub async fn dismiss_mailed(&self, by: &Actor, now: DateTime<Utc>, id: i64, why: &str) -> Result<()> {
        if why.trim().is_empty() {
            return Err(Problem::new("why", "say why it is no report").into());
        }
        let tx = self.begin().await?;
        let before = need_waiting(&tx, id).await?;
        let mut row = before.clone().into_active_model();
        row.dismissed_why = Set(Some(why.trim().to_owned()));
        settle(&tx, (by, now), "dismiss", (before, row)).await?;
        Ok(tx.commit().await?)
    }

    /// Mails about which somebody has to decide, the oldest first.
    pub async fn waiting_mailed(&self, page: Page) -> Result<Vec<Mailed>> {
        let rows = Entity::find()
            .filter(Column::ReportRef.is_null())
            .filter(Column::DismissedWhy.is_null())
            .order_by_asc(Column::Id)
            .offset(page.offset())
            .limit(page.size);
        Ok(rows.all(self.reader()).await?.into_iter().map(mailed_of).collect())
    }

    /// How many of them there are.
    pub async fn count_waiting_mailed(&self) -> Result<u64> {
        let rows = Entity::find().filter(Column::ReportRef.is_null()).filter(Column::DismissedWhy.is_null());
        Ok(rows.count(self.reader()).await?)
    }

    /// A mail by its number.
    pub async fn find_mailed(&self, id: i64) -> Result<Option<Mailed>> {
        Ok(Entity::find_by_id(id).one(self.reader()).await?.map(mailed_of))
    }

    /// The photographs of a mail that waits.
    pub async fn photos_of_mailed(&self, id: i64) -> Result<Vec<NewPhoto>> {
        photos_of(self.reader(), id).await
    }
}
