//! Hand-overs: one act that passes what somebody has open to a successor, with the list of what was passed on.

mod pass;
mod rows;

use chrono::{DateTime, Utc};
use domain::handover::{HandoverItem, check_successor};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::read_back::filled;
use crate::{json, user};
use rows::{item, item_of};

/// A hand-over that took place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Handover {
    /// The store's number.
    pub id: i64,
    /// Whose it was.
    pub from: i64,
    /// Whose it is.
    pub to: i64,
    /// What was said about it.
    pub note: Option<String>,
    /// Who did it.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// What was passed on.
    pub items: Vec<HandoverItem>,
}

impl Store {
    /// What somebody has open: recurrences, changes, actions and makers' cases.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number.
    pub async fn open_of(&self, person: i64) -> Result<Vec<HandoverItem>> {
        pass::open_of(self.reader(), person).await
    }

    /// Passes all of it to a successor, and gives the number of the hand-over.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has one of the numbers; [`StoreError::Refused`] where there is nothing to
    /// pass on, or the successor can't go on with it.
    pub async fn hand_over(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (from, to): (i64, i64),
        note: &str,
    ) -> Result<i64> {
        let tx = self.begin().await?;
        let successor = user::need(&tx, to).await?;
        check_successor(from, to, successor.role, successor.retired_at.is_some())?;
        let items = pass::open_of(&tx, from).await?;
        if items.is_empty() {
            return Err(Problem::new("to", "nothing is open that could be passed on").into());
        }
        for open in &items {
            pass::pass(&tx, by, now, open, &successor).await?;
        }
        let row = rows::ActiveModel {
            id: NotSet,
            from_id: Set(from),
            to_id: Set(to),
            note: Set(filled(Some(note.trim()))),
            made_by: Set(named(by).0),
            made_at: Set(moment(now)),
        };
        let added = rows::Entity::insert(row).exec_with_returning(&tx).await?;
        let id = added.id;
        let passed = items.iter().map(|open| item::ActiveModel {
            id: NotSet,
            handover_id: Set(id),
            kind: Set(open.kind.word().to_owned()),
            key: Set(open.key.clone()),
            title: Set(open.title.clone()),
        });
        item::Entity::insert_many(passed).exec_without_returning(&tx).await?;
        enter(&tx, by, now, Entry::new("hand over", "handover", &id.to_string()).after(json::row(added)))
            .await?;
        tx.commit().await?;
        Ok(id)
    }

    /// A hand-over by its number.
    pub async fn find_handover(&self, id: i64) -> Result<Option<Handover>> {
        let Some(row) = rows::Entity::find_by_id(id).one(self.reader()).await? else { return Ok(None) };
        let of_this = item::Entity::find().filter(item::Column::HandoverId.eq(id));
        let rows = of_this.order_by_asc(item::Column::Id).all(self.reader()).await?;
        let items = rows.into_iter().map(item_of).collect::<Result<_>>()?;
        let rows::Model { id, from_id: from, to_id: to, note, made_by: by, made_at: at } = row;
        Ok(Some(Handover { id, from, to, note, by, at, items }))
    }

    /// The numbers of the hand-overs from somebody, the latest first, with when each was.
    pub async fn handovers_of(&self, person: i64) -> Result<Vec<(i64, DateTime<Utc>)>> {
        let of = rows::Entity::find().filter(rows::Column::FromId.eq(person));
        let rows = of.order_by_desc(rows::Column::Id).all(self.reader()).await?;
        Ok(rows.into_iter().map(|row| (row.id, row.made_at)).collect())
    }
}

/// Nobody has this number.
fn nobody(person: i64) -> StoreError {
    StoreError::missing("user", person)
}
