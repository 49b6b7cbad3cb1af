//! Meetings of the board, the changes on their dockets, and what members advise.

use chrono::{DateTime, NaiveDate, Utc};
use domain::change::ChangeState;
use domain::change_record::Disposition;
use domain::docket::{Meeting, check_advice, moved_up};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::IntoActiveModel as _;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;
use serde_json::json;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::read_back::Row;
use crate::{change_record, user};

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

mod line {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "docket_line")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub meeting_id: i64,
        pub change_no: String,
        pub place: i64,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

mod advice {
    use chrono::{DateTime, Utc};
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "advice")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub line_id: i64,
        pub by_user: i64,
        pub recommends: String,
        pub words: String,
        pub given_at: DateTime<Utc>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

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
}

/// What a member advises.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Advice {
    /// The member's number.
    pub user_id: i64,
    /// Their name.
    pub by: String,
    /// What they recommend.
    pub recommends: Disposition,
    /// Why.
    pub words: String,
    /// When.
    pub at: DateTime<Utc>,
}

fn meeting_of(row: &Model) -> Meeting {
    Meeting { held_on: row.held_on, title: row.title.clone() }
}

async fn need(db: &impl ConnectionTrait, id: i64) -> Result<Model> {
    Entity::find_by_id(id).one(db).await?.ok_or_else(|| StoreError::missing("meeting", id))
}

async fn lines_of(db: &impl ConnectionTrait, id: i64) -> Result<Vec<line::Model>> {
    let select = line::Entity::find().filter(line::Column::MeetingId.eq(id));
    Ok(select.order_by_asc(line::Column::Place).all(db).await?)
}

async fn need_line(db: &impl ConnectionTrait, id: i64, change_no: &str) -> Result<line::Model> {
    let select = line::Entity::find().filter(line::Column::MeetingId.eq(id));
    let row = select.filter(line::Column::ChangeNo.eq(change_no)).one(db).await?;
    row.ok_or_else(|| StoreError::missing("change on this docket", change_no))
}

async fn need_submitted(db: &impl ConnectionTrait, change_no: &str) -> Result<()> {
    match change_record::state(db, change_no).await? {
        ChangeState::Submitted => Ok(()),
        state => {
            let why = format!("this change is {state}; a docket is for what is before the board");
            Err(Problem::new("change", why).into())
        }
    }
}

async fn advice_of(db: &impl ConnectionTrait, line: &line::Model) -> Result<Vec<Advice>> {
    let select = advice::Entity::find().filter(advice::Column::LineId.eq(line.id));
    let mut given = Vec::new();
    for row in select.order_by_asc(advice::Column::GivenAt).all(db).await? {
        let by = user::Entity::find_by_id(row.by_user).one(db).await?.map(|user| user.full_name);
        given.push(Advice {
            user_id: row.by_user,
            by: by.unwrap_or_default(),
            recommends: Row { table: "advice", id: &row.id }.word("recommends", &row.recommends)?,
            words: row.words,
            at: row.given_at,
        });
    }
    Ok(given)
}

impl Store {
    /// Calls a meeting, and gives its number.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for a meeting without a title.
    pub async fn add_meeting(&self, by: &Actor, now: DateTime<Utc>, new: &Meeting) -> Result<i64> {
        new.check()?;
        let tx = self.begin().await?;
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
        for line in lines_of(db, id).await? {
            let advice = advice_of(db, &line).await?;
            lines.push(DocketLine { change_no: line.change_no, advice });
        }
        Ok(Some(Docket { id, meeting: meeting_of(&row), lines }))
    }

    /// Puts a change that is before the board on a docket, behind the others.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for a change that is not before the board; [`StoreError::Taken`] for one that is on it.
    pub async fn put_on_docket(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        change_no: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        need(&tx, id).await?;
        need_submitted(&tx, change_no).await?;
        let lines = lines_of(&tx, id).await?;
        if lines.iter().any(|line| line.change_no == change_no) {
            return Err(StoreError::taken("change on this docket", change_no));
        }
        let row = line::ActiveModel {
            id: NotSet,
            meeting_id: Set(id),
            change_no: Set(change_no.to_owned()),
            place: Set(lines.last().map_or(1, |last| last.place + 1)),
        };
        line::Entity::insert(row).exec_without_returning(&tx).await?;
        let key = id.to_string();
        enter(&tx, by, now, Entry::new("put on", "meeting", &key).after(json!({ "change_no": change_no })))
            .await?;
        Ok(tx.commit().await?)
    }

    /// Takes a change off a docket, with the advice given there; the journal keeps that it was on it.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for a change that was decided since: what was advised stays with it.
    pub async fn take_off_docket(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        change_no: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let line = need_line(&tx, id, change_no).await?;
        need_submitted(&tx, change_no).await?;
        line::Entity::delete_by_id(line.id).exec(&tx).await?;
        let key = id.to_string();
        enter(
            &tx,
            by,
            now,
            Entry::new("take off", "meeting", &key).before(json!({ "change_no": change_no })),
        )
        .await?;
        Ok(tx.commit().await?)
    }

    /// Moves a change a place up on a docket.
    pub async fn move_up_docket(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        change_no: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let line = need_line(&tx, id, change_no).await?;
        let lines = lines_of(&tx, id).await?;
        let order = moved_up(lines.iter().map(|line| line.id).collect(), &line.id);
        for (place, row) in (1..).zip(&order) {
            let Some(row) = lines.iter().find(|line| line.id == *row).filter(|line| line.place != place)
            else {
                continue;
            };
            let mut row = row.clone().into_active_model();
            row.place = Set(place);
            row.update(&tx).await?;
        }
        let key = id.to_string();
        enter(&tx, by, now, Entry::new("move up", "meeting", &key).after(json!({ "change_no": change_no })))
            .await?;
        Ok(tx.commit().await?)
    }

    /// Keeps what a member advises; a second advice takes the place of their first, which the journal keeps.
    ///
    /// # Errors
    /// [`StoreError::Refused`] without a reason, from somebody who is no person, and once the change was decided.
    pub async fn advise(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (id, change_no): (i64, &str),
        recommends: Disposition,
        words: &str,
    ) -> Result<()> {
        check_advice(words)?;
        let Some(user_id) = named(by).1 else {
            return Err(Problem::new("by", "only a person advises").into());
        };
        let tx = self.begin().await?;
        let line = need_line(&tx, id, change_no).await?;
        need_submitted(&tx, change_no).await?;
        let select = advice::Entity::find().filter(advice::Column::LineId.eq(line.id));
        let before = select.filter(advice::Column::ByUser.eq(user_id)).one(&tx).await?;
        let said = |recommends: &str, words: &str| json!({ "change_no": change_no, "recommends": recommends, "words": words });
        let key = id.to_string();
        let mut entry = Entry::new("advise", "meeting", &key).after(said(recommends.word(), words.trim()));
        entry.before = before.as_ref().map(|row| said(&row.recommends, &row.words));
        let row = advice::ActiveModel {
            id: before.as_ref().map_or(NotSet, |row| Set(row.id)),
            line_id: Set(line.id),
            by_user: Set(user_id),
            recommends: Set(recommends.word().to_owned()),
            words: Set(words.trim().to_owned()),
            given_at: Set(moment(now)),
        };
        if before.is_some() {
            row.update(&tx).await?;
        } else {
            advice::Entity::insert(row).exec_without_returning(&tx).await?;
        }
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }
}
