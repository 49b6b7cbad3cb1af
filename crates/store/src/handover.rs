//! Hand-overs: one act that passes what somebody has open to a successor, with the list of what was passed on.

mod pass;
mod promised;
mod rows;

use chrono::{DateTime, NaiveDate, Utc};
use domain::handover::{HandoverItem, check_successor};
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::address_list::address_of;
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::outbox::{self, MailWords};
use crate::read_back::filled;
use crate::{digest_reader, json, on_call, user};
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

/// A hand-over to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewHandover {
    /// Whose it is.
    pub from: i64,
    /// Whose it is to be.
    pub to: i64,
    /// What the successor should know.
    pub note: String,
    /// Where the successor is mailed, unless they are mailed something already.
    pub address: Option<MailAddress>,
}

impl Store {
    /// What somebody has open today, and what they are mailed.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has the number.
    pub async fn open_of(&self, person: i64, today: NaiveDate) -> Result<Vec<HandoverItem>> {
        pass::open_of(self.reader(), person, today).await
    }

    /// Passes all of it to a successor, tells both and whoever did it by mail where they have an address, and gives the
    /// number of the hand-over.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where nobody has one of the numbers; [`StoreError::Refused`] where there is nothing to
    /// pass on, the successor can't go on with it, or it takes an address that nobody gave; [`StoreError::Mail`] where
    /// the words of the mail can't be made.
    pub async fn hand_over(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        new: &NewHandover,
        words: impl FnOnce(&Handover) -> Result<MailWords, Box<dyn std::error::Error + Send + Sync>> + Send,
    ) -> Result<i64> {
        let (from, to) = (new.from, new.to);
        let tx = self.begin().await?;
        let successor = user::need(&tx, to).await?;
        check_successor(from, to, successor.role, successor.retired_at.is_some())?;
        let items = pass::open_of(&tx, from, now.date_naive()).await?;
        if items.is_empty() {
            return Err(Problem::new("to", "nothing is open that could be passed on").into());
        }
        let given = new.address.as_ref().map(|address| address.as_str().to_owned());
        let address = mailed_at(&tx, to).await?.or(given);
        if address.is_none() && items.iter().any(|item| item.kind.is_mail()) {
            let why = "mail passes on too: expected an address of the successor";
            return Err(Problem::new("address", why).into());
        }
        // Asked before the mail passes on: afterwards nobody knows where the predecessor is mailed.
        let readers = readers(&tx, (from, to), (named(by).1, address.clone())).await?;
        for open in &items {
            pass::pass(&tx, (by, now), open, (from, &successor), address.as_deref()).await?;
        }
        let handover = write(&tx, (by, now), new, items).await?;
        let words = words(&handover).map_err(StoreError::Mail)?;
        let key = format!("handover {}", handover.id);
        outbox::put_for_each(&tx, (by, now), &key, readers, &words).await?;
        tx.commit().await?;
        Ok(handover.id)
    }

    /// A hand-over by its number.
    pub async fn find_handover(&self, id: i64) -> Result<Option<Handover>> {
        let Some(row) = rows::Entity::find_by_id(id).one(self.reader()).await? else { return Ok(None) };
        let of_this = item::Entity::find().filter(item::Column::HandoverId.eq(id));
        let rows = of_this.order_by_asc(item::Column::Id).all(self.reader()).await?;
        let items = rows.into_iter().map(item_of).collect::<Result<_>>()?;
        Ok(Some(handover_of(row, items)))
    }

    /// The numbers of the hand-overs from somebody, the latest first, with when each was.
    pub async fn handovers_of(&self, person: i64) -> Result<Vec<(i64, DateTime<Utc>)>> {
        let of = rows::Entity::find().filter(rows::Column::FromId.eq(person));
        let rows = of.order_by_desc(rows::Column::Id).all(self.reader()).await?;
        Ok(rows.into_iter().map(|row| (row.id, row.made_at)).collect())
    }
}

/// Keeps the hand-over itself, with its entry in the journal.
async fn write(
    db: &impl ConnectionTrait,
    (by, now): (&Actor, DateTime<Utc>),
    new: &NewHandover,
    items: Vec<HandoverItem>,
) -> Result<Handover> {
    let row = rows::ActiveModel {
        id: NotSet,
        from_id: Set(new.from),
        to_id: Set(new.to),
        note: Set(filled(Some(new.note.trim()))),
        made_by: Set(named(by).0),
        made_at: Set(moment(now)),
    };
    let added = rows::Entity::insert(row).exec_with_returning(db).await?;
    let passed = items.iter().map(|open| item::ActiveModel {
        id: NotSet,
        handover_id: Set(added.id),
        kind: Set(open.kind.word().to_owned()),
        key: Set(open.key.clone()),
        title: Set(open.title.clone()),
        due: Set(open.due),
    });
    item::Entity::insert_many(passed).exec_without_returning(db).await?;
    let key = added.id.to_string();
    enter(db, by, now, Entry::new("hand over", "handover", &key).after(json::row(added.clone()))).await?;
    Ok(handover_of(added, items))
}

fn handover_of(row: rows::Model, items: Vec<HandoverItem>) -> Handover {
    let rows::Model { id, from_id: from, to_id: to, note, made_by: by, made_at: at } = row;
    Handover { id, from, to, note, by, at, items }
}

/// Where somebody is mailed something already.
async fn mailed_at(db: &impl ConnectionTrait, person: i64) -> Result<Option<String>> {
    match address_of::<on_call::Entity>(db, person).await? {
        Some(address) => Ok(Some(address)),
        None => address_of::<digest_reader::Entity>(db, person).await,
    }
}

/// Who is told of it and where: the predecessor, the successor, and whoever does it; each once.
async fn readers(
    db: &impl ConnectionTrait,
    (from, to): (i64, i64),
    (by, address): (Option<i64>, Option<String>),
) -> Result<Vec<(i64, String)>> {
    let mut readers: Vec<(i64, String)> = address.map(|address| (to, address)).into_iter().collect();
    let others = [Some(from), by.filter(|by| *by != from)].into_iter().flatten().filter(|id| *id != to);
    for person in others {
        if user::find_active(db, person).await?.is_none() {
            continue;
        }
        readers.extend(mailed_at(db, person).await?.map(|address| (person, address)));
    }
    Ok(readers)
}

/// Nobody has this number.
fn nobody(person: i64) -> StoreError {
    StoreError::missing("user", person)
}
