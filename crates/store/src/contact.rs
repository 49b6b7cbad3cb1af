//! Contact details of reporters: kept apart from the report, never in the journal, deleted after a time.

mod link;
mod told;

use chrono::{DateTime, Utc};
use domain::contact::deleted_at;
use domain::language::Language;
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter, moment};
use crate::read_back::Row;
use crate::{answer, hold, outbox};

pub(crate) use self::link::followed;
pub use self::told::{ToTell, Told};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "contact")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub report_ref: String,
    pub address: String,
    pub language: String,
    pub given_at: DateTime<Utc>,
    pub stopped_at: Option<DateTime<Utc>>,
    pub stopped_why: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// The noun in the journal, which says that there are contact details and what became of them, never what they are.
const NOUN: &str = "contact";

/// Where a reporter wants the answer mailed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewContact {
    /// The address.
    pub address: MailAddress,
    /// The language of the form.
    pub language: Language,
}

/// Contact details of a report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contact {
    /// The report.
    pub report_ref: String,
    /// The address.
    pub address: String,
    /// When they were given.
    pub given_at: DateTime<Utc>,
    /// Since when no mail goes there, and why.
    pub stopped: Option<(DateTime<Utc>, String)>,
}

fn contact_of(row: Model) -> Contact {
    let Model { report_ref, address, given_at, stopped_at, stopped_why, .. } = row;
    Contact { report_ref, address, given_at, stopped: stopped_at.zip(stopped_why) }
}

/// The language that mail to a contact is written in.
fn language_of(row: &Model) -> Result<Language> {
    Row { table: "contact", id: &row.id }.word("language", &row.language)
}

/// Keeps contact details with the report they came with.
pub(crate) async fn add(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    report_ref: &str,
    new: &NewContact,
) -> Result<()> {
    let row = ActiveModel {
        id: NotSet,
        report_ref: Set(report_ref.to_owned()),
        address: Set(new.address.as_str().to_owned()),
        language: Set(new.language.word().to_owned()),
        given_at: Set(moment(now)),
        stopped_at: Set(None),
        stopped_why: Set(None),
    };
    Entity::insert(row).exec_without_returning(db).await?;
    enter(db, by, now, Entry::new("give", NOUN, report_ref)).await?;
    Ok(())
}

/// Stops mail to some contacts, and says how many were not stopped before.
async fn stop(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    rows: Vec<Model>,
    why: &str,
) -> Result<usize> {
    let mut stopped = 0;
    for row in rows.into_iter().filter(|row| row.stopped_at.is_none()) {
        let mut after = row.clone().into_active_model();
        after.stopped_at = Set(Some(moment(now)));
        after.stopped_why = Set(Some(why.to_owned()));
        after.update(db).await?;
        let entry = Entry::new("stop", NOUN, &row.report_ref).after(serde_json::json!({ "why": why }));
        enter(db, by, now, entry).await?;
        stopped += 1;
    }
    Ok(stopped)
}

impl Store {
    /// The contact details that came with a report, while they are kept. The caller has asked whether they may be read.
    pub async fn find_contact(&self, report_ref: &str) -> Result<Option<Contact>> {
        let row = Entity::find().filter(Column::ReportRef.eq(report_ref)).one(self.reader()).await?;
        Ok(row.map(contact_of))
    }

    /// Stops mail to an address, with every report it came with, and says with how many. `why` must not name it.
    pub async fn stop_address(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        address: &MailAddress,
        why: &str,
    ) -> Result<usize> {
        let tx = self.begin().await?;
        let rows = Entity::find().filter(Column::Address.eq(address.as_str())).all(&tx).await?;
        let stopped = stop(&tx, by, now, rows, why).await?;
        outbox::blank_unsent(&tx, address.as_str()).await?;
        tx.commit().await?;
        Ok(stopped)
    }

    /// Deletes contact details whose time is over, unless a hold stands on their report, and says how many. What mail of
    /// theirs still waits goes with them.
    pub async fn delete_old_contacts(&self, by: &Actor, now: DateTime<Utc>, days: u32) -> Result<usize> {
        let tx = self.begin().await?;
        let old = Entity::find().filter(Column::GivenAt.lte(moment(now))).order_by_asc(Column::Id);
        let mut deleted = 0;
        for row in old.all(&tx).await? {
            if deleted_at(row.given_at, None, days) > now {
                continue;
            }
            let answers = answer::of_report(&tx, &row.report_ref).await?;
            let answered = answers.iter().map(|answer| answer.at).max();
            if deleted_at(row.given_at, answered, days) > now || hold::stands(&tx, &row.report_ref).await? {
                continue;
            }
            Entity::delete_by_id(row.id).exec(&tx).await?;
            if Entity::find().filter(Column::Address.eq(&row.address)).one(&tx).await?.is_none() {
                outbox::blank_unsent(&tx, &row.address).await?;
            }
            enter(&tx, by, now, Entry::new("delete", NOUN, &row.report_ref)).await?;
            deleted += 1;
        }
        outbox::blank_given_up(&tx, now).await?;
        tx.commit().await?;
        Ok(deleted)
    }
}
