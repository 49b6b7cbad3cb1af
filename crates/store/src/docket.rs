//! Meetings of the board, the changes on their dockets, and what members advise.

mod advice;
mod decided;
mod line;

use chrono::{DateTime, NaiveDate, Utc};
use domain::docket::Meeting;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;
use serde_json::json;

use crate::change_record::Decision;
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::twice;

pub use advice::Advice;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "meeting")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub held_on: NaiveDate,
    pub title: String,
    pub made_by: String,
    pub made_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A meeting in the list of all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptMeeting {
    /// Its number.
    pub id: i64,
    /// The meeting.
    pub meeting: Meeting,
    /// Changes on its docket.
    pub changes: u64,
}

/// A meeting with its docket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Docket {
    /// Its number.
    pub id: i64,
    /// The meeting.
    pub meeting: Meeting,
    /// The changes in order.
    pub lines: Vec<DocketLine>,
}

/// A change on a docket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DocketLine {
    /// Its number.
    pub change_no: String,
    /// What members advise, the first first.
    pub advice: Vec<Advice>,
    /// What the board first decided on it since it was put on; nothing is altered here from then on.
    pub decided: Option<Decision>,
}

fn meeting_of(row: &Model) -> Meeting {
    Meeting { held_on: row.held_on, title: row.title.clone() }
}

async fn need(db: &impl ConnectionTrait, id: i64) -> Result<Model> {
    Entity::find_by_id(id).one(db).await?.ok_or_else(|| StoreError::missing("meeting", id))
}

impl Store {
    /// Calls a meeting, and gives its number. The same sent twice is called once.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for a meeting without a title.
    pub async fn add_meeting(&self, by: &Actor, now: DateTime<Utc>, new: &Meeting) -> Result<i64> {
        new.check()?;
        let tx = self.begin().await?;
        let same = Entity::find()
            .filter(twice::just_written((Column::MadeBy, Column::MadeAt), by, now))
            .filter(Column::HeldOn.eq(new.held_on))
            .filter(Column::Title.eq(new.title.trim()))
            .order_by_asc(Column::Id);
        if let Some(first) = same.one(&tx).await? {
            return Ok(first.id);
        }
        let row = ActiveModel {
            id: NotSet,
            held_on: Set(new.held_on),
            title: Set(new.title.trim().to_owned()),
            made_by: Set(named(by).0),
            made_at: Set(moment(now)),
        };
        let added = Entity::insert(row).exec_with_returning(&tx).await?;
        let key = added.id.to_string();
        let entry = Entry::new("call", "meeting", &key);
        enter(
            &tx,
            by,
            now,
            entry.after(json!({ "held_on": added.held_on.to_string(), "title": added.title })),
        )
        .await?;
        tx.commit().await?;
        Ok(added.id)
    }

    /// All meetings, the latest day first.
    pub async fn list_meetings(&self) -> Result<Vec<KeptMeeting>> {
        let select = Entity::find().order_by_desc(Column::HeldOn).order_by_desc(Column::Id);
        let mut meetings = Vec::new();
        for row in select.all(self.reader()).await? {
            let changes = line::Entity::find().filter(line::Column::MeetingId.eq(row.id));
            let changes = changes.count(self.reader()).await?;
            meetings.push(KeptMeeting { id: row.id, meeting: meeting_of(&row), changes });
        }
        Ok(meetings)
    }

    /// A meeting with its docket.
    pub async fn find_docket(&self, id: i64) -> Result<Option<Docket>> {
        let db = self.reader();
        let Some(row) = Entity::find_by_id(id).one(db).await? else { return Ok(None) };
        let mut lines = Vec::new();
        for line in line::of_meeting(db, id).await? {
            let advice = advice::of_line(db, &line).await?;
            let decided = decided::decided(db, &line).await?;
            lines.push(DocketLine { change_no: line.change_no, advice, decided });
        }
        Ok(Some(Docket { id, meeting: meeting_of(&row), lines }))
    }
}
