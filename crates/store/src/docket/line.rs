//! The changes on a docket, in their order.

use chrono::{DateTime, Utc};
use domain::change::ChangeState;
use domain::docket::moved_up;
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{IntoActiveModel as _, QueryOrder as _};
use serde_json::json;

use super::{advice, decided::decided, need as need_meeting};
use crate::change_record;
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter};

/// How the journal names that a change was put on a docket.
pub(super) const PUT_ON: &str = "put on";

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

pub(super) async fn of_meeting(db: &impl ConnectionTrait, id: i64) -> Result<Vec<Model>> {
    let select = Entity::find().filter(Column::MeetingId.eq(id));
    Ok(select.order_by_asc(Column::Place).all(db).await?)
}

pub(super) async fn need(db: &impl ConnectionTrait, id: i64, change_no: &str) -> Result<Model> {
    let select = Entity::find().filter(Column::MeetingId.eq(id));
    let row = select.filter(Column::ChangeNo.eq(change_no)).one(db).await?;
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

/// Refuses what would alter a line whose change was decided since: what was advised stays with that decision, whatever
/// becomes of the change later.
pub(super) async fn need_open(db: &impl ConnectionTrait, line: &Model) -> Result<()> {
    need_submitted(db, &line.change_no).await?;
    if decided(db, line).await?.is_none() {
        return Ok(());
    }
    let why = "the board has decided on this change since it was put on this docket; what was advised stays with that \
               decision";
    Err(Problem::new("change", why).into())
}

impl Store {
    /// Puts a change that is before the board on a docket, behind the others.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for a change that is not before the board; [`StoreError::Taken`] for one that is on it;
    /// [`StoreError::Missing`] where there is no such meeting or change.
    pub async fn put_on_docket(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        change_no: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        need_meeting(&tx, id).await?;
        need_submitted(&tx, change_no).await?;
        let lines = of_meeting(&tx, id).await?;
        if lines.iter().any(|line| line.change_no == change_no) {
            return Err(StoreError::taken("change on this docket", change_no));
        }
        let row = ActiveModel {
            id: NotSet,
            meeting_id: Set(id),
            change_no: Set(change_no.to_owned()),
            place: Set(lines.last().map_or(1, |last| last.place + 1)),
        };
        Entity::insert(row).exec_without_returning(&tx).await?;
        let key = id.to_string();
        enter(&tx, by, now, Entry::new(PUT_ON, "meeting", &key).after(json!({ "change_no": change_no })))
            .await?;
        Ok(tx.commit().await?)
    }

    /// Takes a change off a docket, with the advice given there; the journal keeps that it was on it, and what was advised.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for a change that was decided since: what was advised stays with it; [`StoreError::Missing`]
    /// where it is not on the docket.
    pub async fn take_off_docket(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        change_no: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let line = need(&tx, id, change_no).await?;
        need_open(&tx, &line).await?;
        let advised = advice::said(&tx, &line).await?;
        let before = json!({ "change_no": change_no, "advice": advised });
        Entity::delete_by_id(line.id).exec(&tx).await?;
        let key = id.to_string();
        enter(&tx, by, now, Entry::new("take off", "meeting", &key).before(before)).await?;
        Ok(tx.commit().await?)
    }

    /// Moves a change a place up on a docket.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where it is not on the docket.
    pub async fn move_up_docket(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        id: i64,
        change_no: &str,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let line = need(&tx, id, change_no).await?;
        let lines = of_meeting(&tx, id).await?;
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
}
