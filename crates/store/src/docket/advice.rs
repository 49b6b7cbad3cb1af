//! What members advise on a change of a docket.

use chrono::{DateTime, Utc};
use domain::change_record::Disposition;
use domain::docket::check_advice;
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;
use serde_json::{Value as Json, json};

use super::line;
use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter, moment, named};
use crate::read_back::Row;
use crate::user;

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

pub(super) async fn of_line(db: &impl ConnectionTrait, line: &line::Model) -> Result<Vec<Advice>> {
    let select = Entity::find().filter(Column::LineId.eq(line.id));
    let mut given = Vec::new();
    for row in select.order_by_asc(Column::GivenAt).all(db).await? {
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

/// What was advised on a line, as the journal keeps it, the first first.
pub(super) async fn said(db: &impl ConnectionTrait, line: &line::Model) -> Result<Json> {
    let said = of_line(db, line).await?.into_iter().zip(1_u32..).map(|(one, place)| {
        let said = json!({ "by": one.by, "recommends": one.recommends.word(), "words": one.words });
        (place.to_string(), said)
    });
    Ok(said.collect())
}

impl Store {
    /// Keeps what a member advises; a second advice takes the place of their first, which the journal keeps.
    ///
    /// # Errors
    /// [`crate::StoreError::Refused`] without a reason, from somebody who is no person, and once the change was decided;
    /// [`crate::StoreError::Missing`] where it is not on the docket.
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
        let line = line::need(&tx, id, change_no).await?;
        line::need_open(&tx, &line).await?;
        let select = Entity::find().filter(Column::LineId.eq(line.id));
        let before = select.filter(Column::ByUser.eq(user_id)).one(&tx).await?;
        let said = |recommends: &str, words: &str| json!({ "change_no": change_no, "recommends": recommends, "words": words });
        let key = id.to_string();
        let mut entry = Entry::new("advise", "meeting", &key).after(said(recommends.word(), words.trim()));
        entry.before = before.as_ref().map(|row| said(&row.recommends, &row.words));
        let row = ActiveModel {
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
            Entity::insert(row).exec_without_returning(&tx).await?;
        }
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }
}
